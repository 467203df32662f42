"""The demo's bench days: every determination once, one run held whole, rerun and released."""

from __future__ import annotations

import pytest

from haywright.bench.decide import Verdict
from haywright.bench.panel import merge_results, run_batches
from haywright.bench.pattern import determinations
from haywright.bench.powder import left, used_by_bag
from haywright.bench.rerun import changed
from haywright.cli.tour_bench import bench_lines, held_still
from haywright.files.office import demo_folder, read_office
from haywright.measure.estimate import State
from haywright.words import Reader, say


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


def test_a_batch_of_either_nitrogen_and_either_nitrate_stands_in_the_days(reports):
    run = {(one.batch.determination, one.batch.method) for one in reports.values()}
    assert {
        ("nitrogen", "combustion"),
        ("nitrogen", "kjeldahl"),
        ("nitrate", "flow_injection"),
        ("nitrate_electrode", "electrode"),
    } <= run


def test_the_powder_of_every_bag_lasts_for_all_its_batches_and_the_share_kept_back(reports):
    [ground] = [one.batch for one in reports.values() if one.batch.determination == "dry_matter"]
    used = dict.fromkeys(ground.powder, 0.0)
    for one in reports.values():
        for bag, mass in used_by_bag(one.batch, one.method).items():
            used[bag] += mass
    assert set(used) == set(ground.bags)
    last = {}
    for one in reports.values():
        last |= left(one.batch, one.method)
    for bag, mass in used.items():
        assert last[bag] == pytest.approx(ground.powder[bag] - mass)
        assert last[bag] > 5.0  # what is kept back for the client, common practice


def told(reports):
    changes = changed([one.batch for one in reports], reports)
    return [say(one, Reader()) for one in bench_lines(reports, changes)]


def test_the_day_is_told_with_controls_the_held_run_its_cause_and_before_and_after(reports):
    lines = told(list(reports.values()))
    start = next(k for k, one in enumerate(lines) if "09-16-nitrate-electrode:" in one)
    run = lines[start : start + 8]
    assert any("In order:" in one and "check sample" in one for one in run)
    assert any("Out: slope of the electrode." in one for one in run)
    assert any("HELD" in one for one in run)
    assert any(one.strip().startswith("Held: The electrode falls") for one in run)
    assert any("Enough." in one for one in run)
    [now] = [one for one in lines if "SVH-0037-10" in one and "before the rerun" in one]
    assert "before the rerun held, now" in now
    assert lines[-1].strip() == "Nothing is held any longer."


def test_a_day_without_the_rerun_ends_with_what_is_still_held(reports):
    some = [one for one in reports.values() if not one.batch.rerun_of]
    assert held_still(some) == ("2026-09-14-ndf", "2026-09-16-nitrate-electrode")
    assert "2026-09-16-nitrate-electrode" in told(some)[-1]
