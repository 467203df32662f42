"""What a price says once dry matter, tests and bale weight are counted.

Every equation takes numbers, arrays or exact fractions alike; money in, money out, in one
currency throughout.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from haywright.gate.money import Number, Price, as_decimal, exact, kilograms, mass_unit
from haywright.measure.analytes import quantity
from haywright.measure.errors import Refused
from haywright.measure.message import Amount
from haywright.measure.register import equation


@equation(
    name="Price per dry matter",
    output=("price_dm", "$/kg", "dry matter"),
    source="beckman-unl-2020",
    mark="read",
    units={"price": "$/kg of hay as it stands"},
)
def price_of_dry_matter(price: Any, dm: Any) -> Any:
    """Price of a unit of dry matter.

    Parameters
    ----------
    price
        Price of the hay [$/mass as it stands].
    dm
        Dry matter [% as it stands].
    """
    return 100 * price / dm


@equation(
    name="Cost of a unit of a nutrient",
    output=("cost_of_share", "$/kg", "nutrient"),
    source="gessner-sdsu-2015",
    mark="read",
    units={"price": "$/kg of hay as it stands", "share": "% of dry matter"},
)
def cost_of_share(price: Any, dm: Any, share: Any) -> Any:
    """Cost of a unit of crude protein, TDN or another share of the dry matter.

    Parameters
    ----------
    price
        Price of the hay [$/mass as it stands].
    dm
        Dry matter [% as it stands].
    share
        Nutrient [% of DM].
    """
    return 10000 * price / (dm * share)


@equation(
    name="Cost of a unit of energy",
    output=("cost_of_energy", "$/Mcal", ""),
    source="gessner-sdsu-2015",
    mark="read",
    units={"price": "$/kg of hay as it stands", "energy": "Mcal/kg of dry matter"},
)
def cost_of_energy(price: Any, dm: Any, energy: Any) -> Any:
    """Cost of a megacalorie of net or metabolizable energy.

    Parameters
    ----------
    price
        Price of the hay [$/kg as it stands].
    dm
        Dry matter [% as it stands].
    energy
        Energy [Mcal/kg DM].
    """
    return 100 * price / (dm * energy)


@equation(
    name="Nutrient in a mass of hay",
    output=("nutrient_mass", "kg", ""),
    source="mass-balance",
    mark="definition",
    units={"mass": "kg of hay as it stands", "share": "% of dry matter"},
)
def nutrient_mass(mass: Any, dm: Any, share: Any) -> Any:
    """How much of a nutrient a mass of hay holds, in the unit of the mass.

    Parameters
    ----------
    mass
        Hay [kg as it stands].
    dm
        Dry matter [% as it stands].
    share
        Nutrient [% of DM].
    """
    return mass * dm * share / 10000


@equation(
    name="Price at another dry matter",
    output=("price", "$/kg", "as it stands"),
    source="alberta-faq-7094",
    mark="read",
    units={"price": "$/kg of hay as quoted", "dm_quoted": "% of hay", "dm_wanted": "% of hay"},
)
def price_at_dry_matter(price: Any, dm_quoted: Any, dm_wanted: Any) -> Any:
    """A price restated for the same dry matter in wetter or drier hay.

    The dry matters are divided; adding a per cent for a point of moisture is wrong.

    Parameters
    ----------
    price
        Price of hay of ``dm_quoted`` [$/mass].
    dm_quoted
        Dry matter of the hay the price speaks of [% as it stands].
    dm_wanted
        Dry matter of the hay it is wanted for [% as it stands].
    """
    return price * dm_wanted / dm_quoted


@equation(
    name="Weight at another dry matter",
    output=("mass", "kg", "at the dry matter wanted"),
    source="mass-balance",
    mark="definition",
    units={"mass": "kg of hay as weighed", "dm_weighed": "% of hay", "dm_wanted": "% of hay"},
)
def weight_at_dry_matter(mass: Any, dm_weighed: Any, dm_wanted: Any) -> Any:
    """The weight the same dry matter would have at a reference dry matter.

    Adjust the weight or the price, never both.

    Parameters
    ----------
    mass
        Weight over the scale [kg as it stands].
    dm_weighed
        Dry matter when weighed [% as it stands].
    dm_wanted
        Reference dry matter [%].
    """
    return mass * dm_weighed / dm_wanted


@equation(
    name="Price of equal value",
    output=("price", "$/kg", "as it stands"),
    source="penn-state-beef-briefs-1993",
    mark="read",
    units={
        "price": "$/kg of hay as it stands",
        "content": "any of dry matter",
        "other_dm": "% of the other hay",
        "other_content": "any of dry matter",
    },
)
def equal_value_price(price: Any, dm: Any, content: Any, other_dm: Any, other_content: Any) -> Any:
    """The price at which another hay gives a unit of the nutrient for the same money.

    Use delivered prices on both sides, then losses.

    Parameters
    ----------
    price
        Price of the first hay [$/mass as it stands].
    dm, other_dm
        Dry matter of the first and of the other hay [% as it stands].
    content, other_content
        The nutrient in each [% or Mcal/kg of DM, the same for both].
    """
    return price * (other_dm * other_content) / (dm * content)


@equation(
    name="Price per mass from a price per bale",
    output=("price", "$/kg", "as it stands"),
    source="nc-extension-2015",
    mark="read",
    units={"price_per_bale": "$", "bale_weight": "kg of hay as it stands"},
)
def price_from_bale(price_per_bale: Any, bale_weight: Any) -> Any:
    """Money per mass from money per bale.

    Parameters
    ----------
    price_per_bale
        Price of one bale [$].
    bale_weight
        Its weight [kg as it stands].
    """
    return price_per_bale / bale_weight


@equation(
    name="Price of a bale",
    output=("price_per_bale", "$", ""),
    source="nc-extension-2015",
    mark="read",
    units={"price": "$/kg of hay as it stands", "bale_weight": "kg of hay as it stands"},
)
def price_of_bale(price: Any, bale_weight: Any) -> Any:
    """Money per bale from money per mass.

    Parameters
    ----------
    price
        Price of the hay [$/kg as it stands].
    bale_weight
        Weight of one bale [kg as it stands].
    """
    return price * bale_weight


@equation(
    name="Price of a bale of another size",
    output=("price_per_bale", "$", ""),
    source="rankin-bale-weights",
    mark="read",
    units={"price_per_bale": "$", "bale_volume": "m3", "other_volume": "m3"},
)
def price_by_size(price_per_bale: Any, bale_volume: Any, other_volume: Any) -> Any:
    """What a bale of another size is worth at the same density and quality.

    Parameters
    ----------
    price_per_bale
        Price of the bale known [$].
    bale_volume
        Its volume [m3].
    other_volume
        Volume of the other bale [m3].
    """
    return price_per_bale * other_volume / bale_volume


def dry_matter_share(field: str, dm: Number) -> Fraction:
    """A dry matter, refused when it is none [%]."""
    value = exact(dm, field)
    if not 0 < value <= 100:
        raise Refused(field, dm, key="measure.dry_matter_range")
    return value


def positive(field: str, value: Number) -> Fraction:
    """A number above zero, refused when it is not [any]."""
    number = exact(value, field)
    if number <= 0:
        raise Refused(field, value, key="gate.positive")
    return number


def bale_price(money: Number, weight: Number, unit: str, *, currency: str = "USD") -> Price:
    """The price per mass of hay sold by the bale [$; ``unit`` of mass as it stands]."""
    per_mass = price_from_bale(positive("price", money), positive("bale weight", weight))
    return Price(per_mass, mass_unit(unit, "bale weight"), currency)


@dataclass(frozen=True, slots=True)
class PriceRange:
    """What an unweighed bale's price may come to: if it is light, as stated, if it is heavy."""

    if_heavy: Price
    stated: Price
    if_light: Price


