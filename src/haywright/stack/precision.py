"""What the cores buy: half-width against number of cores, for one quantity."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from haywright.measure.message import Amount, Message, message
from haywright.stack.error import (
    LARGE_LOT,
    Cores,
    Scheme,
    cores_needed,
    floor_half_width,
    half_width,
)
from haywright.stack.lot import Lot
from haywright.stack.spread import PlanSpread

STEPS = (1, 2, 3, 5, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80)
USUAL = ("cp", "adf", "ndf")


@dataclass(frozen=True, slots=True)
class Point:
    """Half-widths with a number of cores.

    ``half`` holds against a limit or another laboratory; ``one_laboratory`` between results of
    one laboratory, its bias left out [unit of the quantity; % of the value where relative].
    """

    cores: int
    bales: int
    half: float
    one_laboratory: float


@dataclass(frozen=True, slots=True)
class Precision:
    """What the cores buy in one quantity.

    Parameters
    ----------
    quantity
        Dictionary name.
    spread
        Which spread it rests on.
    confidence
        Of every half-width [fraction].
    at
        Of the plan.
    points
        The curve.
    floor
        What the laboratory alone leaves [as the half-widths].
    target, needed
        Half-width asked for and what it takes, when one was asked for.
    """

    quantity: str
    spread: PlanSpread
    confidence: float
    at: Point
    points: tuple[Point, ...]
    floor: float
    target: float | None = None
    needed: Cores | None = None

    @property
    def relative(self) -> bool:
        """Whether half-widths are in % of the value."""
        return self.spread.relative

    def amount(self, half: float) -> Amount:
        """A half-width to be said [as the half-widths]."""
        if self.relative:
            return Amount(half, "%", digits=0)
        from haywright.measure.analytes import quantity

        entry = quantity(self.quantity)
        return Amount(half, entry.unit, digits=(entry.digits or 0) + 1)

    def to_json(self) -> dict[str, Any]:
        """Plain values; half-widths in the quantity's unit, or % of the value where relative."""
        return {
            "quantity": self.quantity,
            "relative": self.relative,
            "confidence": self.confidence,
            "spread_from": self.spread.origin.value,
            "provisional": self.spread.provisional,
            "degrees_of_freedom": _finite(self.spread.spread.df),
            "source": self.spread.source,
            "points": [
                {
                    "cores": one.cores,
                    "bales": one.bales,
                    "half_width": one.half,
                    "half_width_one_laboratory": one.one_laboratory,
                }
                for one in self.points
            ],
            "laboratory_floor": self.floor,
            "target": self.target,
            "needed": None if self.needed is None else _needed(self.needed),
        }


def _finite(df: float) -> float | None:
    return df if df < float("inf") else None


def _needed(cores: Cores) -> dict[str, Any]:
    return {
        "attainable": cores.attainable,
        "bales": cores.bales,
        "cores_per_bale": cores.cores_per_bale,
        "readings": cores.analyses,
    }


def chances(confidence: float) -> Message:
    """A confidence as times in ten, twenty or a hundred [fraction]."""
    for out_of in (10, 20, 100):
        times = confidence * out_of
        if abs(times - round(times)) < 1e-9:
            return message("stack.precision.chances", times=round(times), of=out_of)
    return message("stack.precision.percent", percent=100 * confidence)


def library_for(quantity: str, lot: Lot, *, parts_apart: bool) -> str:
    """Row of the library of spreads for a quantity of a lot."""
    if quantity != "nitrate_n":
        return quantity
    if parts_apart:
        return "nitrate-by-part"
    stressed = any(one.annual for one in lot.known_crops) or lot.events or lot.weeds
    return "nitrate-stressed" if stressed else "nitrate"


def precision_of(
    spread: PlanSpread,
    *,
    bales: int,
    cores_per_bale: int = 1,
    lot_bales: float = LARGE_LOT,
    bags: int = 1,
    confidence: float = 0.9,
    target: float | None = None,
) -> Precision:
    """The curve for a spread.

    Parameters
    ----------
    spread
        Which spread.
    bales, cores_per_bale, lot_bales
        n, m, N [counts].
    bags
        Bags the cores go into, each read once [count].
    confidence
        Of the half-widths [fraction].
    target
        Half-width asked for [unit of the quantity; % of the value where relative].
    """
    scale = 100.0 if spread.relative else 1.0
    plan = Scheme(bales, cores_per_bale, lot_bales, portions=bags, analyses=bags)

    def point(n: int, m: int) -> Point:
        scheme = replace(plan, bales=n, cores_per_bale=m)
        return Point(
            n * m,
            n,
            scale * half_width(spread.spread, scheme, confidence),
            scale * half_width(spread.spread.one_laboratory, scheme, confidence),
        )

    at = point(bales, cores_per_bale)
    steps = sorted({n for n in STEPS if n <= lot_bales} | {bales})
    return Precision(
        quantity=spread.quantity,
        spread=spread,
        confidence=confidence,
        at=at,
        points=tuple(at if n == bales else point(n, cores_per_bale) for n in steps),
        floor=scale * floor_half_width(spread.spread, plan, confidence),
        target=target,
        needed=None
        if target is None
        else cores_needed(
            spread.spread,
            target / scale,
            confidence=confidence,
            lot_bales=lot_bales,
            cores_per_bale=cores_per_bale,
            portions=bags,
            analyses=bags,
        ),
    )
