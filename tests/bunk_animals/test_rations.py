"""Rations: optima from elsewhere, every program solved twice, sentences that hold."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from haywright.bunk.animals import HerdGroup
from haywright.bunk.ration import limits, square
from haywright.bunk.ration.balance import balance, capacity
from haywright.bunk.ration.feed import Diet, RationFeed, table_feed, with_energy
from haywright.bunk.ration.least_cost import Gain, NoRation, build, least_cost
from haywright.bunk.ration.program import Build, Solver, Status
from haywright.bunk.ration.says import ration_lines
from haywright.bunk.requirements.needs import need_on
from haywright.measure.errors import Refused
from haywright.measure.units import convert
from haywright.words import say

DAY = date(2027, 2, 1)
COWS = HerdGroup("cows", "bred cows", 80, 567.0, date(2026, 11, 1), due=date(2027, 3, 1))
TON = 907.18474


def made(name, price, tdn, cp, ndf, ca, p, **more):
    held = with_energy({"tdn": tdn, "cp": cp, "ndf": ndf, "ca": ca, "p": p})
    return RationFeed(name, held, dm=88.0, price=price / TON, **more)


GRASS = made("grass hay", 90, 52.0, 7.0, 66.0, 0.4, 0.2, forage=True)
ALFALFA = made("alfalfa", 170, 59.0, 18.0, 45.0, 1.4, 0.22, forage=True)
CORN = made("corn", 190, 88.0, 9.0, 10.0, 0.03, 0.3, carries=("grain",))


def by_scipy(program):
    """The same program by SciPy's own call, rows turned into its two kinds."""
    rows, columns, values = program.entries()
    a = np.zeros(program.shape)
    a[rows, columns] = values
    low, high = np.isfinite(program.row_lower), np.isfinite(program.row_upper)
    return linprog(
        program.cost,
        A_ub=np.vstack([-a[low], a[high]]),
        b_ub=np.concatenate([-program.row_lower[low], program.row_upper[high]]),
        bounds=list(zip(program.lower, program.upper, strict=True)),
        method="highs-ipm",
    )


def certificate(program, found):
    """A proof of the optimum that trusts no solver: both sides kept, nothing between them.

    Amounts keep every bound; worths have the sign of the bound they speak for and explain every
    cost; what the bounds are worth together is the cost (strong duality).
    """
    rows, columns, values = program.entries()
    activity = np.bincount(rows, values * found.x[columns], program.shape[0])
    explained = np.bincount(columns, values * found.worth[rows], program.shape[1])
    near = 1e-6 * max(1.0, np.abs(program.cost).max(), np.abs(found.x).max())
    assert (activity >= program.row_lower - near).all()
    assert (activity <= program.row_upper + near).all()
    assert (found.x >= program.lower - near).all()
    assert (found.x <= program.upper + near).all()
    assert program.cost - explained == pytest.approx(found.reduced, abs=near)
    total = 0.0
    for worths, low, high in (
        (found.worth, program.row_lower, program.row_upper),
        (found.reduced, program.lower, program.upper),
    ):
        bound = np.where(worths > 0, low, high)
        held = np.abs(worths) > near
        assert np.isfinite(bound[held]).all()
        total += float(worths[held] @ bound[held])
    return total


FEEDS = st.lists(
    st.tuples(st.floats(40, 90), st.floats(3, 45), st.floats(60, 400), st.floats(80, 92)).map(
        lambda t: t
    ),
    min_size=2,
    max_size=12,
)


def offered(rows):
    return [
        RationFeed(
            f"feed {n}", with_energy({"tdn": t, "cp": c}), dm=d, price=p / TON, forage=t < 65
        )
        for n, (t, c, p, d) in enumerate(rows)
    ]


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(FEEDS, st.floats(4.0, 7.0), st.floats(0.5, 1.4), st.floats(9.0, 14.0))
def test_every_ration_costs_what_another_solver_finds_and_what_its_limits_are_worth(
    rows, tdn, cp, dmi
):
    feeds = offered(rows)
    asked = [
        limits.amount("tdn", feeds, least=tdn),
        limits.amount("cp", feeds, least=cp),
        limits.dry_matter(feeds, most=dmi),
        limits.share("cp", feeds, least=7.0),
    ]
    other = by_scipy(build(feeds, asked))
    try:
        found = least_cost(feeds, asked)
    except NoRation:
        assert other.status == 2
        return
    assert other.status == 0
    assert found.cost == pytest.approx(other.fun, rel=1e-6, abs=1e-6)
    assert certificate(found.program, found.solution) == pytest.approx(
        found.cost, rel=1e-6, abs=1e-6
    )


