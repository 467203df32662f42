"""Basis: of what a percentage is a percentage. Part of every quantity, never implied.

As analysed is the dried, ground powder as weighed; dividing by *laboratory* dry matter gives
the dry-matter basis; multiplying by *total* dry matter gives as received. As fed is the hay as
it reaches the animal, which may have dried or wetted since.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from haywright.measure.errors import CannotDerive, Refused
from haywright.measure.register import equation


class BasisKind(StrEnum):
    """The five bases a forage number can stand on."""

    DRY_MATTER = "dry matter"
    AS_RECEIVED = "as received"
    AS_FED = "as fed"
    AS_ANALYSED = "as analysed"
    AT_DRY_MATTER = "at stated dry matter"


@dataclass(frozen=True, slots=True)
class Basis:
    """A basis; ``dm_pct`` [% dry matter] only for a stated dry matter such as 90 %."""

    kind: BasisKind
    dm_pct: float | None = None

    def __str__(self) -> str:
        return f"{self.dm_pct:g} % dry matter" if self.dm_pct is not None else self.kind.value


DRY_MATTER = Basis(BasisKind.DRY_MATTER)
AS_RECEIVED = Basis(BasisKind.AS_RECEIVED)
AS_FED = Basis(BasisKind.AS_FED)
AS_ANALYSED = Basis(BasisKind.AS_ANALYSED)
_WRITTEN = {
    "dry": DRY_MATTER,
    "dm": DRY_MATTER,
    "dry matter": DRY_MATTER,
    "dry basis": DRY_MATTER,
    "100 % dm": DRY_MATTER,
    "as received": AS_RECEIVED,
    "received": AS_RECEIVED,
    "as fed": AS_FED,
    "fed": AS_FED,
    "as is": AS_FED,
    "as analysed": AS_ANALYSED,
    "as analyzed": AS_ANALYSED,
}


def at_dry_matter(dm_pct: float) -> Basis:
    """The basis of a stated dry matter [%], e.g. 90 for the trade's TDN-90."""
    if not 0 < dm_pct <= 100:
        raise Refused("basis", dm_pct, key="measure.dry_matter_range")
    return DRY_MATTER if dm_pct == 100 else Basis(BasisKind.AT_DRY_MATTER, float(dm_pct))


def parse_basis(text: str | None) -> Basis:
    """The basis from what a person writes: "dry", "as received", "as fed", "90 % dm"."""
    plain = " ".join((text or "").lower().replace("-", " ").replace("_", " ").split())
    if plain in _WRITTEN:
        return _WRITTEN[plain]
    number = plain.removesuffix("dry matter").removesuffix("dm").strip().removesuffix("%").strip()
    if plain != number and number.replace(".", "", 1).isdigit():
        return at_dry_matter(float(number))
    raise Refused("basis", text, key="measure.basis_missing" if not plain else "measure.basis")


@equation(
    name="To dry matter",
    output=("x_dm", "", "dry matter"),
    source="mass-balance",
    mark="definition",
    units={"x": "", "dm": "% of the hay or powder"},
)
def to_dry_matter(x: Any, dm: Any) -> Any:
    """A constituent on dry matter from the same constituent on material of dry matter ``dm``.

    Parameters
    ----------
    x
        Constituent [any unit per mass of the material as it stands].
    dm
        Dry matter of that material [%].
    """
    return 100.0 * x / dm


@equation(
    name="From dry matter",
    output=("x", "", "as the dry matter given"),
    source="mass-balance",
    mark="definition",
    units={"x_dm": "", "dm": "% of the hay or powder"},
)
def from_dry_matter(x_dm: Any, dm: Any) -> Any:
    """A constituent on material of dry matter ``dm`` from the same constituent on dry matter.

    Parameters
    ----------
    x_dm
        Constituent [any unit per mass of dry matter].
    dm
        Dry matter of the material [%].
    """
    return x_dm * dm / 100.0


@dataclass(frozen=True, slots=True)
class DryMatters:
    """The dry matters of one sample, kept apart [%]; ``None`` where not known."""

    total: Any = None
    laboratory: Any = None
    fed: Any = None

    def of(self, basis: Basis) -> Any:
        """Dry matter [%] of the material a basis speaks of."""
        if basis.kind is BasisKind.DRY_MATTER:
            return 100.0
        if basis.dm_pct is not None:
            return basis.dm_pct
        field, name = {
            BasisKind.AS_RECEIVED: (self.total, "dm"),
            BasisKind.AS_FED: (self.fed if self.fed is not None else self.total, "dm"),
            BasisKind.AS_ANALYSED: (self.laboratory, "lab_dm"),
        }[basis.kind]
        if field is None:
            raise CannotDerive(str(basis), [name])
        return field


def rebase(value: Any, from_basis: Basis, to_basis: Basis, *, dry: DryMatters) -> Any:
    """Restate a constituent per unit mass on another basis.

    Parameters
    ----------
    value
        Number, array or Estimate [any unit on ``from_basis``].
    from_basis, to_basis
        Bases.
    dry
        Dry matters of the sample [%].

    Raises
    ------
    CannotDerive
        When the dry matter that is needed is not known; it is named.
    """
    if from_basis == to_basis:
        return value
    on_dry_matter = value
    if from_basis != DRY_MATTER:
        on_dry_matter = to_dry_matter(value, dry.of(from_basis))
    if to_basis == DRY_MATTER:
        return on_dry_matter
    return from_dry_matter(on_dry_matter, dry.of(to_basis))
