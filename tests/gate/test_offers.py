"""Offers side by side: what a buyer gives, what a seller keeps, and prices read off feeds.

Referees outside: statsmodels' least squares; the two-feed prices of Petersen (1932); worked
figures of South Dakota State, Southern Ag Today and Texas A&M, each named at its check.
"""

from __future__ import annotations

import json
import re
from fractions import Fraction

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import assume, given
from hypothesis import strategies as st
from typer.testing import CliRunner

from haywright.cli.gate import app
from haywright.files.offers import mass_price, nutrient_worth, read_offers
from haywright.gate.delivered import Haul, after_losses
from haywright.gate.money import Price
from haywright.gate.offers import FertilizerPrices, HayOffer, side_by_side
from haywright.gate.price import nutrient_cost
from haywright.gate.worth import PricedFeed, nutrient_price, prices_from_feeds, worth_of
from haywright.gate.yardstick import Yardstick, value_by_two
from haywright.measure.errors import HaywrightError, Problems, Refused

money = st.integers(20, 500).map(lambda n: Price(n, "short_ton"))
losses = st.integers(0, 60)
miles = st.integers(0, 800)


def hay(price=150, **more):
    fields = {"dm": 88, "contents": {"cp": 10, "tdn": 54}} | more
    return HayOffer(fields.pop("name", "grass"), Price(price, "short_ton"), **fields)


def truck(distance, rate=4):
    return Haul(rate, distance, 44_000, "lb")


def prices(cp="0.30", tdn="0.07"):
    return {"cp": nutrient_price("cp", cp, "lb"), "tdn": nutrient_price("tdn", tdn, "lb")}


def only(offer, **more):
    return side_by_side([offer], **more).worked[0]


# --- the buyer


def test_the_nutrient_that_is_short_decides_which_hay_is_cheap():
    # Gessner, South Dakota State University Extension, 2015: grass at $80 beats alfalfa at $90 by
    # TDN ($0.089 against $0.098 a pound) and loses by protein ($0.81 against $0.33).
    grass = hay(80, name="grass", dm=90, contents={"cp": 5.5, "tdn": 50})
    alfalfa = hay(90, name="alfalfa", dm=90, contents={"cp": 15, "tdn": 51})
    by_protein = side_by_side([grass, alfalfa], short=["cp"])
    by_energy = side_by_side([grass, alfalfa], short=["tdn"])
    assert by_protein.worked[0].offer.name == "alfalfa"
    assert by_energy.worked[0].offer.name == "grass"
    costs = {one.offer.name: one.costs for one in side_by_side([grass, alfalfa]).worked}
    assert float(costs["grass"]["cp"].money) == pytest.approx(0.81, abs=0.005)
    assert float(costs["alfalfa"]["cp"].money) == pytest.approx(0.33, abs=0.005)
    assert side_by_side([grass, alfalfa]).disagree


@given(price=money, near=miles, further=st.integers(1, 500))
def test_freight_never_makes_hay_cheaper(price, near, further):
    here = only(hay(price.amount, haul=truck(near)), prices=prices())
    there = only(hay(price.amount, haul=truck(near + further)), prices=prices())
    assert here.way.delivered < there.way.delivered
    assert here.costs["cp"].money < there.costs["cp"].money
    assert there.most_at_stack < here.most_at_stack
    assert there.gain < here.gain


@given(price=money, less=losses, more=st.integers(1, 35), which=st.sampled_from(["storage", "fed"]))
def test_losses_never_make_hay_cheaper(price, less, more, which):
    field = "storage_loss" if which == "storage" else "feeding_loss"
    small = only(hay(price.amount, **{field: less}), prices=prices())
    large = only(hay(price.amount, **{field: less + more}), prices=prices())
    assert small.way.eaten < large.way.eaten
    assert small.costs["tdn"].money < large.costs["tdn"].money
    assert large.worth.delivered < small.worth.delivered
    assert large.gain < small.gain


@given(stored=losses, fed=losses, price=money)
def test_losses_are_divided_and_not_subtracted(stored, fed, price):
    found = only(hay(price.amount, storage_loss=stored, feeding_loss=fed))
    kept = Fraction(100 - stored, 100) * Fraction(100 - fed, 100)
    assert found.way.eaten.amount * kept == price.amount


