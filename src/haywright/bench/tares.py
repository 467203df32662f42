"""Vessels by their marks: a tare off its history means another vessel, or one that is chipped."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from statistics import median
from typing import Any

from haywright.bench.batch import Batch, Position
from haywright.bench.findings import Control, Outcome, failed, passed, warned
from haywright.bench.given_limits import usual_limit
from haywright.bench.pattern import BAG_KINDS
from haywright.measure.message import Amount, Message, message

TARES = ("crucible_g", "dish_g", "cup_g")


def judge(batch: Batch) -> Iterator[Control]:
    """Every vessel with a mark: named once in the run, and as heavy empty as it has always been."""
    marked = [one for one in batch.positions if one.vessel and one.order not in batch.voids]
    times = Counter(one.vessel for one in marked)
    for one in marked:
        if times[one.vessel] > 1:
            others = tuple(p.order for p in marked if p.vessel == one.vessel and p is not one)
            yield _found(one, message("bench_more.vessel.twice", others=others, **_who(one)))
        yield from _tare(batch, one)


def _tare(batch: Batch, one: Position) -> Iterator[Control]:
    name = next((name for name in TARES if one.has(name)), None)
    if name is None:
        return
    history = batch.vessels.get(one.vessel, ())
    if not history:
        said = message("bench_more.vessel.no_history", **_who(one))
        yield Control("vessel", Outcome.NOT_JUDGED, said, positions=(one.order,))
        return
    most = usual_limit(batch, "vessel_tare_mg")
    usual = median(history)
    off = 1000.0 * (one.readings[name] - usual)
    said = message(
        "bench_more.vessel.inside" if abs(off) <= most.value else "bench_more.vessel.off",
        tare=Amount(one.readings[name], "g", digits=4),
        usual=Amount(usual, "g", digits=4),
        off=Amount(off, "mg", digits=1),
        most=most.value,
        n=len(history),
        **_who(one),
    )
    more: dict[str, Any] = {
        "value": off,
        "limit": most.value,
        "source": most.source,
        "mark": most.mark,
    }
    if abs(off) <= most.value:
        yield passed("vessel", said, positions=(one.order,), **more)
    else:
        yield _found(one, said, **more)


def _who(one: Position) -> dict[str, str | int]:
    return {"vessel": one.vessel, "place": one.order, "row": one.row, "sample": one.sample}


def _found(one: Position, said: Message, **more: Any) -> Control:
    if one.kind not in BAG_KINDS:
        return warned("vessel", said, positions=(one.order,), **more)
    again = message("bench.rerun.portion", sample=one.sample)
    return failed("vessel", said, bags=(one.sample,), positions=(one.order,), rerun=again, **more)
