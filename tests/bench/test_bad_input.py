"""Bad input: each slip is named with its place and row, and holds rather than gives a number."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from haywright.bench.batch import Equipment
from haywright.bench.panel import run_batches
from haywright.bench.run import run_batch
from haywright.measure.errors import Refused
from haywright.words import say
from tests.bench.every_run import EVERY, ash, earlier
from tests.bench.runs import BAG, DAY, OTHER, K, burnt, combustion, cup, dried, fiber, nitrate

CRUCIBLES = ["adf crucible", "ndf crucible", "ash furnace", "digestibility tube_48h"]


def changed(batch, order, **readings):
    """The batch with readings of one place changed, each place three rows below its number."""
    return replace(
        batch,
        positions=tuple(
            replace(
                p,
                row=p.order + 1,
                readings={**p.readings, **readings} if p.order == order else p.readings,
            )
            for p in batch.positions
        ),
    )


def place_of(batch, kind, nth=0):
    return [p.order for p in batch.positions if p.kind is kind][nth]


def told(report):
    return {c.said.key: say(c.said) for c in report.controls if c.failed}


def settled(report, bag=BAG):
    return [one.analyte for one in report.results[bag] if one.settled]


def bags(*levels):
    return [(K.BAG, BAG, cup(levels[0])), (K.DUPLICATE, BAG, cup(levels[0]), 2),
            *((K.BAG, OTHER, cup(level)) for level in levels[1:])]  # fmt: skip


def test_positions_swapped_are_seen_by_their_instants():
    start = datetime(2026, 9, 22, 23, 50, tzinfo=UTC)
    made = nitrate(*bags(800.0))
    timed = [
        replace(p, row=p.order + 1, read_at=start + timedelta(minutes=2 * p.order))
        for p in made.positions
    ]
    assert settled(run_batch(replace(made, positions=tuple(timed)), dried(BAG)))
    a, b = timed[8], timed[9]
    timed[8], timed[9] = replace(a, read_at=b.read_at), replace(b, read_at=a.read_at)
    report = run_batch(replace(made, positions=tuple(timed)), dried(BAG))
    assert report.held
    assert "Row 11, position 10" in told(report)["bench.reading.time"]


def test_a_position_that_is_missing_holds_the_batch_and_is_named():
    made = nitrate(*bags(800.0))
    less = tuple(p for p in made.positions if p.order != 7)
    report = run_batch(replace(made, positions=less), dried(BAG))
    assert report.held
    assert "7" in told(report)["bench_more.reading.gap"]


def test_a_position_that_stands_twice_is_refused():
    made = nitrate(*bags(800.0))
    twice = (*made.positions[:-1], replace(made.positions[-1], order=3))
    with pytest.raises(Refused, match="position_twice") as caught:
        replace(made, positions=twice)
    assert "3" in say(caught.value.message)


@pytest.mark.parametrize("wrong", [0.5, 2.0, 20.0])
def test_a_standard_that_is_mislabelled_holds_the_batch_and_is_named(wrong):
    made = nitrate(*bags(800.0))
    report = run_batch(changed(made, 4, known_mg_per_l=wrong), dried(BAG))
    assert report.held
    assert not settled(report)
    assert any(4 in c.positions for c in report.controls if c.failed and c.kind == "standards")


def test_a_saturated_standard_holds_the_batch_and_a_saturated_sample_is_above():
    made = nitrate(*bags(800.0), limits={"signal_top": 3.0})
    assert "bench.standards.saturated" in told(run_batch(made, dried(BAG)))
    high = changed(nitrate(*bags(800.0), limits={"signal_top": 4.0}), 9, peak=4.0)
    report = run_batch(high, dried(BAG))
    assert not settled(report)
    assert "bench.range.above" in {c.said.key for c in report.controls if 9 in c.positions}


def test_a_negative_signal_holds_its_bag_and_names_its_row():
    made = changed(nitrate(*bags(800.0, 900.0)), 9, peak=-0.04)
    report = run_batch(made, dried(BAG, OTHER))
    assert not settled(report)
    assert settled(report, OTHER)
    assert told(report)["bench_more.reading.negative"].startswith("Row 10, position 9")


def test_a_laboratory_that_knows_its_baseline_may_let_it_dip():
    made = nitrate(*bags(800.0), (K.BAG, OTHER, {"sample_g": 0.3, "peak": -0.001}))
    dip = replace(made, limits={"signal_least": -0.01})
    assert "bench_more.reading.negative" in told(run_batch(made, dried(BAG, OTHER)))
    assert "bench_more.reading.negative" not in told(run_batch(dip, dried(BAG, OTHER)))


def test_a_blank_larger_than_the_sample_holds_it():
    for made in (
        nitrate(*bags(800.0), blank=9.0),
        combustion((K.BAG, BAG, {"sample_mg": 200.0, "area": 2.0})),
        fiber("ndf", (K.BAG, BAG, {"crucible_g": 30.0, "sample_g": 0.5, "crucible_dry_g": 30.002}),
              blank_gain=0.0025),
    ):  # fmt: skip
        report = run_batch(made, dried(BAG))
        assert not settled(report)
        assert told(report)


def test_milligrams_among_grams_hold_their_bag_and_name_their_row():
    for name in ("adf crucible", "ash furnace", "fat ether", "minerals icp"):
        make, leans = EVERY[name]
        place = place_of(make(), K.BAG)
        made = changed(make(), place, sample_g=500.0)
        report = run_batch(made, earlier(*leans))
        assert not settled(report)
        where = f"Row {place + 1}, position {place}"
        assert told(report)["bench.reading.impossible"].startswith(where)


def test_grams_among_milligrams_hold_their_bag():
    made = combustion((K.BAG, BAG, {**burnt(2.0), "sample_mg": 0.2}))
    report = run_batch(made, dried(BAG))
    assert not settled(report)


@pytest.mark.parametrize("name", CRUCIBLES)
def test_an_empty_crucible_holds_its_bag_and_names_its_row(name):
    make, leans = EVERY[name]
    batch = make()
    place = place_of(batch, K.BAG)
    column = "crucible_ash_g" if name == "ash furnace" else "crucible_dry_g"
    tare = next(p for p in batch.positions if p.order == place).readings["crucible_g"]
    made = changed(batch, place, **{column: tare + 0.0004})
    report = run_batch(made, earlier(*leans))
    assert not settled(report)
    assert told(report)["bench_more.reading.empty"].startswith(f"Row {place + 1}, position {place}")


def test_a_rerun_dated_before_what_it_replaces_is_refused():
    first = nitrate(*bags(800.0))
    again = nitrate(*bags(800.0), name="again", run_on=date(2026, 9, 21), rerun_of=first.id,
                    rerun_cause="bubble")  # fmt: skip
    with pytest.raises(Refused, match="rerun_earlier"):
        run_batches([first, again])


@pytest.mark.parametrize("name", [n for n in EVERY if n != "near_infrared reflectance"])
def test_one_nan_holds_its_bag_and_is_named(name):
    make, leans = EVERY[name]
    batch = make()
    place = place_of(batch, K.BAG)
    method = batch.determination, batch.method
    column = next(
        c.name for c in run_batch(batch, earlier(*leans)).method.columns if K.BAG in c.kinds
    )
    report = run_batch(changed(batch, place, **{column: math.nan}), earlier(*leans))
    assert not settled(report), method
    assert f"position {place}" in told(report)["bench.reading.missing"]


@pytest.mark.parametrize(
    ("broken", "key"),
    [
        ({"lot": ""}, "bench_more.equipment.no_lot"),
        ({"expires": None}, "bench.equipment.no_expiry"),
        ({"expires": DAY - timedelta(days=1)}, "bench.equipment.expired"),
    ],
)
def test_a_reagent_without_lot_or_out_of_date_holds_the_batch(broken, key):
    made = nitrate(*bags(800.0))
    tools = tuple(replace(t, **broken) if t.kind == "reagent" else t for t in made.equipment)
    report = run_batch(replace(made, equipment=tools), dried(BAG))
    assert report.held
    assert key in told(report)


@pytest.mark.parametrize(
    ("kind", "should", "was"),
    [("balance", 50.0, 50.01), ("furnace", 600.0, 615.0), ("pipette", 10.0, 10.5)],
)
def test_a_tool_that_is_out_or_was_not_checked_holds_the_batch(kind, should, was):
    more = {"tolerance": 0.001} if kind == "balance" else {}
    out = Equipment(kind, f"{kind} 9", DAY, ((should, was),), **more)
    unchecked = Equipment(kind, f"{kind} 9")
    for tool in (out, unchecked):
        made = ash()
        kept = tuple(t for t in made.equipment if t.kind != kind)
        report = run_batch(replace(made, equipment=(*kept, tool)), dried(BAG))
        assert report.held
        assert {"bench.equipment.out", "bench.equipment.not_checked"} & set(told(report))


def test_a_batch_is_the_same_after_it_was_worked_and_held():
    made = changed(nitrate(*bags(800.0)), 9, peak=-1.0)
    before = repr(made)
    run_batch(made, dried(BAG))
    assert repr(made) == before
