"""Kinds of stock: what a person calls them, and the classes that guides speak of.

The table stands in ``sources/tables/animals.toml``. A kind may be written by its id, its name
or one of its other names; an unknown word is refused with the near ones.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from haywright.sources.named import NamedTable

Species = Literal["cattle", "sheep", "goat", "horse"]


@dataclass(frozen=True, slots=True)
class Animals:
    """One kind of stock.

    ``classes`` are the classes of the nitrate guides (pregnant, non_pregnant, young, stressed,
    lactating, sheep, goat, horse); ``traits`` are what the test advice asks about.
    """

    id: str
    name: str
    species: Species
    classes: tuple[str, ...]
    also: tuple[str, ...] = ()
    traits: tuple[str, ...] = ()

    @property
    def ruminant(self) -> bool:
        """Whether nitrate is changed to nitrite in a rumen."""
        return self.species != "horse"


_KINDS = NamedTable("animals", Animals, field="animals")


def kinds() -> Mapping[str, Animals]:
    """Every kind of stock by id."""
    return _KINDS.rows


def animals(word: str) -> Animals:
    """The kind of stock of an id, a name or another name; an unknown one is refused."""
    return _KINDS.find(word)
