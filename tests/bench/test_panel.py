"""Several batches of one bag: reruns by a rule fixed beforehand, and what is still pending."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haywright.bag.bag import Bag
from haywright.bag.codes import BagCode
from haywright.bench.batch import Batch, CheckMaterial, Equipment, Position, PositionKind
from haywright.bench.panel import merge_results, panel, run_batches
from haywright.measure.errors import Refused
from haywright.measure.estimate import State

CODE = BagCode("HRN", 12)
DAY = date(2026, 9, 22)


def dish(order, kind, sample, tare, powder, dry, *, replicate=1):
    readings = {"dish_g": tare, "dish_powder_g": powder, "dish_dry_g": dry}
    return Position(order, kind, sample, readings, replicate)


def dry_matter(name, *, second=49.8600, rerun_of="", cause=""):
    """One bag in duplicate with a check sample; ``second`` is the duplicate's dry weight."""
    return Batch(
        id=name,
        determination="dry_matter",
        method="one_stage",
        run_on=DAY,
        positions=(
            dish(1, PositionKind.CHECK, "oat check", 48.0, 50.0, 49.84),
            dish(2, PositionKind.BAG, str(CODE), 48.0, 50.0, 49.86),
            dish(3, PositionKind.DUPLICATE, str(CODE), 48.0, 50.0, second, replicate=2),
        ),
        choices={"drying_lab": "oven_105c_3h"},
        equipment=(
            Equipment("balance", "balance 1", DAY, ((50.0, 50.0001),), tolerance=0.001),
            Equipment("oven", "oven 2", DAY, ((105.0, 104.5),)),
        ),
        checks={"oat check": CheckMaterial("oat check", {"lab_dm": 92.0}, {"lab_dm": 0.2})},
        rerun_of=rerun_of,
        rerun_cause=cause,
    )


def bag(**more):
    fields = {"lot": "oats", "cored_on": DAY, "taken": "probe", "tests": ("dm", "nitrate"),
              "bale_count": 20}  # fmt: skip
    return Bag(code=CODE, **(fields | more))


def test_a_good_batch_releases_the_bags_dry_matter():
    (report,) = run_batches([dry_matter("first")])
    found = merge_results([report])[str(CODE)]["dm"]
    assert found.settled
    assert found.value == pytest.approx(93.0)


def test_duplicates_that_differ_hold_the_bag_until_it_is_run_again():
    (report,) = run_batches([dry_matter("first", second=49.80)])
    assert report.held
    assert merge_results([report])[str(CODE)]["dm"].estimate.state is State.HELD


def test_a_rerun_with_its_cause_takes_the_place_of_a_held_result():
    first = dry_matter("first", second=49.80)
    again = dry_matter("again", rerun_of="first", cause="duplicates differed")
    found = merge_results(run_batches([again, first]))[str(CODE)]["dm"]
    assert found.settled
    assert found.report == "again"
    assert [note.key for note in found.notes] == ["bench.note.rerun"]


def test_a_rerun_never_takes_the_place_of_a_result_that_was_in_order():
    first = dry_matter("first")
    again = dry_matter("again", second=49.87, rerun_of="first", cause="asked for by the owner")
    found = merge_results(run_batches([first, again]))[str(CODE)]["dm"]
    assert found.report == "first"
    assert [note.key for note in found.notes] == ["bench.note.first_stands"]


def test_two_batches_of_one_bag_without_a_cause_are_refused():
    with pytest.raises(Refused, match="first"):
        merge_results(run_batches([dry_matter("first"), dry_matter("later")]))


def test_a_rerun_without_a_cause_is_refused():
    with pytest.raises(Refused):
        dry_matter("again", rerun_of="first")


def test_batches_that_replace_each_other_in_a_circle_are_refused():
    one = dry_matter("one", rerun_of="two", cause="x")
    two = dry_matter("two", rerun_of="one", cause="x")
    with pytest.raises(Refused):
        run_batches([one, two])


def test_one_id_for_two_batches_is_refused():
    with pytest.raises(Refused, match="first"):
        run_batches([dry_matter("first"), dry_matter("first")])


def test_what_was_ordered_and_is_not_there_is_pending():
    found = panel(bag(), merge_results(run_batches([dry_matter("first")])))
    assert "nitrate_n" in found.pending
    assert "dm" not in found.pending
    nothing = panel(bag(), {})
    assert set(nothing.pending) >= {"dm", "nitrate_n"}


@settings(max_examples=25, deadline=None)
@given(lost=st.floats(0.0, 0.3), sealed=st.floats(50.0, 500.0))
def test_hay_that_lost_water_on_the_way_was_wetter_when_cored(lost, sealed):
    merged = merge_results(run_batches([dry_matter("first")]))
    own = bag(mass_sealed_g=sealed, mass_received_g=sealed * (1 - lost))
    found = panel(own, merged)
    assert found["dm_cored"].value <= found["dm"].value * (1 + 1e-12)
    # The dry matter itself is the same on both ends.
    at_laboratory = found["dm"].value * sealed * (1 - lost)
    assert found["dm_cored"].value * sealed == pytest.approx(at_laboratory)


def test_the_kept_result_says_how_it_came_about_down_to_the_readings():
    (report,) = run_batches([dry_matter("first")])

    def leaves(evidence):
        inside = [leaf for child in evidence.children for leaf in leaves(child)]
        return inside or [evidence]

    values = {one.value for one in leaves(report.results[str(CODE)][0].evidence)}
    assert {48.0, 50.0, 49.86} <= values


def test_a_batch_is_not_changed_by_working_it():
    batch = dry_matter("first")
    run_batches([batch])
    assert batch == replace(batch)
