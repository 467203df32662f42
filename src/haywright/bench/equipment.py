"""Equipment checks are controls: what was used and is out, or was not checked, holds the batch."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from haywright.bench.batch import Batch, Equipment
from haywright.bench.findings import Control, failed, passed
from haywright.bench.given_limits import limit_of
from haywright.bench.pattern import Method
from haywright.measure.message import Amount, Message, message
from haywright.measure.register import equation

_UNIT = {"balance": "g", "oven": "degC", "furnace": "degC", "dispenser": "mL", "pipette": "mL"}
_WITHOUT_CHECK = ("reagent",)
# A difference of two decimals that is exactly the tolerance is inside it.
_NOISE = 1e-9


def judge(batch: Batch, method: Method) -> Iterator[Control]:
    """One control for each thing the method needs, and for each thing that is out.

    Everything named in the batch is judged, whether the method asks for it or not.
    """
    for kind in method.equipment:
        if not any(one.kind == kind for one in batch.equipment):
            said = message("bench.equipment.missing", kind=message(f"bench.equipment.kind.{kind}"))
            yield failed("equipment", said)
    for one in batch.equipment:
        wrong = list(_wrong(batch, one))
        yield from (failed("equipment", said) for said in wrong)
        if not wrong:
            yield passed("equipment", _in_order(one))


def _in_order(one: Equipment) -> Message:
    """What lets a thing pass: its last check, or that it has not expired."""
    if one.kind in _WITHOUT_CHECK:
        return message("bench.equipment.in_date", name=one.name, lot=one.lot, expires=one.expires)
    return message("bench.equipment.in_order", name=one.name)


def _wrong(batch: Batch, one: Equipment) -> Iterator[Message]:
    if one.expires is not None and one.expires < batch.run_on:
        yield message("bench.equipment.expired", name=one.name, lot=one.lot, expires=one.expires)
    if not one.unbroken:
        yield message("bench.equipment.broken_hold", name=one.name)
    if one.kind in _WITHOUT_CHECK:
        if one.expires is None:
            yield message("bench.equipment.no_expiry", name=one.name)
        if not one.lot.strip():
            yield message("bench_more.equipment.no_lot", name=one.name)
        return
    if one.checked_on is None or not one.checks:
        yield message("bench.equipment.not_checked", name=one.name)
        return
    yield from _late(batch, one)
    for should, was in one.checks:
        tolerance = _tolerance(batch, one, should)
        if tolerance is None:
            yield message("bench.equipment.no_tolerance", name=one.name)
            return
        if not abs(was - should) <= tolerance * (1.0 + _NOISE):
            unit = _UNIT.get(one.kind, "")
            yield message(
                "bench.equipment.out",
                name=one.name,
                should=Amount(should, unit, digits=4),
                was=Amount(was, unit, digits=4),
                tolerance=Amount(tolerance, unit, digits=4),
            )


def _late(batch: Batch, one: Equipment) -> Iterator[Message]:
    limit = limit_of(batch, f"{one.kind}_days")
    if one.checked_on is None or limit is None:
        return
    age = (batch.run_on - one.checked_on).days
    if abs(age) > limit.value:
        yield message(
            "bench.equipment.check_too_old",
            name=one.name,
            checked=one.checked_on,
            days=age,
            most=limit.value,
        )


def _tolerance(batch: Batch, one: Equipment, should: float) -> float | None:
    if one.tolerance is not None:
        return one.tolerance
    absolute = limit_of(batch, f"{one.kind}_c")
    if absolute is not None:
        return absolute.value
    relative = limit_of(batch, f"{one.kind}_pct")
    return None if relative is None else relative.value / 100.0 * abs(should)


@equation(
    name="Smallest net weight of a balance",
    output=("smallest_net_weight_g", "g", ""),
    source="usp-41",
    mark="read",
    units={"repeatability_g": "g", "scale_interval_g": "g"},
)
def smallest_net_weight(repeatability_g: Any, scale_interval_g: Any) -> Any:
    """Net mass below which a weighing is not good to 0.10 %; another trade's yardstick.

    Parameters
    ----------
    repeatability_g
        SD of repeated weighings [g].
    scale_interval_g
        Smallest step of the display [g]; the SD is not taken below 0.41 of it.
    """
    return 2000.0 * np.maximum(repeatability_g, 0.41 * scale_interval_g)
