"""What a rancher says of a winter: herds, hay, feeds on sale, offers, weather and dates.

Plain data, as forms and the command line fill it in; what is not said is ``None`` and is counted
as the table of usual figures has it, each such figure told.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from haywright.bunk.animals import Work
from haywright.bunk.intake import Age
from haywright.bunk.ranch import FeedingGroup
from haywright.bunk.ration.feed import RationFeed
from haywright.gate.delivered import Haul
from haywright.gate.money import Price


@dataclass(frozen=True, slots=True)
class HayAsked:
    """One lot on the place, or a hay that is offered.

    Parameters
    ----------
    name
        As people call it; "" takes the lot's own.
    lot, part
        Id of an office's lot whose sheet is meant, and the part of its field; "" for typed numbers.
    bales
        How many stand there [count].
    bale_weight, mass
        Of one bale and of all [kg as it stands].
    values
        Dictionary name -> content typed in [% of DM; Mcal/kg of DM].
    dm
        Dry matter [%].
    crop
        Word of the table of crops; says whether nitrate must be tested.
    nitrate
        [mg/kg NO3-N of DM]; ``None`` when not tested.
    storage, baled_on
        How it is kept, since when.
    left_worth
        Of what is left at turnout, where it stands; ``None`` counts it as nothing.
    price, haul, most
        Of hay to buy: its price, how it comes, and how much there is [kg as it stands].
    """

    name: str = ""
    lot: str = ""
    part: str = ""
    bales: float | None = None
    bale_weight: float | None = None
    mass: float | None = None
    values: Mapping[str, float] = field(default_factory=dict)
    dm: float | None = None
    crop: str = ""
    nitrate: float | None = None
    storage: str = ""
    baled_on: date | None = None
    left_worth: Price | None = None
    price: Price | None = None
    haul: Haul | None = None
    most: float | None = None


@dataclass(frozen=True, slots=True)
class BidAsked:
    """An offer for hay.

    Parameters
    ----------
    lot
        Name or id of the lot.
    buyer
        Who.
    price
        What is paid, where the buyer takes it over.
    most
        How much is wanted [kg as it stands]; ``None`` for all.
    haul
        How the seller brings it; ``None`` when it is fetched.
    """

    lot: str
    price: Price
    buyer: str = ""
    most: float | None = None
    haul: Haul | None = None


@dataclass(frozen=True, slots=True)
class GroupAsked:
    """One group with what the plan asks of it beside the nitrate verdict.

    Parameters
    ----------
    group
        As the nitrate verdict knows it.
    due, weaned
        Mean date of calving, lambing, kidding or foaling; of weaning.
    condition
        Body condition now [score].
    breed, litter, work, age
        As the table of stock has them.
    peak_milk
        [kg/day].
    gain
        Wanted of growing stock [kg/day].
    grown
        Weight grown [kg].
    feeder, waste
        How hay is put out, or its waste [%].
    target, least
        Condition wanted at calving; never to fall below [score].
    most_lots
        How many different lots it may be fed.
    water_sulfate
        Of the water they drink [mg/L]; ``None`` when not tested.
    sale, replacement
        What one brings today, what one like it costs in spring [money].
    """

    group: FeedingGroup
    due: date | None = None
    weaned: date | None = None
    condition: float | None = None
    breed: str = "british"
    litter: float = 1.0
    work: Work = "idle"
    age: Age = "grown"
    peak_milk: float | None = None
    gain: float = 0.0
    grown: float | None = None
    feeder: str = ""
    waste: float | None = None
    target: float | None = None
    least: float | None = None
    most_lots: int | None = None
    water_sulfate: float | None = None
    sale: float | None = None
    replacement: float | None = None


@dataclass(frozen=True, slots=True)
class WeatherAsked:
    """The winter to plan for.

    Parameters
    ----------
    winter
        usual, mild or hard: a planning winter of the table.
    months
        Month (1 to 12) -> usual mean temperature here [°F]; in place of the table's.
    wind
        [miles per hour]; ``None`` takes the table's.
    wet
        Share of days with soaked coats [fraction].
    sheltered
        Whether there is a windbreak.
    """

    winter: str = "usual"
    months: Mapping[int, float] = field(default_factory=dict)
    wind: float | None = None
    wet: float | None = None
    sheltered: bool = False


@dataclass(frozen=True, slots=True)
class WinterAsked:
    """A winter as it is asked.

    Parameters
    ----------
    name
        Of the ranch.
    groups
        Who eats.
    hays
        Lots on the place.
    first, turnout
        First day, and when they go to grass.
    to_buy
        Hay on sale, each with a price.
    feeds
        Other feeds on sale, prices delivered.
    bids
        Offers for the hay here.
    weather
        The winter to plan for.
    guide
        Id of the nitrate guide; "" leaves it to the office.
    every_lot
        Whether no lot was named, so that all the office's lots of this ranch are meant.
    """

    name: str
    groups: tuple[GroupAsked, ...]
    hays: tuple[HayAsked, ...]
    first: date | None = None
    turnout: date | None = None
    to_buy: tuple[HayAsked, ...] = ()
    feeds: tuple[RationFeed, ...] = ()
    bids: tuple[BidAsked, ...] = ()
    weather: WeatherAsked = field(default_factory=WeatherAsked)
    guide: str = ""
    every_lot: bool = False