@settings(max_examples=30, deadline=None)
@given(st.floats(0.2, 1.5), st.floats(4, 8))
def test_growing_stock_pays_for_gain_and_never_less_for_more(neg, nem):
    feeds = [GRASS, ALFALFA, CORN]
    asked = [limits.dry_matter(feeds, most=14.0)]
    one = least_cost(feeds, asked, gain=Gain(nem, neg))
    more = least_cost(feeds, asked, gain=Gain(nem, neg * 1.1))
    assert more.cost >= one.cost - 1e-9
    assert one.cost == pytest.approx(by_scipy(one.program).fun, rel=1e-6)


def repriced(feeds, name, price):
    return [replace(one, price=price) if one.name == name else one for one in feeds]


def test_a_price_inside_its_range_leaves_the_amounts_alone_and_outside_moves_them():
    feeds = [GRASS, ALFALFA, CORN]
    asked = [limits.amount("cp", feeds, least=1.2), limits.amount("nem", feeds, least=14.0),
             limits.dry_matter(feeds, most=12.5)]  # fmt: skip
    found = least_cost(feeds, asked)
    one = next(f for f in found.feeds if f.dry_matter > 0 and np.isfinite(f.price_high))
    for price, moved in ((one.price_high * 0.999, False), (one.price_high * 1.001, True)):
        again = repriced(feeds, one.feed.name, price)
        other = least_cost(again, asked)
        before, after = found.diet.amounts, other.diet.amounts
        assert (max(abs(before[n] - after[n]) for n in before) > 1e-6) is moved


def test_an_unused_feed_enters_at_the_price_that_is_told():
    feeds = [GRASS, CORN, ALFALFA]
    asked = [limits.amount("cp", feeds, least=0.8), limits.amount("nem", feeds, least=11.0)]
    found = least_cost(feeds, asked)
    idle = next(f for f in found.feeds if f.dry_matter == 0 and f.enters_at)
    for factor, used in ((0.999, True), (1.001, False)):
        again = repriced(feeds, idle.feed.name, idle.enters_at * factor)
        assert (least_cost(again, asked).diet.amounts[idle.feed.name] > 0) is used


def test_what_a_limit_is_worth_is_what_one_more_costs():
    feeds = [GRASS, ALFALFA, CORN]

    def cost(cp):
        asked = [limits.amount("cp", feeds, least=cp), limits.amount("nem", feeds, least=12.0)]
        return least_cost(feeds, asked)

    found = cost(1.2)
    kept = next(k for k in found.limits if k.limit.id == "cp")
    assert cost(1.2 + 0.001).cost - found.cost == pytest.approx(0.001 * kept.worth, rel=1e-4)


def test_straw_alone_names_the_conflict_and_what_would_be_short():
    straw = [RationFeed("straw", {"tdn": 41.0, "cp": 3.5}, forage=True)]
    asked = [limits.amount("cp", straw, least=0.84), limits.dry_matter(straw, most=10.0)]
    with pytest.raises(NoRation) as caught:
        least_cost(straw, asked)
    assert {one.id for one in caught.value.conflict} == {"cp", "dry_matter"}
    assert caught.value.short()["cp"] == pytest.approx(0.84 - 0.35)
    assert "Crude protein" in say(caught.value.message)


def test_a_program_that_is_contradictory_names_rows_that_are_really_in_conflict():
    made = Build()
    x = made.columns(3, cost=1.0)
    rows = made.rows(4, lower=[5.0, -np.inf, 1.0, 0.0], upper=[np.inf, 4.0, np.inf, 100.0])
    made.add(rows[:2, None], x[None, :2], 1.0)
    made.add(rows[2:, None], x[None, 2:], 1.0)
    solver = Solver(made.program())
    assert solver.solve().status is Status.INFEASIBLE
    assert set(solver.conflict()) == {0, 1}


def test_entries_given_twice_add_up():
    made = Build()
    x = made.columns(1, cost=1.0)
    row = made.rows(1, lower=6.0)
    made.add(row, x, 1.0)
    made.add(row, x, 2.0)
    assert Solver(made.program()).solve().x == pytest.approx([2.0])


