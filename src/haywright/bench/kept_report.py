"""The report of a batch read back from what was kept of it, whole or not at all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from haywright.bench.batch import Batch, Equipment, Position, PositionKind
from haywright.bench.calibration import Curve, Model, Weights, calibrate
from haywright.bench.decide import Decision
from haywright.bench.findings import Control
from haywright.bench.judged import CheckFound
from haywright.bench.pattern import determination
from haywright.bench.report import BatchReport
from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.result import Result

_PLACE = ("position", "kind", "sample", "replicate", "attempt", "vessel", "void", "read_at")
_BATCH = ("determination", "choices", "analyst", "laboratory", "rerun_of",
          "rerun_cause", "ordered_by", "seed")  # fmt: skip


def read_kept(held: Mapping[str, Any]) -> BatchReport:
    """The report that :meth:`BatchReport.to_json` wrote: all that its paper prints.

    What only working the batch anew would need is not in it: the members of a bag's mean, and the
    laboratory's own history.

    Parameters
    ----------
    held
        Plain JSON values.

    Raises
    ------
    Refused
        A part is missing or cannot be read, so that the report would not be whole.
    """
    try:
        report = _read(held)
    except HaywrightError:
        raise
    except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError) as error:
        raise Refused("report", str(error)[:60], key="bench.kept.not_whole") from None
    for bag, names in report.decision.released.items():
        there = {one.analyte for one in report.results.get(bag, ())}
        for name in names:
            if name not in there:
                raise Refused("report", f"{bag} {name}", key="bench.kept.not_whole")
    return report


def _read(held: Mapping[str, Any]) -> BatchReport:
    of = determination(held["determination"])
    short = {method.id: name for name, method in of.methods.items()}
    method = of.method(short.get(held["method"], held["method"]))
    batch = _batch(held, short[method.id])
    decision = Decision.from_json(held["decision"])
    return BatchReport(
        batch=batch,
        determination=of,
        method=method,
        results=_results(held["results"], batch.bags),
        controls=tuple(Control.from_json(one) for one in held["controls"]),
        decision=decision,
        curves={name: _curve(one) for name, one in sorted(held["curves"].items())},
        portions={int(place): values for place, values in held["portions"].items()},
        checks=tuple(CheckFound(c["name"], c["analyte"], c["found"]) for c in held["checks"]),
        before=_results(held["before"], batch.bags),
    )


def _batch(held: Mapping[str, Any], method: str) -> Batch:
    places = held["readings"]
    return Batch(
        id=held["batch"],
        method=method,
        run_on=date.fromisoformat(held["run_on"]),
        positions=tuple(_position(one) for one in places),
        equipment=tuple(_tool(one) for one in held["equipment"]),
        voids={one["position"]: one["void"] for one in places if one["void"]},
        **{name: held[name] for name in _BATCH},
    )


def _position(one: Mapping[str, Any]) -> Position:
    read_at = one.get("read_at")
    return Position(
        order=one["position"],
        kind=PositionKind(one["kind"]),
        sample=one["sample"],
        readings={name: float(value) for name, value in one.items() if name not in _PLACE},
        replicate=one["replicate"],
        attempt=one["attempt"],
        read_at=datetime.fromisoformat(read_at) if read_at else None,
        vessel=one.get("vessel", ""),
    )


def _tool(one: Mapping[str, Any]) -> Equipment:
    checked_on, expires = one["checked_on"], one["expires"]
    return Equipment(
        kind=one["kind"],
        name=one["name"],
        checked_on=date.fromisoformat(checked_on) if checked_on else None,
        checks=tuple((should, was) for should, was in one["checks"]),
        tolerance=one["tolerance"],
        lot=one["lot"],
        expires=date.fromisoformat(expires) if expires else None,
    )


def _results(
    held: Mapping[str, Iterable[Mapping[str, Any]]], bags: Iterable[str]
) -> dict[str, tuple[Result, ...]]:
    """Bag -> its results, the bags in the order of the run."""
    return {bag: tuple(map(Result.from_json, held[bag])) for bag in bags if bag in held}


def _curve(one: Mapping[str, Any]) -> Curve:
    """The curve through its standards, fitted as it was."""
    return calibrate(
        one["x"], one["y"], model=Model(one["model"]), weighting=Weights(one["weights"])
    )
