"""How much hay a herd needs: dry matter first, then as it stands, then what is wasted.

The order matters: intake is dry matter; hay is bought as it stands; waste is divided out last.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from haywright.gate.delivered import loss_share
from haywright.gate.money import Number, convert_mass, exact
from haywright.gate.price import dry_matter_share, positive
from haywright.measure.errors import Refused
from haywright.measure.register import equation


@equation(
    name="Dry matter eaten",
    output=("dry_matter", "kg", "dry matter"),
    source="schwab-lippolis-2019",
    mark="read",
    units={"head": "", "weight": "kg", "intake": "% of body weight", "days": "day"},
)
def dry_matter_eaten(head: Any, weight: Any, intake: Any, days: Any) -> Any:
    """Hay dry matter that a class of stock eats.

    Parameters
    ----------
    head
        Animals [count].
    weight
        Live weight of one [kg].
    intake
        Dry matter a day [% of body weight].
    days
        Days fed [day].
    """
    return head * weight * intake * days / 100


@equation(
    name="Hay as it stands from its dry matter",
    output=("mass", "kg", "as it stands"),
    source="mass-balance",
    mark="definition",
    units={"dry_matter": "kg of dry matter"},
)
def mass_from_dry_matter(dry_matter: Any, dm: Any) -> Any:
    """The hay that holds a mass of dry matter.

    Parameters
    ----------
    dry_matter
        Dry matter [kg DM].
    dm
        Dry matter of the hay [% as it stands].
    """
    return 100 * dry_matter / dm


@equation(
    name="Hay to have so that enough is left",
    output=("mass", "kg", "as it stands"),
    source="iowa-beef-center-2021",
    mark="read",
    units={"mass": "kg of hay as it stands", "loss": "% of the hay"},
)
def mass_before_loss(mass: Any, loss: Any) -> Any:
    """What must be there before a loss so that a mass is left after it.

    Parameters
    ----------
    mass
        Wanted after the loss [kg as it stands].
    loss
        Lost [% of what was there].
    """
    return 100 * mass / (100 - loss)


@equation(
    name="Hay left after a loss",
    output=("mass", "kg", "as it stands"),
    source="mass-balance",
    mark="definition",
    units={"mass": "kg of hay as it stands", "loss": "% of the hay"},
)
def mass_after_loss(mass: Any, loss: Any) -> Any:
    """What is left of a mass after a loss.

    Parameters
    ----------
    mass
        There before the loss [kg as it stands].
    loss
        Lost [% of what was there].
    """
    return mass * (100 - loss) / 100


@equation(
    name="Weight of a number of bales",
    output=("mass", "kg", "as it stands"),
    source="mass-balance",
    mark="definition",
    units={"bales": "", "bale_weight": "kg of hay as it stands"},
)
def weight_of_bales(bales: Any, bale_weight: Any) -> Any:
    """What bales weigh together.

    Parameters
    ----------
    bales
        How many [count].
    bale_weight
        Weight of one [kg as it stands].
    """
    return bales * bale_weight


@equation(
    name="Weight of one feed that replaces another by dry matter",
    output=("factor", "", ""),
    source="maine-forage",
    mark="read",
    units={"dm_given_up": "% of that feed", "dm_instead": "% of that feed"},
)
def replacement_factor(dm_given_up: Any, dm_instead: Any) -> Any:
    """How many times its weight the wetter feed takes to bring the same dry matter.

    Parameters
    ----------
    dm_given_up
        Dry matter of the feed given up [% as it stands].
    dm_instead
        Dry matter of the feed in its place [% as it stands].
    """
    return dm_given_up / dm_instead


@equation(
    name="What better hay saves a herd over a stretch of days",
    output=("herd_saving", "$", ""),
    source="missouri-winter-cost-2017",
    mark="read",
    units={"low_cost": "$", "high_cost": "$", "head": "", "days": "day"},
)
def herd_saving(low_cost: Any, high_cost: Any, head: Any, days: Any) -> Any:
    """Difference between two feeding costs, supplement counted, over a herd and a winter.

    Parameters
    ----------
    low_cost, high_cost
        Cost of one animal a day on each hay [$/day].
    head
        Animals [count].
    days
        Days fed [day].
    """
    return (high_cost - low_cost) * head * days


@dataclass(frozen=True, slots=True)
class Eaters:
    """One class of stock over one stretch of days.

    Parameters
    ----------
    head
        Animals.
    daily
        Dry matter that one eats a day [``unit`` of DM].
    unit
        Unit of mass.
    days
        Days fed.
    """

    head: int
    daily: Number
    unit: str
    days: Number

    @classmethod
    def by_weight(
        cls, head: int, weight: Number, *, unit: str, intake: Number, days: Number
    ) -> Eaters:
        """Stock that eat a share of their weight.

        Parameters
        ----------
        head
            Animals.
        weight
            Live weight of one [``unit``].
        unit
            Unit of mass.
        intake
            Dry matter a day [% of body weight].
        days
            Days fed [day].
        """
        share = exact(intake, "intake")
        if not 0 < share <= 10:
            raise Refused("intake", intake, key="gate.intake")
        daily: Fraction = dry_matter_eaten(1, positive("weight", weight), share, 1)
        return cls(head, daily, unit, days)

    def dry_matter(self, unit: str) -> Fraction:
        """Dry matter they eat, in a unit of mass."""
        if self.head < 1:
            raise Refused("head", self.head, key="gate.positive")
        days = positive("days", self.days)
        return self.head * days * convert_mass(positive("daily", self.daily), self.unit, unit)


@dataclass(frozen=True, slots=True)
class Need:
    """Hay needed, step by step.

    Parameters
    ----------
    dry_matter
        Eaten [``unit`` of DM].
    eaten
        Eaten [``unit`` as it stands].
    to_have
        To have in the stack [``unit`` as it stands], losses divided out.
    bales
        Whole bales; ``None`` when no bale weight was given.
    unit
        Unit of mass.
    """

    dry_matter: Fraction
    eaten: Fraction
    to_have: Fraction
    bales: int | None
    unit: str


def hay_needed(
    eaters: tuple[Eaters, ...],
    *,
    dm: Number,
    unit: str,
    storage_loss: Number = 0,
    feeding_loss: Number = 0,
    bale_weight: Number | None = None,
) -> Need:
    """Hay needed for classes of stock together.

    Parameters
    ----------
    eaters
        Classes of stock.
    dm
        Dry matter of the hay [% as it stands].
    unit
        Unit of every mass that comes out, and of ``bale_weight``.
    storage_loss, feeding_loss
        Losses [%].
    bale_weight
        Weight of one bale [``unit`` as it stands].
    """
    eaten_dry = sum((one.dry_matter(unit) for one in eaters), Fraction(0))
    eaten = mass_from_dry_matter(eaten_dry, dry_matter_share("dm", dm))
    put_out = mass_before_loss(eaten, loss_share("feeding loss", feeding_loss))
    to_have = mass_before_loss(put_out, loss_share("storage loss", storage_loss))
    bales = None
    if bale_weight is not None:
        bales = math.ceil(to_have / positive("bale weight", bale_weight))
    return Need(eaten_dry, eaten, to_have, bales, unit)
