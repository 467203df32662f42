"""The winter answered: four questions are enough, offers meet the plan, changes are solved."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from typer.testing import CliRunner

from haywright.bunk.winter.keep_price import worth_of
from haywright.bunk.winter.lasts import hay_lasts
from haywright.bunk.winter.plan import solve_plan
from haywright.cli.main import app
from haywright.way.winter import binding, feeding_weeks, nutrient_prices
from haywright.way.winter_asked import WeatherAsked
from haywright.way.winter_count import winters_of
from tests.way.demo_winter import FORM, answered, as_json, printed

FOUR = ["bunk", "winter", "--head", "46", "--bales", "230", "--due", "2027-03-10",
        "--turnout", "2027-05-01", "--from", "2026-12-01"]  # fmt: skip


def ran(*words):
    return CliRunner().invoke(app, [*words])


def text_of(found):
    return found.output.replace("\N{NO-BREAK SPACE}", " ")


def test_four_questions_give_a_first_answer_and_every_figure_nobody_said_is_told():
    found = ran(*FOUR)
    assert found.exit_code == 0, found.stderr
    text = " ".join(text_of(found).split())
    assert "The hay lasts to" in text
    assert "Counted as, where nothing was said:" in text
    for told in (
        "1,250 lb each",
        "body condition 5 now",
        "of the hay put out is wasted",
        "dry matter 88 %",
        "bales of 1,100 lb",
        "not tested",
        "23 °F in December",
    ):
        assert told in text
    for hidden in ("infeasible", "shadow", "dual", "None", "safe"):
        assert hidden not in text


def test_what_is_said_is_no_longer_counted_as_usual():
    said = ["--weight", "1,300 lb", "--bale-weight", "1,200 lb", "--condition", "5.5",
            "--tdn", "57", "--cp", "11", "--dry-matter", "90", "--feeder", "cone"]  # fmt: skip
    text = text_of(ran(*FOUR, *said))
    for usual in ("a usual weight", "5 by 5", "body condition", "dry matter 88", "not tested"):
        assert usual not in text.partition("Counted as")[2]


def test_a_heavier_bale_lasts_longer():
    def until(weight):
        found = ran(*FOUR, "--bale-weight", weight, "--json")
        return json.loads(found.output)["lasts_until"] or "9999"

    days = [until(weight) for weight in ("700 lb", "900 lb", "1,100 lb")]
    assert days == sorted(days)
    assert days[0] < days[-1]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--turnout", "2027-05-01"], ["four things", "how much hay"]),
        (["--head", "0", "--bales", "10", "--turnout", "2027-05-01"], ["how many head"]),
        (["--head", "9", "--bales", "90"], ["when do they go to grass"]),
        ([*FOUR[2:], "--weight", "1150 kg"], ["Is it in pounds?"]),
        ([*FOUR[2:], "--animals", "unicorns"], ["unicorns"]),
        ([*FOUR[2:], "--fed", "thrown"], ["thrown"]),
        ([*FOUR[2:], "--weather", "balmy"], ["balmy"]),
        ([*FOUR[2:], "--due", "spring"], ["not a date"]),
        ([*FOUR[2:], "--tdn", "55"], ["together"]),
        ([*FOUR[2:], "--week", "2028-01-01"], ["no day of the plan"]),
        ([*FOUR[2:], "--feeder", "slingshot"], ["slingshot"]),
        (["--head", "9", "--bales", "90", "--turnout", "2026-05-01", "--from", "2026-12-01"],
         ["Is the year right?", "calve"]),
        (["no-such-ranch.toml"], ["no-such-ranch"]),
    ],
)  # fmt: skip
def test_a_slip_at_the_command_line_is_told_in_words(words, told):
    found = ran("bunk", "winter", *words)
    assert found.exit_code == 2
    for one in told:
        assert one in found.stderr
    assert "Traceback" not in found.stderr


def test_the_demo_answers_what_a_rancher_asks():
    text = "\n".join(printed()).replace("\N{NO-BREAK SPACE}", " ")
    for asked in ("The hay lasts to", "of ten", "What to feed in the week of", "Week by week",
                  "What to buy", "begins to pay at", "worth", "pays", "One more of bred cows costs",
                  "What sets the plan", "A mild winter", "One more ton of", "one condition score",
                  "fed free choice", "a head and day", "NOT TESTED", "Stepping up",
                  "If an animal breathes hard"):  # fmt: skip
        assert asked in text, asked
    assert not any("{" in line or "ranch_plan." in line for line in printed())


def test_units_follow_the_reader():
    us, si = (" ".join(printed(units=units)) for units in ("us", "si"))
    assert "per short ton" in us
    assert "per tonne" in si
    assert " lb" not in si.replace("\N{NO-BREAK SPACE}", " ")


def test_the_lot_over_the_limit_and_the_lot_not_tested_are_fed_to_nobody():
    fed = {p["feed"] for week in as_json()["feeding"] for p in week["feeds"]}
    assert "Roadside sweepings" not in fed
    assert not any("swale bottom" in one for one in fed)
    assert as_json()["not_tested"] == ["Roadside sweepings"]


def test_a_held_back_lot_keeps_to_its_share_in_every_week():
    for week in feeding_weeks(answered()[0].plan):
        for portion in week.portions:
            assert portion.share <= portion.at_most + 1e-6


def test_an_offer_is_net_of_what_the_seller_hauls():
    offers = {one.net.bid.buyer: one for one in answered()[0].offers}
    store = offers["the feed store"]
    assert float(store.net.price.amount) == pytest.approx(118 - 22 * 4.25 / 18)  # $ a short ton
    dairy = offers["a dairy"]
    assert float(dairy.net.price.amount) == pytest.approx(165)


def test_a_sale_that_pays_is_confirmed_by_planning_without_the_hay():
    answer = answered()[0]
    for one in answer.offers:
        if one.sell > 1:
            lost = worth_of(answer.question, one.lot, one.sell, short=answer.prices)
            assert one.gain == pytest.approx(one.sell * one.net.per_dry - lost)
            assert one.gain > 0
            most = one.net.bid.most
            hay = answer.counted.hay(one.lot).hay
            assert most is None or hay.feed.fed(one.sell) <= most + 1e-6


def test_one_more_mcal_or_kilogram_of_need_costs_what_the_nutrient_prices_say():
    plan = answered()[0].plan
    q = plan.question
    worth = nutrient_prices(plan).energy["nem"]
    cows = q.herds[0]
    parts = [dict(need.parts) for need in cows.needs]
    step = 1e-4
    more = tuple(
        replace(need, parts={name: part * (1 + step) for name, part in one.items()})
        for need, one in zip(cows.needs, parts, strict=True)
    )
    added = sum(sum(one.values()) for one in parts) * step * 7 * cows.group.head
    after = solve_plan(q.with_herds([replace(cows, needs=more), *q.herds[1:]]))
    assert (after.cost - plan.cost) / added == pytest.approx(worth, rel=0.25)


def test_what_binds_is_named_by_herd_or_lot():
    names = {herd.name for herd in answered()[0].question.herds} | {
        hay.name for hay in answered()[0].question.hays
    }
    found = binding(answered()[0].plan)
    assert found
    assert all(name in names and weeks > 0 for _, name, weeks in found)


def test_a_change_is_worth_what_solving_it_says():
    answer, changes = answered()
    worth = {one.what.key: one for one in changes}
    assert worth["ranch_plan.change.mild"].saves >= worth["ranch_plan.change.hard"].saves
    tons = [one.saves for one in changes if one.what.key == "ranch_plan.change.ton"]
    assert tons
    assert min(tons) >= -1e-6
    harder = answer.counted.in_weather(
        WeatherAsked("hard", sheltered=True), np.random.default_rng(3)
    )
    usual = answer.lasts.until or answer.question.last
    assert (hay_lasts(harder).until or harder.last) <= usual


def test_a_hard_winter_is_colder_than_a_mild_one_in_every_week():
    q = answered()[0].question
    mild, usual, hard = (
        winters_of(WeatherAsked(one), q.first, q.weeks).mean for one in ("mild", "usual", "hard")
    )
    assert (hard < usual).all()
    assert (usual < mild).all()


def test_the_answer_is_the_same_every_time_it_is_asked():
    once, again = (ran("bunk", "winter", str(FORM), "--json").output for _ in range(2))
    assert once == again
    assert json.loads(once) == json.loads(json.dumps(as_json()))
