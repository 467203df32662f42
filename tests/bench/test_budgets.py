"""Every method gives its truth back, and its doubt stands up against drawing."""

from __future__ import annotations

import numpy as np
import pytest

from haywright.bench.batch import Scatter
from haywright.bench.pattern import determinations
from haywright.bench.run import run_batch
from haywright.bench.scatter import budget, expanded, share_of_kinds
from haywright.bench.simulated import drawn, holds
from haywright.measure.basis import from_dry_matter
from haywright.measure.montecarlo import symmetric
from haywright.measure.register import apply
from tests.bench.every_run import EVERY, TRUTH, earlier, in_crucibles, two_stage
from tests.bench.runs import BAG, LAB_DM


@pytest.mark.parametrize("name", EVERY)
def test_readings_made_from_a_truth_give_it_back(name):
    make, leans = EVERY[name]
    report = run_batch(make(), earlier(*leans))
    assert report.decision.verdict.value == "release", [c.said for c in report.controls if c.failed]
    for one in report.results[BAG]:
        truth = LAB_DM if name == "dry_matter one_stage" else TRUTH[one.analyte]
        assert one.value == pytest.approx(truth, rel=0.004), one.analyte


def test_every_method_of_every_determination_is_run():
    known = {f"{d.id} {m}" for d in determinations().values() for m in d.methods}
    assert known == set(EVERY)


@pytest.mark.slow
@pytest.mark.parametrize("name", EVERY)
def test_end_points_hold_against_drawing(name):
    # JCGM 101:2008 clause 8, tolerance of one figure of the standard uncertainty.
    make, leans = EVERY[name]
    known = earlier(*leans)
    report = run_batch(make(), known)
    rng = np.random.default_rng(20)
    draws = drawn(make(), BAG, known, n=200_000, rng=rng, sds_known=True)
    for one in report.results[BAG]:
        assert holds(one.estimate, draws[one.analyte], sds_known=True), (one.analyte, one.estimate)


@pytest.mark.slow
@pytest.mark.parametrize("name", EVERY)
def test_few_degrees_of_freedom_are_made_good_to_an_eighth(name):
    # Welch-Satterthwaite against Student's t drawn for each source (JCGM 101, 6.4.9.2).
    make, leans = EVERY[name]
    known = earlier(*leans)
    draws = drawn(make(), BAG, known, n=100_000, rng=np.random.default_rng(21))
    for one in run_batch(make(), known).results[BAG]:
        low, high = symmetric(draws[one.analyte])
        first = one.estimate.interval()
        assert high - low == pytest.approx(first[1] - first[0], rel=0.125), one.analyte


@pytest.mark.slow
def test_drawing_would_find_a_doubt_that_is_wrong():
    known = earlier("lab_dm")
    draws = drawn(in_crucibles("adf"), BAG, known, n=50_000, rng=np.random.default_rng(1))
    half = run_batch(in_crucibles("adf"), known).results[BAG][0].estimate * 0.5
    assert not holds(half, draws["adf"])


def test_laboratory_dry_matter_cancels_from_a_result_as_received():
    dry = {one.analyte: one for one in run_batch(two_stage()).results[BAG]}
    report = run_batch(in_crucibles("adf"), {BAG: dry})
    adf = report.results[BAG][0].estimate
    received = apply(from_dry_matter, {"x_dm": adf, "dm": dry["dm"].estimate})
    own = {s.id for s in dry["lab_dm"].estimate.parts}
    assert own & {s.id for s in adf.parts}
    assert not own & {s.id for s in received.parts}


def test_where_there_is_history_it_stands_for_the_readings():
    known = earlier("lab_dm")
    plain = in_crucibles("adf")
    history = type(plain)(
        **{
            **{f: getattr(plain, f) for f in plain.__slots__},
            "scatter": {"adf": Scatter(between_runs=0.4, between_runs_df=30, bias=0.3)},
        }
    )
    found = run_batch(history, known).results[BAG][0].estimate
    kinds = share_of_kinds(found)
    assert {"run", "bias", "lab_dm"} == set(kinds)
    assert sum(kinds.values()) == pytest.approx(1.0)
    assert found.part_of("run:") == pytest.approx(0.4)


def test_without_history_the_laboratorys_bias_is_still_in_it():
    report = run_batch(in_crucibles("adf"), earlier("lab_dm"))
    largest, _ = budget(report.results[BAG][0].estimate)[0]
    assert largest.id.startswith("bias:")


def test_the_coverage_factor_rests_on_whole_degrees_of_freedom():
    estimate = run_batch(in_crucibles("adf"), earlier("lab_dm")).results[BAG][0].estimate
    half, k = expanded(estimate)
    assert half == pytest.approx(k * estimate.u)
    assert k > 1.96
