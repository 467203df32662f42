"""Every program is solved by a second solver of another make, and proved without any solver."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
import yaml
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from haywright.bunk.animals import HerdGroup
from haywright.bunk.ration import limits
from haywright.bunk.ration.balance import balance
from haywright.bunk.ration.feed import RationFeed, with_energy
from haywright.bunk.ration.least_cost import NoRation, build, least_cost
from haywright.bunk.ration.program import Build, solve
from haywright.bunk.requirements.needs import need_on
from haywright.bunk.winter.model import build as build_winter
from haywright.bunk.winter.plan import NoPlan, short_prices, solve_plan
from tests.bunk_animals.ranch import TON, bulls, calves, cows, ranch
from tests.bunk_winter.referee import by_clarabel, proof
from tests.bunk_winter.stock import LIMESTONE, MAGNESIA, PHOSPHATE, cows_of_1996, mineral_ranch

QUICK = settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)


def refereed(program, found):
    """Cost agreed on by both referees to a millionth of it, or half a millionth of what is moved.

    What is spent and what is left may nearly cancel; the first alone would ask for hundredths of
    a cent of thousands of dollars.
    """
    near = max(1e-5, 5e-7 * float(np.abs(program.cost) @ np.abs(found.x)))
    assert by_clarabel(program) == pytest.approx(found.objective, rel=1e-6, abs=near)
    assert proof(program, found) == pytest.approx(found.objective, rel=1e-6, abs=near)
    return found.objective


WINTERS = {
    "as it is": ranch,
    "little hay": lambda: ranch(tons=14),
    "at the rack": lambda: ranch(herds=(cows(fed="free"), calves())),
    "fed by hand": lambda: ranch(tons=30, herds=(cows(fed="limited"), bulls())),
    "a long winter": lambda: ranch(weeks=20, tons=90, herds=(cows(weeks=20, target=5.0),)),
    "with minerals": lambda: mineral_ranch(feeds=(LIMESTONE, PHOSPHATE, MAGNESIA)),
    "without a mineral to buy": lambda: mineral_ranch(tons=25),
    "cows for sale": lambda: ranch(tons=10, herds=(cows(sale=1500.0, replacement=1700.0),)),
    "held-back hay": lambda: held_back(0.4),
}


def held_back(share, **more):
    q = ranch(tons=25, **more)
    return q.with_hays(
        [replace(h, shares={"cows": share}) if h.name == "alfalfa" else h for h in q.hays]
    )


@pytest.mark.parametrize("name", WINTERS)
def test_a_winter_costs_what_another_solver_finds_and_what_its_bounds_are_worth(name):
    q = WINTERS[name]()
    plan = solve_plan(q, short=short_prices(q))
    refereed(plan.model.program, plan.solution)


@QUICK
@given(
    st.floats(5, 120), st.floats(0, 0.02), st.sampled_from(["free", "mixed", "limited"]),
    st.floats(0.02, 0.4), st.floats(0.1, 1.0),
)  # fmt: skip
def test_any_winter_is_agreed_on_by_both_referees(tons, loss, fed, offer, share):
    q = ranch(tons=tons, loss=loss, herds=(cows_of_1996(fed=fed), calves()))
    hays = [
        replace(h, sell=offer, sell_most=9000.0) if h.name == "meadow"
        else replace(h, shares={"calves": share}) if h.name == "alfalfa"
        else h
        for h in q.hays
    ]  # fmt: skip
    q = q.with_hays(hays)
    plan = solve_plan(q, short=short_prices(q))
    refereed(plan.model.program, plan.solution)


@pytest.mark.parametrize("tons", [3, 5])
def test_where_we_find_no_plan_the_other_solver_finds_none_either(tons):
    q = ranch(tons=tons, feeds=(), herds=(cows(fed="free"),))
    with pytest.raises(NoPlan):
        solve_plan(q)
    assert by_clarabel(build_winter(q).program) is None


FEEDS = st.lists(
    st.tuples(st.floats(40, 90), st.floats(3, 45), st.floats(60, 400), st.floats(80, 92)),
    min_size=2,
    max_size=12,
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(FEEDS, st.floats(4.0, 7.0), st.floats(0.5, 1.4), st.floats(9.0, 14.0))
def test_any_least_cost_ration_is_agreed_on_by_both_referees(rows, tdn, cp, dmi):
    feeds = [
        RationFeed(f"feed {n}", with_energy({"tdn": t, "cp": c}), dm=d, price=p / TON)
        for n, (t, c, p, d) in enumerate(rows)
    ]
    asked = [
        limits.amount("tdn", feeds, least=tdn),
        limits.amount("cp", feeds, least=cp),
        limits.dry_matter(feeds, most=dmi),
    ]
    try:
        found = least_cost(feeds, asked)
    except NoRation:
        assert by_clarabel(build(feeds, asked)) is None
        return
    refereed(found.program, found.solution)


@pytest.mark.parametrize(
    "group",
    [
        HerdGroup("cows", "bred cows", 80, 567.0, date(2026, 11, 1), due=date(2027, 3, 1)),
        HerdGroup("steers", "steers", 50, 300.0, date(2026, 11, 1), gain=0.6,
                  mature_weight=600.0, age="calf"),
        HerdGroup("bulls", "bulls", 4, 860.0, date(2026, 11, 1)),
        HerdGroup("ewes", "ewes", 90, 70.0, date(2026, 11, 1), due=date(2027, 3, 20)),
    ],
    ids=lambda one: one.name,
)  # fmt: skip
def test_a_balanced_ration_of_each_kind_of_stock_is_agreed_on_by_both_referees(group):
    def made(name, tdn, cp, ndf, price, **more):
        held = with_energy({"tdn": tdn, "cp": cp, "ndf": ndf, "ca": 0.5, "p": 0.25})
        return RationFeed(name, held, dm=88.0, price=price / TON, **more)

    feeds = [
        made("hay", 58.0, 11.0, 58.0, 120, forage=True),
        made("alfalfa", 60.0, 18.0, 45.0, 190, forage=True),
        made("corn", 88.0, 9.0, 10.0, 200, carries=("grain",)),
    ]
    found = balance(group, need_on(group, date(2027, 1, 15)), feeds).ration
    refereed(found.program, found.solution)


def test_stiglers_diet_is_agreed_on_by_both_referees():
    """Stigler 1945; the optimum of 39.66 dollars a year was first found by Laderman in 1947."""
    cases = yaml.safe_load(Path("tests/outside/cases/feeding.yaml").read_text(encoding="utf-8"))
    asked = next(one for one in cases if one["id"] == "lp-stigler")["inputs"]
    least = np.array(list(asked["nutrient_minimums_per_day"].values()), dtype=float)
    holds = np.array(list(asked["foods_per_dollar"].values()), dtype=float)
    assert holds.shape == (77, 9)
    made = Build()
    x = made.columns(len(holds), cost=1.0)
    rows = made.rows(len(least), lower=asked["days"] * least)
    made.add(rows[:, None], x[None, :], holds.T)
    program = made.program()
    assert refereed(program, solve(program)) == pytest.approx(39.6617, abs=5e-5)


def test_a_textbook_mix_of_corn_and_soybean_meal_costs_what_the_book_prints():
    # Taha, Operations Research: An Introduction, ch. 2: 470.6 lb of corn, 329.4 of meal, 437.65.
    made = Build()
    x = made.columns(2, cost=[0.3, 0.9])
    rows = made.rows(3, lower=[800.0, -np.inf, 0.0], upper=[np.inf, 0.0, np.inf])
    made.add(rows[0], x, 1.0)
    made.add(rows[1], x, [0.02 - 0.05, 0.06 - 0.05])  # fiber at most 5 %
    made.add(rows[2], x, [0.09 - 0.30, 0.60 - 0.30])  # protein at least 30 %
    program = made.program()
    found = solve(program)
    assert refereed(program, found) == pytest.approx(437.65, abs=0.005)
    assert found.x == pytest.approx([470.6, 329.4], abs=0.05)
