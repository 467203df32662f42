"""Bags on a tray: swapped places, vessels with a history, powder that is left for a rerun."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.bench import swaps
from haywright.bench.findings import Outcome
from haywright.bench.panel import merge_results, run_batches
from haywright.bench.run import run_batch
from haywright.bench.swaps import Expected
from haywright.measure.estimate import State
from haywright.words import say
from tests.bench.every_run import ash, near_infrared, two_stage
from tests.bench.runs import BAG, LAB_DM, OTHER, K, burnt, combustion, crucible, dried, fiber

STRAW, CLOVER = {"ndf": 70.0, "adf": 45.0, "cp": 5.0}, {"ndf": 45.0, "adf": 34.0, "cp": 17.0}
USUAL = {(bag, name): Expected(value, 2.0)
         for bag, hay in ((BAG, STRAW), (OTHER, CLOVER))
         for name, value in hay.items()}  # fmt: skip


def tray(first, second):
    """Three tests of two bags side by side."""
    known = dried(BAG, OTHER)
    reports = [
        run_batch(
            fiber(
                name, (K.BAG, BAG, crucible(first[name])), (K.BAG, OTHER, crucible(second[name]))
            ),
            known,
        )
        for name in ("ndf", "adf")
    ]
    cp = [
        (K.BAG, bag, burnt(hay["cp"] / 6.25, lab_dm=LAB_DM))
        for bag, hay in ((BAG, first), (OTHER, second))
    ]
    return [*reports, run_batch(combustion(*cp), known)]


def test_bags_that_changed_places_are_a_question_that_holds_both():
    reports = tray(CLOVER, STRAW)
    asked = swaps.questions(reports, USUAL)
    assert [(one.first, one.second) for one in asked] == [(BAG, OTHER)]
    assert len(asked[0].odd) == 3
    held = swaps.with_holds(merge_results(reports), asked)
    assert {o.estimate.state for r in held.values() for o in r.values()} == {State.HELD}
    raw = merge_results(reports)[BAG]["ndf"].value
    assert held[BAG]["ndf"].value == raw
    assert BAG in say(asked[0].said())


def test_bags_in_their_places_are_no_question():
    assert not swaps.questions(tray(STRAW, CLOVER), USUAL)


def test_a_bag_odd_alone_is_no_swap():
    assert not swaps.questions(tray(CLOVER, CLOVER), USUAL)


def test_one_odd_test_is_not_enough():
    assert not swaps.questions(tray(CLOVER, STRAW)[:1], USUAL)


def test_bags_that_did_not_stand_side_by_side_are_not_asked_about():
    known = dried(BAG, OTHER)
    between = "HRN-0014-04"
    apart = [
        run_batch(
            fiber(name, (K.BAG, BAG, crucible(CLOVER[name])), (K.BAG, between, crucible(50.0)),
                  (K.BAG, OTHER, crucible(STRAW[name]))),
            {**known, between: known[BAG]},
        )
        for name in ("ndf", "adf")
    ]  # fmt: skip
    assert not swaps.questions(apart, USUAL)


def test_someone_who_looked_ends_the_question():
    assert not swaps.questions(tray(CLOVER, STRAW), USUAL, same=[OTHER])


def test_predictions_of_the_same_powder_are_what_is_expected():
    made = near_infrared()
    rows = tuple(
        replace(p, order=k, sample=bag, replicate=1, kind=K.BAG,
                readings={"ndf_pct": hay["ndf"], "adf_pct": hay["adf"], "cp_pct": hay["cp"]})
        for k, (p, bag, hay) in enumerate(
            zip(made.positions[1:], (BAG, OTHER), (STRAW, CLOVER), strict=True), 2
        )
    )  # fmt: skip
    report = run_batch(replace(made, positions=(made.positions[0], *rows)))
    expected = swaps.predictions([report])
    assert expected[BAG, "ndf"].value == pytest.approx(70.0)
    assert swaps.questions([*tray(CLOVER, STRAW), report])


@given(off=st.floats(-200.0, 200.0))
def test_a_tare_off_its_history_holds_its_bag(off):
    made = ash()
    tare = 22.14
    marked = tuple(
        replace(p, vessel=f"C{p.order}") if p.kind in (K.BAG, K.DUPLICATE) else p
        for p in made.positions
    )
    vessels = {"C2": (tare - off / 1000, tare - off / 1000), "C3": (tare,)}
    report = run_batch(replace(made, positions=marked, vessels=vessels), dried(BAG))
    found = [c for c in report.controls if c.kind == "vessel" and c.positions == (2,)]
    assert [c.failed for c in found] == [abs(found[0].value) > 2.0]
    assert found[0].value == pytest.approx(off, abs=1e-6)
    assert report.held is found[0].failed


def test_one_crucible_cannot_stand_at_two_places():
    made = ash()
    report = run_batch(
        replace(made, positions=tuple(replace(p, vessel="C7") for p in made.positions)), dried(BAG)
    )
    assert report.held
    assert "bench_more.vessel.twice" in {c.said.key for c in report.controls if c.failed}


def test_a_vessel_without_a_history_is_not_judged():
    made = ash()
    marked = (*made.positions[:-1], replace(made.positions[-1], vessel="C9"))
    report = run_batch(replace(made, positions=marked), dried(BAG))
    assert [c.outcome for c in report.controls if c.kind == "vessel"] == [Outcome.NOT_JUDGED]
    assert not report.held


def apart(powder):
    """Duplicates of 2 g ash each that differ, and what powder was on hand."""
    made = ash()
    last = made.positions[-1]
    off = replace(last, readings={**last.readings, "crucible_ash_g": 22.14 + 0.30})
    return replace(made, positions=(*made.positions[:-1], off), powder=powder)


@pytest.mark.parametrize(("on_hand", "told"), [(60.0, "enough"), (12.0, "kept"), (7.0, "none")])
def test_a_rerun_says_whether_the_powder_is_enough(on_hand, told):
    # 4 g used, 4 g for the rerun, 5 g kept back.
    report = run_batch(apart({BAG: on_hand}), dried(BAG))
    (said,) = report.decision.powder
    assert said.key == f"bench_more.powder.{told}"
    assert said.args["left"].value == on_hand - 4.0
    assert said.args["takes"].value == pytest.approx(4.0)
    assert said in list(report.lines())


def test_powder_that_nobody_wrote_down_is_said_to_be_unknown():
    report = run_batch(apart({}), dried(BAG))
    assert [one.key for one in report.decision.powder] == ["bench_more.powder.unknown"]


def test_a_batch_in_order_asks_for_no_powder():
    assert not run_batch(ash(), dried(BAG)).decision.powder


def test_what_one_batch_used_is_missing_in_the_next():
    first = replace(two_stage(), powder={BAG: 20.0})
    used = run_batches([first, apart({})])[-1]
    # 2 g twice for dry matter, 2 g twice for ash.
    assert used.batch.powder[BAG] == pytest.approx(16.0)
    assert used.decision.powder[0].args["left"].value == pytest.approx(12.0)
