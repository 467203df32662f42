"""Fertilizer that leaves the field in hay, and what it costs to put back.

Phosphorus and potassium are said as P2O5 and K2O or as elements, never just "P" or "K".
How much of the nitrogen counts is a choice: all, none for legumes, or a part.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

from haywright.gate.money import Number, Price, exact
from haywright.gate.price import dry_matter_share
from haywright.measure.atoms import mass_share
from haywright.measure.errors import UnknownName
from haywright.measure.register import equation
from haywright.sheet.protein import n_from_cp
from haywright.sources.tables import load_toml

NitrogenCounted = Literal["full", "legume", "quarter", "fed"]
NITROGEN_COUNTED: tuple[NitrogenCounted, ...] = ("full", "legume", "quarter", "fed")


@equation(
    name="Phosphorus said as P2O5",
    output=("p2o5", "", "as the phosphorus given"),
    source="iupac-2021",
    mark="definition",
    units={"phosphorus": ""},
)
def p2o5_of(phosphorus: Any) -> Any:
    """P2O5 that holds a mass of phosphorus [any mass unit]; factor 2.2914 from atomic masses."""
    return phosphorus / mass_share("P", "P2O5")


@equation(
    name="Potassium said as K2O",
    output=("k2o", "", "as the potassium given"),
    source="iupac-2021",
    mark="definition",
    units={"potassium": ""},
)
def k2o_of(potassium: Any) -> Any:
    """K2O that holds a mass of potassium [any mass unit]; factor 1.2046 from atomic masses."""
    return potassium / mass_share("K", "K2O")


@equation(
    name="Price of a nutrient in a fertilizer",
    output=("nutrient_price", "$/kg", "nutrient"),
    source="oklahoma-bale-cost",
    mark="read",
    units={"price": "$/kg of the fertilizer", "content": "%"},
)
def fertilizer_price(price: Any, content: Any) -> Any:
    """Price [$/mass of the fertilizer] over its content [%]."""
    return 100 * price / content


@equation(
    name="Price of phosphate in a fertilizer that also holds nitrogen",
    output=("nutrient_price", "$/kg", "P2O5"),
    source="mass-balance",
    mark="definition",
    units={
        "price": "$/kg of the fertilizer",
        "p2o5_content": "%",
        "n_content": "%",
        "n_price": "$/kg of nitrogen",
    },
)
def phosphate_price(price: Any, p2o5_content: Any, n_content: Any, n_price: Any) -> Any:
    """Price of P2O5 once the nitrogen beside it is paid for, as in 18-46-0.

    Parameters
    ----------
    price
        The fertilizer [$/mass].
    p2o5_content, n_content
        What it holds [%].
    n_price
        Nitrogen bought otherwise [$/mass of N].
    """
    return (100 * price - n_content * n_price) / p2o5_content


@equation(
    name="Worth of the fertilizer in hay",
    output=("removal_value", "$", ""),
    source="southern-ag-today-2023",
    mark="read",
    units={
        "n_mass": "kg",
        "p2o5_mass": "kg",
        "k2o_mass": "kg",
        "n_price": "$/kg",
        "p2o5_price": "$/kg",
        "k2o_price": "$/kg",
    },
)
def removal_value(
    n_mass: Any, p2o5_mass: Any, k2o_mass: Any, n_price: Any, p2o5_price: Any, k2o_price: Any
) -> Any:
    """Sum of nutrient times price.

    Parameters
    ----------
    n_mass, p2o5_mass, k2o_mass
        Nutrients [any mass unit].
    n_price, p2o5_price, k2o_price
        Their prices [$ per the same unit].
    """
    return n_mass * n_price + p2o5_mass * p2o5_price + k2o_mass * k2o_price


@equation(
    name="Nutrient taken off an area",
    output=("nutrient_mass", "kg", ""),
    source="mass-balance",
    mark="definition",
    units={"hay": "", "content": ""},
)
def taken_off(hay: Any, content: Any) -> Any:
    """Hay [any mass unit per area] times what each unit of it holds [any mass unit]."""
    return hay * content


@dataclass(frozen=True, slots=True)
class Removal:
    """What a unit of hay as it stands carries off [fraction of its mass]."""

    n: Fraction
    p2o5: Fraction
    k2o: Fraction

    def worth(
        self, n_price: Price, p2o5_price: Price, k2o_price: Price, *, counted: NitrogenCounted
    ) -> Price:
        """What it costs to put back, per mass of hay as it stands.

        Parameters
        ----------
        n_price, p2o5_price, k2o_price
            Per mass of N, P2O5 and K2O.
        counted
            How much of the nitrogen counts.
        """
        per = n_price.per
        money = removal_value(
            self.n * nitrogen_share(counted),
            self.p2o5,
            self.k2o,
            n_price.amount,
            p2o5_price.to(per).amount,
            k2o_price.to(per).amount,
        )
        return Price(money, per, n_price.currency)


def nitrogen_share(counted: NitrogenCounted) -> Fraction:
    """The part of the nitrogen that counts, as a fraction."""
    if counted not in NITROGEN_COUNTED:
        raise UnknownName("nitrogen", counted, NITROGEN_COUNTED)
    return exact(load_toml("value_limits")[f"nitrogen_{counted}"]["value"]) / 100


def removal(*, dm: Number, cp: Number, p: Number, k: Number) -> Removal:
    """What hay carries off, from its own test.

    Parameters
    ----------
    dm
        Dry matter [% as it stands].
    cp, p, k
        Crude protein, phosphorus and potassium as elements [% of DM].
    """
    dry = dry_matter_share("dm", dm) / 100
    nitrogen, phosphorus, potassium = (
        dry * exact(float(value)) / 100
        for value in (n_from_cp(float(cp)), p2o5_of(float(p)), k2o_of(float(k)))
    )
    return Removal(nitrogen, phosphorus, potassium)
