"""What hay is worth by yardstick feeds: feeds whose price everybody knows.

Two of them (corn and soybean meal) price energy and protein, and those two prices value any
hay from its own test (Petersen 1932). Three of them price fiber as well, from a printed table of
factors. Both take the yardsticks as fairly priced and know nothing of intake, minerals or hazards.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from haywright.gate.money import Number, Price
from haywright.gate.price import dry_matter_share, nutrient_mass, positive
from haywright.measure.errors import Refused
from haywright.measure.message import Amount, Message, message
from haywright.measure.register import equation
from haywright.sources.feeds import feed
from haywright.sources.named import NamedTable
from haywright.sources.tables import load_toml


@equation(
    name="What a nutrient costs in two yardstick feeds",
    output=("nutrient_price", "$/kg", "nutrient"),
    source="petersen-1932",
    mark="recalled",
    units={
        "price": "$/kg of the feed as it stands",
        "wanted": "fraction of the feed as it stands",
        "rest": "fraction of the feed as it stands",
        "other_price": "$/kg of the other feed as it stands",
        "other_wanted": "fraction of the other feed as it stands",
        "other_rest": "fraction of the other feed as it stands",
    },
)
def yardstick_price(
    price: Any, wanted: Any, rest: Any, other_price: Any, other_wanted: Any, other_rest: Any
) -> Any:
    """Price of one nutrient such that two nutrients explain two feed prices exactly.

    Parameters
    ----------
    price, other_price
        Prices of the two feeds [$/mass as it stands].
    wanted, other_wanted
        The nutrient that is priced, in each feed [fraction as it stands].
    rest, other_rest
        The other nutrient in each [fraction as it stands].
    """
    return (price * other_rest - other_price * rest) / (wanted * other_rest - other_wanted * rest)


@equation(
    name="Share of a yardstick feed that replaces a hay",
    output=("yardstick_share", "fraction", ""),
    source="petersen-1932",
    mark="recalled",
    units={
        "energy": "fraction of the hay as it stands",
        "protein": "fraction of the hay as it stands",
        "feed_energy": "fraction of the feed as it stands",
        "feed_protein": "fraction of the feed as it stands",
        "other_energy": "fraction of the other feed as it stands",
        "other_protein": "fraction of the other feed as it stands",
    },
)
def yardstick_share(
    energy: Any,
    protein: Any,
    feed_energy: Any,
    feed_protein: Any,
    other_energy: Any,
    other_protein: Any,
) -> Any:
    """How much of one feed, with some of the other, gives a hay's energy and protein.

    Parameters
    ----------
    energy, protein
        In the hay [fraction as it stands].
    feed_energy, feed_protein
        In the feed whose share is wanted [fraction as it stands].
    other_energy, other_protein
        In the other feed [fraction as it stands].
    """
    determinant = feed_energy * other_protein - feed_protein * other_energy
    return (energy * other_protein - protein * other_energy) / determinant


@equation(
    name="Value of hay by soybean meal, corn and alfalfa",
    output=("price", "$/kg", "as it stands"),
    source="minnesota-ww-00469",
    mark="read",
    units={
        "meal_factor": "",
        "corn_factor": "",
        "alfalfa_factor": "",
        "meal_price": "$/kg of feed as it stands",
        "corn_price": "$/kg of feed as it stands",
        "alfalfa_price": "$/kg of feed as it stands",
    },
)
def value_by_three(
    meal_factor: Any,
    corn_factor: Any,
    alfalfa_factor: Any,
    meal_price: Any,
    corn_price: Any,
    alfalfa_price: Any,
) -> Any:
    """Sum of factor times price over three yardstick feeds.

    Parameters
    ----------
    meal_factor, corn_factor, alfalfa_factor
        Factors of the hay from the printed table [fraction].
    meal_price, corn_price, alfalfa_price
        Soybean meal, corn, alfalfa hay of grade 2 [$/mass as it stands].
    """
    return meal_factor * meal_price + corn_factor * corn_price + alfalfa_factor * alfalfa_price


@equation(
    name="Bushel of a feed at the weight of a bushel of corn",
    output=("price_per_bushel", "$", ""),
    source="kentucky-asc-119",
    mark="read",
    units={"corn_price": "$", "corn_weight": "lb", "feed_weight": "lb", "feeding_value": "%"},
)
def bushel_value(
    corn_price: Any, corn_weight: Any, feed_weight: Any, feeding_value: Any = 100.0
) -> Any:
    """What a bushel of a grain is worth beside corn.

    Parameters
    ----------
    corn_price
        Corn [$/bushel].
    corn_weight, feed_weight
        Weight of a bushel of each [lb].
    feeding_value
        Worth of the grain beside corn, by weight [%].
    """
    return corn_price * feed_weight / corn_weight * feeding_value / 100


@equation(
    name="Part of a value that one constituent makes up",
    output=("value_part", "$/kg", "as it stands"),
    source="weiss-2017",
    mark="read",
    units={"price": "$/kg of hay as it stands", "value_share": "%"},
)
def value_part(price: Any, value_share: Any) -> Any:
    """Part of the price [$/mass as it stands] that a share [% of the value] makes up."""
    return price * value_share / 100


@dataclass(frozen=True, slots=True)
class Yardstick:
    """A feed whose price is known.

    Parameters
    ----------
    name
        What it is called.
    price
        As it stands.
    dm
        Dry matter [% as it stands].
    tdn, cp
        Energy and protein [% of DM].
    recalled
        Whether the composition is from memory; then it is said.
    """

    name: str
    price: Price
    dm: Number
    tdn: Number
    cp: Number
    recalled: bool = False


@dataclass(frozen=True, slots=True)
class YardstickValue:
    """What a hay is worth by two yardstick feeds.

    Parameters
    ----------
    value
        As it stands, priced as the first yardstick is.
    tdn_price, cp_price
        What the yardsticks make a unit of TDN and of protein cost.
    first_share, second_share
        How much of each yardstick replaces one of the hay [fraction]; one may be below 0.
    notes
        What to know of the answer.
    """

    value: Price
    tdn_price: Price
    cp_price: Price
    first_share: Fraction
    second_share: Fraction
    notes: tuple[Message, ...]


def usual_yardstick(feed_id: str, price: Price) -> Yardstick:
    """A yardstick with the composition of the feed table, marked as that table marks it."""
    row = feed(feed_id)
    values = {name: str(row.values[name]) for name in ("dm", "tdn", "cp")}
    return Yardstick(row.name, price, **values, recalled=row.kind == "from memory")


def value_by_two(
    first: Yardstick, second: Yardstick, *, dm: Number, tdn: Number, cp: Number
) -> YardstickValue:
    """Value of a hay from its own test and two yardstick feeds.

    Parameters
    ----------
    first, second
        An energy feed and a protein feed in one currency.
    dm
        Dry matter of the hay [% as it stands].
    tdn, cp
        Energy and protein of the hay [% of DM].

    Raises
    ------
    Refused
        The yardstick prices make energy or protein cost less than nothing.
    """
    per, money = first.price.per, second.price.to(first.price.per)
    e1, p1 = _held(first.dm, first.tdn), _held(first.dm, first.cp)
    e2, p2 = _held(second.dm, second.tdn), _held(second.dm, second.cp)
    if e1 * p2 == p1 * e2:
        raise Refused("yardsticks", f"{first.name}, {second.name}", key="gate.yardstick_alike")
    energy = yardstick_price(first.price.amount, e1, p1, money.amount, e2, p2)
    protein = yardstick_price(first.price.amount, p1, e1, money.amount, p2, e2)
    if energy < 0 or protein < 0:
        raise Refused("yardsticks", f"{first.name}, {second.name}", key="gate.yardstick_incoherent")
    share_1 = yardstick_share(_held(dm, tdn), _held(dm, cp), e1, p1, e2, p2)
    share_2 = yardstick_share(_held(dm, tdn), _held(dm, cp), e2, p2, e1, p1)
    worth = first.price.through(lambda amount: share_1 * amount) + money.through(
        lambda amount: share_2 * amount
    )
    return YardstickValue(
        worth,
        Price(energy, per, first.price.currency),
        Price(protein, per, first.price.currency),
        share_1,
        share_2,
        _notes(first, second),
    )


def _held(dm: Number, content: Number) -> Fraction:
    share: Fraction = nutrient_mass(1, dry_matter_share("dm", dm), positive("content", content))
    return share


def _notes(*yardsticks: Yardstick) -> tuple[Message, ...]:
    counted = (
        message(
            "gate.yardstick_recalled" if one.recalled else "gate.yardstick_counted",
            feed=one.name,
            dm=Amount(float(one.dm), "%", digits=1),
            tdn=Amount(float(one.tdn), "%", digits=1),
            cp=Amount(float(one.cp), "%", digits=1),
        )
        for one in yardsticks
    )
    return (*counted, message("gate.yardstick_caution"))


@dataclass(frozen=True, slots=True)
class ThreeFactors:
    """Factors of one hay in the printed table of three yardsticks."""

    id: str
    name: str
    dm: float
    meal: float
    corn: float
    alfalfa: float
    source: str
    also: tuple[str, ...] = ()


_THREE = NamedTable("three_yardsticks", ThreeFactors, field="hay")


def three_yardsticks() -> Mapping[str, ThreeFactors]:
    """Every row of the printed table by id."""
    return _THREE.rows


def three_factors(word: str) -> ThreeFactors:
    """The row of an id or a name; an unknown one is refused with near names."""
    return _THREE.find(word)


def stretches(row: ThreeFactors) -> bool:
    """Whether a row lies so far outside its yardsticks that its value is a guess."""
    return row.alfalfa > float(load_toml("value_limits")["stretched_factor"]["value"])
