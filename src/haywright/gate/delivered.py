"""From the seller's stack to what is eaten: freight, load and losses.

Losses are divided out: to have a ton eaten at 15 % loss one buys 1/(1 - 0.15) tons. Some
published tables add them on instead; that form is kept under its name and never the default.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

import numpy as np

from haywright.gate.money import Number, Price, convert_mass, exact, kilograms
from haywright.gate.price import positive
from haywright.measure.errors import Refused, UnknownName
from haywright.measure.register import equation

LossMethod = Literal["divided", "added"]
LOSS_METHODS: tuple[LossMethod, ...] = ("divided", "added")


@equation(
    name="Load of a truck",
    output=("load", "kg", "as it stands"),
    source="mass-balance",
    mark="definition",
    units={"payload": "kg", "bales_that_fit": "", "bale_weight": "kg of hay as it stands"},
)
def load_of_truck(payload: Any, bales_that_fit: Any, bale_weight: Any) -> Any:
    """What a truck carries: its payload, or the bales that fit when they weigh less.

    Parameters
    ----------
    payload
        Most the truck may carry [kg].
    bales_that_fit
        Bales that find room [count].
    bale_weight
        Weight of one [kg as it stands].
    """
    return np.minimum(payload, bales_that_fit * bale_weight)


@equation(
    name="Freight",
    output=("freight", "$/kg", "as it stands"),
    source="freight-hay-and-forage",
    mark="read",
    units={"rate": "$/mi", "loaded_miles": "mi", "load": "kg of hay as it stands"},
)
def freight(rate: Any, loaded_miles: Any, load: Any) -> Any:
    """Freight on a mass of hay.

    Parameters
    ----------
    rate
        Rate [$/loaded mile].
    loaded_miles
        Distance with the load on [mi].
    load
        Hay on the truck [kg as it stands].
    """
    return rate * loaded_miles / load


@equation(
    name="Rate per loaded mile",
    output=("rate", "$/mi", ""),
    source="freight-hay-and-forage",
    mark="read",
    units={"bill": "$", "loaded_miles": "mi"},
)
def rate_per_loaded_mile(bill: Any, loaded_miles: Any) -> Any:
    """The rate that a freight bill comes to.

    Parameters
    ----------
    bill
        Whole freight bill [$].
    loaded_miles
        Distance with the load on [mi].
    """
    return bill / loaded_miles


@equation(
    name="Distance at which cheaper hay stops being cheaper",
    output=("loaded_miles", "mi", ""),
    source="mass-balance",
    mark="definition",
    units={"saving": "$/kg of hay as it stands", "load": "kg of hay as it stands", "rate": "$/mi"},
)
def distance_of_equal_cost(saving: Any, load: Any, rate: Any) -> Any:
    """How far hay may be hauled before freight eats what it is cheaper by.

    Parameters
    ----------
    saving
        Difference of equal-quality prices at the stack [$/kg as it stands].
    load
        Hay on the truck [kg as it stands].
    rate
        Rate [$/loaded mile].
    """
    return saving * load / rate


@equation(
    name="Cost of what is eaten",
    output=("price_eaten", "$/kg", "eaten"),
    source="mass-balance",
    mark="definition",
    units={
        "price": "$/kg of hay as it stands",
        "storage_loss": "% of what was bought",
        "feeding_loss": "% of what was fed",
    },
)
def cost_of_eaten(price: Any, storage_loss: Any, feeding_loss: Any) -> Any:
    """Price of a mass eaten, both losses divided out.

    Parameters
    ----------
    price
        Delivered price with the cost of storage [$/mass as it stands].
    storage_loss
        Lost in storage [% of what was bought].
    feeding_loss
        Lost at feeding [% of what was put out].
    """
    return 10000 * price / ((100 - storage_loss) * (100 - feeding_loss))


@equation(
    name="Cost of what is eaten, losses added on",
    output=("price_eaten", "$/kg", "eaten"),
    source="oklahoma-store-or-sell",
    mark="read",
    units={
        "price": "$/kg of hay as it stands",
        "storage_loss": "% of what was bought",
        "feeding_loss": "% of what was fed",
    },
)
def cost_of_eaten_added(price: Any, storage_loss: Any, feeding_loss: Any) -> Any:
    """The form some published tables use; it comes out lower than a balance of mass.

    Parameters
    ----------
    price
        Delivered price with the cost of storage [$/mass as it stands].
    storage_loss
        Lost in storage [% of what was bought].
    feeding_loss
        Lost at feeding [% of what was put out].
    """
    return price * (100 + storage_loss) * (100 + feeding_loss) / 10000


def loss_share(field: str, loss: Number) -> Fraction:
    """A loss, refused when nothing would be left [%]."""
    value = exact(loss, field)
    if not 0 <= value < 100:
        raise Refused(field, loss, key="gate.loss")
    return value


def after_losses(
    price: Price,
    *,
    storage_loss: Number = 0,
    feeding_loss: Number = 0,
    method: LossMethod = "divided",
) -> Price:
    """What a mass eaten costs.

    Parameters
    ----------
    price
        Delivered price as it stands.
    storage_loss
        Lost in storage [% of what was bought].
    feeding_loss
        Lost at feeding [% of what was put out].
    method
        divided, by mass balance; added, as some published tables do.
    """
    methods = {"divided": cost_of_eaten, "added": cost_of_eaten_added}
    if method not in methods:
        raise UnknownName("method", method, methods)
    stored, fed = loss_share("storage loss", storage_loss), loss_share("feeding loss", feeding_loss)
    return price.through(lambda amount: methods[method](amount, stored, fed))


@dataclass(frozen=True, slots=True)
class Haul:
    """One haul.

    Parameters
    ----------
    rate
        Money per loaded mile [currency of the price].
    loaded_miles
        Distance [mi].
    payload
        Most the truck may carry [``unit``].
    unit
        Unit of the masses here.
    bales_that_fit
        Bales that find room; ``None`` when weight alone limits.
    bale_weight
        Weight of one bale [``unit`` as it stands].
    """

    rate: Number
    loaded_miles: Number
    payload: Number
    unit: str
    bales_that_fit: int | None = None
    bale_weight: Number | None = None

    @property
    def load(self) -> Fraction:
        """Hay on the truck [``unit`` as it stands]."""
        payload = positive("payload", self.payload)
        if self.bales_that_fit is None:
            return payload
        if self.bale_weight is None:
            raise Refused("bale weight", None, key="gate.bale_weight_missing")
        fit = positive("bales", self.bales_that_fit)
        return exact(load_of_truck(payload, fit, positive("bale weight", self.bale_weight)))

    @property
    def limited_by_room(self) -> bool:
        """Whether the bales fill the truck before they weigh it down."""
        return self.load < positive("payload", self.payload)

    def cost(self, currency: str) -> Price:
        """Freight per mass."""
        rate, miles = exact(self.rate, "rate"), exact(self.loaded_miles, "miles")
        if rate < 0 or miles < 0:
            field = "miles" if miles < 0 else "rate"
            raise Refused(field, str(min(rate, miles)), key="gate.negative")
        return Price(freight(rate, miles, self.load), self.unit, currency)


@dataclass(frozen=True, slots=True)
class Delivered:
    """A price on its way: at the stack, freight, other costs, delivered, and eaten."""

    at_stack: Price
    freight: Price
    other: Price
    delivered: Price
    eaten: Price


def delivered(
    price: Price,
    haul: Haul | None = None,
    *,
    other: Number = 0,
    storage_loss: Number = 0,
    feeding_loss: Number = 0,
    method: LossMethod = "divided",
) -> Delivered:
    """What hay costs in the buyer's yard and in the animals.

    Parameters
    ----------
    price
        At the seller's stack (FOB), or delivered when there is no haul.
    haul
        How it comes.
    other
        Loading, unloading, brokerage [currency per the price's unit].
    storage_loss, feeding_loss
        Losses [%].
    method
        How losses are counted.
    """
    nothing = Price(Fraction(0), price.per, price.currency)
    carried = haul.cost(price.currency).to(price.per) if haul is not None else nothing
    more = Price(exact(other, "other costs"), price.per, price.currency)
    there = price + carried + more
    eaten = after_losses(there, storage_loss=storage_loss, feeding_loss=feeding_loss, method=method)
    return Delivered(price, carried, more, there, eaten)


def miles_of_equal_cost(saving: Price, haul: Haul) -> Fraction:
    """Loaded miles at which the saving at the stack is gone."""
    per_unit = saving.amount * kilograms(haul.unit) / kilograms(saving.per)
    return exact(distance_of_equal_cost(per_unit, haul.load, positive("rate", haul.rate)))


def load_in(haul: Haul, unit: str) -> Fraction:
    """Hay on the truck in another unit of mass."""
    return convert_mass(haul.load, haul.unit, unit)
