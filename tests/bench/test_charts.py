"""Control charts: the rules fire where they say and as often as published."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from haywright.bench import charts
from haywright.bench.run_lengths import run_length
from haywright.measure.errors import Refused, UnknownName

RULES = charts.rules()
SERIES = arrays(float, st.integers(1, 40), elements=st.floats(-4, 4))


def slowly(z, rule):
    """The rule told point by point, as a person with a ruler would."""
    fired = []
    for place in range(len(z)):
        seen = list(z[: place + 1])
        fired.append(any(_completes([s * v for v in seen], rule) for s in (1, -1)))
    return fired


def _completes(seen, rule):
    last = seen[-rule.count :]
    full = len(last) == rule.count
    steps = [b - a for a, b in pairwise(last)]
    if rule.kind == "beyond":
        return seen[-1] > rule.sd and sum(v > rule.sd for v in seen[-rule.of :]) >= rule.count
    if rule.kind == "side":
        return full and all(v > 0 for v in last)
    if rule.kind == "trend":
        return full and all(step > 0 for step in steps)
    if rule.kind == "alternating":
        return full and all(a * b < 0 for a, b in pairwise(steps))
    inside = rule.kind == "within"
    return full and all((abs(v) < rule.sd) if inside else (abs(v) > rule.sd) for v in last)


@pytest.mark.parametrize("name", [n for n, r in RULES.items() if r.kind not in ("spread", "range")])
@given(z=SERIES)
def test_windows_over_arrays_fire_as_a_person_with_a_ruler_would(name, z):
    rule = RULES[name]
    assert charts.fires(z, rule).tolist() == slowly(z, rule)


def test_many_charts_at_once_are_judged_like_one():
    z = np.random.default_rng(1).normal(size=(50, 60))
    for rule in RULES.values():
        together = charts.fires(z, rule)
        assert all((together[k] == charts.fires(z[k], rule)).all() for k in range(50))


def test_a_point_on_the_center_line_breaks_a_run():
    z = [0.1] * 4 + [0.0] + [0.1] * 4
    assert not charts.fires(z, RULES["eight_on_a_side"]).any()


# Champ and Woodall 1987, recalled: run lengths of rule 1 with each of the others, no shift.
PAIRS = {"two_of_three_beyond_2": 225.4, "four_of_five_beyond_1": 166.1, "eight_on_a_side": 152.7}


@pytest.mark.parametrize("name", PAIRS)
def test_a_second_rule_costs_false_alarms_as_published(name):
    found = run_length([RULES["one_beyond_3"], RULES[name]])
    assert found == pytest.approx(PAIRS[name], abs=0.05)


def test_the_published_run_length_stands_with_its_set():
    for one in charts.rule_sets().values():
        if one.run_length is not None:
            assert run_length(one.rules) == pytest.approx(one.run_length, abs=0.05)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["western_electric", "harmonised"])
def test_simulated_series_alarm_as_often_as_the_chain_says(name):
    stopping = [r for r in charts.rule_set(name).rules if not r.warns]
    z = np.random.default_rng(7).normal(size=(3000, 1500))
    fired = np.zeros(z.shape, dtype=bool)
    for rule in stopping:
        fired |= charts.fires(z, rule)
    first = np.where(fired.any(axis=1), fired.argmax(axis=1) + 1, 1500)
    if name == "western_electric":
        assert first.mean() == pytest.approx(run_length(stopping), rel=0.06)
    else:
        assert first.mean() > 100  # fewer rules than Western Electric, so rarer false alarms


def test_a_rule_without_a_chain_is_refused():
    with pytest.raises(Refused):
        run_length([RULES["six_trending"]])


def test_wordings_of_the_spread_rule_are_not_the_same():
    runs = np.random.default_rng(3).normal(size=(400_000, 2))
    split = charts.within_a_run(runs, RULES["spread_4"]).mean()
    span = charts.within_a_run(runs, RULES["range_4"]).mean()
    assert split == pytest.approx(charts.false_spread(), rel=0.2)
    assert span == pytest.approx(charts.false_range(), rel=0.1)


def test_a_warning_never_stops():
    for one in charts.rule_sets().values():
        assert [r.id for r in one.rules if r.warns] == ["one_beyond_2"]


def test_limits_from_a_short_history_are_provisional():
    assert charts.chart([18.4, 18.5, 18.3]).provisional
    assert not charts.chart(np.random.default_rng(1).normal(18, 0.2, 25)).provisional


def test_a_history_without_scatter_draws_no_chart():
    with pytest.raises(Refused, match="no_scatter"):
        charts.chart([18.4] * 25)
    with pytest.raises(UnknownName):
        charts.rule_set("some others")


def test_moving_ranges_find_the_scatter_between_runs():
    history = np.random.default_rng(6).normal(18, 0.2, 5000)
    assert charts.sd_from_moving_range(history) == pytest.approx(0.2, rel=0.03)


def test_a_moving_average_settles_to_its_limits():
    z = np.random.default_rng(9).normal(size=(4000, 60))
    average = charts.weighted_average(z, weight=0.2)
    half = charts.weighted_average_limit(np.arange(1, 61), weight=0.2)
    assert average.std(axis=0) * 3 == pytest.approx(half, rel=0.06)


def test_cumulative_sums_are_those_of_the_recursion():
    z = np.random.default_rng(10).normal(0.3, 1, 80)
    up, down = charts.cumulative_sums(z)
    s = t = 0.0
    for place, value in enumerate(z):
        s, t = max(0.0, s + value - 0.5), max(0.0, t - value - 0.5)
        assert up[place] == pytest.approx(s, abs=1e-9)
        assert down[place] == pytest.approx(t, abs=1e-9)
