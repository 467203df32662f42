"""A reading that no curve explains holds what it concerns, and is never a number or a crash."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest

from haywright.bench import equipment
from haywright.bench.calibration import Model, Weights
from haywright.bench.decide import Verdict
from haywright.bench.findings import Outcome
from haywright.bench.pattern import determination
from haywright.bench.run import run_batch
from haywright.bench.season.judge import VERDICTS, Came, judge
from haywright.bench.season.table import season_of
from haywright.measure.estimate import Estimate, Source, State
from tests.bench import runs
from tests.bench.runs import BAG, LAB_DM, OTHER, VOLUME, K

# A curve that bends over at its top, as a detector does that is nearly blind there.
NOISE = (1e-4, -1e-4, 1e-4, 0, -1e-4, 1e-4)
OUT = 0.9  # no amount gives such a peak: the curve turns at 0.625
OFF = (0, 12, -9, 4, -3, 7, -14, 10, -6, 2, 11, -8, 5, -12, 9, -2, 6, -5, 13, -10, 3, -7)
CALM = tuple(900.0 + one for one in OFF)


def peak(strength):
    return 0.05 * strength - 0.001 * strength * strength


BENT = [
    (K.STANDARD, f"std {c:g}", {"known_mg_per_l": c, "peak": peak(c) + e})
    for c, e in zip((0.5, 2.0, 5.0, 10.0, 15.0, 20.0), NOISE, strict=True)
]


def cup(no3n):
    return {"sample_g": 0.3, "peak": peak(no3n * LAB_DM / 100 * 0.3 / VOLUME), "dilution": 1.0}


def bent(*samples, out=None, blank=0.01, **more):
    """A run on the bent curve; everything of the kind ``out`` reads where no point of it is."""
    made = runs.nitrate(*samples, standards=BENT, **more)
    right = {K.BLANK: peak(blank), K.VERIFICATION: peak(2.0), K.CHECK: cup(900.0)["peak"]}
    positions = tuple(
        replace(one, readings={**one.readings, "peak": OUT if one.kind is out else right[one.kind]})
        if one.kind in right
        else one
        for one in made.positions
    )
    choices = {**made.choices, "curve": "quadratic", "weights": "none"}
    return replace(made, positions=positions, choices=choices)


def run(batch):
    report = run_batch(batch, runs.dried(BAG, OTHER))
    json.dumps(report.to_json(), allow_nan=False)
    return report


def keys(report, outcome=Outcome.FAILED):
    return {one.said.key for one in report.controls if one.outcome is outcome}


BLIND = {**cup(1400.0), "peak": OUT}


@pytest.mark.parametrize("blank", [0.01, 0.4], ids=["low blank", "blank near the lowest standard"])
def test_a_bag_no_curve_reaches_is_above_the_range_and_the_others_go_on(blank):
    batch = bent((K.BAG, BAG, cup(1400.0)), (K.BAG, OTHER, BLIND), blank=blank)
    report = run(batch)
    [found], [beside] = report.results[OTHER], report.results[BAG]
    assert found.estimate.state is State.ABOVE
    assert beside.estimate.state is State.MEASURED
    if blank < 0.1:
        assert beside.value == pytest.approx(1400.0, rel=0.01)


def test_many_runs_judged_at_once_say_the_same_of_it():
    batch = bent((K.BAG, BAG, cup(1400.0)), (K.BAG, OTHER, BLIND), blank=0.4)
    one, many = run(batch), judge(season_of([batch], runs.dried(BAG, OTHER)))
    names = [many.season.names[sample] for sample in many.season.bags.sample]
    assert {bag for bag, above in zip(names, many.above, strict=True) if above} == {OTHER}
    held = {bag for bag, came in zip(names, many.came, strict=True) if came == Came.HELD}
    assert held == {
        bag for bag, found in one.results.items() if found[0].estimate.state is State.HELD
    }


@pytest.mark.parametrize("history", [(), CALM], ids=["new", "charted"])
def test_a_check_sample_no_curve_reaches_is_out_and_never_passes(history):
    batch = bent((K.BAG, BAG, cup(700.0)), out=K.CHECK)
    own = replace(batch.checks["oat check"], history={"nitrate_n": history} if history else {})
    report = run(replace(batch, checks={"oat check": own}))
    assert report.decision.verdict is Verdict.HOLD
    assert keys(report) == {"bench.check.out_of_reach"}


def test_a_check_sample_without_a_standard_deviation_is_not_judged_by_one():
    batch = bent((K.BAG, BAG, cup(700.0)))
    own = replace(batch.checks["oat check"], between_runs={"nitrate_n": 0.0})
    assert keys(run(replace(batch, checks={"oat check": own}))) == {"bench.check.no_sd"}


def test_a_blank_no_curve_reaches_holds_the_run():
    report = run(bent((K.BAG, BAG, cup(700.0)), out=K.BLANK))
    assert report.decision.verdict is Verdict.HOLD
    assert "bench.blank.above_lowest" in keys(report)


def test_a_spike_no_curve_reaches_is_told_and_its_bag_stays():
    spiked = {**BLIND, "spike_ml": 1.0, "spike_mg_per_l": 100.0}
    report = run(bent((K.BAG, BAG, cup(700.0)), (K.SPIKE, BAG, spiked)))
    assert "bench.spike.out_of_reach" in keys(report, Outcome.WARNED)
    assert report.results[BAG][0].estimate.state is State.MEASURED


def test_a_continuing_check_no_curve_reaches_holds_what_stands_beside_it():
    report = run(bent((K.BAG, BAG, cup(700.0)), out=K.VERIFICATION))
    assert "bench.verification.unreadable" in keys(report, Outcome.WARNED)
    assert report.results[BAG][0].estimate.state is State.HELD


def changed(made, kind, **readings):
    positions = tuple(
        replace(one, readings={**one.readings, **readings}) if one.kind is kind else one
        for one in made.positions
    )
    return replace(made, positions=positions)


def test_a_continuing_check_of_no_strength_is_named_and_holds_what_stands_beside_it():
    made = runs.nitrate((K.BAG, BAG, runs.cup(700.0)))
    report = run(changed(made, K.VERIFICATION, known_mg_per_l=0.0))
    assert "bench.verification.no_strength" in keys(report, Outcome.WARNED)
    assert report.results[BAG][0].estimate.state is State.HELD


# Thirds and tenths leave a slope of rounding alone, zeros one of exactly nothing.
@pytest.mark.parametrize("signal", [0.0, 0.4, 1 / 3])
@pytest.mark.parametrize("weights", list(Weights))
@pytest.mark.parametrize("curve", list(Model))
def test_standards_of_one_signal_are_told_whatever_curve_was_asked_for(curve, weights, signal):
    made = runs.nitrate((K.BAG, BAG, runs.cup(700.0)))
    flat = changed(made, K.STANDARD, peak=signal)
    report = run(replace(flat, choices={**flat.choices, "curve": curve, "weights": weights}))
    assert report.decision.verdict is Verdict.HOLD
    assert "bench.fit.flat" in keys(report)
    many = judge(season_of([report.batch], runs.dried(BAG)))
    assert VERDICTS[many.verdict[0]] is Verdict.HOLD
    assert not many.curves.drawn.any()


def test_a_pure_compound_that_reads_like_a_blank_is_told():
    made = runs.combustion((K.BAG, BAG, runs.burnt(2.0, lab_dm=LAB_DM)))
    report = run(changed(made, K.STANDARD, area=runs.BLANK_AREA))
    assert report.decision.verdict is Verdict.HOLD
    assert "bench.blank.above_compound" in keys(report)


def test_a_drift_check_that_reads_like_a_blank_holds_what_stands_beside_it():
    made = runs.combustion((K.BAG, BAG, runs.burnt(2.0, lab_dm=LAB_DM)))
    report = run(changed(made, K.VERIFICATION, area=runs.BLANK_AREA))
    assert "bench.drift.no_signal" in keys(report, Outcome.WARNED)
    assert all(one.estimate.state is State.HELD for one in report.results[BAG])


def test_a_balance_whose_check_is_no_number_is_out():
    broken = replace(runs.BALANCE, checks=((50.0, math.nan),))
    batch = runs.nitrate(equipment=(broken, runs.DISPENSER, runs.REAGENT))
    method = determination("nitrate").method("flow_injection")
    found = equipment.judge(batch, method)
    said = [one.said.key for one in found if one.outcome is Outcome.FAILED]
    assert said == ["bench.equipment.out"]


def test_one_name_with_other_degrees_of_freedom_is_another_source():
    spring, autumn = Source("bias:cp", "bias", 5.0), Source("bias:cp", "bias", 12.0)
    early, late = Estimate.of(10.0, {spring: 0.2}), Estimate.of(11.0, {autumn: 0.3})
    assert late.df == pytest.approx(12.0)
    assert early.df == pytest.approx(5.0)
    assert (late - early).u == pytest.approx((0.2**2 + 0.3**2) ** 0.5)
    assert (late - late).u == 0.0
    both = late + early
    back = Estimate.from_json(json.loads(json.dumps(both.to_json())))
    assert (back.u, back.df) == (pytest.approx(both.u), pytest.approx(both.df))
    # What came back is still the same sources: it cancels to nothing.
    assert (back - both).u == 0.0