@given(price=money, stored=losses, fed=losses, distance=miles, other=st.integers(0, 20))
def test_buyer_and_seller_meet_at_one_price(price, stored, fed, distance, other):
    given_ = {
        "storage_loss": stored, "feeding_loss": fed, "haul": truck(distance), "other": other,
    }  # fmt: skip
    asked = only(hay(price.amount, **given_), prices=prices())
    assume(asked.most_at_stack.amount > 0)
    met = only(hay(asked.most_at_stack.amount, **given_), prices=prices())
    assert met.gain.amount == 0
    assert met.way.at_stack.amount == asked.most_at_stack.amount
    # and what is eaten then costs exactly what its nutrients are worth
    assert met.way.eaten.amount == met.worth.eaten.amount


@given(price=money, distance=miles, other=st.integers(0, 20))
def test_a_price_at_the_stack_and_the_same_price_delivered_are_one_offer(price, distance, other):
    fetched = only(hay(price.amount, haul=truck(distance), other=other), prices=prices())
    brought = only(
        hay(fetched.way.delivered.amount, where="yard", haul=truck(distance), other=other),
        prices=prices(),
    )
    assert brought.way.at_stack.amount == price.amount
    assert brought.gain.amount == fetched.gain.amount


def test_hay_that_may_not_be_fed_has_no_value():
    from haywright.measure.message import message

    bad = hay(10, name="oats", barred=message("gate_offers.barred", why="nitrate"))
    found = side_by_side([bad, hay(200)], prices=prices())
    assert [one.offer.name for one in found.worked] == ["grass", "oats"]
    assert found.worked[1].worth is None
    assert found.worked[1].costs == {"cp": None, "tdn": None}


@given(cp=st.integers(2, 25), tdn=st.integers(40, 70))
def test_worth_and_cost_are_two_sides_of_one_equation(cp, tdn):
    # hay that costs x for a pound of its only priced nutrient is worth its price at x
    cost = nutrient_cost(Price(150, "short_ton"), 88, "cp", content=cp)
    worth = worth_of({"cp": cost}, dm=88, contents={"cp": cp, "tdn": tdn}, per="short_ton")
    assert worth.eaten.amount == 150


def test_a_nutrient_not_tested_is_named_and_not_counted_as_nothing():
    found = only(hay(contents={"cp": 10}), prices=prices())
    assert found.worth.unknown == ("tdn",)


def test_a_bale_of_unknown_weight_makes_a_range():
    # $60 at 1,200 lb, out by 100 lb either way: $92.31 to $109.09 (outside case of the bale
    # weight error); bales of one size differ by 200 to 300 lb (Texas A&M AgriLife).
    found = run_json("--hay", "name=a price=60 per=bale bale-weight='1,200 lb' "
                     "bale-error='100 lb' dm=88 cp=9")  # fmt: skip
    heavy, light = found["offers"][0]["eaten_range"]
    assert float(heavy["amount"]) == pytest.approx(92.31, abs=0.005)
    assert float(light["amount"]) == pytest.approx(109.09, abs=0.005)


# --- the seller


def test_fertilizer_comes_from_the_lots_own_test():
    # value.md section 7: N = 2000 d CP/6.25, P2O5 = 2000 d P x 2.2914, K2O = 2000 d K x 1.2046.
    lot = hay(contents={"cp": 12, "p": 0.25, "k": 1.8})
    bare = Price(0, "lb")
    full = [
        FertilizerPrices(*(Price(1, "lb") if n == m else bare for m in range(3))) for n in range(3)
    ]
    n, p2o5, k2o = (float(only(lot, fertilizer=one).fertilizer.amount) for one in full)
    assert n == pytest.approx(2000 * 0.88 * 0.12 / 6.25)
    assert p2o5 == pytest.approx(2000 * 0.88 * 0.0025 * 2.2914, rel=1e-4)
    assert k2o == pytest.approx(2000 * 0.88 * 0.018 * 1.2046, rel=1e-4)


def test_what_is_left_to_the_seller_is_the_stack_price_less_the_fertilizer():
    lot = hay(150, contents={"cp": 12, "p": 0.25, "k": 1.8}, haul=truck(100), where="yard")
    prices_ = FertilizerPrices(*(Price(1, "lb"),) * 3, counted="legume")
    found = only(lot, fertilizer=prices_)
    assert found.left.amount == 150 - found.way.freight.amount - found.fertilizer.amount
    assert only(hay(), fertilizer=prices_).fertilizer is None


