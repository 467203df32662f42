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


def test_three_high_cups_before_three_blanks_tell_what_a_cup_leaves_in_the_next():
    from dataclasses import replace

    from haywright.bench.run import run_batch
    from tests.bench import runs
    from tests.bench.runs import BAG, K, cup, run_of

    def run(left):
        high, nothing = runs.peak(20.0), runs.peak(0.0)
        rows = [(K.STANDARD, "std 20", {"known_mg_per_l": 20.0, "peak": high})] * 3
        blank = [nothing + left * (high - nothing), nothing + left**2 * (high - nothing), nothing]
        rows += [(K.BLANK, "wash", {"peak": one}) for one in blank]
        made = runs.nitrate((K.BAG, BAG, cup(1400.0)))
        own = [
            (p.kind, p.sample, dict(p.readings), p.replicate)
            for p in made.positions
            if p.kind is not K.BLANK
        ]
        report = run_batch(replace(made, positions=run_of([*rows, *own])), runs.dried(BAG))
        return [(c.outcome.name, c.value) for c in report.controls if c.kind == "carry_over"]

    ((outcome, share),) = run(0.004)
    assert outcome == "PASSED"
    assert abs(share - 0.4) < 0.01
    ((outcome, share),) = run(0.03)
    assert outcome == "WARNED"
