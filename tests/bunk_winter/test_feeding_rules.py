"""What may go into whom, how full they get, and how growing stock use what they eat."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from haywright.bunk.animals import HerdGroup
from haywright.bunk.hazards.sulfur import tolerated, water_sulfur
from haywright.bunk.ration.feed import RationFeed, with_energy
from haywright.bunk.winter import says
from haywright.bunk.winter.model import build
from haywright.bunk.winter.plan import NoPlan, short_prices, solve_plan
from haywright.bunk.winter.question import WEEK, Herd, needs_of
from haywright.measure.errors import Problems, Refused
from haywright.words import say
from tests.bunk_animals.ranch import CAKE, CORN, FIRST, bulls, calves, cows, hay, ranch
from tests.bunk_winter.stock import with_minerals, with_values


def herd(kind, weight, **more):
    fed = more.pop("fed", "mixed")
    group = HerdGroup(kind, kind, 10, weight, FIRST, **more)
    return Herd(group, needs_of(group, FIRST, 8), fed=fed)


def cheap(carries, **values):
    held = with_energy({"tdn": 75.0, "cp": 40.0, "ndf": 20.0, "horse_de": 3.0, **values})
    return RationFeed("given away", held, dm=90.0, price=0.001, carries=carries)


HORSES = {"kind": "horses", "weight": 500.0}
EWES = {"kind": "ewes", "weight": 75.0, "due": date(2027, 3, 20)}
COWS = {"kind": "bred cows", "weight": 567.0, "due": date(2027, 3, 1)}
LIGHT = {"kind": "calves", "weight": 180.0, "gain": 0.3, "mature_weight": 567.0, "age": "calf"}
HEAVY = {**LIGHT, "weight": 260.0}
BULLS = {"kind": "bulls", "weight": 860.0}


@pytest.mark.parametrize(
    ("carries", "stock", "may"),
    [
        ("ionophore", HORSES, False), ("ionophore", COWS, True),
        ("added-copper", EWES, False), ("added-copper", COWS, True),
        ("urea", HORSES, False), ("urea", LIGHT, False), ("urea", HEAVY, True),
        ("ruminant-protein", COWS, False), ("ruminant-protein", EWES, False),
        ("whole-cottonseed", BULLS, True), ("whole-cottonseed", HEAVY, True),
    ],
)  # fmt: skip
def test_a_barred_feed_is_fed_to_nobody_it_harms_even_as_a_gift(carries, stock, may):
    one = herd(**stock)
    good = hay("good", 100.0, 62.0, 14.0, 55.0, left_worth=0.2)
    good = replace(good, feed=with_values(good.feed, horse_de=2.0))
    q = ranch(herds=(one,), hays=(good,), feeds=(cheap((carries,)),))
    eaten = solve_plan(q, short=short_prices(q)).eaten(one.name)[:, -1].sum()
    assert bool(eaten > 1e-6) is may


@pytest.mark.parametrize("stock", [BULLS, HEAVY, COWS])
def test_whole_cottonseed_stays_under_half_a_per_cent_of_weight(stock):
    one = herd(**stock)
    q = replace(ranch(herds=(one,)), feeds=(cheap(("whole-cottonseed",)),))
    plan = solve_plan(q, short=short_prices(q))
    fed = plan.per_head(one.name)[:, -1]
    weights = np.array([need.weight for need in one.needs])
    assert fed.max() > 0
    assert (fed <= 0.005 * weights + 1e-7).all()


def test_urea_is_no_more_than_a_hundredth_and_grain_half_a_per_cent_of_weight():
    urea = RationFeed("urea", with_energy({"cp": 281.0, "tdn": 0.001}), dm=99.0, price=0.001,
                      carries=("urea",))  # fmt: skip
    grain = replace(CORN, price=0.001)
    q = ranch(herds=(cows(),), feeds=(urea, grain))
    plan = solve_plan(q)
    eaten = plan.per_head("cows")
    assert (eaten[:, -2] <= 0.01 * eaten.sum(axis=1) + 1e-7).all()
    weights = np.array([need.weight for need in q.herds[0].needs])
    assert eaten[:, -1].max() > 1
    assert (eaten[:, -1] <= 0.005 * weights + 1e-7).all()


def test_fat_stays_under_six_per_cent_and_starch_under_what_a_person_says():
    fat = cheap((), fat=30.0)
    q = ranch(herds=(cows(),), feeds=(fat,))
    known = [replace(h, feed=with_values(h.feed, fat=2.0)) for h in q.hays]
    plan = solve_plan(replace(q, hays=tuple(known)))
    eaten = plan.eaten("cows")
    share = eaten @ np.array([2.0, 2.0, 2.0, 30.0]) / eaten.sum(axis=1)
    assert share.max() == pytest.approx(6.0, abs=1e-4)
    starch = cheap((), starch=60.0)
    asked = ranch(herds=(replace(cows(), most={"starch": 12.0}),), feeds=(starch,))
    known = [replace(h, feed=with_values(h.feed, starch=1.0)) for h in asked.hays]
    plan = solve_plan(replace(asked, hays=tuple(known)))
    eaten = plan.eaten("cows")
    assert (eaten @ np.array([1, 1, 1, 60.0]) / eaten.sum(axis=1)).max() <= 12.0 + 1e-5
    with pytest.raises((Refused, Problems)):
        ranch(herds=(replace(cows(), most={"starch": -1.0}),))


def test_the_most_and_least_of_a_feed_are_kept_by_head_and_day():
    q = ranch(herds=(cows(),), feeds=(replace(CAKE, price=0.001, most=0.7, least=0.2),))
    fed = solve_plan(q).per_head("cows")[:, -1]
    assert fed.max() <= 0.7 + 1e-7
    dear = ranch(herds=(cows(),), feeds=(replace(CAKE, price=50.0, least=0.2),))
    assert solve_plan(dear).per_head("cows")[:, -1] == pytest.approx(np.full(8, 0.2), abs=1e-6)


def sour(water=None, drinks=40.0, sulfur=0.15, **more):
    known = {n: {"s": sulfur} for n in ("meadow", "alfalfa", "straw", "corn")}
    known["cake"] = {"s": 1.2}
    q = with_minerals(ranch(herds=(cows(),), **more), known)
    cake = tuple(replace(f, price=0.001) if f.name == "cake" else f for f in q.feeds)
    wet = replace(q.herds[0], water_sulfate=water, drinks=drinks)
    return replace(q, feeds=cake, herds=(wet,))


def diet_sulfur(plan):
    content = np.array([feed.holds("s") for feed in plan.feeds])
    eaten = plan.per_head("cows")
    return 100 * (eaten @ content) / eaten.sum(axis=1), eaten.sum(axis=1)


def test_sulfur_of_feed_and_water_together_stays_under_what_is_tolerated():
    feed, _ = diet_sulfur(solve_plan(sour()))
    assert feed.max() > 0.2
    plan = solve_plan(sour(water=1000.0))
    feed, dm = diet_sulfur(plan)
    total = feed + water_sulfur(1000.0, 40.0, dm)
    assert total.max() <= tolerated(100.0) + 1e-5
    assert total.max() == pytest.approx(tolerated(100.0), abs=1e-3)  # it binds


def test_where_little_forage_is_fed_less_sulfur_is_tolerated():
    silage = RationFeed("pulp", with_energy({"tdn": 74.0, "cp": 9.0, "ndf": 40.0, "s": 0.45}),
                        dm=90.0, price=0.001)  # fmt: skip
    q = sour(tons=20)
    plan = solve_plan(replace(q, feeds=(*q.feeds, silage)))
    eaten = plan.per_head("cows")
    forage = eaten[:, :3].sum(axis=1) / eaten.sum(axis=1)
    feed, _ = diet_sulfur(plan)
    for share, s in zip(forage, feed, strict=True):
        assert s <= tolerated(100 * share) + 1e-4


def test_water_that_holds_too_much_sulfur_by_itself_is_named():
    with pytest.raises(NoPlan) as caught:
        solve_plan(sour(water=5000.0))
    assert ("sulfur", "cows") in caught.value.conflict
    assert "sulfur of feed and water of cows" in say(caught.value.message)


def test_untested_water_and_hay_without_a_result_are_said():
    lines = [say(one) for one in says.water_lines(solve_plan(sour()))]
    assert lines == ["Sulfur of cows is counted without their water. Test it for sulfate."]
    assert "not known" in say(says.water_lines(solve_plan(ranch(herds=(cows(),))))[0])


def test_diet_protein_is_seven_per_cent_or_more():
    q = ranch(herds=(bulls(),))
    plan = solve_plan(q)
    cp = np.array([feed.holds("cp") for feed in plan.feeds])
    eaten = plan.eaten("bulls")
    assert (eaten @ cp / eaten.sum(axis=1) >= 0.07 - 1e-7).all()


def test_forage_never_falls_under_five_pounds_a_cow_nor_half_a_per_cent_of_a_calf():
    held = with_energy({"tdn": 78.0, "cp": 14.0, "ndf": 30.0})
    feeds = (RationFeed("pellets", held, price=0.001),)
    q = ranch(herds=(cows(), calves()), feeds=feeds)
    plan = solve_plan(q, short=short_prices(q))
    assert plan.per_head("cows")[:, :3].sum(axis=1).min() >= 5 * 0.45359237 - 1e-6
    weights = np.array([need.weight for need in q.herds[1].needs])
    assert (plan.per_head("calves")[:, :3].sum(axis=1) >= 0.005 * weights - 1e-6).all()


def test_cows_fed_by_hand_get_one_and_a_half_per_cent_of_weight_and_never_more_than_they_hold():
    held = with_energy({"tdn": 85.0, "cp": 16.0, "ndf": 15.0})
    rich = RationFeed("pellets", held, price=0.05)
    q = ranch(herds=(cows(fed="limited"),), feeds=(rich,))
    plan = solve_plan(q)
    eaten = plan.per_head("cows")
    weights = np.array([need.weight for need in q.herds[0].needs])
    assert (eaten.sum(axis=1) >= 0.015 * weights - 1e-6).all()
    assert eaten.sum(axis=1).min() == pytest.approx(0.015 * weights.min(), rel=0.02)  # it binds
    assert ((eaten * plan.model.herds[0].fill).sum(axis=1) <= 1 + 1e-7).all()


def test_stock_at_the_rack_eat_by_the_higher_rule_and_stock_fed_by_hand_are_held_to_the_lower():
    free, hand = (build(ranch(herds=(cows(fed=fed),))).herds[0] for fed in ("free", "limited"))
    assert (1 / free.fill[0] >= 1 / hand.fill[0] - 1e-9).all()
    assert (1 / free.fill[0] > 1 / hand.fill[0]).any()


def test_more_fiber_fills_sooner():
    fill = build(ranch(herds=(cows(fed="limited"),))).herds[0].fill[0]
    assert fill[2] > fill[0] > fill[1]  # straw, meadow, alfalfa


def test_growing_stock_use_each_feed_for_upkeep_or_for_gain_and_no_part_of_it_twice():
    q = ranch(herds=(calves(),))
    plan = solve_plan(q)
    columns, held = plan.model.columns.herds[0], plan.model.herds[0]
    eaten, gain = plan.solution.x[columns.eaten], plan.solution.x[columns.for_gain]
    nem = np.array([feed.holds("nem") for feed in plan.feeds])
    neg = np.array([feed.holds("neg") for feed in plan.feeds])
    assert (gain <= eaten + 1e-6).all()
    assert ((eaten - gain) @ nem >= WEEK * 20 * held.energy - 1e-5).all()
    assert (gain @ neg >= WEEK * 20 * held.gain - 1e-5).all()
    # Both parts bind: nothing is eaten that serves neither.
    assert (eaten - gain) @ nem == pytest.approx(WEEK * 20 * held.energy, rel=1e-5)