def test_one_late_gestation_cow_is_balanced_and_the_sentences_hold():
    found = balance(COWS, need_on(COWS, DAY), [GRASS, ALFALFA, CORN])
    text = "\n".join(say(line) for line in ration_lines(found))
    assert "grass hay" in text
    assert "corn" in text
    for word in ("dual", "shadow", "infeasible", "slack", "safe"):
        assert word not in text.lower()
    assert found.ration.diet.supply("cp") >= found.need.cp / 1000 - 1e-6
    assert found.ration.diet.supply("nem") >= found.need.total - 1e-6


def test_nitrate_nitrogen_is_not_counted_as_protein():
    hot = RationFeed("oat hay", {**GRASS.values, "cp": 9.0, "cp_less_nitrate": 7.0}, dm=88.0,
                     price=GRASS.price, forage=True)  # fmt: skip
    found = balance(COWS, need_on(COWS, DAY), [hot, ALFALFA])
    oats = next(f for f in found.ration.diet.feeds if f.name == "oat hay")
    assert oats.holds("cp") == pytest.approx(0.07)
    assert found.ration.diet.share("cp") <= 18.0


def test_horses_get_no_urea_and_sheep_no_added_copper():
    urea = RationFeed("urea lick", {"cp": 100.0, "horse_de": 1.0, "tdn": 50.0}, carries=("urea",))
    hay = RationFeed("hay", {"cp": 10.0, "horse_de": 2.0}, dm=88.0, forage=True)
    horse = HerdGroup("horses", "horses", 2, 500.0, date(2026, 11, 1))
    found = balance(horse, need_on(horse, DAY), [hay, urea])
    assert "urea lick" not in found.ration.diet.amounts
    assert "kept from" in say(found.left_out[0])
    with pytest.raises(Refused, match=r"ration\.all_barred"):
        balance(horse, need_on(horse, DAY), [urea])


def test_a_cow_at_the_rack_eats_her_fill():
    need = need_on(COWS, DAY)
    full = balance(COWS, need, [GRASS, ALFALFA], free_choice=True).ration
    capacities = {f.name: capacity(COWS, need, f, free_choice=True) for f in (GRASS, ALFALFA)}
    filled = sum(full.diet.amounts[name] / most for name, most in capacities.items())
    assert filled == pytest.approx(1.0)


@given(st.floats(0, 60), st.floats(1, 60), st.floats(1, 60))
def test_the_square_refuses_what_lies_outside_and_mixes_to_the_target_inside(target, a, b):
    inside = min(a, b) <= target <= max(a, b) and a != b
    if not inside:
        with pytest.raises(Refused):
            square.pearson(target, a, b)
        return
    mix = square.pearson(target, a, b)
    assert (mix.share_a * a + mix.share_b * b) / 100 == pytest.approx(target, abs=1e-9)


def test_three_feeds_meet_three_needs_exactly():
    contents = [(1.1, 0.08, 0.002), (1.3, 0.18, 0.014), (2.1, 0.10, 0.0)]
    needs = tuple(np.array(contents).T @ [8.0, 2.0, 1.0])
    assert square.exact_mix(needs, contents) == pytest.approx([8.0, 2.0, 1.0])
    for wrong in (contents[:2], [contents[0]] * 3, [(5, 0.1, 1), (6, 0.1, 1), (7, 0.2, 9)]):
        with pytest.raises(Refused):
            square.exact_mix(needs, wrong)


def test_a_diet_with_a_feed_of_unknown_content_says_so():
    diet = Diet((GRASS, RationFeed("straw", {"cp": 4.0})), {"grass hay": 5.0, "straw": 2.0})
    assert diet.share("cp") == pytest.approx((5 * 7 + 2 * 4) / 7)
    assert diet.share("ca") is None
    assert diet.unknown("ca") == ("straw",)
    assert diet.forage_share == pytest.approx(100 * 5 / 7)


def test_a_recalled_feed_of_the_table_is_named_in_the_ration():
    corn = table_feed("corn-grain", price=0.2)
    found = balance(COWS, need_on(COWS, DAY), [GRASS, ALFALFA, corn])
    text = " ".join(say(line) for line in ration_lines(found))
    used = found.ration.diet.amounts[corn.name] > 0
    assert ("recalled" in text) is (used and corn.recalled)


@pytest.mark.parametrize("dm", [0, -3, 101])
def test_a_dry_matter_that_cannot_be_is_refused(dm):
    with pytest.raises(Refused, match=r"ration\.dm"):
        RationFeed("hay", {}, dm=dm)


def test_the_price_of_dry_matter_is_the_price_over_its_share():
    assert convert(GRASS.cost, "kg", "lb") != GRASS.cost
    assert GRASS.cost == pytest.approx(GRASS.price / 0.88)
