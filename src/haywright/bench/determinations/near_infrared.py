"""Near-infrared predictions: results of their own kind, each with its error of prediction.

They are predicted and say so; nothing measured leans on them, and nitrate and minerals are not
among them. A prediction without its error of prediction, written under ``[scatter]`` of the batch
from a check against wet chemistry, is held.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from haywright.bench.batch import Position, PositionKind
from haywright.bench.chain import Known, Step
from haywright.bench.desk import Desk
from haywright.bench.findings import Control, Outcome, failed, passed
from haywright.bench.given_limits import limit_of
from haywright.bench.pattern import (
    BAG_KINDS,
    SAMPLES,
    Choice,
    Column,
    Determination,
    Lead,
    Method,
    Prepared,
)
from haywright.bench.predictions import less_bias
from haywright.measure.message import message
from haywright.measure.result import Kind

PREDICTED = ("cp", "adf", "ndf", "lignin", "ash", "fat", "ndfd48")
_DISTANCES = ("global_distance", "neighbor_distance")


def _column(analyte: str) -> str:
    return f"{analyte}_pct"


def _prepare(desk: Desk) -> Prepared:
    def at(_: Position) -> dict[str, Known]:
        return {
            f"{name}_bias": desk.given(f"{name}_bias", desk.batch.limits[f"{name}_bias"])
            for name in PREDICTED
            if f"{name}_bias" in desk.batch.limits
        }

    return Prepared(at=at, controls=(*_errors_known(desk), *_distances(desk)))


def _errors_known(desk: Desk) -> Iterator[Control]:
    """Without its error of prediction nothing is known of how far a prediction can be trusted."""
    rows = desk.of(*BAG_KINDS)
    for name in PREDICTED:
        scatter = desk.batch.scatter.get(name)
        if any(one.has(_column(name)) for one in rows) and not (scatter and scatter.has_history):
            said = message("bench_more.predicted.no_error",
                           quantity=message("measure.quantity", id=name))  # fmt: skip
            yield failed("prediction", said, analytes=(name,))


def _distances(desk: Desk) -> Iterator[Control]:
    """How far a spectrum lies from those the calibration was made on."""
    for column in _DISTANCES:
        most = limit_of(desk.batch, f"{column}_most")
        for one in desk.of(*BAG_KINDS):
            if not one.has(column):
                continue
            found = one.readings[column]
            said: dict[str, Any] = {"place": one.order, "sample": one.sample, "found": found,
                    "quantity": message("measure.quantity", id=column)}  # fmt: skip
            at: dict[str, Any] = {"bags": (one.sample,), "positions": (one.order,), "value": found}
            if most is None:
                text = message("bench_more.predicted.distance_not_judged", **said)
                yield Control("distance", Outcome.NOT_JUDGED, text, **at)
            elif found <= most.value:
                text = message("bench_more.predicted.near", most=most.value, **said)
                yield passed("distance", text, **at)
            else:
                text = message("bench_more.predicted.far", most=most.value, **said)
                again = message("bench_more.rerun.wet", sample=one.sample)
                yield failed("distance", text, rerun=again, **at)


REFLECTANCE = Method(
    id="near_infrared_reflectance",
    columns=(
        *(Column(_column(name), (), may=SAMPLES, most=100.0) for name in PREDICTED),
        *(Column(name, (), may=SAMPLES, most=1000.0) for name in _DISTANCES),
    ),
    portion=tuple(
        Step(less_bias, {"predicted": _column(name), "bias": f"{name}_bias"}, name)
        for name in PREDICTED
    ),
    leads=tuple(Lead(name, (name,)) for name in PREDICTED),
    bag=(),
    make_up={PositionKind.CHECK: 1},
    equipment=(),
    choices=(Choice("calibration", text=True),),
    prepare=_prepare,
    kind=Kind.PREDICTED,
    uses_powder=False,
)
DETERMINATION = Determination(
    id="near_infrared",
    methods={"reflectance": REFLECTANCE},
    leans_on=(),
    cautions=("bench.caution.grinding",),
)
