"""What the standards of a run read back as on their own curve, each under its name."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from haywright.bench.batch import Batch, Position, PositionKind
from haywright.bench.calibration import Curve, lack_of_fit, runs_of_residuals
from haywright.bench.electrode import decades, from_decades
from haywright.bench.pattern import Method

KNOWN = "known_mg_per_l"
DECADES = "level_decades"


@dataclass(frozen=True, slots=True)
class Standard:
    """One standard on its curve.

    Parameters
    ----------
    place, sample
        Its place in the run, and its name.
    x, y
        Where it stands on the curve's axes.
    known, back
        Strength made up and strength its own signal reads as [mg/L].
    residual
        Signal over what the curve gives there [unit of the signal].
    """

    place: int
    sample: str
    x: float
    y: float
    known: float
    back: float
    residual: float

    @property
    def off_pct(self) -> float | None:
        """How far off it reads back [%]; ``None`` for a standard of nothing."""
        return 100.0 * (self.back / self.known - 1.0) if self.known > 0 else None

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        back = self.back if math.isfinite(self.back) else None
        return {
            "position": self.place,
            "sample": self.sample,
            "known_mg_per_l": self.known,
            "back_mg_per_l": back,
            "off_pct": self.off_pct if back is not None else None,
            "residual": self.residual,
        }


@dataclass(frozen=True, slots=True)
class ReadBack:
    """A curve with its standards by name.

    Parameters
    ----------
    curve
        The curve.
    x_name, y_name
        Dictionary names of its axes.
    standards
        Its standards in the order of the run.
    """

    curve: Curve
    x_name: str
    y_name: str
    standards: tuple[Standard, ...]

    @property
    def low(self) -> float:
        """Lowest standard that is not 0 [mg/L]."""
        return min(one.known for one in self.standards if one.known > 0)

    @property
    def high(self) -> float:
        """Highest standard [mg/L]."""
        return max(one.known for one in self.standards)

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values: the curve, its standards, its range and what was tried on it."""
        lack = lack_of_fit(self.curve)
        runs, chance = runs_of_residuals(self.curve)
        return {
            **self.curve.to_json(),
            "x_name": self.x_name,
            "y_name": self.y_name,
            "range_mg_per_l": [self.low, self.high],
            "standards": [one.to_json() for one in self.standards],
            "lack_of_fit": None if lack is None else {"f": lack.f, "p": lack.p},
            "residual_runs": {"runs": runs, "p": chance},
        }


def read_back(batch: Batch, method: Method, curve: Curve) -> ReadBack | None:
    """The standards of a batch on a curve; ``None`` when they cannot be told from its points.

    Parameters
    ----------
    batch, method
        The batch and its method.
    curve
        A curve fitted through its standards.
    """
    wanted = [c.name for c in method.columns if PositionKind.STANDARD in c.kinds]
    signals = [name for name in wanted if name != KNOWN]
    rows = [
        one
        for one in batch.of(PositionKind.STANDARD)
        if one.order not in batch.voids and one.has(*wanted)
    ]
    for signal in signals:
        found = _matched(rows, curve, signal)
        if found is not None:
            return found
    return None


def _matched(rows: list[Position], curve: Curve, signal: str) -> ReadBack | None:
    """The rows as the points of the curve, where signals and strengths agree with it."""
    y = np.array([one.readings[signal] for one in rows])
    if len(rows) != len(curve.x) or not np.array_equal(y, curve.y):
        return None
    known = np.array([one.readings.get(KNOWN, math.nan) for one in rows])
    x_name = KNOWN
    if not np.array_equal(known, curve.x):
        with np.errstate(divide="ignore", invalid="ignore"):
            if not np.allclose(decades(known), curve.x):
                return None
        x_name = DECADES
    back = curve.back_calculated()
    amounts = back if x_name == KNOWN else from_decades(back)
    standards = tuple(
        Standard(one.order, one.sample, *map(float, numbers))
        for one, *numbers in zip(
            rows, curve.x, curve.y, known, amounts, curve.fit.residuals, strict=True
        )
    )
    return ReadBack(curve, x_name, signal, standards)


def curves_json(batch: Batch, method: Method, curves: Mapping[str, Curve]) -> dict[str, Any]:
    """Plain JSON values of every curve of a batch, its standards by name where they are known."""
    out = {}
    for name, curve in curves.items():
        found = read_back(batch, method, curve)
        out[name] = curve.to_json() if found is None else found.to_json()
    return out
