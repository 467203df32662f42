"""Condition is a buffer with a floor, a rate, a hold around calving, and a target."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from haywright.bunk.animals import HerdGroup
from haywright.bunk.requirements.condition import body_energy, condition_energy, condition_released
from haywright.bunk.winter.plan import NoPlan, short_prices, solve_plan
from haywright.bunk.winter.question import WEEK, Herd, needs_of
from haywright.measure.errors import Refused
from haywright.words import say
from tests.bunk_animals.ranch import FIRST, cows, hay, ranch

DUE = date(2027, 3, 1)
PER_WEEK = WEEK / 60  # at most one score in 60 days


def heifers(weeks=8, condition=6.0, **more):
    group = HerdGroup("heifers", "bred heifers", 20, 460.0, FIRST, due=DUE, condition=condition,
                      mature_weight=567.0)  # fmt: skip
    return Herd(group, needs_of(group, FIRST, weeks), **{"fed": "mixed", "waste": 10.0, **more})


def solved(q):
    return solve_plan(q, short=short_prices(q))


@settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow],
    phases=[Phase.explicit, Phase.generate],
)  # fmt: skip
@given(st.floats(4.0, 8.0), st.floats(3, 60), st.sampled_from(["free", "mixed", "limited"]))
def test_no_cow_loses_or_gains_more_than_a_score_in_sixty_days(condition, tons, fed):
    q = ranch(tons=tons, weeks=20, herds=(cows(weeks=20, condition=condition, fed=fed),))
    scores = solved(q).condition("cows")
    change = np.diff(scores)
    assert change.min() >= -PER_WEEK - 0.003  # scores are read back to a twentieth
    assert change.max() <= PER_WEEK + 0.003
    assert scores.min() >= 4.0 - 1e-3
    assert scores[0] == pytest.approx(condition, abs=0.005)


def test_short_feed_uses_the_whole_score_that_sixty_days_allow():
    late = cows(weeks=12, condition=7.0)
    late = replace(late, group=replace(late.group, due=date(2027, 6, 1)))
    late = replace(late, needs=needs_of(late.group, FIRST, 12))
    only = hay("meadow", 4.0, 52.0, 8.0, 64.0, weeks=12)
    plan = solved(ranch(weeks=12, hays=(only,), feeds=(), herds=(late,)))
    lost = plan.condition("cows")[0] - plan.condition("cows")[8]
    assert 0.85 * 8 * PER_WEEK < lost <= 8 * PER_WEEK + 0.003


@pytest.mark.parametrize("tons", [5, 20, 60])
def test_none_is_lost_from_sixty_days_before_calving_to_sixty_after(tons):
    q = ranch(tons=tons, weeks=24, herds=(cows(weeks=24, condition=6.5),))
    plan = solved(q)
    change = np.diff(plan.condition("cows"))
    held = [n for n in range(q.weeks) if -60 <= (q.day(n) - DUE).days < 60]
    free = [n for n in range(q.weeks) if n not in held]
    assert change[held].min() >= -1e-6
    if tons == 5:
        assert change[free].min() < -0.05  # it is used where it may be


def test_first_calf_heifers_keep_five_and_cows_four():
    q = ranch(tons=4, weeks=16, herds=(cows(weeks=16, condition=5.0), heifers(weeks=16)))
    plan = solved(q)
    assert plan.condition("heifers").min() >= 5.0 - 1e-3
    assert plan.condition("cows").min() >= 4.0 - 1e-3
    assert q.herds[0].floor == 4.0
    assert q.herds[1].floor == 5.0
    with pytest.raises(Refused) as caught:
        ranch(herds=(heifers(condition=4.5),))
    assert "below the 5" in say(caught.value.message)
    assert ranch(herds=(heifers(condition=4.5, least=4.0),)).herds[0].floor == 4.0


def test_the_target_at_calving_is_reached():
    weeks = 20
    plain = ranch(tons=60, weeks=weeks, herds=(cows(weeks=weeks, condition=4.5),))
    asked = plain.with_herds([replace(plain.herds[0], target=5.5)])
    at = next(n for n in range(weeks + 1) if plain.day(n) >= DUE)
    without, reached = solved(plain), solved(asked)
    assert without.condition("cows")[at] < 5.4
    assert reached.condition("cows")[at] >= 5.5 - 2e-3
    assert reached.cost >= without.cost - 1e-6


def test_a_target_that_no_feed_could_reach_in_time_is_named_with_what_is_missing():
    q = ranch(weeks=16, herds=(cows(weeks=16, condition=4.0, target=7.0),))
    with pytest.raises(NoPlan) as caught:
        solve_plan(q)
    assert ("condition_least", "cows") in caught.value.conflict
    text = say(caught.value.message)
    assert "least condition of cows" in text
    assert "Mcal" in text


def test_energy_of_the_back_enters_and_leaves_the_ration_as_the_equations_say():
    # By hand for one week: hay + 0.8 x lost - charge x gained covers the need.
    q = ranch(tons=6, herds=(cows(condition=6.0),))
    plan = solved(q)
    held, columns, x = plan.model.herds[0], plan.model.columns.herds[0], plan.solution.x
    eaten = plan.eaten("cows") @ held.holds
    back = condition_released(x[columns.lost]) - held.charge * x[columns.gained]
    assert (eaten + back + x[columns.short_energy] >= WEEK * 40 * held.energy - 1e-4).all()
    whole = 40 * float(condition_energy(q.herds[0].group.weight_at_5, 5.0, 6.0))
    drawn = x[columns.lost].sum() - x[columns.gained].sum()
    scores = plan.condition("cows")
    read = 40 * (body_energy(q.herds[0].group.weight_at_5, scores[0])
                 - body_energy(q.herds[0].group.weight_at_5, scores[-1]))  # fmt: skip
    assert drawn == pytest.approx(read, abs=0.01 * whole)
