"""Kinds of stock: what a person calls them, and the classes that guides speak of.

The table stands in ``sources/tables/animals.toml``. A kind may be written by its id, its name
or one of its other names; an unknown word is refused with the near ones.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from haywright.measure.errors import UnknownName
from haywright.sources.tables import load_toml

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


def _plain(word: str) -> str:
    return " ".join(word.lower().replace("-", " ").replace("_", " ").split())


@lru_cache(maxsize=1)
def kinds() -> Mapping[str, Animals]:
    """Every kind of stock by id."""
    return {
        key: Animals(id=key, **{k: tuple(v) if isinstance(v, list) else v for k, v in row.items()})
        for key, row in load_toml("animals").items()
    }


@lru_cache(maxsize=1)
def _words() -> dict[str, Animals]:
    return {_plain(w): row for row in kinds().values() for w in (*row.also, row.name, row.id)}


def animals(word: str) -> Animals:
    """The kind of stock of an id, a name or another name; an unknown one is refused."""
    found = _words().get(_plain(word))
    if found is None:
        raise UnknownName("animals", word, {w for row in kinds().values() for w in (row.id, *row.also)})
    return found