# --- prices read off feeds


def feed(name, price, **contents):
    return PricedFeed(name, Price(price, "short_ton"), contents.pop("dm", 89), contents)


CORN = feed("corn", 170, dm=88, tdn=88, cp=9, ndf=10)
MEAL = feed("soybean meal", 380, dm=89, tdn=84, cp=54, ndf=14)
ALFALFA = feed("alfalfa", 210, dm=90, tdn=58, cp=19, ndf=42)


def test_two_feeds_give_the_prices_of_the_two_yardsticks():
    # Petersen 1932, as the yardstick module works it and the outside cases check it.
    def yardstick(one):
        return Yardstick(one.name, one.price, one.dm, one.contents["tdn"], one.contents["cp"])

    by_two = value_by_two(yardstick(CORN), yardstick(MEAL), dm=88, tdn=56, cp=12)
    found = prices_from_feeds([CORN, MEAL], ["tdn", "cp"])
    assert float(found.prices["cp"].money) == pytest.approx(float(by_two.cp_price.to("lb").amount))
    worth = worth_of(found.prices, dm=88, contents={"tdn": 56, "cp": 12}, per="short_ton")
    assert float(worth.eaten.amount) == pytest.approx(float(by_two.value.amount))
    assert found.spread is None
    assert found.standard_error(88, {"tdn": 56, "cp": 12}) is None


def test_three_feeds_price_fiber_too_and_are_worth_their_own_price():
    found = prices_from_feeds([CORN, MEAL, ALFALFA], ["tdn", "cp", "ndf"])
    for one in (CORN, MEAL, ALFALFA):
        worth = worth_of(found.prices, dm=one.dm, contents=one.contents, per="short_ton")
        assert float(worth.eaten.amount) == pytest.approx(float(one.price.amount))


@given(seed=st.integers(0, 10_000), extra=st.integers(1, 8))
def test_many_feeds_agree_with_statsmodels(seed, extra):
    rng = np.random.default_rng(seed)
    held = np.column_stack([rng.uniform(40, 90, 2 + extra), rng.uniform(3, 55, 2 + extra)])
    paid = held @ [1.4, 4.0] + rng.normal(0, 6, 2 + extra)
    assume((paid > 5).all())
    feeds = [
        feed(f"feed {n}", round(p, 4), dm=100, tdn=round(t, 3), cp=round(c, 3))
        for n, (p, (t, c)) in enumerate(zip(paid.tolist(), held.tolist(), strict=True))
    ]
    design = np.array([[float(one.contents[n]) / 100 for n in ("tdn", "cp")] for one in feeds])
    cost = np.array([float(one.price.to("kg").amount) for one in feeds])
    referee = sm.OLS(cost, design).fit()
    assume((referee.params > 0).all())
    found = prices_from_feeds(feeds, ["tdn", "cp"])
    ours = [float(found.prices[n].money) * 2.2046226218 for n in ("tdn", "cp")]
    assert ours == pytest.approx(referee.params.tolist(), rel=1e-7)
    assert found.spread == pytest.approx(float(np.sqrt(referee.mse_resid)), rel=1e-6)
    row = [0.9 * 0.55, 0.9 * 0.11]
    error = referee.get_prediction([row]).se_mean[0]
    assert found.standard_error(90, {"tdn": 55, "cp": 11}) == pytest.approx(error, rel=1e-6)


@pytest.mark.parametrize(
    ("feeds", "nutrients", "key"),
    [
        ([CORN], ["tdn", "cp"], "gate_offers.too_few_feeds"),
        ([CORN, feed("corn again", 300, dm=44, tdn=88, cp=9)], ["tdn", "cp"],
         "gate_offers.feeds_alike"),
        ([CORN, feed("cheap meal", 90, tdn=84, cp=54)], ["tdn", "cp"],
         "gate_offers.less_than_nothing"),
        ([CORN, feed("urea", 500, cp=281)], ["tdn", "cp"], "gate_offers.feed_lacks"),
        ([CORN, MEAL], ["tdn", "de"], "gate_offers.twice"),
        ([CORN, MEAL], [], "gate_offers.no_nutrient"),
        ([CORN, CORN], ["tdn", "cp"], "gate.offers"),
    ],
)  # fmt: skip
def test_feeds_that_cannot_price_are_refused_in_words(feeds, nutrients, key):
    with pytest.raises(Refused) as caught:
        prices_from_feeds(feeds, nutrients)
    assert caught.value.message.key == key


