"""Combustion of powder or residue: blanks, calibration on a pure compound, drift along the run."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from haywright.bench import nitrogen as eq
from haywright.bench.along_the_run import drift_between
from haywright.bench.batch import Position, PositionKind
from haywright.bench.chain import Known, Step, follow, labelled
from haywright.bench.control import not_between_good
from haywright.bench.desk import Desk
from haywright.bench.findings import Control, failed, passed, warned
from haywright.bench.given_limits import usual_limit
from haywright.bench.pattern import SAMPLES, Choice, Column, Prepared
from haywright.bench.standards import bags_at
from haywright.measure.atoms import mass_share
from haywright.measure.errors import Refused
from haywright.measure.message import Amount, message
from haywright.measure.register import apply, declared
from haywright.sources.named import NamedTable

_K = PositionKind


@dataclass(frozen=True, slots=True)
class Compound:
    """A compound of known nitrogen."""

    id: str
    name: str
    formula: str
    also: tuple[str, ...] = ()


_COMPOUNDS = NamedTable("pure_compounds", Compound, field="compound")


@lru_cache(maxsize=1)
def compound_names() -> tuple[str, ...]:
    """Ids of the compounds that may calibrate."""
    return tuple(_COMPOUNDS.rows)


def theoretical_nitrogen(compound: str) -> float:
    """Nitrogen of a pure compound by its formula [%]."""
    return 100.0 * mass_share("N", _COMPOUNDS.find(compound).formula)


def columns() -> tuple[Column, ...]:
    """Readings of a combustion run."""
    weighed = (*SAMPLES, _K.STANDARD, _K.VERIFICATION)
    return (
        Column("sample_mg", weighed, least=1.0, most=5000.0, instrument="balance"),
        Column("area", (*weighed, _K.BLANK)),
    )


def choices() -> tuple[Choice, ...]:
    """What a combustion run must say: the pure compound and its purity."""
    return (Choice("compound", compound_names()), Choice("purity_pct", usual=100.0))


def prepare(desk: Desk) -> Prepared:
    """Blanks, nitrogen per area and drift.

    Raises
    ------
    Refused
        Without blanks or weighings of the pure compound, or with one that reads like a blank.
    """
    blanks, rows = desk.of(_K.BLANK), desk.of(_K.STANDARD)
    if not blanks or not rows:
        missing = "blank" if not blanks else "standard"
        raise Refused(missing, 0, "1", key="bench.combustion.missing")
    blank = desk.mean("blank_area", [desk.reading(one, "area") for one in blanks])
    lowest = min(rows, key=lambda one: one.readings["area"])
    if not lowest.readings["area"] > blank.value:
        raise Refused(
            "standard", lowest.order, key="bench.blank.above_compound", place=lowest.order
        )
    n = theoretical_nitrogen(desk.text("compound")) * desk.number("purity_pct") / 100.0
    shared = {"blank_area": blank, "compound_n": desk.given("compound_n", n)}
    each = [follow([Step(eq.mg_n_per_area)], {**shared, **desk.readings(r)}) for r in rows]
    per_area = desk.mean("mg_n_per_area", [one["mg_n_per_area"] for one in each])
    shared["mg_n_per_area"] = per_area
    factors = {
        one.order: follow([Step(eq.drift)], {**shared, **desk.readings(one)})["drift"]
        for one in desk.of(_K.VERIFICATION)
        if one.readings["area"] > blank.value
    }

    def at(position: Position) -> dict[str, Known]:
        return {"drift": drift_at(factors, position.order)} if factors else {}

    controls = (
        *_blank_control(desk, blank, per_area),
        *_compound_control(desk, [one["mg_n_per_area"] for one in each], rows),
        *_drift_controls(desk, factors),
    )
    return Prepared(values=shared, at=at, controls=controls)


def drift_at(factors: dict[int, Known], place: int) -> Known:
    """Drift factor at a place: between two checks on a straight line, beyond them the nearest."""
    before = max((p for p in factors if p <= place), default=None)
    after = min((p for p in factors if p >= place), default=None)
    if before is None or after is None or before == after:
        nearest = before if before is not None else after
        assert nearest is not None  # noqa: S101 - asked only where there are factors
        return factors[nearest]
    estimate = apply(
        drift_between,
        {
            "before": factors[before].estimate,
            "after": factors[after].estimate,
            "place": float(place),
            "place_before": float(before),
            "place_after": float(after),
        },
    )
    one = declared(drift_between)
    children = (factors[before].evidence, factors[after].evidence)
    return labelled("drift", estimate, equation=one.id, source=one.source, children=children)


def _blank_control(desk: Desk, blank: Known, per_area: Known) -> Iterator[Control]:
    portions = sorted(one.readings["sample_mg"] for one in desk.of(*SAMPLES))
    if not portions:
        return
    usual = portions[len(portions) // 2]
    found = 100.0 * per_area.value * blank.value / usual
    most = usual_limit(desk.batch, "blank_n_pct")
    said_args = {"found": Amount(found, "%", digits=3), "most": Amount(most.value, "%", digits=3)}
    more = {"value": found, "limit": most.value, "source": most.source, "mark": most.mark}
    if found <= most.value:
        yield passed("blank", message("bench.blank.nitrogen", **said_args), **more)
    else:
        yield warned("blank", message("bench.blank.nitrogen_high", **said_args), **more)


def _compound_control(
    desk: Desk, each: Sequence[Known], rows: Sequence[Position]
) -> Iterator[Control]:
    """Weighings of the pure compound must agree with one another."""
    values = [one.value for one in each]
    mean = math.fsum(values) / len(values)
    spread = 100.0 * max(abs(v / mean - 1.0) for v in values)
    most = usual_limit(desk.batch, "drift_pct")
    said: dict[str, Any] = {
        "n": len(values),
        "compound": _COMPOUNDS.find(desk.text("compound")).name,
        "spread": Amount(spread, "%", digits=1),
    }
    more = {"positions": tuple(one.order for one in rows), "value": spread, "limit": most.value}
    if spread <= most.value:
        yield passed("standards", message("bench.standards.compound", **said), **more)
        return
    again = message("bench.rerun.batch_cause_first")
    apart = message(
        "bench.standards.compound_apart", most=Amount(most.value, "%", digits=1), **said
    )
    yield failed("standards", apart, rerun=again, **more)


def _drift_controls(desk: Desk, factors: dict[int, Known]) -> Iterator[Control]:
    """Drift is corrected inside its limit; beyond it what lies around the check is held."""
    most = usual_limit(desk.batch, "drift_pct")
    good = []
    for place, factor in factors.items():
        off = 100.0 * abs(factor.value - 1.0)
        said = {"place": place, "factor": round(factor.value, 4), "most": most.value}
        more = {
            "positions": (place,),
            "value": factor.value,
            "limit": most.value,
            "source": most.source,
            "mark": most.mark,
        }
        if off <= most.value:
            good.append(place)
            yield passed("drift", message("bench.drift.inside", **said), **more)
        else:
            again = message("bench.rerun.batch_cause_first")
            yield warned("drift", message("bench.drift.outside", **said), rerun=again, **more)
    places = [one.order for one in desk.of(_K.VERIFICATION)]
    for place in places:
        if place not in factors:
            yield warned("drift", message("bench.drift.no_signal", place=place), positions=(place,))
    yield from not_between_good(places, good, bags_at(desk), (), closing=False)
