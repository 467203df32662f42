"""Nitrate by electrode: the truth comes back, and a worn electrode or chloride is told."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.bench.electrode import chloride_share, nernst_slope
from haywright.bench.findings import Outcome
from haywright.bench.run import run_batch
from haywright.measure.estimate import State
from haywright.measure.nitrate import NitrateForm
from tests.bench.electrode_run import electrode, electrode_cup, potential
from tests.bench.runs import BAG, K, dried


def pair(no3n, **more):
    cup = electrode_cup(no3n, **more)
    return [(K.BAG, BAG, cup), (K.DUPLICATE, BAG, cup, 2)]


def worked(*samples, **more):
    return run_batch(electrode(*samples, **more), dried(BAG))


def kinds(report, outcome):
    return {c.said.key for c in report.controls if c.outcome is outcome}


def test_the_slope_of_theory_is_the_one_electrode_manuals_print():
    # 59.16 mV per decade at 25 degC and 58.16 at 20 degC: usual printed figures (from memory).
    assert nernst_slope(25.0) == pytest.approx(-59.16, abs=0.005)
    assert nernst_slope(20.0) == pytest.approx(-58.16, abs=0.01)


@given(no3n=st.floats(100.0, 4500.0))
def test_the_nitrate_that_was_in_the_hay_comes_back(no3n):
    exact = electrode(*pair(no3n), noise=(0.0,) * 5)
    found = run_batch(exact, dried(BAG)).results[BAG][0]
    assert found.value == pytest.approx(no3n, rel=1e-6)


def test_form_and_method_stand_with_the_number():
    found = worked(*pair(1400.0)).results[BAG][0]
    assert found.form is NitrateForm.NO3_N
    assert "electrode" in found.method
    assert "water" in found.method


@pytest.mark.parametrize("slope", [0.85, 1.08])
def test_an_electrode_far_off_its_slope_holds_the_batch(slope):
    report = worked(*pair(1400.0), slope=slope)
    assert "bench_more.electrode.slope_off" in kinds(report, Outcome.FAILED)
    assert report.held


def test_two_standards_swapped_hold_the_batch():
    right = electrode(*pair(1400.0))
    first, second = right.positions[1], right.positions[2]
    swapped = {1: replace(first, readings={**first.readings, "known_mg_per_l": 20.0}),
               2: replace(second, readings={**second.readings, "known_mg_per_l": 5.0})}  # fmt: skip
    positions = tuple(swapped.get(i, p) for i, p in enumerate(right.positions))
    report = run_batch(replace(right, positions=positions), dried(BAG))
    assert report.held
    assert "bench_more.electrode.order" in kinds(report, Outcome.FAILED)


def test_hay_above_the_highest_standard_is_only_known_to_be_above():
    found = worked(*pair(9000.0)).results[BAG][0]
    assert found.estimate.state is State.ABOVE
    assert not found.settled


def test_chloride_that_was_not_read_is_told():
    assert "bench_more.electrode.chloride_unknown" in kinds(
        worked(*pair(1400.0)), Outcome.NOT_JUDGED
    )


def test_an_adjuster_with_silver_takes_chloride_out():
    choices = electrode(*pair(1.0)).choices | {"ionic_strength_adjuster": "aluminum_silver_sulfate"}
    report = worked(*pair(1400.0), choices=choices)
    assert not {c.kind for c in report.controls} & {"chloride"}


def test_much_chloride_is_told_with_what_it_pretends():
    choices = electrode(*pair(1.0)).choices | {"chloride_selectivity": 0.02}
    report = worked(*pair(300.0, chloride=250.0), choices=choices)
    assert "bench_more.electrode.chloride" in kinds(report, Outcome.WARNED)


@given(k=st.floats(1e-4, 0.1), chloride=st.floats(1.0, 1000.0), read=st.floats(1.0, 100.0))
def test_chloride_pretends_in_proportion_to_itself_and_against_the_nitrate(k, chloride, read):
    one = chloride_share(k, chloride, read)
    assert chloride_share(k, 2.0 * chloride, read) == pytest.approx(2.0 * one)
    assert chloride_share(k, chloride, 2.0 * read) == pytest.approx(one / 2.0)


def test_a_blank_is_judged_and_never_taken_off():
    clean = worked(*pair(1400.0)).results[BAG][0].value
    right = electrode(*pair(1400.0))
    dirty = tuple(
        replace(p, readings={"potential_mv": potential(0.9)}) if p.kind is K.BLANK else p
        for p in right.positions
    )
    report = run_batch(replace(right, positions=dirty), dried(BAG))
    assert report.results[BAG][0].value == clean
    far = tuple(
        replace(p, readings={"potential_mv": potential(3.0)}) if p.kind is K.BLANK else p
        for p in right.positions
    )
    assert run_batch(replace(right, positions=far), dried(BAG)).held
