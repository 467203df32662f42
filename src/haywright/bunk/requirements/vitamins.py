"""Vitamin A of cattle: what is needed, what carotene and a mineral bring."""

from __future__ import annotations

from typing import Any, Literal

from haywright.measure.errors import Refused, UnknownName
from haywright.measure.register import equation
from haywright.measure.units import convert
from haywright.sources.tables import load_toml

_CATTLE = ("cattle",)
VitaminClass = Literal["growing", "gestating", "milking", "bulls", "stressed"]


@equation(
    name="Vitamin A needed, by dry matter",
    output=("vitamin_a", "IU/day", ""),
    source="vitamin-a-osu",
    mark="read",
    species=_CATTLE,
    units={"vitamin_a_density": "IU/kg of dry matter"},
)
def vitamin_a_by_intake(vitamin_a_density: Any, dmi: Any) -> Any:
    """Density x intake; vitamin_a_density [IU/kg of dry matter], dmi [kg/day]."""
    return vitamin_a_density * dmi


@equation(
    name="Vitamin A needed, by body weight",
    output=("vitamin_a", "IU/day", ""),
    source="vitamin-a-ksu",
    mark="read",
    species=_CATTLE,
    units={"vitamin_a_rate": "IU/kg of body weight"},
)
def vitamin_a_by_weight(vitamin_a_rate: Any, weight: Any) -> Any:
    """Rate x weight; vitamin_a_rate [IU/kg of body weight], weight [kg]."""
    return vitamin_a_rate * weight


@equation(
    name="Vitamin A from beta-carotene",
    output=("vitamin_a", "IU/day", ""),
    source="vitamin-a-osu",
    mark="read",
    species=_CATTLE,
)
def vitamin_a_of_carotene(carotene: Any) -> Any:
    """400 IU per mg; carotene [mg/day]."""
    return 400.0 * carotene


@equation(
    name="Vitamin A from a mineral or supplement",
    output=("vitamin_a", "IU/day", ""),
    source="mass-balance",
    mark="definition",
    units={"eaten": "kg/day", "vitamin_a_content": "IU/kg"},
)
def vitamin_a_supplied(eaten: Any, vitamin_a_content: Any) -> Any:
    """Eaten x content; eaten [kg/day], vitamin_a_content [IU/kg]."""
    return eaten * vitamin_a_content


def vitamin_a_need(
    of: VitaminClass, *, weight: float | None = None, dmi: float | None = None
) -> float:
    """Vitamin A needed a day [IU], by weight where it is given, else by dry matter eaten.

    Parameters
    ----------
    of
        growing, gestating, milking, bulls, or stressed (by dry matter only).
    weight
        [kg].
    dmi
        [kg of dry matter a day].
    """
    rows = load_toml("hazard_lines")["vitamin_a_needs"]
    if of not in rows:
        raise UnknownName("class", of, rows)
    row = rows[of]
    if weight is not None and "per_lb_weight" in row:
        return float(vitamin_a_by_weight(row["per_lb_weight"] * convert(1.0, "kg", "lb"), weight))
    if dmi is None:
        raise Refused("dmi", None, key="animals.intake_missing")
    return float(vitamin_a_by_intake(row["per_lb_dm"] * convert(1.0, "kg", "lb"), dmi))
