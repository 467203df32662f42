"""Predictions and other laboratories' results enter as what they are and are never mixed in."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from haywright.bag.bag import Bag
from haywright.bag.codes import BagCode
from haywright.bench.panel import merge_results, panel, run_batches
from haywright.bench.pattern import determination
from haywright.bench.predictions import check_predictions
from haywright.bench.run import run_batch
from haywright.measure.errors import Refused
from haywright.measure.estimate import Estimate, State
from haywright.measure.result import Kind, Result
from tests.bench.every_run import in_crucibles, lignin, near_infrared, two_stage
from tests.bench.runs import BAG, DAY, LAB_DM, dried


def test_a_prediction_says_that_it_is_one_and_which_calibration_made_it():
    found = {one.analyte: one for one in run_batch(near_infrared()).results[BAG]}
    assert {one.kind for one in found.values()} == {Kind.PREDICTED}
    assert "valley hay 3" in found["adf"].method


def test_neither_nitrate_nor_minerals_are_predicted():
    names = set(determination("near_infrared").method("reflectance").analytes())
    assert names
    assert not names & {"nitrate_n", *determination("minerals").method("icp").analytes()}


def test_a_prediction_without_its_error_is_held():
    report = run_batch(replace(near_infrared(), scatter={}))
    assert report.held
    assert {one.estimate.state for one in report.results[BAG]} == {State.HELD}


def test_hay_the_calibration_does_not_know_is_held_and_sent_to_wet_chemistry():
    made = near_infrared()
    far = tuple(replace(p, readings={**p.readings, "global_distance": 5.0}) for p in made.positions)
    report = run_batch(replace(made, positions=far, limits={"global_distance_most": 3.0}))
    assert report.held
    assert [m.key for m in report.decision.reruns] == ["bench_more.rerun.wet"]


def test_the_bias_found_is_taken_off():
    plain = run_batch(near_infrared()).results[BAG]
    moved = run_batch(replace(near_infrared(), limits={"adf_bias": 0.7})).results[BAG]
    by_name = {one.analyte: one.value for one in plain}
    assert {o.analyte: round(by_name[o.analyte] - o.value, 9) for o in moved}["adf"] == 0.7


def test_wet_chemistry_stands_and_the_prediction_is_told_beside_it():
    reports = run_batches([two_stage(), in_crucibles("adf"), near_infrared()])
    results = merge_results(reports)[BAG]
    adf = results["adf"]
    assert adf.kind is Kind.MEASURED
    wet = next(r for r in reports if r.batch.determination == "adf")
    assert adf.value == next(o.value for o in wet.results[BAG] if o.analyte == "adf")
    assert "bench_more.note.beside" in {note.key for note in adf.notes}
    assert results["cp"].kind is Kind.PREDICTED


def test_a_prediction_never_fills_in_for_a_measurement_that_is_held():
    wet = replace(in_crucibles("adf"), equipment=())
    results = merge_results(run_batches([two_stage(), wet, near_infrared()]))[BAG]
    assert results["adf"].estimate.state is State.HELD
    assert results["adf"].kind is Kind.MEASURED


def test_a_prediction_is_no_rerun_of_a_measurement():
    again = replace(
        near_infrared(),
        rerun_of="adf-crucible",
        rerun_cause="a quicker way",
        run_on=near_infrared().run_on + timedelta(days=1),
    )
    with pytest.raises(Refused, match="other_kind"):
        merge_results(run_batches([two_stage(), in_crucibles("adf"), again]))


@pytest.mark.parametrize("kind", [Kind.PREDICTED, Kind.OTHER_LABORATORY, Kind.TYPED])
def test_lignin_does_not_rest_on_an_adf_from_elsewhere(kind):
    adf = Result("adf", Estimate.of(36.0), "%", kind=kind, report="elsewhere")
    earlier = {BAG: {**dried(BAG)[BAG], "adf": adf}}
    report = run_batch(lignin(), earlier)
    assert report.held
    assert "bench_more.leans.not_ours" in {c.said.key for c in report.controls if c.failed}


def test_another_laboratorys_result_enters_as_such_and_only_where_there_is_none_here():
    merged = merge_results(run_batches([two_stage(), in_crucibles("adf")]))
    theirs = [
        Result("adf", Estimate.of(39.0), "%", kind=Kind.OTHER_LABORATORY, laboratory="Elsewhere"),
        Result("cp", Estimate.of(12.1), "%", kind=Kind.OTHER_LABORATORY, laboratory="Elsewhere"),
    ]
    bag = Bag(
        code=BagCode("HRN", 12),
        lot="oats",
        cored_on=DAY,
        taken="probe",
        bale_count=20,
        tests=("adf",),
    )
    found = panel(bag, merged, elsewhere=theirs)
    assert found["adf"].value == merged[BAG]["adf"].value
    assert found["cp"].kind is Kind.OTHER_LABORATORY
    assert found["cp"].laboratory == "Elsewhere"
    with pytest.raises(Refused, match="not_elsewhere"):
        panel(bag, merged, elsewhere=[Result("cp", Estimate.of(1.0), "%")])


def test_a_rerun_by_another_drying_is_not_averaged_with_the_first():
    first = two_stage()
    apart = tuple(
        replace(p, readings={**p.readings, "dish_dry_g": p.readings["dish_dry_g"] - 0.03})
        if p.replicate == 2
        else p
        for p in first.positions
    )
    held = run_batch(replace(first, positions=apart))
    assert {o.analyte: o.estimate.state for o in held.results[BAG]}["lab_dm"] is State.HELD
    again = replace(first, id="again", rerun_of=first.id, rerun_cause="duplicates differed")
    other = replace(again, choices={**first.choices, "drying_lab": "oven_135c_2h"})
    assert len(run_batch(again, rerun_of=held).members[BAG, "lab_dm"]) == 4
    found = run_batch(other, rerun_of=held)
    assert len(found.members[BAG, "lab_dm"]) == 2
    lab_dm = next(one for one in found.results[BAG] if one.analyte == "lab_dm")
    assert lab_dm.value == pytest.approx(LAB_DM)


def test_the_bias_of_a_calibration_is_that_of_a_paired_t_test_and_its_slope_that_of_a_fit():
    rng = np.random.default_rng(3)
    measured = rng.uniform(28.0, 45.0, 24)
    predicted = 0.9 * measured + 4.1 + rng.normal(0.0, 0.6, 24)
    found = check_predictions(predicted, measured, sec=0.7, calibration_df=90)
    t = stats.ttest_rel(predicted, measured)
    assert found.bias.real is bool(t.pvalue < 0.05)
    low, high = t.confidence_interval(0.95)
    assert found.bias.bias == pytest.approx((low + high) / 2)
    assert found.bias.limit == pytest.approx((high - low) / 2)
    fit = sm.OLS(measured, sm.add_constant(predicted)).fit()
    assert (found.slope_low, found.slope_high) == pytest.approx(tuple(fit.conf_int()[1]))
    assert found.sep_limit == pytest.approx(0.7 * stats.f.ppf(0.95, 23, 90) ** 0.5)
    assert found.bias.sep == pytest.approx(np.std(predicted - measured, ddof=1))


@pytest.mark.slow
def test_good_predictions_are_called_biased_in_5_of_100_cases():
    rng = np.random.default_rng(4)
    measured = rng.uniform(30.0, 40.0, (4000, 12))
    predicted = measured + rng.normal(0.0, 0.5, measured.shape)
    called = [check_predictions(p, m).bias.real for p, m in zip(predicted, measured, strict=True)]
    # Three standard errors of 4,000 draws.
    assert np.mean(called) == pytest.approx(0.05, abs=3 * (0.05 * 0.95 / 4000) ** 0.5)


def test_two_pairs_prove_nothing():
    with pytest.raises(Refused, match="too_few"):
        check_predictions([1.0, 2.0], [1.0, 2.1])
