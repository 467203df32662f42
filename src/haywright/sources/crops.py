"""Crops, weeds and events: what each is, and what it means for nitrate and prussic acid.

The tables stand in ``sources/tables/{crops,weeds,events}.toml``. A person may write a crop by
its id, its name or one of its other names; an unknown word is refused with the near ones.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from haywright.sources.named import NamedTable

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


_CROPS = NamedTable("crops", Crop, field="crop")
_WEEDS = NamedTable("weeds", Weed, field="weed")
_EVENTS = NamedTable("events", Event, field="event")


def crops() -> Mapping[str, Crop]:
    """Every crop by id."""
    return _CROPS.rows


def weeds() -> Mapping[str, Weed]:
    """Every weed by id."""
    return _WEEDS.rows


def events() -> Mapping[str, Event]:
    """Every event by id."""
    return _EVENTS.rows


def crop(word: str) -> Crop:
    """The crop of an id, a name or another name; an unknown one is refused with near names."""
    return _CROPS.find(word)


def weed(word: str) -> Weed:
    """The weed of an id, a name or another name; an unknown one is refused with near names."""
    return _WEEDS.find(word)


def event(word: str) -> Event:
    """The event of an id, a name or another name; an unknown one is refused with near names."""
    return _EVENTS.find(word)
