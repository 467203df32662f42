"""What must hold of every winter: no hay made or lost, nothing pays to be worse off."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from haywright.bunk.requirements.needs import with_cold
from haywright.bunk.weather import ColdRule
from haywright.bunk.winter.feeding_out import waste_fraction
from haywright.bunk.winter.plan import short_prices, solve_plan
from haywright.bunk.winter.question import WinterQuestion
from tests.bunk_animals.ranch import CAKE, CORN, FIRST, calves, cows, hay
from tests.bunk_winter.stock import ALFALFA, GRASS, LIMESTONE, PHOSPHATE, STRAW, with_values

MINERALS = (GRASS, ALFALFA, STRAW)
QUICK = settings(
    max_examples=20,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)


@st.composite
def lots(draw, weeks):
    """One to four lots of any quality, some for sale, some to be had, some held back."""
    found = []
    for n in range(draw(st.integers(1, 4))):
        tdn = draw(st.floats(42, 64))
        sell, buy = (draw(st.none() | st.floats(0.02, 0.4)) for _ in range(2))
        one = hay(
            f"lot {n}", draw(st.floats(0, 60)), tdn, draw(st.floats(4, 20)), 120 - tdn,
            weeks=weeks, loss=draw(st.floats(0, 0.03)), left_worth=draw(st.floats(0, 0.1)),
            sell=sell, sell_most=None if sell is None else draw(st.none() | st.floats(0, 9000)),
            # Bought hay cannot be sold on for more than it cost, or there is no bottom.
            buy=None if buy is None else max(buy, sell or 0.0, 0.11),
            buy_most=draw(st.floats(0, 20000)), handling=draw(st.floats(0, 0.02)),
            shares=draw(st.sampled_from([{}, {"cows": 0.4}, {"cows": 0.0, "calves": 0.7}])),
        )  # fmt: skip
        minerals = draw(st.sampled_from([{}, *MINERALS]))
        found.append(replace(one, feed=with_values(one.feed, **minerals)))
    return tuple(found)


@st.composite
def ranches(draw):
    """A small ranch of any kind."""
    weeks = draw(st.integers(3, 9))
    fed, waste = draw(st.sampled_from(["free", "mixed", "limited"])), draw(st.floats(0, 40))
    sale = draw(st.none() | st.floats(500, 2500))
    herds = [
        cows(draw(st.integers(1, 120)), weeks, fed=fed, waste=waste, sale=sale, replacement=1600.0,
             condition=draw(st.floats(4.5, 7.0)))
    ]  # fmt: skip
    if draw(st.booleans()):
        herds.append(calves(draw(st.integers(1, 60)), weeks, waste=draw(st.floats(0, 30))))
    feeds = draw(st.sampled_from([(), (CORN,), (CORN, CAKE), (CAKE, LIMESTONE, PHOSPHATE)]))
    return WinterQuestion(FIRST, weeks, draw(lots(weeks)), feeds, tuple(herds))


def cost(q, prices):
    return solve_plan(q, short=prices).cost


@settings(QUICK, max_examples=40)
@given(ranches())
def test_hay_balances_to_the_kilogram_on_any_ranch(q):
    plan = solve_plan(q, short=short_prices(q))
    for lot in q.hays:
        # Counted forward by hand, week by week, from what the plan says is done.
        standing, name = lot.stock, lot.name
        put_out, sold, bought = plan.put_out(name), plan.sold(name), plan.bought(name)
        for week in range(q.weeks):
            assert plan.stock(name)[week] == pytest.approx(standing, abs=1.0)
            left = standing + bought[week] - sold[week] - put_out[week]
            assert left >= -1.0  # nobody feeds or sells what is not there
            standing = (1 - lot.loss[week]) * left
        assert plan.stock(name)[-1] == pytest.approx(standing, abs=1.0)
        assert plan.balance(name) == pytest.approx(0.0, abs=1.0)
        eaten = sum(
            plan.eaten(h.name)[:, q.hays.index(lot)].sum() / (1 - waste_fraction(h.waste))
            for h in q.herds
        )
        assert put_out.sum() == pytest.approx(eaten, abs=1e-3)
        assert sold.sum() <= (lot.sell_most if lot.sell_most is not None else np.inf) + 1e-3
        assert bought.sum() <= (lot.buy_most or 0.0) + 1e-3


def in_cold(q, more):
    rule = ColdRule()
    return q.with_herds(
        [replace(h, needs=tuple(with_cold(n, more, rule) for n in h.needs)) for h in q.herds]
    )


def near(value):
    return 1e-6 * abs(value) + 1e-3


@QUICK
@given(ranches(), st.floats(0, 25), st.floats(0, 25))
def test_a_colder_winter_never_costs_less_on_any_ranch(q, cold, more):
    q = q.with_hays([replace(h, shares={}) for h in q.hays])
    prices = short_prices(q)
    one = cost(in_cold(q, cold), prices)
    assert cost(in_cold(q, cold + more), prices) >= one - near(one)


@QUICK
@given(ranches(), st.floats(0, 20000))
def test_more_hay_on_hand_never_costs_more_on_any_ranch(q, more):
    q = q.with_hays([replace(h, shares={}) for h in q.hays])
    prices = short_prices(q)
    plenty = [replace(q.hays[0], stock=q.hays[0].stock + more), *q.hays[1:]]
    one = cost(q, prices)
    assert cost(q.with_hays(plenty), prices) <= one + near(one)


@QUICK
@given(ranches(), st.floats(0.05, 0.99), st.floats(0.05, 1.0))
def test_a_stricter_guide_never_costs_less_on_any_ranch(q, share, tighter):
    def asked(s):
        shares = dict.fromkeys([h.name for h in q.herds], s)
        return q.with_hays([replace(q.hays[0], shares=shares), *q.hays[1:]])

    def unstepped(s):
        """The program itself; the steps of a held-back lot are found after it."""
        from haywright.bunk.ration.program import solve
        from haywright.bunk.winter.model import build

        return solve(build(asked(s), short=prices).program).objective

    prices = short_prices(q)
    q = q.with_hays([replace(h, shares={}) for h in q.hays])
    loose, strict = unstepped(share), unstepped(share * tighter)
    assert strict >= loose - near(loose)
    open_ = cost(asked(1.0), prices)
    assert cost(asked(share), prices) >= open_ - near(open_)


@QUICK
@given(ranches(), st.floats(0.0, 1.0))
def test_an_offer_of_feed_never_makes_a_winter_dearer(q, price):
    prices = short_prices(q)
    q = q.with_hays([replace(h, shares={}) for h in q.hays])
    offered = replace(CORN, name="barley", price=price)
    one = cost(q, prices)
    assert cost(replace(q, feeds=(*q.feeds, offered)), prices) <= one + near(one)


@QUICK
@given(ranches())
def test_the_parts_of_the_cost_add_up_to_what_is_paid(q):
    plan = solve_plan(q, short=short_prices(q))
    parts = plan.costs()
    missing = sum(sum(plan.days_short(h.name).values()) for h in q.herds)
    if missing < 1e-6:
        kept = sum(
            1e-4 * float(plan.solution.x[c.reserve][-1])
            for c in plan.model.columns.herds
            if c.reserve is not None
        )
        assert sum(parts.values()) - kept == pytest.approx(plan.cost, rel=1e-6, abs=0.05)
    assert q.first == FIRST < date(2027, 1, 1)
