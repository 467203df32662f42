"""Offers for hay set side by side: delivered, after losses, from the buyer's and the seller's side.

The buyer asks what a unit of the nutrient the ranch is short of costs once it is eaten, and up to
what price the hay pays. The seller asks what is left at the stack once the fertilizer that leaves
with the hay is put back. Both sides meet at one price: the most a buyer would give at that stack.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Literal

from haywright.gate.compare import Comparison, Offer, compare
from haywright.gate.delivered import Delivered, Haul, after_losses, delivered
from haywright.gate.money import Number, Price, exact
from haywright.gate.price import NutrientCost, PriceRange
from haywright.gate.removal import NitrogenCounted, removal
from haywright.gate.worth import Worth, worth_of
from haywright.measure.errors import Refused
from haywright.measure.message import Message

Where = Literal["stack", "yard"]
WHERE: tuple[Where, ...] = ("stack", "yard")
IN_FERTILIZER = ("cp", "p", "k")


@dataclass(frozen=True, slots=True)
class HayOffer:
    """One hay at a price.

    Parameters
    ----------
    name
        What it is called.
    price
        As it stands, at the seller's stack or in the buyer's yard.
    dm
        Dry matter [% as it stands].
    contents
        Dictionary name -> content [% of DM, Mcal/kg DM for energy]; p and k as elements.
    where
        Where the price holds: stack or yard.
    haul
        How it comes from the stack to the yard; ``None`` when it does not move.
    other
        Loading, unloading, brokerage, paid by whoever pays the freight [currency per unit].
    storage_loss, feeding_loss
        Losses with the buyer [%].
    range
        What the price may come to when it was asked by the bale and bales were not weighed.
    barred
        Why the stock in question may not be fed it; ``None`` when they may.
    """

    name: str
    price: Price
    dm: Number
    contents: Mapping[str, Number] = field(default_factory=dict)
    where: Where = "stack"
    haul: Haul | None = None
    other: Number = 0
    storage_loss: Number = 0
    feeding_loss: Number = 0
    range: PriceRange | None = None
    barred: Message | None = None

    def way(self, price: Price) -> Delivered:
        """A price at this offer's own place, carried from the stack into the animals."""
        cost = exact(self.other, "other costs")
        if cost < 0:
            raise Refused("other costs", self.other, key="gate.negative")
        if self.where == "stack":
            there = delivered(price, self.haul, other=cost)
            return replace(there, eaten=self._eaten(there.delivered))
        bare = delivered(Price(Fraction(0), price.per, price.currency), self.haul, other=cost)
        return replace(
            bare, at_stack=price - bare.delivered, delivered=price, eaten=self._eaten(price)
        )

    def _eaten(self, price: Price) -> Price:
        return after_losses(price, storage_loss=self.storage_loss, feeding_loss=self.feeding_loss)


@dataclass(frozen=True, slots=True)
class FertilizerPrices:
    """What it costs to put back what hay carries off, per mass of N, P2O5 and K2O."""

    n: Price
    p2o5: Price
    k2o: Price
    counted: NitrogenCounted = "full"


@dataclass(frozen=True, slots=True)
class Worked:
    """One offer worked out.

    Parameters
    ----------
    offer
        The offer.
    way
        Its price at the stack, delivered and eaten.
    eaten_range
        Price of what is eaten if the bales are heavy, and if they are light.
    costs
        What each nutrient costs as eaten; ``None`` where it is unknown or the hay is barred.
    worth
        What its nutrients are worth; ``None`` without prices, or when the hay is barred.
    most_at_stack
        Most a buyer would give at the seller's stack: worth, losses, freight and other costs off.
    gain
        What a buyer is ahead on each mass bought; below 0 the hay asks more than it is worth.
    fertilizer
        What it costs the seller to put back; ``None`` without prices or without P and K.
    left
        What is left to the seller at the stack once that is put back.
    """

    offer: HayOffer
    way: Delivered
    eaten_range: tuple[Price, Price] | None
    costs: Mapping[str, NutrientCost | None]
    worth: Worth | None
    most_at_stack: Price | None
    gain: Price | None
    fertilizer: Price | None
    left: Price | None


