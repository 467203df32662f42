"""The winter plan: nothing is lost or made, nothing pays to be worse off, and it can be checked."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog
from scipy.sparse import csc_array

from haywright.bunk.requirements.needs import with_cold
from haywright.bunk.weather import ColdRule, Day, increase_of_day
from haywright.bunk.winter import feeding_out, says
from haywright.bunk.winter.keep_price import beaten_by, keep_price, one_more, worth_of
from haywright.bunk.winter.lasts import hay_lasts
from haywright.bunk.winter.model import build
from haywright.bunk.winter.plan import NoPlan, short_prices, solve_plan, step_up_caps
from haywright.bunk.winter.scenarios import (
    Winters,
    cold_of_winters,
    in_winters,
    two_stage,
    winters_short_before,
)
from haywright.bunk.winter.stored import weekly_losses
from haywright.measure.errors import Problems, Refused, UnknownName
from haywright.words import say
from tests.bunk_animals.ranch import (
    CAKE,
    CORN,
    FIRST,
    TON,
    bulls,
    calves,
    cows,
    hay,
    ranch,
    with_stock,
)

QUICK = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def matrix(program):
    rows, columns, values = program.entries()
    return csc_array((values, (rows, columns)), shape=program.shape)


def by_scipy(program, method="highs-ipm"):
    a = matrix(program)
    low, high = program.row_lower, program.row_upper
    same = low == high
    under, over = np.isfinite(low) & ~same, np.isfinite(high) & ~same
    return linprog(
        program.cost,
        A_ub=csc_array(np.vstack([-a[under].toarray(), a[over].toarray()])),
        b_ub=np.concatenate([-low[under], high[over]]),
        A_eq=a[same],
        b_eq=low[same],
        bounds=list(zip(program.lower, program.upper, strict=True)),
        method=method,
    )


def certified(plan):
    """A proof of the optimum that trusts no solver: see the test of rations."""
    p, found = plan.model.program, plan.solution
    a = matrix(p)
    near = 1e-5 * max(1.0, np.abs(p.cost).max(), np.abs(found.x).max())
    assert (a @ found.x >= p.row_lower - near).all()
    assert (a @ found.x <= p.row_upper + near).all()
    assert (found.x >= p.lower - near).all()
    assert (found.x <= p.upper + near).all()
    assert np.abs(p.cost - a.T @ found.worth - found.reduced).max() < near
    total = 0.0
    for worths, low, high in (
        (found.worth, p.row_lower, p.row_upper),
        (found.reduced, p.lower, p.upper),
    ):
        bound = np.where(worths > 0, low, high)
        held = np.abs(worths) > 1e-9
        assert np.isfinite(bound[held]).all()
        total += float(worths[held] @ bound[held])
    return total


def test_the_plan_is_proved_best_and_another_solver_agrees():
    plan = solve_plan(ranch())
    assert certified(plan) == pytest.approx(plan.cost, rel=1e-6, abs=1e-6)
    assert by_scipy(plan.model.program).fun == pytest.approx(plan.cost, rel=1e-6)


@QUICK
@given(st.floats(30, 150), st.floats(0, 0.02), st.floats(0, 40), st.sampled_from(["free", "mixed"]))
def test_every_kilogram_of_hay_is_eaten_wasted_lost_sold_or_left(tons, loss, waste, fed):
    q = ranch(tons=tons, loss=loss, herds=(cows(fed=fed, waste=waste), calves(waste=waste)))
    plan = solve_plan(q, short=short_prices(q))
    for lot in q.hays:
        assert plan.balance(lot.name) == pytest.approx(0.0, abs=1.0)
        assert (plan.stock(lot.name) >= 0).all()
        assert plan.stock(lot.name)[0] == pytest.approx(lot.stock)
    assert sum(plan.costs().values()) <= plan.cost + 1e-3 * abs(plan.cost) + 100


def in_cold(q, more):
    rule = ColdRule()
    return q.with_herds(
        [replace(h, needs=tuple(with_cold(n, more, rule) for n in h.needs)) for h in q.herds]
    )


@QUICK
@given(st.floats(0, 25), st.floats(0, 20))
def test_a_colder_winter_never_costs_less(cold, more):
    q = ranch()
    prices = short_prices(q)
    one = solve_plan(in_cold(q, cold), short=prices).cost
    assert solve_plan(in_cold(q, cold + more), short=prices).cost >= one - 1e-6 * abs(one)


@QUICK
@given(st.sampled_from(["meadow", "alfalfa", "straw"]), st.floats(0.2, 2), st.floats(1, 2))
def test_more_hay_never_costs_more(name, factor, more):
    q = ranch()
    prices = short_prices(q)
    less, plenty = (
        solve_plan(with_stock(q, name, f), short=prices).cost for f in (factor, factor * more)
    )
    assert plenty <= less + 1e-6 * abs(less)


@QUICK
@given(st.floats(0.05, 0.95), st.floats(0.1, 1))
def test_a_stricter_guide_never_costs_less(share, tighter):
    q = ranch(tons=25)

    def cost(s):
        hays = [replace(h, shares={"cows": s, "calves": s}) if h.name == "alfalfa" else h
                for h in q.hays]  # fmt: skip
        return solve_plan(q.with_hays(hays), short=short_prices(q)).cost

    loose = cost(share)
    assert cost(share * tighter) >= loose - 1e-5 * abs(loose)


def test_one_more_head_costs_what_it_costs_to_solve_with_one_more():
    q = ranch()
    extra = one_more(q, "cows")
    assert extra > 0
    more = solve_plan(q.with_herds([cows(head=41), calves()]), selling=False).cost
    assert solve_plan(q, selling=False).cost + extra == pytest.approx(more)
    with pytest.raises(UnknownName):
        one_more(q, "camels")


@pytest.mark.parametrize("lot", ["meadow", "alfalfa", "straw"])
def test_the_keep_price_is_what_a_ton_less_really_costs(lot):
    q = ranch(tons=25)
    prices = short_prices(q)
    steps = keep_price(q, lot, short=prices)
    whole = next(h.stock for h in q.hays if h.name == lot)
    assert sum(s.amount for s in steps) == pytest.approx(whole)
    first = min(0.5 * TON, 0.3 * steps[0].amount)
    assert worth_of(q, lot, first, short=prices) / first == pytest.approx(steps[0].worth, rel=0.05)
    total = sum(s.amount * s.worth for s in steps)
    assert worth_of(q, lot, whole, short=prices) == pytest.approx(total, rel=1e-6)
    worths = [s.worth for s in steps]
    assert worths == sorted(worths)  # the fewer tons are left, the more each is worth
    assert beaten_by(steps, worths[0] / 2) == 0
    assert beaten_by(steps, worths[-1] * 2) == pytest.approx(whole)


def test_more_than_there_is_cannot_be_taken():
    with pytest.raises(Refused):
        worth_of(ranch(), "meadow", 1e9)
    with pytest.raises(UnknownName):
        keep_price(ranch(), "moon hay")


def test_hay_is_sold_where_an_offer_beats_the_place_and_kept_where_it_does_not():
    q = ranch()
    steps = keep_price(q, "meadow")
    for offer, sells in ((steps[0].worth * 0.5, False), (steps[0].worth * 1.05, True)):
        hays = [replace(h, sell=offer) if h.name == "meadow" else h for h in q.hays]
        sold = solve_plan(q.with_hays(hays)).sold("meadow").sum()
        assert bool(sold > 1) is sells


def test_a_feed_that_is_not_bought_enters_at_the_price_that_is_told():
    q = ranch(tons=25)
    at = solve_plan(q).pays_at()["cake"]
    for factor, bought in ((0.99, True), (1.01, False)):
        feeds = (CORN, replace(CAKE, price=at * factor))
        plan = solve_plan(replace(q, feeds=feeds))
        eaten = sum(plan.eaten(h.name)[:, -1].sum() for h in q.herds)
        assert bool(eaten > 1) is (bought or at >= CAKE.price)


def test_stock_at_the_rack_eat_their_fill_and_put_the_rest_on_their_back():
    q = ranch(herds=(cows(fed="free"),))
    plan = solve_plan(q)
    held = plan.model.herds[0]
    filled = (plan.per_head("cows") * held.fill).sum(axis=1)
    assert filled == pytest.approx(np.ones(q.weeks))
    lean = ranch(herds=(cows(fed="limited"),))
    assert plan.condition("cows")[-1] > solve_plan(lean).condition("cows")[-1]
    used = sum(plan.put_out(h.name).sum() for h in q.hays)
    assert used > sum(solve_plan(lean).put_out(h.name).sum() for h in q.hays)


def test_condition_keeps_its_floor_its_rate_and_the_weeks_around_calving():
    q = ranch(tons=12, weeks=20, herds=(cows(weeks=20, condition=6.0, target=5.0),))
    plan = solve_plan(q, short=short_prices(q))
    scores = plan.condition("cows")
    assert scores.min() >= 4.0 - 1e-3
    assert np.diff(scores).min() >= -7 / 60 * 1.25
    near = [n for n in range(q.weeks) if -60 <= (q.day(n) - date(2027, 3, 1)).days < 60]
    assert np.diff(scores)[near].min() >= -1e-6
    after = next(n for n in range(q.weeks + 1) if q.day(n) >= date(2027, 3, 1))
    assert scores[after] >= 5.0 - 1e-3


def test_a_lot_that_is_not_tested_is_not_fed_and_none_at_the_rack_over_its_share():
    q = ranch()
    hays = [replace(h, tested=False) if h.name == "meadow" else h for h in q.hays]
    plan = solve_plan(q.with_hays(hays), short=short_prices(q))
    assert plan.put_out("meadow").sum() == 0
    assert plan.stock("meadow")[-1] > 0


def test_two_held_back_lots_share_one_tolerance():
    q = ranch(tons=80)
    hays = [replace(h, shares={"cows": 0.5}) if h.name != "straw" else h for h in q.hays]
    plan = solve_plan(q.with_hays(hays), short=short_prices(q))
    eaten = plan.eaten("cows")
    both = (eaten[:, 0] + eaten[:, 1]) / eaten.sum(axis=1)
    assert both.max() <= 0.5 + 1e-6


def test_a_held_back_lot_is_stepped_up_from_its_first_week_and_again_after_a_break():
    q = ranch(tons=18, herds=(cows(),))
    hays = [replace(h, shares={"cows": 0.8}) if h.name == "alfalfa" else h for h in q.hays]
    plan = solve_plan(q.with_hays(hays), short=short_prices(q))
    eaten = plan.eaten("cows")
    share = eaten[:, 1] / eaten.sum(axis=1)
    start = None
    for week in range(q.weeks):
        if share[week] < 1e-4:
            start = None
            continue
        start = week if start is None else start
        assert share[week] <= step_up_caps(start, q.weeks, 0.8)[week] + 1e-5
    assert share.max() > 0


def test_steps_rise_to_the_full_share_and_stay():
    caps = step_up_caps(2, 8, 0.6)
    assert list(caps) == sorted(caps)
    assert caps[2] == pytest.approx(0.15)
    assert caps[-1] == pytest.approx(0.6)


@pytest.mark.parametrize("most", [1, 2])
def test_few_lots_to_a_herd_are_the_best_few_of_all_choices(most):
    q = ranch(tons=60, herds=(cows(),))
    prices = short_prices(q)
    asked = q.with_herds([replace(q.herds[0], most_hays=most)])
    found = solve_plan(asked, short=prices)
    assert found.solution.gap <= 1e-3
    costs = []
    for few in itertools.combinations([h.name for h in q.hays], most):
        hays = [h if h.name in few else replace(h, shares={"cows": 0.0}) for h in q.hays]
        costs.append(solve_plan(q.with_hays(hays), short=prices).cost)
    assert found.cost == pytest.approx(min(costs), rel=2e-3)
    assert sum(found.eaten("cows")[:, k].sum() > 1 for k in range(len(q.hays))) <= most


def test_what_conflicts_is_named_and_what_would_mend_it():
    with pytest.raises(NoPlan) as caught:
        solve_plan(ranch(tons=5, feeds=(), herds=(cows(fed="free"),)))
    text = say(caught.value.message)
    assert "cows" in text
    assert "short tons" in text
    for word in ("infeasible", "dual", "row", "constraint"):
        assert word not in text


def test_hay_that_is_bought_comes_into_the_stack():
    q = ranch(tons=5, feeds=(), herds=(cows(fed="free"),))
    offered = hay("neighbour", 0.0, 54.0, 9.0, 62.0, buy=0.12)
    plan = solve_plan(q.with_hays([*q.hays, offered]))
    assert plan.bought("neighbour").sum() > 0
    assert plan.balance("neighbour") == pytest.approx(0.0, abs=1.0)
    assert plan.costs()["hay_bought"] == pytest.approx(0.12 * plan.bought("neighbour").sum())


@pytest.mark.parametrize(("gap", "kept"), [(1000.0, 40), (-1.0, 0)])
def test_head_are_kept_where_buying_them_back_costs_more_than_feeding_them(gap, kept):
    herds = (cows(sale=1500.0, replacement=1500.0 + gap), calves())
    assert solve_plan(ranch(herds=herds)).head_kept("cows") == pytest.approx(kept, abs=1e-4)


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: ranch(weeks=0), "week"),
        (lambda: ranch(herds=(cows(head=0),)), "no animals"),
        (lambda: replace(ranch(), hays=(), feeds=()), "no hay"),
        (lambda: ranch(feeds=(CORN, CORN)), "stands twice"),
        (lambda: ranch(herds=(cows(condition=3.0),)), "stand at 3"),
        (lambda: ranch(herds=(cows(waste=100.0),)), "Waste"),
        (lambda: ranch(herds=(cows(fed="thrown"),)), "thrown"),
    ],
)
def test_what_cannot_be_planned_is_refused_in_words(make, told):
    with pytest.raises((Refused, Problems)) as caught:
        make()
    assert told in " ".join(say(one) for one in caught.value.messages())


def test_every_problem_of_a_question_is_told_at_once():
    bad = hay("bad", 10.0, 50.0, 8.0, 60.0, weeks=3)
    nameless = replace(bad, stock=-1.0, shares={"cows": 2.0})
    with pytest.raises(Problems) as caught:
        ranch(hays=(nameless,))
    assert len(caught.value.messages()) == 3


def test_hay_lasts_longer_the_more_there_is():
    days = []
    for tons in (8, 16, 30):
        found = hay_lasts(ranch(tons=tons, weeks=16, herds=(cows(weeks=16, fed="free"),)))
        days.append(found.until or date(2099, 1, 1))
    assert days == sorted(days)
    assert days[0] < days[-1]
    assert days[0] > FIRST


def test_the_day_hay_runs_out_is_where_its_weight_says_it_is():
    # By hand: 40 cows at one hay, eaten to the fill, waste 10 %, nothing lost in storage.
    one = hay("only", 20.0, 52.0, 8.0, 64.0, loss=0.0)
    q = ranch(hays=(one,), feeds=(), herds=(cows(fed="free"),))
    each = 1.0 / build(q, short=short_prices(q)).herds[0].fill[0, 0]
    days = one.stock * 0.9 / (40 * each)
    assert (hay_lasts(q).until - FIRST).days + 1 == pytest.approx(days, abs=1.5)


def test_storage_takes_most_at_first_and_all_together_what_was_printed():
    baled = date(2026, 6, 1)
    losses = weekly_losses("exposed-ground", baled, baled, 39, rain=0.5)
    assert np.mean(losses[:13]) > np.mean(losses[13:])
    kept = np.prod(1 - np.array(losses))
    assert 1 - kept == pytest.approx(0.05, abs=0.005)  # Oklahoma: 5 % by nine months, dry country


WINTERS = Winters(np.full(8, 20.0), winter_sd=4.0, week_sd=4.0, day_sd=8.0, wind=8.0, wet=0.1)


def test_drawn_winters_without_spread_are_the_usual_winter():
    still = Winters(np.full(8, 10.0), 0.0, 0.0, 0.0)
    rule = ColdRule()
    drawn = cold_of_winters(still, 3, 5.0, rule, np.random.default_rng(1))
    assert drawn == pytest.approx(increase_of_day(Day(10.0), 5.0, rule))


def test_a_spread_of_days_asks_for_more_than_their_mean():
    rule = ColdRule()
    rng = np.random.default_rng(2)
    near_the_edge = Winters(np.full(8, 32.0), 0.0, 0.0, 10.0)
    assert cold_of_winters(near_the_edge, 200, 5.0, rule, rng).mean() > 2.0
    assert increase_of_day(Day(32.0), 5.0, rule) == 0.0


def extensive(winters, short, now, chance):
    """Every winter in one program, the trades of the first weeks shared: the brute way."""
    from haywright.bunk.winter.scenarios import _trades

    models = [build(q, short=short) for q in winters]
    trades = [_trades(m, now) for m in models]
    n = len(trades[0])
    cost, lower, upper, blocks, low, high = (
        [models[0].program.cost[trades[0]]], [np.zeros(n)], [models[0].program.upper[trades[0]]],
        [], [], [],
    )  # fmt: skip
    width = n + sum(m.program.shape[1] - n for m in models)
    at = n
    for model, mine, weight in zip(models, trades, chance, strict=True):
        a = matrix(model.program).tocsc()
        rest = np.setdiff1d(np.arange(model.program.shape[1]), mine)
        wide = np.zeros((model.program.shape[0], width))
        wide[:, :n] = a[:, mine].toarray()
        wide[:, at : at + len(rest)] = a[:, rest].toarray()
        at += len(rest)
        blocks.append(wide)
        cost.append(weight * model.program.cost[rest])
        lower.append(model.program.lower[rest])
        upper.append(model.program.upper[rest])
        low.append(model.program.row_lower)
        high.append(model.program.row_upper)
    a, low, high = np.vstack(blocks), np.concatenate(low), np.concatenate(high)
    under, over = np.isfinite(low), np.isfinite(high)
    return linprog(
        np.concatenate(cost),
        A_ub=csc_array(np.vstack([-a[under], a[over]])),
        b_ub=np.concatenate([-low[under], high[over]]),
        bounds=list(zip(np.concatenate(lower), np.concatenate(upper), strict=True)),
        method="highs-ds",
    )


@pytest.mark.parametrize("offer", [0.05, 0.13, 0.3, 0.6])
def test_two_stages_find_what_all_winters_in_one_program_find(offer):
    q = ranch(tons=25)
    trade = {"sell": offer, "sell_most": 9000.0, "buy": 1.3 * offer, "buy_most": 15000.0}
    hays = [replace(h, **trade) if h.name == "meadow" else h for h in q.hays]
    cold = np.array([[0.0] * 8, [10.0] * 8, [40.0] * 8])
    drawn = {"meadow": {"cp": np.array([8.0, 7.5, 9.0])}}
    winters = in_winters(q.with_hays(hays), cold, quality=drawn)
    chance = [0.5, 0.3, 0.2]
    prices = short_prices(q)
    found = two_stage(winters, short=prices, weights=chance, gap=1e-7)
    whole = extensive(winters, prices, 1, chance)
    assert whole.status == 0
    assert found.cost == pytest.approx(whole.fun, rel=1e-5)
    assert found.bound <= found.cost + 1e-6 * abs(found.cost)
    assert 0 <= found.sold["meadow"] <= 9000 + 1e-6
    assert 0 <= found.bought["meadow"] <= 15000 + 1e-6


def test_two_stages_trade_up_to_what_is_wanted_where_the_offer_is_high():
    q = ranch(tons=90)
    hays = [replace(h, sell=0.5, sell_most=9000.0) if h.name == "meadow" else h for h in q.hays]
    winters = in_winters(q.with_hays(hays), np.array([[0.0] * 8, [20.0] * 8]))
    found = two_stage(winters, short=short_prices(q))
    assert found.sold["meadow"] == pytest.approx(9000.0, rel=1e-6)
    assert found.gap <= 1e-3


def test_winters_that_run_out_are_counted_of_ten():
    day = date(2027, 2, 1)
    dates = [date(2027, 1, 1)] * 2 + [None] * 7 + [date(2027, 3, 1)]
    assert winters_short_before(dates, day) == 2
    with pytest.raises(Refused):
        winters_short_before([], day)
    with pytest.raises(Refused):
        two_stage([], short=short_prices(ranch()))


def test_the_plan_in_words_says_who_gets_what_and_hides_the_machine():
    q = ranch(tons=25, herds=(cows(fed="free"), calves(), bulls()))
    plan = solve_plan(q, short=short_prices(q))
    lines = [
        says.lasts_line(hay_lasts(q)), says.in_ten_line(2, date(2027, 1, 10)),
        *says.plan_lines(plan), *says.keep_lines(plan, "meadow", keep_price(q, "meadow",
        short=short_prices(q)), 0.05),
    ]  # fmt: skip
    text = "\n".join(say(line) for line in lines)
    for wanted in ("cows", "calves", "bulls", "bales a day", "worth to you on the place"):
        assert wanted in text
    for hidden in ("dual", "shadow", "safe", "infeasible", "LP", "DM"):
        assert hidden not in text


def test_ways_of_feeding_carry_a_range_and_unknown_ones_are_refused():
    for name in feeding_out.ways():
        one = feeding_out.way(name)
        assert 0 <= one.low <= one.usual <= one.high < 100
    with pytest.raises(UnknownName):
        feeding_out.way("thrown over the fence")
    assert feeding_out.days_per_bale(500, 10, 20, 12) == pytest.approx(500 * 0.9 / 240)
    assert feeding_out.hay_put_out(90, 10) == pytest.approx(100)
