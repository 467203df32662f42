"""A held parent holds its children; a rerun parent recomputes them, before and after shown."""

from __future__ import annotations

from dataclasses import replace

import pytest

from haywright.bench.panel import merge_results, run_batches
from haywright.bench.rerun import changed
from haywright.measure.estimate import State
from haywright.words import say
from tests.bench.every_run import TRUTH, ash, in_crucibles, lignin, two_stage
from tests.bench.runs import BAG, K


def drier(batch, by, *, kinds=(K.BAG, K.DUPLICATE)):
    """The same batch with so much more lost in the oven from its bag [g]."""
    return replace(
        batch,
        positions=tuple(
            replace(p, readings={**p.readings, "dish_dry_g": p.readings["dish_dry_g"] - by})
            if p.kind in kinds
            else p
            for p in batch.positions
        ),
    )


FIRST = drier(two_stage(), 0.03, kinds=(K.DUPLICATE,))
AGAIN = replace(
    drier(two_stage(), 0.01), id="dm-again", rerun_of=FIRST.id, rerun_cause="duplicates differed"
)
CHILDREN = (ash(), in_crucibles("adf"), lignin())


def test_a_held_dry_matter_holds_all_that_divides_by_it():
    merged = merge_results(run_batches([FIRST, *CHILDREN]))[BAG]
    for name in ("lab_dm", "ash", "adf", "lignin"):
        assert merged[name].estimate.state is State.HELD, name


def test_a_held_adf_holds_its_lignin_and_nothing_else():
    unchecked = replace(in_crucibles("adf"), equipment=())
    merged = merge_results(run_batches([two_stage(), unchecked, lignin(), ash()]))[BAG]
    assert merged["adf"].estimate.state is State.HELD
    assert merged["lignin"].estimate.state is State.HELD
    assert merged["ash"].settled


def test_a_rerun_parent_frees_its_children_whatever_the_order_of_the_files():
    for batches in ([FIRST, AGAIN, *CHILDREN], [*CHILDREN, AGAIN, FIRST]):
        merged = merge_results(run_batches(batches))[BAG]
        assert all(merged[n].settled for n in ("lab_dm", "ash", "adf", "lignin"))


def test_children_of_a_rerun_are_shown_before_and_after():
    batches = [FIRST, AGAIN, *CHILDREN]
    reports = run_batches(batches)
    found = {one.after.analyte: one for one in changed(batches, reports)}
    assert {"lab_dm", "ash", "adf", "lignin"} <= set(found)
    assert found["lab_dm"].parent
    assert not found["ash"].parent
    ash_changed = found["ash"]
    assert ash_changed.before.estimate.state is State.HELD
    # Four portions count: the two that differed and the two that were run again.
    lab_dm = found["lab_dm"].after.value
    assert ash_changed.after.value == pytest.approx(TRUTH["ash"] * TRUTH["lab_dm"] / lab_dm)
    assert "held" in say(ash_changed.said())


def test_a_batch_without_reruns_changes_nothing():
    batches = [two_stage(), *CHILDREN]
    assert changed(batches, run_batches(batches)) == ()


def test_a_rerun_whose_first_was_in_order_changes_nothing():
    again = replace(AGAIN, rerun_of=two_stage().id)
    batches = [two_stage(), again, *CHILDREN]
    assert changed(batches, run_batches(batches)) == ()