@dataclass(frozen=True, slots=True)
class Offers:
    """Offers side by side.

    Parameters
    ----------
    worked
        Each offer, the best buy first: by gain where nutrients have prices, else by the cost of
        the first nutrient that is short, else in the order given.
    cheapest
        Nutrient -> the offer that sells it cheapest as eaten.
    """

    worked: tuple[Worked, ...]
    cheapest: Mapping[str, str]

    @property
    def disagree(self) -> bool:
        """Whether different nutrients name different offers."""
        return len(set(self.cheapest.values())) > 1


def side_by_side(
    offers: Sequence[HayOffer],
    *,
    short: Sequence[str] = (),
    prices: Mapping[str, NutrientCost] | None = None,
    fertilizer: FertilizerPrices | None = None,
) -> Offers:
    """Offers compared, delivered and after losses.

    Parameters
    ----------
    offers
        Hays in one currency, each under a name of its own.
    short
        Nutrients the ranch is short of, the shortest first; every tested one when left out.
    prices
        Nutrient -> what one unit is worth on this ranch.
    fertilizer
        Prices of what the seller puts back.

    Raises
    ------
    Refused
        No offers, two of one name, several currencies, no hay tested for what is short.
    """
    wanted = tuple(short) or _tested(offers)
    for nutrient in short:
        if offers and not any(nutrient in one.contents for one in offers):
            raise Refused("short", nutrient, key="gate_offers.nobody_tested")
    compared = compare(
        [
            Offer(one.name, one.way(one.price).delivered, one.dm,
                  one.contents, one.storage_loss, one.feeding_loss, one.barred)
            for one in offers
        ],
        wanted,
    )  # fmt: skip
    worked = [_worked(one, compared, prices, fertilizer) for one in offers]
    return Offers(tuple(_best_first(worked, wanted)), compared.cheapest)


def _tested(offers: Sequence[HayOffer]) -> tuple[str, ...]:
    names = dict.fromkeys(name for one in offers for name in one.contents)
    return tuple(name for name in names if name not in ("p", "k"))


def _worked(
    offer: HayOffer,
    compared: Comparison,
    prices: Mapping[str, NutrientCost] | None,
    fertilizer: FertilizerPrices | None,
) -> Worked:
    way = offer.way(offer.price)
    line = next(one for one in compared.lines if one.offer.name == offer.name)
    worth = most = gain = None
    if prices and offer.barred is None:
        worth = worth_of(
            prices,
            dm=offer.dm,
            contents=offer.contents,
            per=offer.price.per,
            storage_loss=offer.storage_loss,
            feeding_loss=offer.feeding_loss,
        )
        most = worth.delivered - way.freight - way.other
        gain = worth.delivered - way.delivered
    back = put_back(offer, fertilizer) if fertilizer is not None else None
    return Worked(
        offer,
        way,
        _eaten_range(offer),
        line.costs,
        worth,
        most,
        gain,
        back,
        None if back is None else way.at_stack - back,
    )


def _eaten_range(offer: HayOffer) -> tuple[Price, Price] | None:
    if offer.range is None:
        return None
    heavy, light = (
        offer.way(one.to(offer.price.per)).eaten
        for one in (offer.range.if_heavy, offer.range.if_light)
    )
    return heavy, light


def put_back(offer: HayOffer, prices: FertilizerPrices) -> Price | None:
    """Worth of the fertilizer in a hay, from its own test; ``None`` without CP, P and K."""
    if any(name not in offer.contents for name in IN_FERTILIZER):
        return None
    cp, p, k = (offer.contents[name] for name in IN_FERTILIZER)
    found = removal(dm=offer.dm, cp=cp, p=p, k=k)
    return found.worth(prices.n, prices.p2o5, prices.k2o, counted=prices.counted).to(
        offer.price.per
    )


def _best_first(worked: Sequence[Worked], wanted: Sequence[str]) -> list[Worked]:
    if any(one.gain is not None for one in worked):
        known = [one for one in worked if one.gain is not None]
        per = known[0].offer.price.per
        known.sort(key=lambda one: -one.gain.to(per).amount if one.gain else Fraction(0))
    else:
        known = [one for one in worked if wanted and one.costs[wanted[0]] is not None]
        known.sort(key=lambda one: cost.money if (cost := one.costs[wanted[0]]) else Fraction(0))
    return [*known, *(one for one in worked if one not in known)]