def bale_price_range(
    money: Number, weight: Number, unit: str, *, error: Number, currency: str = "USD"
) -> PriceRange:
    """The prices per mass that a bale of uncertain weight may come to.

    Parameters
    ----------
    money
        Price of one bale [$].
    weight
        Weight stated [``unit`` as it stands].
    unit
        Unit of both masses.
    error
        How far the weight may be out either way [``unit``].
    currency
        ISO 4217.
    """
    out, stated = exact(error, "weight error"), positive("bale weight", weight)
    if not 0 <= out < stated:
        raise Refused("weight error", error, key="gate.weight_error")
    heavy, middle, light = (
        bale_price(money, mass, unit, currency=currency)
        for mass in (stated + out, stated, stated - out)
    )
    return PriceRange(heavy, middle, light)


@dataclass(frozen=True, slots=True)
class NutrientCost:
    """What one unit of a nutrient costs.

    Parameters
    ----------
    nutrient
        Dictionary name.
    money
        Cost of one ``unit`` [currency].
    unit
        Mass unit, or Mcal for energy.
    currency
        ISO 4217.
    """

    nutrient: str
    money: Fraction
    unit: str
    currency: str

    def shown(self) -> Amount:
        """The cost for a message, in tenths of a cent."""
        sign = "$" if self.currency == "USD" else self.currency
        return Amount(as_decimal(self.money), f"{sign}/{self.unit}", digits=3)


def is_energy(nutrient: str) -> bool:
    """Whether a nutrient is counted in Mcal rather than by weight."""
    return quantity(nutrient).unit == "Mcal/kg"


def nutrient_cost(price: Price, dm: Number, nutrient: str, *, content: Number) -> NutrientCost:
    """What a unit of a nutrient costs at a price.

    Parameters
    ----------
    price
        Price of the hay as it stands.
    dm
        Dry matter [% as it stands].
    nutrient
        Dictionary name: cp, tdn, nem ...
    content
        How much of it [% of DM, or Mcal/kg DM for energy].

    Returns
    -------
    NutrientCost
        Per lb where the price is per short ton, long ton, cwt or lb; per kg otherwise; per Mcal
        for energy.
    """
    share = positive(nutrient, content)
    dry = dry_matter_share("dm", dm)
    if is_energy(nutrient):
        money = cost_of_energy(price.to("kg").amount, dry, share)
        return NutrientCost(nutrient, money, "Mcal", price.currency)
    if quantity(nutrient).unit != "%":
        raise Refused("nutrient", nutrient, key="gate.not_a_nutrient")
    if share > 100:
        raise Refused(nutrient, content, key="gate.over_hundred")
    unit = small_unit(price.per)
    return NutrientCost(
        nutrient, cost_of_share(price.to(unit).amount, dry, share), unit, price.currency
    )


def small_unit(per: str) -> str:
    """The unit people speak of a nutrient in where hay is priced by ``per``: lb or kg."""
    return "kg" if per in ("kg", "g", "tonne") else "lb"


def shortfall(expected: str, received: str) -> Fraction:
    """How much less one kind of ton is than another, as a fraction of the one expected."""
    return 1 - kilograms(received) / kilograms(expected)
