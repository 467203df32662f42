"""Hay put out, wasted and eaten; bales, rings and animal units."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from haywright.measure.errors import Refused, UnknownName
from haywright.measure.register import equation
from haywright.sources.tables import load_toml

Of = Literal["bale", "disappearance"]


@equation(
    name="Hay eaten from what disappeared",
    output=("eaten", "as what disappeared", ""),
    source="buskirk-2003",
    mark="read",
    units={"disappeared": "", "wasted": ""},
)
def hay_eaten(disappeared: Any, wasted: Any) -> Any:
    """Disappeared - wasted; disappeared [any mass], wasted [the same]."""
    return disappeared - wasted


@equation(
    name="Waste as a share of what disappeared",
    output=("waste", "%", "what disappeared"),
    source="buskirk-2003",
    mark="read",
    units={"disappeared": "", "wasted": ""},
)
def waste_share(disappeared: Any, wasted: Any) -> Any:
    """100 wasted / disappeared; disappeared [any mass], wasted [the same]."""
    return 100.0 * wasted / disappeared


@equation(
    name="Hay wasted of what is put out",
    output=("wasted", "as what is put out", ""),
    source="lalman-feeders",
    mark="read",
    units={"put_out": "", "waste": "%"},
)
def hay_wasted(put_out: Any, waste: Any) -> Any:
    """Put out x waste / 100; put_out [any mass or money], waste [% of the bale]."""
    return put_out * waste / 100.0


@equation(
    name="Hay to put out so that enough is eaten",
    output=("put_out", "as what is eaten", ""),
    source="mass-balance",
    mark="definition",
    units={"eaten": "", "waste": "%"},
)
def hay_put_out(eaten: Any, waste: Any) -> Any:
    """Eaten / (1 - waste / 100), divided, never added on; eaten [any mass], waste [%]."""
    return eaten / (1.0 - waste / 100.0)


@equation(
    name="Bales that hold a mass",
    output=("bales", "", ""),
    source="mass-balance",
    mark="definition",
    units={"mass": "kg", "bale_weight": "kg"},
)
def bales_of(mass: Any, bale_weight: Any) -> Any:
    """Mass / weight of one bale; mass [kg], bale_weight [kg]."""
    return mass / bale_weight


@equation(
    name="Hay that head fed an amount each take",
    output=("mass", "kg", "as fed"),
    source="southeast-farm-press-hay",
    mark="read",
    units={"fed": "kg/day", "days": "day"},
)
def hay_for_days(head: Any, fed: Any, days: Any) -> Any:
    """Head x amount x days; head [count], fed [kg as fed a day], days [day]."""
    return head * fed * days


@equation(
    name="Days a bale lasts",
    output=("days", "day", ""),
    source="mass-balance",
    mark="definition",
    units={"bale_weight": "kg", "waste": "%", "fed": "kg/day"},
)
def days_per_bale(bale_weight: Any, waste: Any, head: Any, fed: Any) -> Any:
    """Bale x (1 - waste / 100) / (head x eaten each).

    Parameters
    ----------
    bale_weight
        [kg].
    waste
        [% of the bale].
    head
        [count].
    fed
        Eaten by one [kg as fed a day].
    """
    return bale_weight * (1.0 - waste / 100.0) / (head * fed)


@equation(
    name="Animal units of a herd",
    output=("animal_units", "", ""),
    source="pyles-kentucky",
    mark="read",
    species=("cattle",),
    units={"grown_weight": "lb", "yearlings": "", "calves": ""},
)
def animal_units(grown_weight: Any, yearlings: Any = 0.0, calves: Any = 0.0) -> Any:
    """Weight of cows and bulls / 1000 + 0.5 for a yearling + 0.25 for a calf.

    Sources differ (calf 0.5, bull 2): weight and intake by class are better.

    Parameters
    ----------
    grown_weight
        Of all cows and bulls together [lb].
    yearlings, calves
        [count].
    """
    return grown_weight / 1000.0 + 0.5 * yearlings + 0.25 * calves


@equation(
    name="Feeders so that all eat at once",
    output=("rings", "", ""),
    source="missouri-hay-waste",
    mark="read",
    units={"places": ""},
)
def rings_needed(head: Any, places: Any) -> Any:
    """Head / places of a feeder, rounded up; head [count], places [count]."""
    return np.ceil(head / places)


@equation(
    name="Money saved by using less",
    output=("saving", "$", ""),
    source="mass-balance",
    mark="definition",
    units={"before": "", "after": "", "price": "$"},
)
def saving(before: Any, after: Any, price: Any = 1.0) -> Any:
    """(before - after) x price; before [count or $], after [the same], price [$ each]."""
    return (before - after) * price


@equation(
    name="Share saved",
    output=("saved", "%", ""),
    source="landblom-ndsu",
    mark="read",
    units={"before": "$", "after": "$"},
)
def saved_share(before: Any, after: Any) -> Any:
    """100 (before - after) / before; before [$], after [$]."""
    return 100.0 * (before - after) / before


@dataclass(frozen=True, slots=True)
class Way:
    """One way of putting hay out, with the range that trials give.

    Parameters
    ----------
    id, name
        Its name inside, and as printed.
    low, usual, high
        Waste [%].
    of
        What the per cent is of: the bale, or what disappears.
    source
        Bibliography key.
    """

    id: str
    name: str
    low: float
    usual: float
    high: float
    of: Of
    source: str


def ways() -> tuple[str, ...]:
    """The ways of putting hay out, by name."""
    return tuple(load_toml("feeding_out"))


def way(name: str) -> Way:
    """A way of putting hay out; an unknown one is refused."""
    table = load_toml("feeding_out")
    if name not in table:
        raise UnknownName("way of feeding", name, table)
    row = table[name]
    return Way(name, row["name"], row["low"], row["usual"], row["high"], row["of"], row["source"])


def waste_fraction(waste: float) -> float:
    """A waste as a fraction, refused when nothing would be left [%]."""
    if not 0 <= waste < 100 or math.isnan(waste):
        raise Refused("waste", waste, key="winter.waste")
    return waste / 100.0
