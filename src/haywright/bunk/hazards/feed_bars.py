"""Feeds kept from some kinds of stock, and the most of others.

A bar is not a price: a barred feed is left out of a ration whatever it costs, and named.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, cast

from haywright.measure.errors import UnknownName
from haywright.measure.message import Message, message
from haywright.measure.units import convert
from haywright.sources.tables import load_toml

_LIGHT = "light-calf"


@dataclass(frozen=True, slots=True)
class Bar:
    """One reason why a feed may not be fed to a kind of stock.

    Parameters
    ----------
    carries
        What the feed carries.
    name
        What a person reads.
    source, mark
        What it rests on.
    """

    carries: str
    name: str
    source: str
    mark: str

    def says(self, feed: str, animals: str) -> Message:
        """The sentence."""
        return message(
            "hazards_other.feed_bars.barred", feed=feed, carries=self.name, animals=animals
        )


def _rows() -> Mapping[str, Mapping[str, Any]]:
    rows = load_toml("feed_bars")
    return {name: row for name, row in rows.items() if name != "diet"}


def kinds() -> tuple[str, ...]:
    """What a feed may carry, by name."""
    return tuple(_rows())


def traits_of(species: str, *, family: str, weight: float, milking: bool) -> frozenset[str]:
    """What the bars ask of stock: species, family, light calf, milking.

    Parameters
    ----------
    species
        cattle, sheep, goat or horse.
    family
        cow, heifer, growing, bull, dairy, ewe, doe or horse.
    weight
        [kg].
    milking
        Whether they nurse.
    """
    light = convert(float(_rows()["urea"]["light_lb"]), "lb", "kg")
    found = {species, family}
    if species == "cattle" and weight < light:
        found.add(_LIGHT)
    if milking:
        found.add("milking")
    return frozenset(found)


def bars(carries: Iterable[str], stock: frozenset[str]) -> list[Bar]:
    """The bars that keep a feed from stock; empty when none does.

    Parameters
    ----------
    carries
        What the feed carries, names of :func:`kinds`.
    stock
        Traits from :func:`traits_of`.
    """
    rows = _rows()
    found = []
    for one in carries:
        if one not in rows:
            raise UnknownName("carries", one, rows)
        if stock & set(rows[one]["bars"]):
            row = rows[one]
            found.append(Bar(one, row["name"], row["source"], row["mark"]))
    return found


def limit_of(carries: str) -> Mapping[str, float]:
    """The most of what a feed carries: "of_dm" [% of dry matter], "of_weight" [% of body weight].

    Empty when there is none.
    """
    row = _rows()[carries].get("limit", {})
    return {k: float(v) for k, v in row.items() if k.startswith("of_")}


def diet_limit(name: str) -> Mapping[str, Any]:
    """A limit of the whole diet by name: fat, forage."""
    return cast("Mapping[str, Any]", load_toml("feed_bars")["diet"][name])
