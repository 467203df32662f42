"""A winter solved on from one like it gives the answer it gives from nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from haywright.bunk.ration.program import Solver
from haywright.bunk.winter.keep_price import keep_price, one_more, worth_of
from haywright.bunk.winter.lasts import ends_in_cold, hay_lasts
from haywright.bunk.winter.model import build
from haywright.bunk.winter.plan import short_prices, solve_plan
from haywright.bunk.winter.scenarios import in_winters
from tests.bunk_animals.ranch import cows, ranch


def stocked(q, factor):
    return q.with_hays([replace(hay, stock=hay.stock * factor) for hay in q.hays])


def other_winters(q):
    yield stocked(q, 0.6)
    yield stocked(q, 1.4)
    yield q.with_herds([replace(q.herds[0], waste=20.0), *q.herds[1:]])
    yield q.with_herds([replace(q.herds[0], fed="free"), *q.herds[1:]])
    yield in_winters(q, np.full((1, q.weeks), 25.0))[0]
    yield q.with_hays([replace(q.hays[0], shares={h.name: 0.4 for h in q.herds}), *q.hays[1:]])


def test_a_winter_costs_the_same_whichever_winter_was_solved_before_it():
    q = ranch()
    prices = short_prices(q)
    near = solve_plan(q, short=prices)
    for other in other_winters(q):
        cold, warm = (solve_plan(other, short=prices, near=one) for one in (None, near))
        assert warm.cost == pytest.approx(cold.cost, rel=1e-9, abs=1e-6)


def test_more_hay_alone_asks_for_no_new_program():
    q = ranch()
    prices = short_prices(q)
    like = build(q, short=prices)
    for factor in (0.0, 0.3, 2.0):
        taken, made = (build(stocked(q, factor), short=prices, like=m) for m in (like, None))
        for name in ("cost", "lower", "upper", "row_lower", "row_upper", "start", "index", "value"):
            np.testing.assert_array_equal(getattr(taken.program, name), getattr(made.program, name))
        assert taken.program.value is like.program.value


def test_what_is_taken_from_a_like_question_is_what_would_be_made():
    q = ranch()
    prices = short_prices(q)
    like = build(q, short=prices)
    for other in other_winters(q):
        taken, made = (build(other, short=prices, like=one).program for one in (like, None))
        assert taken.shape == made.shape
        for name in ("cost", "lower", "upper", "row_lower", "row_upper", "start", "index", "value"):
            np.testing.assert_array_equal(getattr(taken, name), getattr(made, name))


def test_hay_falls_as_far_at_one_worth_as_the_solver_says_of_all_rows():
    """HiGHS' own ranging of every row is the referee of the one row that is asked for."""
    q = ranch()
    for stock in (1.0, 0.7, 0.45):
        model = build(stocked(q, stock), short=short_prices(q), selling=False)
        solver = Solver(model.program)
        ranging = solver.solve(ranging=True).ranging
        for hay in q.hays:
            row = int(model.row_block("stock", hay.name)[0])
            assert solver.falls_to(row) == pytest.approx(ranging.row_low[row], rel=1e-6, abs=1e-4)


def test_what_a_lot_and_a_head_are_worth_does_not_hang_on_what_is_known_already():
    q = ranch()
    prices = short_prices(q)
    base = solve_plan(q, short=prices, selling=False)
    lot = q.hays[0]
    for amount in (0.1 * lot.stock, 0.6 * lot.stock):
        known, alone = (worth_of(q, lot.name, amount, short=prices, base=b) for b in (base, None))
        assert known == pytest.approx(alone, rel=1e-7, abs=1e-6)
    known, alone = (one_more(q, "cows", short=prices, base=b) for b in (base, None))
    assert known == pytest.approx(alone, rel=1e-7, abs=1e-6)
    known, alone = (keep_price(q, lot.name, short=prices, base=b) for b in (base, None))
    assert [(s.amount, s.worth) for s in known] == [
        pytest.approx((s.amount, s.worth), rel=1e-7) for s in alone
    ]


@pytest.mark.parametrize("tons", [30, 60, 110])
def test_each_drawn_winter_ends_on_the_day_it_ends_on_by_itself(tons):
    q = ranch(tons=tons, weeks=16, herds=(cows(weeks=16, fed="free"),))
    cold = np.abs(np.random.default_rng(3).normal(8.0, 6.0, (6, q.weeks)))
    alone = tuple(hay_lasts(one).until for one in in_winters(q, cold))
    assert ends_in_cold(q, cold) == alone
