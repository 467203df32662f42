"""What hay is worth by the prices of its nutrients, wherever those prices come from.

They may be a ranch's own (what one more pound is worth in its winter plan), or be read off feeds
whose prices everybody knows: as many feeds as nutrients explain the prices exactly, more feeds by
least squares, which also says how far apart the feeds are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

import numpy as np
from numpy.typing import NDArray

from haywright.gate.delivered import loss_share
from haywright.gate.money import Number, Price, exact, kilograms
from haywright.gate.price import NutrientCost, dry_matter_share, is_energy, positive, small_unit
from haywright.measure.analytes import quantity
from haywright.measure.errors import Refused
from haywright.measure.message import Message, message
from haywright.measure.register import equation

# One energy and one protein count once; maintenance and gain are two uses of one energy.
ENERGIES = ("tdn", "de", "me", "nem", "nel")
PROTEINS = ("cp", "mp", "dcp")
_FEWEST_DIGITS = 1e-10


@equation(
    name="Value of a nutrient in hay",
    output=("value_part", "$/kg", "as it stands"),
    source="mass-balance",
    mark="definition",
    units={"cost_of_share": "$/kg of the nutrient", "share": "% of dry matter"},
)
def value_of_share(cost_of_share: Any, dm: Any, share: Any) -> Any:
    """What the protein, TDN or another share of the dry matter is worth in a mass of hay.

    Parameters
    ----------
    cost_of_share
        Price of the nutrient [$/mass of it].
    dm
        Dry matter [% as it stands].
    share
        Nutrient [% of DM].
    """
    return cost_of_share * dm * share / 10000


@equation(
    name="Value of the energy in hay",
    output=("value_part", "$/kg", "as it stands"),
    source="mass-balance",
    mark="definition",
    units={"cost_of_energy": "$/Mcal", "energy": "Mcal/kg of dry matter"},
)
def value_of_energy(cost_of_energy: Any, dm: Any, energy: Any) -> Any:
    """What the energy is worth in a mass of hay.

    Parameters
    ----------
    cost_of_energy
        Price of energy [$/Mcal].
    dm
        Dry matter [% as it stands].
    energy
        Energy [Mcal/kg DM].
    """
    return cost_of_energy * dm * energy / 100


@equation(
    name="Most to give for hay so that what is eaten costs a given price",
    output=("price", "$/kg", "as it stands"),
    source="mass-balance",
    mark="definition",
    units={
        "price_eaten": "$/kg eaten",
        "storage_loss": "% of what was bought",
        "feeding_loss": "% of what was fed",
    },
)
def price_before_losses(price_eaten: Any, storage_loss: Any, feeding_loss: Any) -> Any:
    """The delivered price that losses turn into a price of what is eaten.

    Parameters
    ----------
    price_eaten
        Price of what is eaten [$/mass].
    storage_loss
        Lost in storage [% of what was bought].
    feeding_loss
        Lost at feeding [% of what was put out].
    """
    return price_eaten * (100 - storage_loss) * (100 - feeding_loss) / 10000


def nutrient_price(
    nutrient: str, money: Number, unit: str, *, currency: str = "USD"
) -> NutrientCost:
    """A price of one unit of a nutrient, checked.

    Parameters
    ----------
    nutrient
        Dictionary name: cp, tdn, nem ...
    money
        What one unit is worth [currency per ``unit`` of the nutrient]; 0 for one in plenty.
    unit
        lb, kg or another unit of mass; Mcal for an energy.
    currency
        ISO 4217.

    Raises
    ------
    Refused
        Not a nutrient that is priced, the wrong kind of unit, a price below 0.
    """
    energy = is_energy(nutrient)
    if not energy and quantity(nutrient).unit != "%":
        raise Refused("nutrient", nutrient, key="gate.not_a_nutrient")
    if energy != (unit == "Mcal"):
        raise Refused(nutrient, unit, "Mcal" if energy else "lb, kg", key="gate_offers.price_unit")
    if exact(money, nutrient) < 0:
        raise Refused(nutrient, money, key="gate.negative")
    if not energy:
        kilograms(unit)
    return NutrientCost(nutrient, exact(money, nutrient), unit, currency)


def counted_once(nutrients: Sequence[str]) -> None:
    """Refuse to price one energy or one protein twice, or nothing at all."""
    if not nutrients:
        raise Refused("nutrients", None, key="gate_offers.no_nutrient")
    for group in (ENERGIES, PROTEINS):
        both = [one for one in nutrients if one in group]
        if len(both) > 1:
            raise Refused("nutrients", ", ".join(both), key="gate_offers.twice")


def value_of(cost: NutrientCost, dm: Fraction, content: Fraction, per: str) -> Price:
    """What one nutrient is worth in a mass of hay.

    Parameters
    ----------
    cost
        Its price.
    dm
        Dry matter, as it stands, %.
    content
        In the dry matter, % or Mcal/kg.
    per
        Unit of mass the answer is for.
    """
    if cost.unit == "Mcal":
        return Price(value_of_energy(cost.money, dm, content), "kg", cost.currency).to(per)
    each = Price(cost.money, cost.unit, cost.currency).to(per)
    return each.through(lambda amount: value_of_share(amount, dm, content))


@dataclass(frozen=True, slots=True)
class Worth:
    """What a hay is worth, as eaten and before losses.

    Parameters
    ----------
    parts
        Nutrient -> what it adds to a mass eaten.
    eaten
        Their sum.
    delivered
        Most to give in the buyer's yard: losses counted.
    unknown
        Nutrients that have a price and were not tested; the worth is then too low.
    """

    parts: Mapping[str, Price]
    eaten: Price
    delivered: Price
    unknown: tuple[str, ...] = ()


def worth_of(
    prices: Mapping[str, NutrientCost],
    *,
    dm: Number,
    contents: Mapping[str, Number],
    per: str,
    storage_loss: Number = 0,
    feeding_loss: Number = 0,
) -> Worth:
    """Worth of a hay by the prices of its nutrients.

    Parameters
    ----------
    prices
        Nutrient -> price of one unit, in one currency.
    dm
        Dry matter [% as it stands].
    contents
        Dictionary name -> content [% of DM, Mcal/kg DM for energy].
    per
        Unit of mass the answer is for.
    storage_loss, feeding_loss
        Losses [%].
    """
    counted_once(tuple(prices))
    dry = dry_matter_share("dm", dm)
    stored, fed = loss_share("storage loss", storage_loss), loss_share("feeding loss", feeding_loss)
    parts = {
        name: value_of(cost, dry, positive(name, contents[name]), per)
        for name, cost in prices.items()
        if name in contents
    }
    currency = next(iter(prices.values())).currency
    eaten = sum(parts.values(), start=Price(Fraction(0), per, currency))
    before = eaten.through(lambda amount: price_before_losses(amount, stored, fed))
    unknown = tuple(name for name, cost in prices.items() if name not in contents and cost.money)
    return Worth(parts, eaten, before, unknown)


@dataclass(frozen=True, slots=True)
class PricedFeed:
    """A feed whose price and composition are known.

    Parameters
    ----------
    name
        What it is called.
    price
        As it stands.
    dm
        Dry matter [% as it stands].
    contents
        Dictionary name -> content [% of DM, Mcal/kg DM for energy].
    notes
        What to know of its composition.
    """

    name: str
    price: Price
    dm: Number
    contents: Mapping[str, Number] = field(default_factory=dict)
    notes: tuple[Message, ...] = ()


@dataclass(frozen=True)
class FeedPrices:
    """Prices of nutrients read off feeds.

    Parameters
    ----------
    prices
        Nutrient -> price of one unit.
    fitted
        Feed -> the price its nutrients come to.
    spread
        How far the feeds' own prices lie from that, per kg as it stands; ``None`` when there are
        only as many feeds as nutrients, which explain each other exactly.
    inverse
        Inverse of the normal matrix, by nutrient in the order of ``prices``.
    notes
        What to know of them.
    """

    prices: Mapping[str, NutrientCost]
    fitted: Mapping[str, Price]
    spread: float | None
    inverse: NDArray[np.float64]
    notes: tuple[Message, ...] = ()

    def standard_error(self, dm: Number, contents: Mapping[str, Number]) -> float | None:
        """Standard error of the value of a hay, per kg as it stands.

        Parameters
        ----------
        dm
            Dry matter [% as it stands].
        contents
            Dictionary name -> content [% of DM, Mcal/kg DM for energy].
        """
        if self.spread is None or any(name not in contents for name in self.prices):
            return None
        row = _held(dm, [contents[name] for name in self.prices], tuple(self.prices))
        return float(self.spread * np.sqrt(row @ self.inverse @ row))


def _held(dm: Number, contents: Sequence[Number], nutrients: Sequence[str]) -> NDArray[np.float64]:
    """What a kilogram as it stands holds: a value at a price of 1 for a unit of each nutrient."""
    dry = dry_matter_share("dm", dm)
    held = []
    for name, content in zip(nutrients, contents, strict=True):
        value = value_of_energy if is_energy(name) else value_of_share
        held.append(float(value(1, dry, exact(content, name))))
    return np.array(held)


def prices_from_feeds(feeds: Sequence[PricedFeed], nutrients: Sequence[str]) -> FeedPrices:
    """The prices of nutrients that best explain what feeds cost, by least squares.

    Parameters
    ----------
    feeds
        At least as many as nutrients, in one currency.
    nutrients
        Dictionary names, such as tdn, cp and ndf; a feed without one of them counts as unknown.

    Raises
    ------
    Refused
        Too few feeds, feeds alike in composition, a nutrient that would cost less than nothing.
    """
    counted_once(nutrients)
    _checked(feeds, nutrients)
    held = np.array(
        [_held(one.dm, [one.contents[n] for n in nutrients], nutrients) for one in feeds]
    )
    paid = np.array([float(one.price.to("kg").amount) for one in feeds])
    scale = np.abs(held).max(axis=0)
    if not scale.all() or np.linalg.cond(held / scale) > 1 / _FEWEST_DIGITS:
        raise Refused("feeds", _names(feeds), ", ".join(nutrients), key="gate_offers.feeds_alike")
    solution = np.linalg.lstsq(held, paid, rcond=None)[0]
    for name, price in zip(nutrients, solution, strict=True):
        if price < -_FEWEST_DIGITS * paid.max():
            raise Refused("feeds", _names(feeds), key="gate_offers.less_than_nothing",
                          nutrient=message("measure.quantity", id=name))  # fmt: skip
    return _found(feeds, nutrients, held, paid, np.maximum(solution, 0.0))


def _checked(feeds: Sequence[PricedFeed], nutrients: Sequence[str]) -> None:
    if len(feeds) < len(nutrients):
        raise Refused("feeds", _names(feeds), str(len(nutrients)), key="gate_offers.too_few_feeds")
    if len({one.name for one in feeds}) != len(feeds):
        raise Refused("feeds", _names(feeds), key="gate.offers")
    currencies = {one.price.currency for one in feeds}
    if len(currencies) > 1:
        raise Refused("currency", ", ".join(sorted(currencies)), key="gate.currencies")
    for one in feeds:
        missing = [name for name in nutrients if name not in one.contents]
        if missing:
            raise Refused(one.name, None, ", ".join(missing), key="gate_offers.feed_lacks")
        positive(one.name, one.price.amount)


def _names(feeds: Sequence[PricedFeed]) -> str:
    return ", ".join(one.name for one in feeds)


def _found(
    feeds: Sequence[PricedFeed],
    nutrients: Sequence[str],
    held: NDArray[np.float64],
    paid: NDArray[np.float64],
    solution: NDArray[np.float64],
) -> FeedPrices:
    per, currency = feeds[0].price.per, feeds[0].price.currency
    fitted = held @ solution
    left = len(feeds) - len(nutrients)
    spread = float(np.sqrt(np.sum((paid - fitted) ** 2) / left)) if left else None
    mass = small_unit(per)
    prices = {}
    for name, price in zip(nutrients, solution.tolist(), strict=True):
        if is_energy(name):
            prices[name] = NutrientCost(name, exact(price), "Mcal", currency)
        else:
            prices[name] = NutrientCost(name, Price(price, "kg", currency).to(mass).amount, mass,
                                        currency)  # fmt: skip
    return FeedPrices(
        prices,
        {
            one.name: Price(price, "kg", currency).to(one.price.per)
            for one, price in zip(feeds, fitted.tolist(), strict=True)
        },
        spread,
        np.asarray(np.linalg.inv(held.T @ held), dtype=np.float64),
        tuple(note for one in feeds for note in one.notes),
    )
