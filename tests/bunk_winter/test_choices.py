"""Lots in turn, few lots, keep prices ton by ton, and what to trade before the winter is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from haywright.bunk.winter import says
from haywright.bunk.winter.keep_price import keep_price, one_more, worth_of
from haywright.bunk.winter.plan import WHOLE_GAP, short_prices, solve_plan
from haywright.bunk.winter.scenarios import in_winters, two_stage
from haywright.words import say
from tests.bunk_animals.ranch import TON, cows, ranch
from tests.bunk_winter.stock import cows_of_1996, with_minerals

ONE_TON = TON * 0.88  # of dry matter


def in_turn(tons=14, **more):
    q = ranch(tons=tons, herds=(replace(cows(), in_turn=True),), **more)
    return q, solve_plan(q, short=short_prices(q))


def fed_weeks(plan, k):
    return np.flatnonzero(plan.eaten("cows")[:, k] > 1.0)


@pytest.mark.parametrize("tons", [8, 14, 40])
def test_one_lot_is_fed_up_before_the_next_is_begun(tons):
    q, plan = in_turn(tons)
    begun = []
    for k, lot in enumerate(q.hays):
        weeks = fed_weeks(plan, k)
        if not len(weeks):
            continue
        assert (np.diff(weeks) == 1).all()  # never left and taken up again
        if weeks[-1] < q.weeks - 1:
            assert plan.stock(lot.name)[weeks[-1] + 1] == pytest.approx(0.0, abs=2.0)
        begun.append(weeks[0])
    opened = (plan.eaten("cows")[:, : len(q.hays)] > 1.0).sum(axis=1)
    for week, n in enumerate(opened):
        assert n <= (2 if week in begun else 1)


def test_lots_in_turn_never_cost_less_than_lots_at_will_and_say_how_near_they_are():
    q, plan = in_turn()
    at_will = solve_plan(q.with_herds([replace(q.herds[0], in_turn=False)]), short=short_prices(q))
    assert plan.cost >= at_will.cost - WHOLE_GAP * abs(plan.cost)
    assert plan.solution.gap <= WHOLE_GAP
    assert "within" in say(says.gap_lines(plan)[0])
    assert says.gap_lines(at_will) == []


def test_few_lots_may_be_fed_of_hay_that_is_bought_without_end():
    q = ranch(tons=0.5, feeds=(), herds=(replace(cows(), most_hays=1),))
    hays = [replace(h, buy=0.12) if h.name == "alfalfa" else replace(h, stock=0.0) for h in q.hays]
    plan = solve_plan(q.with_hays(hays))
    assert plan.bought("alfalfa").sum() > 10 * ONE_TON
    assert sum(len(fed_weeks(plan, k)) > 0 for k in range(3)) == 1


@pytest.mark.parametrize("lot", ["meadow", "alfalfa"])
def test_each_stretch_of_a_keep_price_is_what_one_ton_more_or_less_really_costs(lot):
    q = with_minerals(ranch(tons=25, herds=(cows_of_1996(),)))
    prices = short_prices(q)
    steps = keep_price(q, lot, short=prices)
    whole = next(h.stock for h in q.hays if h.name == lot)
    gone = 0.0
    for step in steps:
        # One ton out of the midst of the stretch, by solving on both sides of it.
        ton = min(ONE_TON, 0.4 * step.amount)
        middle = gone + 0.5 * (step.amount - ton)
        more, less = (worth_of(q, lot, middle + t, short=prices) for t in (0.0, ton))
        # Neighbours within 2 % are told as one stretch.
        assert (less - more) / ton == pytest.approx(step.worth, rel=0.06, abs=2e-3)
        gone += step.amount
    assert gone == pytest.approx(whole)
    up = [replace(h, stock=h.stock + ONE_TON) if h.name == lot else h for h in q.hays]
    saved = solve_plan(q, short=prices, selling=False).cost - solve_plan(
        q.with_hays(up), short=prices, selling=False).cost  # fmt: skip
    assert -1e-6 <= saved / ONE_TON <= steps[0].worth + 1e-6  # the next ton is worth no more


def test_one_more_cow_costs_no_less_the_less_hay_there_is():
    costs = []
    for tons in (60, 25, 12):
        q = ranch(tons=tons, herds=(cows(),))
        costs.append(one_more(q, "cows", short=short_prices(q)))
    assert costs == sorted(costs)


def by_brute_force(winters, prices, chance, amounts, lot):
    """Each amount sold now tried in every winter, with all else free: the plainest answer."""
    best = np.inf, 0.0
    for amount in amounts:
        total = 0.0
        for q, weight in zip(winters, chance, strict=True):
            hays = [
                replace(h, stock=max(h.stock - amount, 0.0), sell=None) if h.name == lot else h
                for h in q.hays
            ]
            price = next(h.sell for h in q.hays if h.name == lot)
            total += weight * (solve_plan(q.with_hays(hays), short=prices).cost - price * amount)
        best = min(best, (total, amount))
    return best


@pytest.mark.parametrize("offer", [0.06, 0.16, 0.35])
def test_a_small_tree_of_winters_gives_what_trying_every_amount_gives(offer):
    q = ranch(tons=22, herds=(cows(),))
    hays = [replace(h, sell=offer) if h.name == "meadow" else h for h in q.hays]
    cold = np.array([[0.0] * 8, [15.0] * 8, [45.0] * 8])
    winters = in_winters(q.with_hays(hays), cold)
    chance, prices = [0.5, 0.3, 0.2], short_prices(q)
    # All that is ever sold is decided now, so that the amount is the only choice.
    found = two_stage(winters, short=prices, weights=chance, now=q.weeks, gap=1e-7)
    sold, stock = found.sold["meadow"], next(h.stock for h in q.hays if h.name == "meadow")
    same, _ = by_brute_force(winters, prices, chance, [sold], "meadow")
    assert found.cost == pytest.approx(same, rel=1e-6, abs=1e-3)
    near = np.clip(sold + np.linspace(-300, 300, 7), 0.0, stock)
    amounts = [*np.linspace(0, stock, 21), *near]
    tried, _ = by_brute_force(winters, prices, chance, amounts, "meadow")
    assert found.cost <= tried + 1e-6 * abs(tried)


def test_trades_wait_and_see_never_beat_knowing_the_winter():
    # Wait-and-see <= two-stage <= one plan for the mean winter held in all (Birge and Louveaux).
    q = ranch(tons=22, herds=(cows(),))
    hays = [replace(h, sell=0.2, buy=0.3, buy_most=9000.0) if h.name == "meadow" else h
            for h in q.hays]  # fmt: skip
    cold = np.array([[0.0] * 8, [15.0] * 8, [45.0] * 8])
    winters = in_winters(q.with_hays(hays), cold)
    prices = short_prices(q)
    known = np.mean([solve_plan(w, short=prices).cost for w in winters])
    found = two_stage(winters, short=prices, gap=1e-7)
    assert known <= found.cost + 1e-6 * abs(found.cost)
    none = [w.with_hays(q.hays) for w in winters]
    without = np.mean([solve_plan(w, short=prices).cost for w in none])
    assert found.cost <= without + 1e-6 * abs(without)


def test_winters_answer_though_lots_are_asked_for_in_turn():
    q = ranch(tons=22, herds=(replace(cows(), in_turn=True, most_hays=2),))
    winters = in_winters(q, np.array([[0.0] * 8, [20.0] * 8]))
    assert two_stage(winters, short=short_prices(q)).gap <= 1e-3
