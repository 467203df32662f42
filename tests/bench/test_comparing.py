"""Laboratories, results and limits held against one another."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.bench import compare, conformity, permitted, proficiency, topdown
from haywright.measure.errors import Refused, UnknownName
from haywright.measure.estimate import Estimate, Source


def test_two_laboratories_on_one_powder_differ_by_more_than_allowed_in_5_of_100():
    rng = np.random.default_rng(12)
    s_r, s_l, n = 0.35, 0.83, 40_000
    bias = rng.normal(0, s_l, (n, 2))
    means = bias + rng.normal(0, s_r, (n, 2, 2)).mean(axis=2)
    s_both = float(np.hypot(s_r, s_l))
    allowed = float(compare.critical_difference(s_r, s_both, 2, 2))
    # 2.8 stands for 2.77, so a little under 5.
    assert np.mean(np.abs(means[:, 0] - means[:, 1]) > allowed) == pytest.approx(0.048, abs=0.006)


def test_the_bias_of_one_laboratory_cancels_between_two_of_its_results():
    bias = Source("bias:valley:adf")
    one = Estimate.of(32.0, {bias: 0.9, Source("repeat:1"): 0.3})
    other = Estimate.of(33.2, {bias: 0.9, Source("repeat:2"): 0.3})
    found = compare.results(one, other)
    assert found.half_width == pytest.approx(1.96 * 0.3 * 2**0.5, rel=1e-3)
    assert found.differ
    assert compare.results(one, Estimate.below(10, "LOQ", raw=3)) is None


def test_a_lot_truly_at_the_limit_passes_in_5_of_100_cases():
    rng = np.random.default_rng(13)
    found = 1000 * (1 + rng.normal(0, 0.10, 40_000))
    passed = found <= conformity.acceptance_limit(1000, 0.10)
    assert passed.mean() == pytest.approx(0.05, abs=0.004)


@given(st.floats(0, 5000), st.floats(0.01, 0.4))
def test_a_result_stands_on_one_side_of_its_guards(found, u):
    held = conformity.guarded(found, 1000.0, u_relative=u)
    assert held.acceptance < 1000 < held.rejection
    assert (held.standing is conformity.Standing.BELOW) == (found <= held.acceptance)


def test_packs_that_are_alike_pass_and_packs_that_are_not_fail():
    rng = np.random.default_rng(14)
    alike = rng.normal(18, 0.1, (12, 2))
    apart = rng.normal(18, 1.0, (12, 1)) + rng.normal(0, 0.1, (12, 2))
    assert proficiency.homogeneity([tuple(p) for p in alike], 0.5).sufficient
    assert not proficiency.homogeneity([tuple(p) for p in apart], 0.5).sufficient


@pytest.mark.parametrize(
    ("score", "called"),
    [
        (2.0, "satisfactory"),
        (-2.01, "questionable"),
        (3.0, "unsatisfactory"),
        (-8, "unsatisfactory"),
    ],
)
def test_scores_are_called_as_iso_13528_calls_them(score, called):
    assert proficiency.call(score).value == called


# Nevada Administrative Code 587.620 as printed.
@pytest.mark.parametrize(
    ("analyte", "level", "tolerance"),
    [("protein", 4.0, 0.4), ("protein", 10.0, 0.4), ("protein", 31.0, 1.0), ("fiber", 20.0, 0.8),
     ("fat", 3.0, 0.5), ("ash", 8.0, 0.6), ("ca", 5.0, 0.3), ("p", 18.0, 0.7), ("salt", 12.0, 1.5)],
)  # fmt: skip
def test_nevada_tolerances_are_as_printed(analyte, level, tolerance):
    assert permitted.nevada_tolerance(analyte, level) == tolerance


# Northern Ireland SR 1992/270, Schedule 3.
@pytest.mark.parametrize(
    ("analyte", "declared", "excess"),
    [("fiber", 12.0, 1.8), ("ash", 12.0, 2.0), ("ash", 8.0, 1.6), ("ash", 3.0, 1.0)],
)
def test_excess_let_pass_is_as_printed(analyte, declared, excess):
    assert permitted.excess_let_pass(analyte, declared) == pytest.approx(excess)


def test_tables_of_permitted_variation_disagree_at_16_percent_protein():
    relative = permitted.aafco_variation("protein", 16.0)
    lowest = permitted.lowest_passing(16.0, relative)
    assert 16.0 - lowest == pytest.approx(0.52)
    assert permitted.nevada_tolerance("protein", 16.0) == 0.6


def test_an_analyte_or_level_without_a_row_is_refused():
    with pytest.raises(UnknownName):
        permitted.nevada_tolerance("zinc", 3.0)
    with pytest.raises(Refused):
        permitted.nevada_tolerance("protein", 130.0)
    with pytest.raises(Refused):
        permitted.aafco_variation("protein", 0.0)


def test_half_widths_become_the_standard_uncertainties_of_their_shapes():
    rng = np.random.default_rng(15)
    n = 400_000
    flat, peaked = rng.uniform(-1, 1, n), rng.triangular(-1, 0, 1, n)
    swing = np.sin(rng.uniform(0, 2 * np.pi, n))
    found = topdown.rectangular(1), topdown.triangular(1), topdown.arcsine(1)
    assert found == pytest.approx((flat.std(), peaked.std(), swing.std()), rel=0.005)


def test_bias_of_one_material_takes_in_how_well_it_is_known():
    found = topdown.from_one_material(0.2, 0.1, 0.3, 9, u_reference=0.05)
    assert found.bias == pytest.approx((0.1**2 + 0.1**2 + 0.05**2) ** 0.5)
    assert found.expanded == pytest.approx(2 * (0.2**2 + found.bias**2) ** 0.5)


def test_a_prediction_error_holds_bias_and_scatter():
    found = compare.prediction_bias(0.28, 0.55, 20)
    assert found.rmsep**2 == pytest.approx(0.28**2 + 0.55**2 * 19 / 20)
