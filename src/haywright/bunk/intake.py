"""How much dry matter a cow eats: rules that disagree, kept apart by name.

The lowest of the rules tests whether the hay can carry the animal; the highest sizes the stack.
The form of 1996 turns up again on poor hay (more eaten of worse hay); it is held flat there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from haywright.measure.errors import CannotDerive, UnknownName
from haywright.measure.register import equation
from haywright.sources.tables import load_toml

_CATTLE = ("cattle",)
_DMI = ("dmi", "kg/day", "dry matter")
Age = Literal["grown", "calf", "yearling"]


@equation(
    name="Intake of breeding cows (1996), unguarded",
    output=_DMI,
    source="nrc-beef-1996-cows",
    mark="recalled",
    species=_CATTLE,
    valid={"nem": (0.96, 2.2)},
)
def dmi_1996(shrunk_weight: Any, nem: Any, milk: Any = 0.0, pregnant: Any = 1.0) -> Any:
    """W^0.75 (0.04997 NEm^2 + 0.04631) / NEm + 0.2 milk; 0.03840 when open or just bred.

    As the printed tables use it; below NEm 0.96 it gives more intake of worse hay.

    Parameters
    ----------
    shrunk_weight
        [kg].
    nem
        Of the diet [Mcal/kg of dry matter].
    milk
        [kg/day].
    pregnant
        1 beyond about 80 days of pregnancy, else 0 [fraction].
    """
    constant = 0.03840 + (0.04631 - 0.03840) * pregnant
    return shrunk_weight**0.75 * (0.04997 * nem**2 + constant) / nem + 0.2 * milk


@equation(
    name="Intake of breeding cows (1996), never more of worse hay",
    output=_DMI,
    source="nrc-beef-1996-cows",
    mark="recalled",
    species=_CATTLE,
)
def dmi_1996_guarded(shrunk_weight: Any, nem: Any, milk: Any = 0.0, pregnant: Any = 1.0) -> Any:
    """The form of 1996, held at its lowest value where worse hay would be eaten more.

    Parameters
    ----------
    shrunk_weight
        [kg].
    nem
        Of the diet [Mcal/kg of dry matter].
    milk
        [kg/day].
    pregnant
        1 beyond about 80 days of pregnancy, else 0 [fraction].
    """
    constant = 0.03840 + (0.04631 - 0.03840) * pregnant
    turning = np.sqrt(constant / 0.04997)
    return dmi_1996(shrunk_weight, np.maximum(nem, turning), milk, pregnant)


@equation(
    name="Intake of breeding cows (1984)",
    output=_DMI,
    source="nrc-beef-1984",
    mark="recalled_confirmed",
    species=_CATTLE,
)
def dmi_1984(shrunk_weight: Any, nem: Any, milk: Any = 0.0) -> Any:
    """W^0.75 (0.1462 NEm - 0.0517 NEm^2 - 0.0074) + 0.2 milk, flat beyond its top.

    Parameters
    ----------
    shrunk_weight
        [kg].
    nem
        Of the diet [Mcal/kg of dry matter].
    milk
        [kg/day].
    """
    rising = np.minimum(nem, 0.1462 / (2.0 * 0.0517))
    forage = shrunk_weight**0.75 * (0.1462 * rising - 0.0517 * rising**2 - 0.0074)
    return np.maximum(forage, 0.0) + 0.2 * milk


@equation(
    name="Intake of weaned calves under 12 months (1996)",
    output=_DMI,
    source="nrc-beef-1996-growth",
    mark="recalled_confirmed",
    species=_CATTLE,
)
def dmi_calves(shrunk_weight: Any, nem: Any) -> Any:
    """W^0.75 (0.2435 NEm - 0.0466 NEm^2 - 0.1128) / NEm, the divisor not below 0.95.

    Parameters
    ----------
    shrunk_weight
        [kg].
    nem
        [Mcal/kg of dry matter].
    """
    top = 0.2435 * nem - 0.0466 * nem**2 - 0.1128
    return shrunk_weight**0.75 * np.maximum(top, 0.0) / np.maximum(nem, 0.95)


@equation(
    name="Intake of yearlings over 12 months (1996)",
    output=_DMI,
    source="nrc-beef-1996-growth",
    mark="recalled",
    species=_CATTLE,
)
def dmi_yearlings(shrunk_weight: Any, nem: Any) -> Any:
    """W^0.75 (0.2435 NEm - 0.0466 NEm^2 - 0.0869) / NEm, the divisor not below 0.95.

    A fifth to a third above calves: the class is a choice by age, never by weight.

    Parameters
    ----------
    shrunk_weight
        [kg].
    nem
        [Mcal/kg of dry matter].
    """
    top = 0.2435 * nem - 0.0466 * nem**2 - 0.0869
    return shrunk_weight**0.75 * np.maximum(top, 0.0) / np.maximum(nem, 0.95)


@equation(
    name="Intake of growing cattle (2016)",
    output=_DMI,
    source="nasem-beef-2016",
    mark="recalled",
    species=_CATTLE,
)
def dmi_growing_2016(weight: Any, nem: Any) -> Any:
    """(1.2425 + 1.9218 NEm - 0.7259 NEm^2) % of weight.

    Parameters
    ----------
    weight
        [kg].
    nem
        [Mcal/kg of dry matter].
    """
    return (1.2425 + 1.9218 * nem - 0.7259 * nem**2) * weight / 100.0


@equation(
    name="Fiber a cow can eat",
    output=("ndf_eaten", "kg/day", ""),
    source="hay-forage-grower-ndf",
    mark="read",
    species=_CATTLE,
)
def fiber_eaten(weight: Any, fiber_capacity: Any = 1.2) -> Any:
    """1.2 % of weight as NDF; weight [kg], fiber_capacity [% of body weight]."""
    return weight * fiber_capacity / 100.0


@equation(
    name="Intake by fiber fill",
    output=_DMI,
    source="hay-forage-grower-ndf",
    mark="read",
    species=_CATTLE,
)
def dmi_fiber(weight: Any, ndf: Any, fiber_capacity: Any = 1.2) -> Any:
    """Fiber a cow can eat / NDF of the forage.

    Parameters
    ----------
    weight
        [kg].
    ndf
        [% of dry matter].
    fiber_capacity
        1.2; 1.2 to 1.5 in Ohio [% of body weight].
    """
    return 100.0 * fiber_eaten(weight, fiber_capacity) / ndf


@equation(
    name="Intake as a share of weight",
    output=_DMI,
    source="mass-balance",
    mark="definition",
)
def dmi_of_weight(weight: Any, dmi_bw: Any) -> Any:
    """Share x weight / 100; weight [kg], dmi_bw [% of body weight]."""
    return weight * dmi_bw / 100.0


@equation(
    name="Intake in cold and heat",
    output=("intake_factor", "", ""),
    source="nrc-environment-1981",
    mark="recalled",
    species=_CATTLE,
)
def intake_factor(air: Any) -> Any:
    """0.65 above 35 °C to 1.16 below -15 °C, by steps of ten degrees; air [°C]."""
    edges = [-15.0, -5.0, 5.0, 15.0, 25.0, 35.0]
    factors = np.array([1.16, 1.07, 1.05, 1.03, 1.0, 0.90, 0.65])
    return factors[np.digitize(air, edges)]


@dataclass(frozen=True, slots=True)
class Eater:
    """One animal as the rules see it.

    Parameters
    ----------
    weight, shrunk_weight
        [kg].
    milk
        [kg/day].
    milking, pregnant
        Whether she nurses; whether she is beyond about 80 days of pregnancy.
    age
        grown, calf (under 12 months) or yearling.
    """

    weight: float
    shrunk_weight: float
    milk: float = 0.0
    milking: bool = False
    pregnant: bool = True
    age: Age = "grown"


@dataclass(frozen=True, slots=True)
class Forage:
    """What the rules ask of a forage; ``None`` where it is not known.

    Parameters
    ----------
    tdn, ndf, cp
        [% of dry matter].
    nem
        [Mcal/kg of dry matter].
    """

    tdn: float | None = None
    nem: float | None = None
    ndf: float | None = None
    cp: float | None = None


def share_by_quality(rule: str, tdn: float | None, *, milking: bool) -> float:
    """Intake of a rule that goes by quality of the forage [% of body weight].

    Parameters
    ----------
    rule
        Name in the table of intake rules.
    tdn
        [% of dry matter]; may be ``None`` for a flat rule.
    milking
        Whether she nurses.
    """
    bands = load_toml("intake_rules")[rule]["bands"]
    if len(bands) > 1 and tdn is None:
        raise CannotDerive("dmi_bw", ["tdn"])
    chosen = bands[0]
    for band in bands[1:]:
        edge = float(band["from"])
        if tdn is not None and (tdn > edge if band.get("above") else tdn >= edge):
            chosen = band
    return float(chosen["milking" if milking else "dry"])


def protein_short_share(cp: float, full: float) -> float:
    """Intake of a forage too low in protein, fed alone [% of body weight].

    Parameters
    ----------
    cp
        Of the forage [% of dry matter].
    full
        What would be eaten with enough protein [% of body weight].
    """
    row = load_toml("intake_rules")["protein-short"]
    return float(np.interp(cp, [row["at"], row["starts"]], [min(row["eaten"], full), full]))


def _need(value: float | None, name: str) -> float:
    if value is None:
        raise CannotDerive("dmi", [name])
    return value


def intake(rule: str, eater: Eater, forage: Forage) -> float:
    """Dry matter eaten a day by one rule [kg].

    Raises
    ------
    CannotDerive
        What the rule asks of the forage is not known.
    UnknownName
        No such rule.
    """
    if rule in ("hibberd-thrift", "flat"):
        share = share_by_quality(rule, forage.tdn, milking=eater.milking)
        return float(dmi_of_weight(eater.weight, share))
    if rule in ("fiber-fill", "fiber-fill-high"):
        capacity = load_toml("intake_rules")[rule]["fiber"]
        return float(dmi_fiber(eater.weight, _need(forage.ndf, "ndf"), capacity))
    if rule == "1984":
        return float(dmi_1984(eater.shrunk_weight, _need(forage.nem, "nem"), eater.milk))
    if rule == "1996":
        nem = _need(forage.nem, "nem")
        return float(dmi_1996_guarded(eater.shrunk_weight, nem, eater.milk, float(eater.pregnant)))
    if rule == "growing-calf":
        return float(dmi_calves(eater.shrunk_weight, _need(forage.nem, "nem")))
    if rule == "growing-yearling":
        return float(dmi_yearlings(eater.shrunk_weight, _need(forage.nem, "nem")))
    raise UnknownName("intake rule", rule, RULES)


RULES = (
    "hibberd-thrift",
    "flat",
    "fiber-fill",
    "fiber-fill-high",
    "1984",
    "1996",
    "growing-calf",
    "growing-yearling",
)
RECALLED_RULES = frozenset({"1996", "growing-yearling"})
RULES_BY_AGE: dict[Age, tuple[str, ...]] = {
    "grown": ("hibberd-thrift", "fiber-fill", "1984", "flat"),
    "calf": ("growing-calf", "fiber-fill-high"),
    "yearling": ("growing-calf", "flat"),
}


@dataclass(frozen=True, slots=True)
class IntakeRange:
    """What the rules give: the lowest tests adequacy, the highest sizes the stack.

    Parameters
    ----------
    by_rule
        Rule -> dry matter a day [kg].
    """

    by_rule: dict[str, float]

    @property
    def lowest_rule(self) -> str:
        """The rule that gives the least."""
        return min(self.by_rule, key=lambda rule: self.by_rule[rule])

    @property
    def lowest(self) -> float:
        """The least of the rules [kg of dry matter a day]."""
        return min(self.by_rule.values())

    @property
    def highest(self) -> float:
        """The most of the rules [kg of dry matter a day]."""
        return max(self.by_rule.values())


def intake_range(eater: Eater, forage: Forage, *, rules: Sequence[str] = ()) -> IntakeRange:
    """Intake by every rule that what is known of the forage allows.

    Parameters
    ----------
    eater, forage
        Who eats what.
    rules
        Names; those that were read for her age when none is named.

    Raises
    ------
    CannotDerive
        No rule can be worked.
    """
    found: dict[str, float] = {}
    missing: list[str] = []
    for rule in rules or RULES_BY_AGE[eater.age]:
        try:
            found[rule] = intake(rule, eater, forage)
        except CannotDerive as error:
            missing += error.missing
    if not found:
        raise CannotDerive("dmi", sorted(set(missing)))
    return IntakeRange(found)
