"""Held-back hay over a winter: it grows stronger as it shrinks, and is fed as a share allows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haywright.bunk.hazards.nitrate.doubt import Sampling
from haywright.bunk.hazards.nitrate.question import Fed, NitrateQuestion, Rest
from haywright.bunk.hazards.nitrate.rules import rules
from haywright.bunk.hazards.nitrate.verdict import decide
from haywright.bunk.winter.nitrate import concentrated, lost_by_week, shares_by_week
from haywright.bunk.winter.plan import short_prices, solve_plan, step_up_caps
from haywright.measure.errors import Problems, Refused
from haywright.measure.estimate import Estimate, exact
from haywright.measure.message import message
from haywright.sources.guides import guide
from tests.bunk_animals.ranch import cows, hay, ranch
from tests.bunk_winter.stock import with_values


def ask(x, **changes):
    base = NitrateQuestion(
        result=None if x is None else exact(x), classes=("pregnant",), guide=guide("clemson"),
        sampling=Sampling(20, 64), rest=Rest(140, 26), animals="cows",
    )  # fmt: skip
    return replace(base, **changes)


def with_shares(q, lot, shares):
    return q.with_hays([replace(h, shares=shares) if h.name == lot else h for h in q.hays])


@settings(max_examples=40)
@given(st.floats(50, 8000), st.floats(0, 0.5))
def test_nitrate_is_neither_made_nor_lost_in_the_stack(no3n, lost):
    assert concentrated(no3n, lost) * (1.0 - lost) == pytest.approx(no3n)


def test_a_fifth_lost_takes_a_thousand_to_twelve_hundred_and_fifty():
    assert concentrated(1000.0, 0.2) == pytest.approx(1250.0)
    assert lost_by_week((0.1, 0.1, 0.1)) == pytest.approx([0.0, 0.1, 0.19])


def test_a_share_falls_as_the_stack_shrinks_and_is_the_verdicts_own():
    q = ask(620)
    loss = (0.02,) * 16
    shares = shares_by_week(q, loss)
    assert list(shares) == sorted(shares, reverse=True)
    assert shares[-1] < shares[0]
    last = replace(q, result=exact(620 / 0.98**15))
    assert shares[-1] == pytest.approx(decide(last).share)


@pytest.mark.parametrize(("fed", "whole"), [(Fed.MIXED, 1.0), (Fed.LIMITED, 0.5), (Fed.FREE, 0.0)])
def test_the_way_of_feeding_gives_all_half_or_none_of_a_share(fed, whole):
    mixed = shares_by_week(ask(1500), (0.0,) * 4)[0]
    assert 0 < mixed < 1
    assert shares_by_week(ask(1500, fed=fed), (0.0,) * 4)[0] == pytest.approx(whole * mixed)


def test_more_in_the_water_never_gives_more():
    loss = (0.005,) * 8
    one = shares_by_week(ask(1500), loss)
    more = shares_by_week(ask(1500, rest=Rest(140, 400)), loss)
    assert all(b <= a + 1e-12 for a, b in zip(one, more, strict=True))


@pytest.mark.parametrize(
    "asked",
    [
        ask(None, must_test=("accumulator",)),
        ask(6000),
        ask(1500, rest=Rest(None, 26)),
        ask(1500, result=Estimate.held(message("measure.held"))),
        ask(1500, result=Estimate.above(900.0, "top standard", raw=1200.0)),
    ],
    ids=["not tested", "do not feed", "rest not known", "held", "over range"],
)
def test_no_week_has_a_share_where_the_verdict_gives_none(asked):
    assert shares_by_week(asked, (0.01,) * 8) == (0.0,) * 8


def test_shares_by_week_are_kept_week_by_week():
    shares = tuple(np.linspace(0.9, 0.3, 8))
    q = with_shares(ranch(tons=18, herds=(cows(),)), "alfalfa", {"cows": shares})
    plan = solve_plan(q, short=short_prices(q))
    eaten = plan.eaten("cows")
    share = eaten[:, 1] / eaten.sum(axis=1)
    assert share.max() > 0.1
    assert (share <= np.array(shares) + 1e-6).all()


def test_shares_of_another_number_of_weeks_are_refused():
    with pytest.raises((Refused, Problems)):
        with_shares(ranch(), "alfalfa", {"cows": (0.5, 0.5)})


@pytest.mark.parametrize("more", [{"fed": "free"}, {"fed": "mixed", "in_turn": True}])
def test_no_lot_under_the_whole_goes_to_a_rack_or_out_lot_by_lot(more):
    q = with_shares(ranch(herds=(cows(**more),)), "meadow", {"cows": 0.99})
    plan = solve_plan(q, short=short_prices(q))
    assert plan.eaten("cows")[:, 0].sum() == 0
    assert plan.eaten("cows")[:, 1].sum() > 0


@settings(max_examples=15, deadline=None)
@given(st.floats(0.2, 0.95), st.floats(10, 40), st.floats(0.0, 0.01))
def test_every_run_of_fed_weeks_is_stepped_up_from_its_first(share, tons, loss):
    q = ranch(tons=tons, loss=loss, herds=(cows(),))
    q = with_shares(q, "alfalfa", {"cows": share})
    plan = solve_plan(q, short=short_prices(q))
    eaten = plan.eaten("cows")
    mine, start = eaten[:, 1] / eaten.sum(axis=1), None
    for week in range(q.weeks):
        start = None if mine[week] < 1e-4 else week if start is None else start
        if start is not None:
            assert mine[week] <= step_up_caps(start, q.weeks, share)[week] + 1e-5


def test_steps_are_those_of_the_verdict():
    r = rules()
    caps = step_up_caps(0, 6, 0.8)
    assert caps[0] == pytest.approx(0.8 / r.step_up_steps)
    assert caps[-1] == pytest.approx(0.8)


def test_protein_counts_less_what_nitrate_nitrogen_feigns():
    # 10 % protein by combustion with 0.4 % NO3-N: 10 - 6.25 x 0.4 = 7.5 % feeds anybody.
    plain = hay("plain", 200.0, 52.0, 10.0, 60.0)
    feigned = replace(plain, feed=with_values(plain.feed, cp_less_nitrate=10.0 - 6.25 * 0.4))
    asked = [ranch(hays=(one,), herds=(cows(),)) for one in (plain, feigned)]
    models = [solve_plan(q, short=short_prices(q)) for q in asked]
    rows = [p.model.row_block("protein", "cows") for p in models]
    brought = [p.solution.activity[r] for p, r in zip(models, rows, strict=True)]
    eaten = models[1].eaten("cows")
    cake = np.array([0.075, 0.09, 0.38])
    assert brought[1] == pytest.approx(eaten @ cake, rel=1e-6)
    assert models[1].cost >= models[0].cost - 1e-6
