"""The doubt of each result laid out by where it comes from, ready to be drawn."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from haywright.bench.batch import Batch
from haywright.bench.scatter import expanded
from haywright.measure.estimate import Source
from haywright.measure.result import Result

# First word of a source's id -> what it counts as.
_KINDS = {
    "balance": "weighing",
    "dispenser": "volume",
    "pipette": "volume",
    "mean": "blanks",
    "curve": "curve",
    "signal": "curve",
    "repeat": "repeat",
    "run": "runs",
    "bias": "bias",
}
EARLIER, OTHER = "earlier", "other"
KINDS = tuple(dict.fromkeys([*_KINDS.values(), EARLIER, OTHER]))
_NAMED_BY_BATCH = ("balance", "mean", "curve", "signal", "repeat", "run")


@dataclass(frozen=True, slots=True)
class Budget:
    """The doubt of one result.

    Parameters
    ----------
    bag
        Code of the bag.
    result
        The result.
    parts
        Kind of source -> its standard uncertainty [unit of the result], the largest first.
    half
        Expanded uncertainty U at 95 % [unit of the result].
    k
        Coverage factor [ratio].
    """

    bag: str
    result: Result
    parts: Mapping[str, float]
    half: float
    k: float

    @property
    def u(self) -> float:
        """Combined standard uncertainty [unit of the result]."""
        return self.result.estimate.u

    @property
    def df(self) -> float:
        """Effective degrees of freedom [count]."""
        return self.result.estimate.df

    @property
    def relative(self) -> float:
        """U as a share of the result [fraction]; infinite for a result of 0."""
        return abs(self.half / self.result.value) if self.result.value else math.inf

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "bag": self.bag,
            "analyte": self.result.analyte,
            "unit": self.result.unit,
            "value": self.result.value,
            "parts": dict(self.parts),
            "u": self.u,
            "df": self.df if math.isfinite(self.df) else None,
            "k": self.k,
            "expanded": self.half,
            "confidence": 0.95,
        }


def budgets(batch: Batch, results: Mapping[str, tuple[Result, ...]]) -> tuple[Budget, ...]:
    """The budget of every settled result that has a doubt.

    Parameters
    ----------
    batch
        The batch.
    results
        Bag -> its results.
    """
    return tuple(
        budget(batch, bag, one)
        for bag, of_bag in results.items()
        for one in of_bag
        if one.settled and one.estimate.u > 0
    )


def budget(batch: Batch, bag: str, result: Result) -> Budget:
    """The budget of one settled result; what rests on earlier batches is one part of it."""
    squares: dict[str, float] = {}
    for source, u in result.estimate.parts.items():
        kind = kind_of(source, batch)
        squares[kind] = squares.get(kind, 0.0) + u * u
    ordered = sorted(squares.items(), key=lambda item: -item[1])
    half, k = expanded(result.estimate)
    return Budget(bag, result, {kind: math.sqrt(s) for kind, s in ordered}, half, k)


def kind_of(source: Source, batch: Batch) -> str:
    """What a source counts as in the budget of a batch."""
    first, *rest = source.id.split(":")
    kind = _KINDS.get(first, OTHER)
    if first == "bias":
        return kind if batch.determination in rest else EARLIER
    if first in _NAMED_BY_BATCH:
        return kind if rest[:1] == [batch.id] else EARLIER
    return kind


def widest(every: tuple[Budget, ...]) -> Iterator[Budget]:
    """For each quantity the budget of the bag whose range is widest for its result."""
    by_analyte: dict[str, list[Budget]] = {}
    for one in every:
        by_analyte.setdefault(one.result.analyte, []).append(one)
    for of_one in by_analyte.values():
        yield max(of_one, key=lambda one: one.relative)