# --- as it is typed


def run(*words):
    return CliRunner().invoke(app, ["offers", *words])


def run_json(*words):
    found = run(*words, "--json")
    assert found.exit_code == 0, found.stderr
    return json.loads(found.output)


def plain(text):
    return re.sub(r"\s+", " ", text.replace("\N{NO-BREAK SPACE}", " "))


FORM = """
currency = "USD"
short = ["cp"]
[worth]
cp = "0.30 $/lb"
nem = "0.06 $/Mcal"
[fertilizer]
n = "0.57 $/lb"
p2o5 = "0.62 $/lb"
k2o = "0.48 $/lb"
[[hay]]
name = "brome"
price = 110
dm = 88
cp = 9
nem = "0.55 Mcal/lb"
p = 0.2
k = 1.8
miles = 60
rate = 4.25
payload = "44,000 lb"
storage_loss = 5
feeding_loss = 15
[[hay]]
name = "alfalfa"
price = 190
where = "yard"
dm = 88
cp = 19
nem = "0.62 Mcal/lb"
"""


def test_a_form_and_typed_words_give_the_same_answer(tmp_path):
    path = tmp_path / "offers.toml"
    path.write_text(FORM, encoding="utf-8")
    typed = run_json(
        "--short", "cp", "--worth", "cp=0.30/lb", "--worth", "nem=0.06/Mcal",
        "--fertilizer", "n=0.57/lb p2o5=0.62/lb k2o=0.48/lb",
        "--hay", "name=brome price=110 dm=88 cp=9 nem='0.55 Mcal/lb' p=0.2 k=1.8 miles=60 "
        "rate=4.25 payload='44,000 lb' storage-loss=5 feeding-loss=15",
        "--hay", "name=alfalfa price=190 where=yard dm=88 cp=19 nem='0.62 Mcal/lb'",
    )  # fmt: skip
    assert run_json(str(path)) == typed
    assert [one["name"] for one in typed["offers"]] == ["alfalfa", "brome"]
    # by hand: 2000 x 0.88 x (0.19 x 0.30 + 0.62 x 0.06) = $165.79 a short ton eaten
    assert float(typed["offers"][0]["worth"]["eaten"]["amount"]) == pytest.approx(165.79, abs=0.01)
    text = plain(run(str(path)).output)
    assert "It asks $24.21 per short ton more than it is worth here." in text
    assert "None of these pays here at the price asked." in text


def test_feeds_that_disagree_leave_it_too_close_to_call():
    text = plain(
        run("--feed", "name=corn row=corn-grain-n01 price=170", "--feed", "row=sbm44-n96 price=380",
            "--feed", "name=barley dm=88 tdn=56 cp=8 price=100",
            "--hay", "name=brome price=110 dm=88 cp=9 tdn=52").output
    )  # fmt: skip
    assert "By least squares over 3 feeds" in text
    assert "(recalled)" in text
    assert "Too close to call" in text


