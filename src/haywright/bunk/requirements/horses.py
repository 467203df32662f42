"""Horses: digestible energy, protein, calcium and phosphorus by weight, work and milk."""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation

_HORSE = ("horse",)
_DE = ("horse_de_need", "Mcal/day", "")
_CP = ("cp_need", "g/day", "")
_CA = ("ca_need", "g/day", "")
_P = ("p_need", "g/day", "")


@equation(
    name="Energy of an idle horse, average",
    output=_DE,
    source="nrc-horses-2007",
    mark="recalled_confirmed",
    species=_HORSE,
    valid={"weight": (100, 1100)},
)
def horse_de_average(weight: Any) -> Any:
    """0.0333 Mcal per kg; weight [kg]."""
    return 0.0333 * weight


@equation(
    name="Energy of an idle horse, minimum",
    output=_DE,
    source="nrc-horses-2007",
    mark="recalled_confirmed",
    species=_HORSE,
)
def horse_de_minimum(weight: Any) -> Any:
    """0.0303 Mcal per kg: quiet, stabled; weight [kg]."""
    return 0.0303 * weight


@equation(
    name="Energy of an idle horse, elevated",
    output=_DE,
    source="nrc-horses-2007",
    mark="recalled_confirmed",
    species=_HORSE,
)
def horse_de_elevated(weight: Any) -> Any:
    """0.0363 Mcal per kg: restless, or mares in milk; weight [kg]."""
    return 0.0363 * weight


@equation(
    name="Energy of a working horse",
    output=_DE,
    source="nrc-horses-2007",
    mark="recalled",
    species=_HORSE,
)
def horse_de_work(weight: Any, work_factor: Any) -> Any:
    """0.0333 Mcal per kg x 1.2 light, 1.4 moderate, 1.6 heavy, 1.9 very heavy.

    Parameters
    ----------
    weight
        [kg].
    work_factor
        [factor].
    """
    return 0.0333 * weight * work_factor


@equation(
    name="Energy of an idle horse (1989)",
    output=_DE,
    source="nrc-horses-1989-needs",
    mark="read",
    species=_HORSE,
)
def horse_de_1989(weight: Any) -> Any:
    """1.4 + 0.03 Mcal per kg; weight [kg]."""
    return 1.4 + 0.03 * weight


@equation(
    name="Protein of a horse from energy (1989)",
    output=_CP,
    source="nrc-horses-1989-needs",
    mark="read",
    species=_HORSE,
)
def horse_cp_1989(horse_de_need: Any) -> Any:
    """40 g per Mcal; horse_de_need [Mcal/day]."""
    return 40.0 * horse_de_need


@equation(
    name="Protein of an idle horse, average",
    output=_CP,
    source="nrc-horses-2007",
    mark="recalled_confirmed",
    species=_HORSE,
)
def horse_cp_average(weight: Any) -> Any:
    """1.26 g per kg; weight [kg]."""
    return 1.26 * weight


@equation(
    name="Calcium of an idle horse",
    output=_CA,
    source="nrc-horses-2007",
    mark="recalled_confirmed",
    species=_HORSE,
)
def horse_ca(weight: Any) -> Any:
    """0.04 g per kg; weight [kg]."""
    return 0.04 * weight


@equation(
    name="Phosphorus of an idle horse",
    output=_P,
    source="nrc-horses-2007",
    mark="recalled_confirmed",
    species=_HORSE,
)
def horse_p(weight: Any) -> Any:
    """0.028 g per kg; weight [kg]."""
    return 0.028 * weight


@equation(
    name="Milk of a mare by day",
    output=("milk", "kg/day", ""),
    source="nrc-horses-2007",
    mark="recalled",
    species=_HORSE,
    valid={"day_of_milk": (1, 180)},
)
def mare_milk(weight: Any, day_of_milk: Any) -> Any:
    """0.0274287 x weight x d^0.0953 x e^(-0.0043 d); weight [kg], day_of_milk [day]."""
    d = np.maximum(day_of_milk, 1.0)
    return 0.0274287 * weight * d**0.0953 * np.exp(-0.0043 * d)


@equation(
    name="Energy of a mare in milk",
    output=_DE,
    source="nrc-horses-2007",
    mark="recalled",
    species=_HORSE,
)
def mare_de(weight: Any, milk: Any) -> Any:
    """0.0363 x weight + 0.833 x milk; weight [kg], milk [kg/day]."""
    return 0.0363 * weight + 0.833 * milk


@equation(
    name="Protein of a mare in milk",
    output=_CP,
    source="nrc-horses-2007",
    mark="recalled",
    species=_HORSE,
)
def mare_cp(weight: Any, milk: Any) -> Any:
    """1.44 x weight + 50 x milk; weight [kg], milk [kg/day]."""
    return 1.44 * weight + 50.0 * milk


@equation(
    name="Calcium of a mare in milk",
    output=_CA,
    source="nrc-horses-2007",
    mark="recalled",
    species=_HORSE,
)
def mare_ca(weight: Any, milk: Any, day_of_milk: Any) -> Any:
    """0.04 x weight + 1.2 (later than 3 months 0.8) x milk / 0.5.

    Parameters
    ----------
    weight
        [kg].
    milk
        [kg/day].
    day_of_milk
        [day].
    """
    in_milk = np.where(day_of_milk <= 92.0, 1.2, 0.8)
    return (0.04 * weight + in_milk * milk / 0.5)[()]


@equation(
    name="Phosphorus of a mare in milk",
    output=_P,
    source="nrc-horses-2007",
    mark="recalled",
    species=_HORSE,
)
def mare_p(weight: Any, milk: Any, day_of_milk: Any) -> Any:
    """(0.010 x weight + 0.75 (later than 3 months 0.50) x milk) / 0.45.

    Parameters
    ----------
    weight
        [kg].
    milk
        [kg/day].
    day_of_milk
        [day].
    """
    in_milk = np.where(day_of_milk <= 92.0, 0.75, 0.50)
    return ((0.010 * weight + in_milk * milk) / 0.45)[()]
