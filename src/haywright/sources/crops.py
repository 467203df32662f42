"""Crops, weeds and events: what each is, and what it means for nitrate and prussic acid.

The tables stand in ``sources/tables/{crops,weeds,events}.toml``. A person may write a crop by
its id, its name or one of its other names; an unknown word is refused with the near ones.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal, TypeVar

from haywright.measure.errors import UnknownName
from haywright.sources.tables import load_toml

ForageClass = Literal[
    "legume", "grass", "mixed", "small_grain", "sorghum", "corn", "straw", "brassica"
]
Level = Literal["high", "middle", "low"]


@dataclass(frozen=True, slots=True)
class Crop:
    """One crop as the table gives it.

    ``prussic_acid`` is the place in the published order of risk (1 the highest), ``None`` where
    the plant does not free prussic acid; ``source`` and ``mark`` speak of ``nitrate``.
    """

    id: str
    name: str
    forage_class: ForageClass
    nitrate: Level
    source: str
    also: tuple[str, ...] = ()
    season: Literal["cool", "warm", ""] = ""
    annual: bool = False
    legume: Literal["all", "some", "none"] = "none"
    prussic_acid: int | None = None
    stem: Literal["stem", "stalk"] = "stem"
    mark: Literal["read", "practice"] = "read"

    @property
    def cyanogenic(self) -> bool:
        """Whether torn, frosted or wilted tissue can free prussic acid."""
        return self.prussic_acid is not None

    @property
    def accumulator(self) -> bool:
        """Whether the crop is on the published lists of nitrate accumulators."""
        return self.nitrate == "high"


@dataclass(frozen=True, slots=True)
class Weed:
    """A weed that changes which tests a lot needs."""

    id: str
    name: str
    nitrate: Level
    source: str
    also: tuple[str, ...] = ()
    cyanogenic: bool = False


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened to the crop (``growing``) or to its hay (``haymaking``)."""

    id: str
    name: str
    kind: Literal["growing", "haymaking"]
    raises: tuple[str, ...]
    source: str
    also: tuple[str, ...] = ()

    @property
    def raises_nitrate(self) -> bool:
        """Whether the event can raise nitrate."""
        return "nitrate" in self.raises


Row = TypeVar("Row", Crop, Weed, Event)


def _plain(word: str) -> str:
    return " ".join(word.lower().replace("-", " ").replace("_", " ").replace("'", "").split())


def _read(table: str, make: Callable[..., Row]) -> Mapping[str, Row]:
    rows: Mapping[str, Mapping[str, Any]] = load_toml(table)
    return {
        key: make(id=key, **{k: tuple(v) if isinstance(v, list) else v for k, v in row.items()})
        for key, row in rows.items()
    }


def _by_word(rows: Iterable[Row]) -> dict[str, Row]:
    return {_plain(word): row for row in rows for word in (*row.also, row.name, row.id)}


@lru_cache(maxsize=1)
def crops() -> Mapping[str, Crop]:
    """Every crop by id."""
    return _read("crops", Crop)


@lru_cache(maxsize=1)
def weeds() -> Mapping[str, Weed]:
    """Every weed by id."""
    return _read("weeds", Weed)


@lru_cache(maxsize=1)
def events() -> Mapping[str, Event]:
    """Every event by id."""
    return _read("events", Event)


@lru_cache(maxsize=3)
def _words(table: Callable[[], Mapping[str, Row]]) -> dict[str, Row]:
    return _by_word(table().values())


def _find(table: Callable[[], Mapping[str, Row]], word: str, field: str) -> Row:
    found = _words(table).get(_plain(word))
    if found is None:
        written = {w for row in table().values() for w in (row.id, *row.also)}
        raise UnknownName(field, word, written)
    return found


def crop(word: str) -> Crop:
    """The crop of an id, a name or another name; an unknown one is refused with near names."""
    return _find(crops, word, "crop")


def weed(word: str) -> Weed:
    """The weed of an id, a name or another name; an unknown one is refused with near names."""
    return _find(weeds, word, "weed")


def event(word: str) -> Event:
    """The event of an id, a name or another name; an unknown one is refused with near names."""
    return _find(events, word, "event")
