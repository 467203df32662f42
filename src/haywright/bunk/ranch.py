"""A ranch as feeding sees it: who eats, how many, how they are fed, and the water they drink."""

from __future__ import annotations

from dataclasses import dataclass

from haywright.bunk.hazards.nitrate.question import Fed
from haywright.measure.errors import Refused
from haywright.sources.animals import Animals


@dataclass(frozen=True, slots=True)
class FeedingGroup:
    """Animals of one kind that are fed together.

    Parameters
    ----------
    name
        What the rancher calls them.
    stock
        Kind of stock.
    head
        How many [count].
    fed
        How they are fed.
    weight
        Live weight of one [kg]; ``None`` when not known.
    intake
        Dry matter one eats [kg/day]; ``None`` when not known.
    water_nitrate
        Of the water they drink [mg/L NO3-N]; ``None`` when not tested.
    drinks
        Water one drinks [L/day]; ``None`` when not known.
    pregnant
        ``None`` leaves it to the kind of stock, which counts unknown as bred.
    stressed
        Thin, sick, hauled or hungry stock.
    """

    name: str
    stock: Animals
    head: int
    fed: Fed = Fed.FREE
    weight: float | None = None
    intake: float | None = None
    water_nitrate: float | None = None
    drinks: float | None = None
    pregnant: bool | None = None
    stressed: bool = False

    def __post_init__(self) -> None:
        """Refuse more eaten in a day than a tenth of the weight: a slip of unit."""
        if self.weight and self.intake and self.intake > self.weight / 10:
            raise Refused("intake", f"{self.intake:g}", key="bunk.ranch.intake", name=self.name)


@dataclass(frozen=True, slots=True)
class Ranch:
    """A ranch.

    Parameters
    ----------
    id, name
        As its form is called, and as people say it.
    groups
        Animals fed together, by group.
    guide
        Id of the nitrate guide chosen here; "" leaves it to the office.
    """

    id: str
    name: str
    groups: tuple[FeedingGroup, ...]
    guide: str = ""

    def group(self, name: str) -> FeedingGroup:
        """The group of a name; an unknown one is refused with the names there are."""
        from haywright.measure.errors import UnknownName

        for one in self.groups:
            if one.name == name:
                return one
        raise UnknownName("group", name, [one.name for one in self.groups])
