"""Offers side by side, nutrient by nutrient.

There is no single best buy: hay that is cheapest by energy may be dearest by protein, so the
cheapest is always named with its nutrient. Hay that a class of stock may not be fed has no
nutrient value for it, whatever it costs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from haywright.gate.delivered import LossMethod, after_losses
from haywright.gate.money import Number, Price, exact
from haywright.gate.price import (
    NutrientCost,
    dry_matter_share,
    equal_value_price,
    nutrient_cost,
    positive,
    price_of_dry_matter,
)
from haywright.measure.errors import Refused
from haywright.measure.message import Message


@dataclass(frozen=True, slots=True)
class Offer:
    """One hay on offer.

    Parameters
    ----------
    name
        What it is called.
    price
        Delivered price as it stands.
    dm
        Dry matter [% as it stands].
    contents
        Dictionary name -> content [% of DM, Mcal/kg DM for energy].
    storage_loss, feeding_loss
        Losses [%].
    barred
        Why the stock in question may not be fed it; ``None`` when they may.
    """

    name: str
    price: Price
    dm: Number
    contents: Mapping[str, Number] = field(default_factory=dict)
    storage_loss: Number = 0
    feeding_loss: Number = 0
    barred: Message | None = None


@dataclass(frozen=True, slots=True)
class OfferLine:
    """One offer worked out; ``costs`` has ``None`` where a nutrient is unknown or barred."""

    offer: Offer
    eaten: Price
    dry_matter: Price
    costs: Mapping[str, NutrientCost | None]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Offers by nutrient; ``cheapest`` names the offer for each nutrient that any of them has."""

    lines: tuple[OfferLine, ...]
    cheapest: Mapping[str, str]

    @property
    def disagree(self) -> bool:
        """Whether different nutrients name different offers."""
        return len(set(self.cheapest.values())) > 1


def compare(
    offers: Sequence[Offer], nutrients: Sequence[str], *, method: LossMethod = "divided"
) -> Comparison:
    """Cost of each nutrient as eaten, for every offer.

    Parameters
    ----------
    offers
        Hays in one currency.
    nutrients
        Dictionary names, such as cp and tdn.
    method
        How losses are counted.

    Raises
    ------
    Refused
        No offers, two of one name, several currencies.
    """
    names = [offer.name for offer in offers]
    if not offers or len(set(names)) != len(names):
        raise Refused("offers", ", ".join(names), key="gate.offers")
    currencies = {offer.price.currency for offer in offers}
    if len(currencies) > 1:
        raise Refused("currency", ", ".join(sorted(currencies)), key="gate.currencies")
    per = offers[0].price.per
    lines = tuple(_line(offer, nutrients, per, method) for offer in offers)
    return Comparison(lines, {n: best for n in nutrients if (best := _cheapest(lines, n))})


def _line(offer: Offer, nutrients: Sequence[str], per: str, method: LossMethod) -> OfferLine:
    eaten = after_losses(
        offer.price.to(per),
        storage_loss=offer.storage_loss,
        feeding_loss=offer.feeding_loss,
        method=method,
    )
    dry = dry_matter_share("dm", offer.dm)
    costs = {
        nutrient: (
            nutrient_cost(eaten, dry, nutrient, content=offer.contents[nutrient])
            if nutrient in offer.contents and offer.barred is None
            else None
        )
        for nutrient in nutrients
    }
    return OfferLine(offer, eaten, eaten.through(lambda p: price_of_dry_matter(p, dry)), costs)


def _cheapest(lines: Sequence[OfferLine], nutrient: str) -> str | None:
    known = [(c.money, line.offer.name) for line in lines if (c := line.costs[nutrient])]
    return min(known)[1] if known else None


def price_of_equal_value(known: Offer, other: Offer, nutrient: str) -> Price | None:
    """The price at which the other hay is as good a buy by one nutrient; none when it is barred.

    Delivered prices on both sides; each hay's losses count.
    """
    if other.barred is not None or nutrient not in known.contents:
        return None
    if nutrient not in other.contents:
        return None
    return known.price.through(
        lambda amount: equal_value_price(
            amount,
            _kept(known) * dry_matter_share("dm", known.dm),
            positive(nutrient, known.contents[nutrient]),
            _kept(other) * dry_matter_share("dm", other.dm),
            positive(nutrient, other.contents[nutrient]),
        )
    )


def _kept(offer: Offer) -> Fraction:
    return (100 - exact(offer.storage_loss)) * (100 - exact(offer.feeding_loss)) / 10000
