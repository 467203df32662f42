"""Minerals by ICP: each blank at its own dilution, one digest for all elements."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haywright.bench.run import run_batch
from haywright.measure.estimate import State
from tests.bench.runs import BAG, K, digest, dried, minerals


def found(*samples, **more):
    report = run_batch(minerals(*samples, **more), dried(BAG))
    return report, {one.analyte: one for one in report.results[BAG]}


@settings(deadline=None, max_examples=25)
@given(
    ca=st.floats(0.2, 2.0),
    cu=st.floats(3.0, 20.0),
    dilution=st.floats(1.0, 20.0),
    blank=st.floats(0.0, 0.002),
)
def test_minerals_come_back_whatever_the_dilution_and_the_blank(ca, cu, dilution, blank):
    made = digest(ca=ca, cu=cu, dilution=dilution, blank=blank)
    _, results = found((K.BAG, BAG, made), blank=blank)
    assert results["ca"].value == pytest.approx(ca, rel=1e-9)
    assert results["cu"].value == pytest.approx(cu, rel=1e-9)
    assert (results["ca"].unit, results["cu"].unit) == ("%", "mg/kg")


def test_the_doubt_of_a_mineral_is_that_of_its_level():
    _, results = found((K.BAG, BAG, digest(ca=0.5, cu=6.0)))
    # Horwitz, AOAC Appendix F: 4 % between laboratories at 1 %, 16 % at 1 mg/kg.
    assert 0.04 < results["ca"].estimate.u / 0.5 < 0.08
    assert 0.08 < results["cu"].estimate.u / 6.0 < 0.16


def test_a_ratio_of_two_minerals_is_surer_than_two_digests_would_make_it():
    _, results = found((K.BAG, BAG, digest(ca=0.5, k=1.8)))
    ratio = results["ca"].estimate / results["k"].estimate
    apart = sum((results[e].estimate.u / results[e].value) ** 2 for e in ("ca", "k")) ** 0.5
    assert ratio.u / ratio.value < apart


def test_duplicates_are_judged_in_the_unit_of_the_result():
    same = (K.BAG, BAG, digest(ca=0.50)), (K.DUPLICATE, BAG, digest(ca=0.51), 2)
    assert found(*same)[1]["ca"].settled
    apart = (K.BAG, BAG, digest(ca=0.50)), (K.DUPLICATE, BAG, digest(ca=0.90), 2)
    assert found(*apart)[1]["ca"].estimate.state is State.HELD


def test_a_trace_below_what_the_laboratory_can_tell_is_below_and_keeps_its_reading():
    limits = {"cu_quantitation_mg_per_l": 0.1}
    _, results = found((K.BAG, BAG, digest(ca=0.5, cu=3.0)), limits=limits)
    assert results["cu"].estimate.state is State.BELOW
    assert results["cu"].value == pytest.approx(3.0)
    assert results["ca"].settled


def test_a_solution_that_reads_far_off_holds_its_own_element_alone():
    from dataclasses import replace

    batch = minerals((K.BAG, BAG, digest(ca=0.5, cu=6.0)))
    off = tuple(
        replace(p, readings=dict(p.readings) | {"cu_mg_per_l": 1.4})
        if p.kind is K.VERIFICATION
        else p
        for p in batch.positions
    )
    report = run_batch(replace(batch, positions=off), dried(BAG))
    states = {one.analyte: one.estimate.state for one in report.results[BAG]}
    assert states["cu"] is State.HELD
    assert states["ca"] is State.MEASURED
