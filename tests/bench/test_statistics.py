"""Precision, limits, outliers, robust means: printed tables, reference libraries, chance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from haywright.bench import limits, outliers, precision, robust
from haywright.bench.calibration import calibrate
from haywright.bench.control import agreement, critical_range_factor
from haywright.bench.regression import least_squares, polynomial
from haywright.bench.scatter import horwitz, pooled_repeat
from haywright.measure.errors import Refused

NUMBERS = st.lists(st.floats(-1e6, 1e6), min_size=3, max_size=40)


@given(NUMBERS)
def test_mean_and_sd_agree_with_numpy(values):
    found = precision.summary(values)
    assert found.mean == pytest.approx(np.mean(values), abs=1e-9, rel=1e-12)
    assert found.sd == pytest.approx(np.std(values, ddof=1), abs=1e-6, rel=1e-9)


def test_one_number_has_no_scatter():
    with pytest.raises(Refused, match="too_few"):
        precision.summary([1.0])


def test_analysis_of_variance_agrees_with_scipy():
    groups = [[5.1, 5.3, 4.9], [5.6, 5.4], [5.0, 5.2, 5.1, 5.3]]
    found = precision.one_way(groups)
    expected = stats.f_oneway(*groups)
    assert found.f == pytest.approx(expected.statistic)
    assert found.p == pytest.approx(expected.pvalue)


def test_laboratories_that_agree_by_chance_have_no_scatter_between_them():
    found = precision.interlaboratory([[1.0, 3.0], [3.0, 1.0], [2.0, 2.0]])
    assert found.between == 0.0
    assert found.both == found.within


def test_the_horwitz_curve_is_flat_at_both_ends_by_thompson():
    # Thompson 2000 (recalled): 0.22 c below 1.2e-7, 0.01 root c above 0.138.
    assert precision.thompson(1e-8) == pytest.approx(0.22e-8)
    assert precision.thompson(0.25) == pytest.approx(0.005)
    assert 100 * precision.thompson(1e-3) / 1e-3 == pytest.approx(horwitz(1e-3), rel=0.02)


def test_fits_agree_with_numpy_and_scipy():
    rng = np.random.default_rng(5)
    x = np.linspace(0.5, 20, 9)
    y = 3.0 + 2.0 * x + rng.normal(0, 0.1, 9)
    line = calibrate(x, y)
    other = stats.linregress(x, y)
    assert line.coefficients[1] == pytest.approx(other.slope, rel=1e-12)
    assert line.fit.se[1] == pytest.approx(other.stderr, rel=1e-10)
    assert line.fit.se[0] == pytest.approx(other.intercept_stderr, rel=1e-10)
    cubic = least_squares(polynomial(x, (0, 1, 2, 3)), y)
    assert cubic.coefficients[::-1] == pytest.approx(np.polyfit(x, y, 3), rel=1e-8)


def test_weights_act_like_repeated_standards():
    x, y = [1.0, 2.0, 4.0], [1.1, 1.9, 4.2]
    weighted = least_squares(polynomial(x, (0, 1)), y, weights=[1, 3, 2])
    repeated = least_squares(
        polynomial([1.0, 2.0, 2.0, 2.0, 4.0, 4.0], (0, 1)), [1.1, 1.9, 1.9, 1.9, 4.2, 4.2]
    )
    assert weighted.coefficients == pytest.approx(repeated.coefficients, rel=1e-12)


def test_columns_that_say_the_same_are_refused():
    with pytest.raises(Refused):
        least_squares([[1, 2], [1, 2], [1, 2]], [1, 2, 3])


@pytest.mark.parametrize("portions", range(2, 11))
def test_the_printed_critical_range_is_that_of_the_studentised_range(portions):
    # ISO 5725-6:1994 Table 1 prints one decimal.
    exact = stats.studentized_range.ppf(0.95, portions, 1e6)
    assert critical_range_factor(portions) == pytest.approx(exact, abs=0.06)


def test_good_pairs_are_accepted_in_95_of_100_cases():
    rng = np.random.default_rng(11)
    pairs = rng.normal(0, 1, (20_000, 2))
    accepted = np.mean([agreement(pair, 1.0).kept == "mean" for pair in pairs])
    assert accepted == pytest.approx(0.952, abs=0.006)


@given(st.lists(st.floats(0, 100), min_size=1, max_size=6), st.floats(0.01, 10))
def test_what_is_reported_lies_among_the_portions(values, sd):
    found = agreement(values, sd)
    assert min(values) - 1e-9 <= found.value <= max(values) + 1e-9
    assert (found.kept == "held") == (1 < len(values) < 4 and found.spread > found.limit)


def test_scatter_of_duplicates_is_pooled():
    # Root of sum d^2 / 2n: differences 0.2 and 0.4.
    assert pooled_repeat([(1.0, 1.2), (5.0, 4.6)]) == pytest.approx(math.sqrt(0.2 / 4))


def test_the_band_of_a_detection_limit_is_as_40_cfr_136_gives_it():
    # 40 CFR 136 App. B: 0.64 to 2.20 for seven aliquots, 0.72 to 1.65 for twelve df.
    assert limits.mdl_band(6) == pytest.approx((0.64, 2.20), abs=0.005)
    assert limits.mdl_band(12) == pytest.approx((0.72, 1.65), abs=0.005)


DIN_X = [0.05 * k for k in range(1, 11)]
DIN_Y = [3060, 3522, 3707, 4280, 5058, 5510, 5703, 6205, 7156, 7178]


def test_limits_called_alike_differ_on_one_data_set():
    # Massart's iterated limit at 5 % and DIN's at 1 %: 0.0866 and 0.140 (chemCal test data).
    curve = calibrate(DIN_X, DIN_Y)
    assert limits.detection_by_band(curve, alpha=0.05, beta=0.05).value == pytest.approx(
        0.0866, abs=0.0002
    )
    assert limits.detection_of_curve(curve, alpha=0.01).value == pytest.approx(0.140, abs=0.001)


def test_a_limit_keeps_its_definition_and_its_risks():
    found = limits.detection_of_curve(calibrate(DIN_X, DIN_Y), alpha=0.01)
    assert found.to_json() == {
        "value": found.value,
        "definition": "detection limit, curve",
        "alpha": 0.01,
        "beta": 0.01,
        "revision": "DIN 32645",
    }


def test_blanks_without_numbers_leave_the_spikes_alone():
    spikes = [0.19, 0.21, 0.20, 0.22, 0.18, 0.20, 0.21]
    none = limits.method_detection_limit(spikes, [None] * 7)
    assert none.of_blanks is None
    assert none.value == none.of_spikes
    some = limits.method_detection_limit(spikes, [None] * 5 + [0.3, 0.1])
    assert some.value == 0.3  # the highest blank, when only some give a number


@pytest.mark.parametrize("spikes", [[0.1] * 6, [0.1] * 6 + [0.0]])
def test_too_few_spikes_or_one_not_found_gives_no_limit(spikes):
    with pytest.raises(Refused):
        limits.method_detection_limit(spikes, [0.0] * 7)


def test_an_old_limit_stays_while_the_new_one_is_near_it():
    assert not limits.replaces(1.0, 1.8, share_of_blanks_above=0.01)
    assert limits.replaces(1.0, 2.1, share_of_blanks_above=0.01)
    assert limits.replaces(1.0, 1.0, share_of_blanks_above=0.05)


# Rorabacher 1991, two-sided, as tabulated; simulation sides with the quadrature where they differ
# in the third decimal (n = 6) or the second (n = 4 at 99 %).
DIXON = {3: (0.941, 0.970, 0.994), 4: (0.765, 0.829, 0.926), 5: (0.642, 0.710, 0.821),
         6: (0.560, 0.625, 0.740), 7: (0.507, 0.568, 0.680), 8: (0.468, 0.526, 0.634),
         9: (0.437, 0.493, 0.598), 10: (0.412, 0.466, 0.568)}  # fmt: skip


@pytest.mark.parametrize("n", DIXON)
def test_dixon_by_quadrature_is_as_printed(n):
    found = [outliers.dixon_critical(n, alpha=a, spans=(1, 0)) for a in (0.10, 0.05, 0.01)]
    assert found[:2] == pytest.approx(DIXON[n][:2], abs=0.003)
    assert found[2] == pytest.approx(DIXON[n][2], abs=0.006)


@pytest.mark.parametrize(("n", "spans"), [(9, (1, 1)), (12, (2, 1)), (16, (2, 2))])
def test_every_dixon_ratio_is_exceeded_as_often_as_stated(n, spans):
    rng = np.random.default_rng(n)
    ordered = np.sort(rng.normal(size=(40_000, n)), axis=1)
    j, k = spans
    ratio = (ordered[:, j] - ordered[:, 0]) / (ordered[:, -1 - k] - ordered[:, 0])
    critical = outliers.dixon_critical(n, alpha=0.05, sides=1, spans=spans)
    assert np.mean(ratio > critical) == pytest.approx(0.05, abs=0.005)


def test_grubbs_calls_a_good_number_bad_as_often_as_stated():
    rng = np.random.default_rng(2)
    x = rng.normal(size=(20_000, 8))
    g = np.max(np.abs(x - x.mean(axis=1, keepdims=True)), axis=1) / x.std(axis=1, ddof=1)
    assert np.mean(g > outliers.grubbs_critical(8, alpha=0.05)) == pytest.approx(0.05, abs=0.006)


readings = st.integers(-100_000, 100_000).map(lambda n: n / 1000)  # as a balance shows them


@given(st.lists(readings, min_size=4, max_size=12), readings)
@settings(max_examples=50)
def test_a_robust_mean_moves_with_its_numbers_and_stays_among_them(values, shift):
    found = robust.algorithm_a(values)
    assert min(values) - 1e-6 <= found.mean <= max(values) + 1e-6
    moved = robust.algorithm_a([v + shift for v in values])
    assert moved.mean == pytest.approx(found.mean + shift, abs=1e-3 * (1 + found.sd))


def test_one_wild_number_moves_a_robust_mean_little():
    tame = [10.0, 10.1, 9.9, 10.2, 9.8, 10.0, 10.1, 9.9, 10.05]
    wild = [*tame[:-1], 1e6]
    assert robust.algorithm_a(wild).mean == pytest.approx(robust.algorithm_a(tame).mean, abs=0.1)


def test_alike_numbers_have_a_robust_mean():
    found = robust.algorithm_a([5.0] * 6)
    assert (found.mean, found.sd) == (5.0, 0.0)


def test_algorithm_s_finds_the_sd_that_duplicates_were_drawn_with():
    rng = np.random.default_rng(8)
    pairs = rng.normal(0, 0.3, (4000, 2))
    sds = np.abs(pairs[:, 0] - pairs[:, 1]) / math.sqrt(2)
    assert robust.algorithm_s(sds, 1) == pytest.approx(0.3, rel=0.03)


def test_the_duplicate_method_finds_what_was_put_in():
    rng = np.random.default_rng(4)
    n = 6000
    targets = rng.normal(1000, 80, (n, 1))
    samples = targets + rng.normal(0, 50, (n, 2))
    results = samples[:, :, None] + rng.normal(0, 20, (n, 2, 2))
    found = precision.duplicate_method(results.reshape(n, 4))
    assert found.s_analysis == pytest.approx(20, rel=0.03)
    assert found.s_sampling == pytest.approx(50, rel=0.03)
    assert found.s_target == pytest.approx(80, rel=0.04)
