"""Sheep by table rows, goats by the equations of 1981, both in TDN and protein a day."""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation

_SHEEP = ("sheep",)
_GOATS = ("goat",)
_ME = ("me_need", "Mcal/day", "")


@equation(
    name="Digestible energy from TDN, sheep tables",
    output=("de_need", "Mcal/day", ""),
    source="nrc-sheep-1985",
    mark="read",
    species=_SHEEP,
)
def sheep_de(tdn_need: Any) -> Any:
    """4.4 Mcal per kg of TDN; tdn_need [kg/day]."""
    return 4.4 * tdn_need


@equation(
    name="Metabolizable energy from digestible, sheep tables",
    output=_ME,
    source="nrc-sheep-1985",
    mark="read",
    species=_SHEEP,
)
def sheep_me(de_need: Any) -> Any:
    """0.82 DE; de_need [Mcal/day]."""
    return 0.82 * de_need


@equation(
    name="Metabolizable energy for maintenance of goats",
    output=_ME,
    source="nrc-goats-1981",
    mark="read",
    species=_GOATS,
    valid={"weight": (5, 120)},
)
def goat_me_maintenance(weight: Any, activity_factor: Any = 1.0) -> Any:
    """0.10138 x weight^0.75 x activity.

    Parameters
    ----------
    weight
        [kg].
    activity_factor
        1 stabled; 1.25 light, 1.5 semi-arid range, 1.75 sparse range [factor].
    """
    return 0.10138 * weight**0.75 * activity_factor


@equation(
    name="Metabolizable energy for growth of kids",
    output=_ME,
    source="nrc-goats-1981",
    mark="read",
    species=_GOATS,
)
def goat_me_growth(gain: Any) -> Any:
    """7.25 kcal per g of gain; gain [kg/day]."""
    return 7.25 * gain


@equation(
    name="Metabolizable energy for milk of goats",
    output=_ME,
    source="nrc-goats-1981",
    mark="read",
    species=_GOATS,
)
def goat_me_milk(milk: Any, milk_fat: Any = 4.0) -> Any:
    """1.24612 Mcal per kg of milk at 4 % fat, 0.01628 more or less for each half per cent.

    Parameters
    ----------
    milk
        [kg/day].
    milk_fat
        [%].
    """
    return milk * (1.24612 + 0.01628 * (milk_fat - 4.0) / 0.5)


@equation(
    name="Digestible from metabolizable energy, goats",
    output=("de_need", "Mcal/day", ""),
    source="nrc-goats-1981",
    mark="read",
    species=_GOATS,
)
def goat_de(me_need: Any) -> Any:
    """ME x 76/62; me_need [Mcal/day]."""
    return me_need * 76.0 / 62.0


@equation(
    name="TDN from digestible energy, goats",
    output=("tdn_need", "kg/day", ""),
    source="nrc-goats-1981",
    mark="read",
    species=_GOATS,
)
def goat_tdn(de_need: Any) -> Any:
    """DE / 4.409; de_need [Mcal/day]."""
    return de_need / 4.409


@equation(
    name="Crude protein of goats from digestible energy",
    output=("cp_need", "g/day", ""),
    source="nrc-goats-1981",
    mark="read",
    species=_GOATS,
)
def goat_cp(de_need: Any) -> Any:
    """32 g per Mcal; de_need [Mcal/day]."""
    return 32.0 * de_need
