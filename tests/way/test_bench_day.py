"""The demo's bench days: every determination once, one run held whole, rerun and released."""

from __future__ import annotations

import pytest

from haywright.bench.decide import Verdict
from haywright.bench.panel import merge_results, run_batches
from haywright.bench.pattern import determinations
from haywright.files.office import demo_folder, read_office
from haywright.measure.estimate import State


@pytest.fixture(scope="module")
def reports():
    return {one.batch.id: one for one in run_batches(read_office(demo_folder()).batches)}


def test_every_determination_has_its_batch(reports):
    run = {one.batch.determination for one in reports.values()}
    assert run == set(determinations())


def test_a_run_whose_control_failed_is_held_whole_rerun_and_released(reports):
    held = [one for one in reports.values() if one.decision.verdict is Verdict.HOLD]
    assert len(held) == 1
    again = [one for one in reports.values() if one.batch.rerun_of == held[0].batch.id]
    assert [one.decision.verdict for one in again] == [Verdict.RELEASE]
    assert all(
        one.estimate.state is State.HELD for results in held[0].results.values() for one in results
    )
    merged = merge_results(reports.values())
    for bag, results in again[0].results.items():
        for one in results:
            assert merged[bag][one.analyte].value == one.value


def test_a_prediction_stands_beside_what_was_measured_and_never_in_its_place(reports):
    predicted = next(one for one in reports.values() if one.batch.determination == "near_infrared")
    merged = merge_results(reports.values())
    for bag, results in predicted.results.items():
        for one in results:
            assert merged[bag][one.analyte].value != one.value, (bag, one.analyte)
