"""Packages of hay: kind, sides, weight, and the weight of a lot from a few weighed bales."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

from haywright.measure.errors import Refused
from haywright.measure.estimate import t_quantile
from haywright.measure.units import convert
from haywright.sources.named import NamedTable
from haywright.stack.geometry import (
    density_of,
    rind_share_curved,
    rind_share_square,
    rind_share_with_ends,
    volume_round,
    volume_square,
    weight_of,
)

Kind = Literal["round", "small_square", "large_square"]
KINDS: tuple[Kind, ...] = get_args(Kind)
Weathered = Literal["curved", "with_ends"]
WEATHERED: tuple[Weathered, ...] = get_args(Weathered)
_SIDES = {
    "round": ("diameter", "width"),
    "small_square": ("height", "width", "length"),
    "large_square": ("height", "width", "length"),
}


def positive(field: str, value: float) -> float:
    """The value, refused when it is not above 0 [any unit]."""
    if not (0 < value < math.inf):
        raise Refused(field, value, key="stack.positive")
    return value


def share(field: str, value: float) -> float:
    """The value, refused when it is not between 0 and 1 [fraction]."""
    if not 0 <= value <= 1:
        raise Refused(field, value, key="stack.share")
    return value


@dataclass(frozen=True, slots=True)
class Package:
    """One bale's shape. Round: diameter and width; square: height, width and length.

    Parameters
    ----------
    kind
        round, small_square or large_square.
    diameter, width, length, height
        Sides [m]; those that the kind does not have stay 0.
    """

    kind: Kind
    diameter: float = 0.0
    width: float = 0.0
    length: float = 0.0
    height: float = 0.0

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise Refused("package", self.kind, ", ".join(KINDS))
        for side in _SIDES[self.kind]:
            positive(side, getattr(self, side))

    @property
    def round(self) -> bool:
        """Whether it is a round bale."""
        return self.kind == "round"

    @property
    def radius(self) -> float:
        """Radius of a round bale [m]."""
        return self.diameter / 2

    @property
    def volume(self) -> float:
        """Volume [m3]."""
        if self.round:
            return float(volume_round(self.diameter, self.width))
        return float(volume_square(self.height, self.width, self.length))

    @property
    def sides(self) -> tuple[float, ...]:
        """Sides in the order the trade names them [m]."""
        return tuple(getattr(self, side) for side in _SIDES[self.kind])

    def weight(self, density: float) -> float:
        """Weight [kg as it stands] at a density [kg/m3 as it stands]."""
        return float(weight_of(self.volume, positive("density", density)))

    def density(self, weight: float) -> float:
        """Density [kg/m3 as it stands] at a weight [kg as it stands]."""
        return float(density_of(positive("weight", weight), self.volume))

    def over(self, other: Package) -> float:
        """How many times the hay of another package it holds at one density."""
        return self.volume / other.volume

    def rind_share(self, rind: float, basis: Weathered = "curved") -> float:
        """Share of the bale's mass in its weathered outside.

        Parameters
        ----------
        rind
            Thickness of the weathered outside [m].
        basis
            For a round bale: the curved side alone, or both flat ends as well. A square bale is
            taken weathered on all six faces.
        """
        if basis not in WEATHERED:
            raise Refused("weathered", basis, ", ".join(WEATHERED))
        if not self.round:
            return float(rind_share_square(self.height, self.width, self.length, rind))
        if basis == "curved":
            return float(rind_share_curved(self.radius, rind))
        return float(rind_share_with_ends(self.radius, self.width, rind))

    def to_json(self) -> dict[str, Any]:
        """Kind and sides in m."""
        return {"kind": self.kind, **{f"{s}_m": getattr(self, s) for s in _SIDES[self.kind]}}


@dataclass(frozen=True, slots=True)
class BaleSize:
    """A usual package of the table: sides in ft, weight in lb, density in lb/ft3 as it stands."""

    id: str
    name: str
    kind: Kind
    sides: tuple[float, ...]
    density: float
    source: str
    weight: float | None = None
    also: tuple[str, ...] = ()
    default: bool = False

    @property
    def package(self) -> Package:
        """The package, sides in m."""
        sides = zip(_SIDES[self.kind], self.sides, strict=True)
        return Package(self.kind, **{name: convert(ft, "ft", "m") for name, ft in sides})

    @property
    def planning_density(self) -> float:
        """Density to plan with [kg/m3 as it stands]."""
        return convert(self.density, "lb/ft3", "kg/m3")


_SIZES = NamedTable("bale_sizes", BaleSize, field="package")


def bale_sizes() -> Mapping[str, BaleSize]:
    """Every usual package by id."""
    return _SIZES.rows


def bale_size(word: str) -> BaleSize:
    """The usual package of an id, a name or another name, such as "5x5" or "round"."""
    return _SIZES.find(word)


def usual_size(kind: Kind) -> BaleSize:
    """The size taken when only the kind is known."""
    return next(one for one in bale_sizes().values() if one.kind == kind and one.default)


def nearest_size(package: Package) -> BaleSize:
    """The usual package of the same kind whose volume is nearest."""
    same = [one for one in bale_sizes().values() if one.kind == package.kind]
    return min(same, key=lambda one: abs(math.log(one.package.volume / package.volume)))


@dataclass(frozen=True, slots=True)
class LotWeight:
    """Weight of a lot from weighed bales.

    Parameters
    ----------
    mass, half_width
        Weight of the lot, and how far it may be off either way [kg as it stands].
    se_mean
        Standard error of the mean bale [kg as it stands].
    confidence
        Of the half-width [fraction].
    """

    mass: float
    half_width: float
    se_mean: float
    confidence: float


def lot_weight(weights: Sequence[float], lot_bales: int, *, confidence: float = 0.95) -> LotWeight:
    """Weight of a lot from a random sample of its bales, weighed.

    Parameters
    ----------
    weights
        Weights of the bales weighed, drawn at random [kg as it stands].
    lot_bales
        Bales in the lot [count].
    confidence
        Of the half-width [fraction].
    """
    n = len(weights)
    if n < 2:
        raise Refused("bales weighed", n, key="stack.two_weighed")
    for one in weights:
        positive("weight", one)
    mean = math.fsum(weights) / n
    sd = math.sqrt(math.fsum((w - mean) ** 2 for w in weights) / (n - 1))
    return lot_weight_from_summary(mean, sd, n=n, lot_bales=lot_bales, confidence=confidence)


def lot_weight_from_summary(
    mean: float, sd: float, *, n: int, lot_bales: int, confidence: float = 0.95
) -> LotWeight:
    """The same from mean and spread of the weighed bales (Cochran 1977, chapter 2).

    Parameters
    ----------
    mean, sd
        Mean and standard deviation of the weighed bales [kg as it stands].
    n, lot_bales
        Bales weighed, and bales in the lot [count].
    confidence
        Of the half-width [fraction].
    """
    if not 2 <= n <= lot_bales:
        raise Refused("bales weighed", n, key="stack.weighed_of_lot", bales=lot_bales)
    se = sd / math.sqrt(n) * math.sqrt(1 - n / lot_bales)
    half = t_quantile((1 + confidence) / 2, n - 1) * se * lot_bales
    return LotWeight(lot_bales * mean, half, se, confidence)
