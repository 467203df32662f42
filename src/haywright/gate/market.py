"""What markets have paid for quality: dated, placed, and only when a person chooses it.

Such figures carry the place, the year and the kind of hay they were seen in; none is a default,
and points of one index are never used on hay they were not paid for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from haywright.gate.money import Number, Price, exact
from haywright.measure.errors import Refused
from haywright.measure.register import equation
from haywright.sources.named import NamedTable


@equation(
    name="Price by the points of an index",
    output=("price", "$/kg", "as it stands"),
    source="kath-auction",
    mark="read",
    units={"points": "", "rate": "$/kg for one point"},
)
def price_of_points(points: Any, rate: Any) -> Any:
    """Points of the index [index] times what one point was paid [$/mass as it stands]."""
    return points * rate


@equation(
    name="Change of price with a change of fiber",
    output=("price_change", "$/kg", "as it stands"),
    source="putnam-forage-markets",
    mark="read",
    units={"change": "points of ADF", "rate": "$/kg for one point"},
)
def price_change_by_fiber(change: Any, rate: Any) -> Any:
    """Less fiber pays more: change of ADF [percentage points] and rate [$/mass for one point]."""
    return -change * rate


@dataclass(frozen=True, slots=True)
class Discount:
    """A difference of price that was seen in a market.

    Parameters
    ----------
    id, name
        What it is for.
    low, high
        Least and greatest change [$ per short ton]; below 0 for a discount.
    where, years, hay
        The market it was seen in.
    source
        Bibliography key.
    """

    id: str
    name: str
    low: float
    high: float
    where: str
    years: str
    hay: str
    source: str
    also: tuple[str, ...] = ()
    weeds_from: float | None = None


_DISCOUNTS = NamedTable("market_discounts", Discount, field="discount")


def discounts() -> Mapping[str, Discount]:
    """Every difference of price in the table by id."""
    return _DISCOUNTS.rows


def discounts_for(package: str, *, weeds: Number) -> tuple[Discount, ...]:
    """The differences that fit a kind of bale and its share of weeds and grasses [%]."""
    found = [] if package in ("small square", "small-square") else [_DISCOUNTS.find(package)]
    share = exact(weeds, "weeds")
    if not 0 <= share <= 100:
        raise Refused("weeds", weeds, key="gate.over_hundred")
    found += [
        one
        for one in discounts().values()
        if one.weeds_from is not None and share >= exact(one.weeds_from)
    ]
    return tuple(found)


def discounted(price: Price, chosen: Iterable[Discount]) -> tuple[Price, Price]:
    """The price after the greatest and after the least of the differences chosen."""
    low, high = price, price
    for one in chosen:
        low += Price(exact(one.low), "short_ton", price.currency)
        high += Price(exact(one.high), "short_ton", price.currency)
    return low, high
