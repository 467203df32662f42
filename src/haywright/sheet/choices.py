"""What a person may choose on a sheet; every choice is printed with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from haywright.measure.errors import UnknownName
from haywright.sheet.families import constants, family
from haywright.sheet.grades import GAPS, HEADLINES, TIES, Gap, Tie, scale_names

SPECIES = ("cattle", "sheep", "goat", "horse")


@dataclass(frozen=True, slots=True)
class Choices:
    """Choices of one sheet; each has a default that rests on something read.

    Parameters
    ----------
    species
        Animals the sheet speaks to: "cattle", "sheep", "goat" or "horse".
    methods
        Quantity -> method by name, such as ``{"tdn": "western", "me": "hales2019"}``.
    constants
        Values for equations that have one, such as ``{"adicp_threshold": 12}``.
    scale
        Grade scale whose class stands on the sheet; the others stand beside it.
    headline, tie, gap
        Rules of the grade.
    confidence
        Of the likely ranges [fraction].
    """

    species: str = "cattle"
    methods: Mapping[str, str] = field(default_factory=dict)
    constants: Mapping[str, float] = field(default_factory=dict)
    scale: str = "usda-2003"
    headline: str = "rfv"
    tie: Tie = "better"
    gap: Gap = "none"
    confidence: float = 0.9

    def __post_init__(self) -> None:
        """Refuse an unknown name at once."""
        for field_name, value, known in (
            ("animals", self.species, SPECIES),
            ("scale", self.scale, scale_names()),
            ("headline rule", self.headline, HEADLINES),
            ("tie rule", self.tie, TIES),
            ("gap rule", self.gap, GAPS),
        ):
            if value not in known:
                raise UnknownName(field_name, value, known)
        for name in self.constants:
            if name not in constants():
                raise UnknownName("number", name, constants())
        for quantity, method in self.methods.items():
            family(quantity).method(method)

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "species": self.species,
            "methods": dict(self.methods),
            "constants": dict(self.constants),
            "scale": self.scale,
            "headline": self.headline,
            "tie": self.tie,
            "gap": self.gap,
            "confidence": self.confidence,
        }