def test_every_error_of_a_form_is_told_at_once_with_its_place(tmp_path):
    path = tmp_path / "offers.toml"
    path.write_text(
        FORM.replace("price = 110", "price = -3")
        .replace("dm = 88\ncp = 19", "dm = 0\ncp = 0.19")
        .replace('"0.30 $/lb"', '"0.30"')
        .replace('where = "yard"', 'where = "moon"')
        .replace('short = ["cp"]', 'short = ["vigour"]'),
        encoding="utf-8",
    )
    with pytest.raises(Problems) as caught:
        read_offers(path)
    places = {str(one.args["field"]).removeprefix(f"{path}: ") for one in caught.value.messages()}
    assert {"hay 1: price", "hay 2: dm", "hay 2: cp", "hay 2: where", "worth: cp", "short"} <= (
        places
    )


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("--hay", "name=a dm=88 cp=9"),
        ("--hay", "name=a price=free dm=88 cp=9"),
        ("--hay", "name=a price=0.09 dm=88 cp=9"),
        ("--hay", "name=a price=18000 dm=88 cp=9"),
        ("--hay", "name=a price=110 dm=0 cp=9"),
        ("--hay", "name=a price=110 dm=0.88 cp=9"),
        ("--hay", "name=a price=110 dm=88 cp=0.09"),
        ("--hay", "name=a price=110 dm=88 nem=0.55"),
        ("--hay", "name=a price=110 dm=88 colour=9"),
        ("--hay", "name=a price=110 per=ton dm=88 cp=9"),
        ("--hay", "name=a price=60 per=bale dm=88 cp=9"),
        ("--hay", "name=a price=60 per=bale bale-weight=1200 dm=88 cp=9"),
        ("--hay", "name=a price=60 per=bale bale-weight='90 lb' bale-error='90 lb' dm=88 cp=9"),
        ("--hay", "name=a price=110 dm=88 cp=9 miles=60"),
        ("--hay", "name=a price=110 dm=88 cp=9 miles=-60 rate=4 payload='44,000 lb'"),
        ("--hay", "name=a price=110 dm=88 cp=9 feeding-loss=100"),
        ("--hay", "name=a price=110 dm=88 cp=9", "--hay", "name=a price=90 dm=88 cp=9"),
        ("--hay", "grass 110"),
        ("--hay", "name='a"),
        ("--hay", "name=a price=110 dm=88 cp=9", "--short", "tdn"),
        ("--hay", "name=a price=110 dm=88 cp=9", "--worth", "cp=0.3"),
        ("--hay", "name=a price=110 dm=88 cp=9", "--worth", "cp=0.3/Mcal"),
        ("--hay", "name=a price=110 dm=88 cp=9", "--worth", "cp=-0.3/lb"),
        ("--hay", "name=a price=110 dm=88 cp=9", "--worth", "vigour=0.3/lb"),
        ("--hay", "name=a price=110 dm=88 cp=9", "--worth", "rfv=0.3/lb"),
        ("--hay", "name=a price=110 dm=88 cp=9", "--worth", "tdn=0.1/lb nem=0.1/Mcal"),
        ("--hay", "name=a price=110 dm=88 cp=9", "--fertilizer", "n=0.57/lb"),
        ("--hay", "name=a price=110 dm=88 cp=9", "--feed", "name=corn price=170 dm=88 tdn=88 cp=9"),
        ("--hay", "name=a price=110 dm=88 cp=9", "--feed", "row=unicorn price=170"),
        ("--hay", "name=a price=110 dm=88 cp=9", "--worth", "cp=0.3/lb", "--feed",
         "row=corn-grain-n01 price=170"),
        ("nowhere.toml",),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_words(words):
    found = run(*words)
    assert found.exit_code == 2
    assert found.stderr.strip()
    assert "Traceback" not in found.output + found.stderr
    assert "{" not in found.stderr


@given(st.text(max_size=60))
def test_no_text_breaks_the_reading_of_a_price(text):
    for read in (lambda: nutrient_worth("cp", text), lambda: mass_price("n", text)):
        try:
            found = read()
        except HaywrightError:
            continue
        assert (found.money if hasattr(found, "money") else found.amount) >= 0


def test_one_hay_against_the_ranchs_own_prices_and_the_printed_table():
    found = CliRunner().invoke(
        app,
        ["value", "--price", "180", "--dm", "88", "--cp", "12", "--tdn", "56", "--worth",
         "cp=0.3/lb", "--like", "timothy mature", "--corn", "170", "--soybean-meal", "380",
         "--alfalfa", "200", "--json"],
    )  # fmt: skip
    answer = json.loads(found.output)
    # University of Minnesota WW-00469: factors -0.233, -0.014 and 1.237 of mature timothy.
    by_hand = -0.233 * 380 - 0.014 * 170 + 1.237 * 200
    assert float(answer["by_three"]["value"]["amount"]) == pytest.approx(by_hand)
    worth = answer["by_nutrients"]["offers"][0]["worth"]["eaten"]["amount"]
    assert float(worth) == pytest.approx(2000 * 0.88 * 0.12 * 0.3)


@given(price=money, stored=losses)
def test_after_losses_and_before_losses_undo_each_other(price, stored):
    from haywright.gate.worth import price_before_losses

    eaten = after_losses(price, storage_loss=stored)
    assert price_before_losses(eaten.amount, stored, 0) == price.amount
