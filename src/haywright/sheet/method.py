"""One quantity, several published equations: each a method with a name a person can choose.

The order of a family's methods is the order of preference. A recalled equation is never chosen
unasked; it can be chosen by name and is then shown with its mark.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from haywright.measure.errors import UnknownName
from haywright.measure.register import Equation, declared
from haywright.sources.crops import Crop


@dataclass(frozen=True, slots=True)
class Method:
    """One published way to a quantity.

    Parameters
    ----------
    name
        What a person types and what is stored with the result.
    equation
        Its declaration.
    code
        Short label in the list of TDN equations, such as T5.
    guarded
        Whether an input outside the range of the equation is refused, not only warned of.
    reported
        Whether its inputs must be a laboratory's own numbers, never ones derived here.
    asked
        Whether it serves only when chosen by name: a shortcut, however well its source is known.
    """

    name: str
    equation: Equation
    code: str = ""
    guarded: bool = False
    reported: bool = False
    asked: bool = False

    def meant_for(self, crop: Crop | None, species: str) -> bool:
        """Whether the equation was made for this crop and these animals."""
        for_animals = not self.equation.species or species in self.equation.species
        return for_animals and self.made_for_crop(crop)

    def made_for_crop(self, crop: Crop | None) -> bool:
        """Whether the equation was made for this crop; an unknown crop takes the general ones."""
        crops = set(self.equation.crops)
        if not crops or crop is None:
            return not crops
        kind = crop.forage_class
        return bool({crop.id, kind, f"{crop.season}_{kind}"} & crops)


@dataclass(frozen=True, slots=True)
class Family:
    """A quantity and its methods, the preferred first."""

    quantity: str
    methods: tuple[Method, ...]

    def method(self, name: str) -> Method:
        """The method of a name or a code; an unknown one is refused with the near ones."""
        for one in self.methods:
            if name.lower() in (one.name, one.code.lower()):
                return one
        raise UnknownName(f"{self.quantity} method", name, [one.name for one in self.methods])

    def preferred(self, crop: Crop | None, species: str) -> list[Method]:
        """The methods that may serve unasked for this crop and these animals, in order."""
        return [
            one
            for one in self.methods
            if one.meant_for(crop, species) and not (one.equation.recalled or one.asked)
        ]


def method(
    name: str,
    fn: Callable[..., Any],
    code: str = "",
    *,
    guarded: bool = False,
    reported: bool = False,
    asked: bool = False,
) -> Method:
    """A method from an equation function."""
    return Method(name, declared(fn), code, guarded, reported, asked)
