"""Drift along a combustion run: corrected between checks inside its limit, else held."""

from __future__ import annotations

import pytest

from haywright.bench.run import run_batch
from tests.bench.runs import BAG, OTHER, K, burnt, combustion, dried

COMPOUND_N = 9.58612


def drifted(*, first=1.0, second=1.0):
    """Two checks of the pure compound around two bags that hold 2 % nitrogen of dry matter."""
    return combustion(
        (K.VERIFICATION, "edta", burnt(COMPOUND_N / first, mg=99.0)),
        (K.BAG, BAG, burnt(2.0, lab_dm=93.4)),
        (K.BAG, OTHER, burnt(2.0, lab_dm=93.4)),
        drift=second,
    )


def nitrogen(report, bag):
    return next(one for one in report.results[bag] if one.analyte == "n")


def test_between_two_checks_drift_grows_on_a_straight_line():
    report = run_batch(drifted(first=1.0, second=1.015), dried(BAG, OTHER))
    one, other = nitrogen(report, BAG).value, nitrogen(report, OTHER).value
    assert one == pytest.approx(2.0 * 1.005, rel=1e-4)
    assert other == pytest.approx(2.0 * 1.010, rel=1e-4)


def test_what_lies_next_to_a_check_that_drifted_too_far_is_held():
    report = run_batch(drifted(first=1.0, second=1.03), dried(BAG, OTHER))
    assert report.held
    assert any(c.kind == "drift" and c.outcome.value == "warned" for c in report.controls)
