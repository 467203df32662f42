"""Nitrate from peaks: the truth comes back, and nothing is let out that the run does not carry."""

from __future__ import annotations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from haywright.bench.findings import Outcome
from haywright.bench.run import run_batch
from haywright.measure.estimate import State
from haywright.measure.nitrate import NitrateForm
from tests.bench.runs import BAG, DAY, OTHER, STRENGTHS, K, cup, dried, nitrate, peak


def worked(*samples, **more):
    return run_batch(nitrate(*samples, **more), dried(BAG, OTHER))


def of(report, bag=BAG):
    return {one.analyte: one for one in report.results[bag]}["nitrate_n"]


def pair(no3n, other=None, **more):
    return (
        (K.BAG, BAG, cup(no3n, **more)),
        (K.DUPLICATE, BAG, cup(no3n if other is None else other, **more), 2),
    )


def failures(report):
    return {c.said.key for c in report.controls if c.outcome is Outcome.FAILED}


def test_the_nitrate_that_was_in_the_hay_comes_back():
    found = of(worked(*pair(800.0)))
    assert found.value == pytest.approx(800.0, rel=0.01)
    assert found.form is NitrateForm.NO3_N
    assert str(found.basis) == "dry matter"
    assert 0 < found.estimate.u < 200.0


@settings(deadline=None, max_examples=30)
@given(no3n=st.floats(80.0, 900.0), grams=st.floats(0.25, 0.6), dilution=st.floats(1.0, 20.0))
def test_dilution_and_portion_do_not_change_what_is_found(no3n, grams, dilution):
    report = worked(*pair(no3n, grams=grams, dilution=dilution))
    found = of(report).estimate
    assume(found.settled)
    low, high = found.interval(0.99)
    assert low <= no3n <= high


def test_hay_above_the_highest_standard_is_only_known_to_be_above():
    report = worked(*pair(5000.0))
    found = of(report).estimate
    assert found.state is State.ABOVE
    assert found.limit.value < 5000.0
    assert (BAG, "nitrate_n") in report.decision.beyond
    assert BAG not in report.decision.released


def test_a_diluted_second_reading_takes_the_place_of_one_above_the_range():
    report = worked(
        (K.BAG, BAG, cup(5000.0), 1, 1),
        (K.BAG, BAG, cup(5000.0, dilution=10.0), 1, 2),
    )
    assert of(report).estimate.state is State.MEASURED
    assert of(report).value == pytest.approx(5000.0, rel=0.02)


def test_hay_below_the_lowest_standard_is_known_to_be_below_and_its_reading_is_kept():
    found = of(worked(*pair(10.0))).estimate
    assert found.state is State.BELOW
    assert found.limit.value > 10.0
    assert found.value != 0.0


def test_duplicates_that_differ_hold_their_bag_and_no_other():
    report = worked(*pair(800.0, 400.0), (K.BAG, OTHER, cup(700.0)))
    assert of(report).estimate.state is State.HELD
    assert of(report, OTHER).estimate.state is State.MEASURED
    assert "bench.duplicate.differ" in failures(report)
    assert report.decision.verdict.name == "IN_PART"


def test_standards_that_are_swapped_hold_the_batch():
    swapped = [
        (K.STANDARD, f"std {c:g}", {"known_mg_per_l": c, "peak": peak(read)})
        for c, read in zip(STRENGTHS, (0.5, 2.0, 1.0, 5.0, 10.0), strict=True)
    ]
    report = worked(*pair(800.0), standards=swapped)
    assert report.held
    assert "bench.standards.order" in failures(report)


def test_a_blank_above_the_lowest_standard_holds_the_batch():
    report = worked(*pair(800.0), blank=0.9)
    assert "bench.blank.above_lowest" in failures(report)


def test_a_check_sample_far_off_its_value_holds_the_batch():
    from dataclasses import replace

    batch = nitrate(*pair(800.0))
    off = tuple(
        replace(p, readings=cup(1100.0)) if p.kind is K.CHECK else p for p in batch.positions
    )
    report = run_batch(replace(batch, positions=off), dried(BAG))
    assert report.held
    assert "bench.check.beyond" in failures(report)


def test_a_run_that_ends_without_its_closing_check_holds_what_came_after_the_last_good_one():
    from dataclasses import replace

    batch = nitrate(*pair(800.0))
    report = run_batch(replace(batch, positions=batch.positions[:-1]), dried(BAG))
    assert of(report).estimate.state is State.HELD


def test_a_balance_that_was_not_checked_holds_the_batch():
    from tests.bench.runs import DISPENSER, REAGENT

    report = worked(*pair(800.0), equipment=(DISPENSER, REAGENT))
    assert report.held


def test_without_the_laboratory_dry_matter_nothing_is_given_on_dry_matter():
    report = run_batch(nitrate(*pair(800.0)))
    assert not report.results[BAG]
    assert report.decision.waiting[BAG] == ("lab_dm",)


def test_one_extract_read_twice_shares_what_its_batch_shares():
    report = worked((K.BAG, BAG, cup(800.0)), (K.BAG, OTHER, cup(800.0)))
    one, other = of(report).estimate, of(report, OTHER).estimate
    # The laboratory's bias and the curve cancel between two bags of one run.
    assert (one - other).u < (one.u**2 + other.u**2) ** 0.5


def test_the_report_goes_to_json_and_back():
    import json

    from haywright.measure.result import Result

    report = worked(*pair(800.0))
    data = json.loads(json.dumps(report.to_json(), allow_nan=False))
    again = [Result.from_json(one) for one in data["results"][BAG]]
    assert again[0].value == of(report).value
    assert again[0].estimate.u == pytest.approx(of(report).estimate.u)
    assert DAY.isoformat() == data["run_on"]
