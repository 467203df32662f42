"""Reading between the rows of a printed table."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from haywright.bunk.requirements.need import Ground
from haywright.measure.register import Mark
from haywright.sources.requirements import Row


def between(x: float, points: Iterable[tuple[float, float]]) -> float:
    """A value on straight lines between points, held at the ends; x [any], points [as x, any]."""
    at, values = zip(*sorted(points), strict=True)
    return float(np.interp(x, np.array(at, float), np.array(values, float)))


def by_weight(rows: Sequence[Row], weight: float, column: str) -> float:
    """A column at a weight [kg], straight lines between rows, in the unit of the column."""
    held = [(row.low("body_weight_kg"), row.low(column)) for row in rows if row.has(column)]
    return between(weight, held)


def beside(rows: Sequence[Row], weight: float) -> list[Row]:
    """The rows next below and next above a weight [kg], or the one that fits."""
    below = [row for row in rows if row.low("body_weight_kg") <= weight]
    above = [row for row in rows if row.low("body_weight_kg") >= weight]
    nearest = [max(below, key=lambda r: r.low("body_weight_kg"))] if below else []
    return nearest + ([min(above, key=lambda r: r.low("body_weight_kg"))] if above else [])


def grounds_of(rows: Iterable[Row]) -> list[Ground]:
    """What the rows rest on, each source once."""
    return [
        Ground(key, key, Mark.RECALLED if recalled else Mark.READ)
        for key, recalled in sorted({(row.source, row.recalled) for row in rows})
    ]
