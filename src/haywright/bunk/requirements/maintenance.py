"""Energy to keep an animal as it is: weight, breed, milking, weather of last month, walking."""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation

_CATTLE = ("cattle",)
_NEM = ("nem_maintenance", "Mcal/day", "")


@equation(
    name="Shrunk weight",
    output=("shrunk_weight", "kg", ""),
    source="common-practice",
    mark="practice",
    species=_CATTLE,
)
def shrunk_weight(weight: Any) -> Any:
    """0.96 x live weight: a night without feed and water; weight [kg]."""
    return 0.96 * weight


@equation(
    name="Net energy for maintenance of cattle",
    output=_NEM,
    source="nrc-beef-1996-cows",
    mark="recalled_confirmed",
    species=_CATTLE,
    valid={"shrunk_weight": (40, 1300)},
)
def nem_maintenance(
    shrunk_weight: Any,
    breed_factor: Any = 1.0,
    lactation_factor: Any = 1.0,
    condition_factor: Any = 1.0,
    sex_factor: Any = 1.0,
) -> Any:
    """0.077 x factors x weight^0.75; reproduces the printed cow table.

    Parameters
    ----------
    shrunk_weight
        Weight off feed [kg].
    breed_factor
        1 for British breeds [factor].
    lactation_factor
        1.2 while milking [factor].
    condition_factor
        Previous plane of nutrition, growing cattle [factor].
    sex_factor
        1.15 for bulls [factor].
    """
    factors = breed_factor * lactation_factor * condition_factor * sex_factor
    return 0.077 * factors * shrunk_weight**0.75


@equation(
    name="Maintenance coefficient after a cold month",
    output=("nem_coefficient", "Mcal/kg^0.75", ""),
    source="nrc-environment-1981",
    mark="recalled",
    species=_CATTLE,
    valid={"previous_temperature": (-20, 30)},
)
def acclimatised_coefficient(previous_temperature: Any) -> Any:
    """0.077 + 0.0007 (20 - T); previous_temperature [°C], the mean of the month before."""
    return 0.077 + 0.0007 * (20.0 - previous_temperature)


@equation(
    name="More maintenance after a cold month",
    output=("cold_increase", "%", ""),
    source="nrc-environment-1981",
    mark="recalled",
    species=_CATTLE,
)
def acclimatised_increase(previous_temperature: Any) -> Any:
    """100 x 0.0007 (20 - T) / 0.077; previous_temperature [°C].

    Slow and lasting, unlike a storm: not to be added to the rule per degree without thought.
    """
    return 100.0 * 0.0007 * (20.0 - previous_temperature) / 0.077


@equation(
    name="Net energy for maintenance after a cold month",
    output=_NEM,
    source="nrc-environment-1981",
    mark="recalled",
    species=_CATTLE,
)
def nem_acclimatised(shrunk_weight: Any, previous_temperature: Any) -> Any:
    """(0.077 + 0.0007 (20 - T)) x weight^0.75.

    Parameters
    ----------
    shrunk_weight
        [kg].
    previous_temperature
        Mean of the month before [°C].
    """
    return acclimatised_coefficient(previous_temperature) * shrunk_weight**0.75


@equation(
    name="Factor for the previous plane of nutrition",
    output=("condition_factor", "", ""),
    source="nrc-beef-1996-growth",
    mark="recalled",
    species=_CATTLE,
    valid={"condition": (1, 9)},
)
def condition_factor(condition: Any) -> Any:
    """0.8 + 0.05 (score - 1), growing cattle only; condition [score, 1 to 9]."""
    return 0.8 + 0.05 * (condition - 1.0)


@equation(
    name="Factor for bulls",
    output=("sex_factor", "", ""),
    source="nrc-beef-1996-cows",
    mark="recalled",
    species=_CATTLE,
)
def bull_factor() -> Any:
    """1.15."""
    return 1.15


@equation(
    name="Milking factor on maintenance",
    output=("lactation_factor", "", ""),
    source="unl-condition-module",
    mark="read",
    species=_CATTLE,
    units={"milking": ""},
)
def lactation_factor(milking: Any) -> Any:
    """1.2 while milking, else 1; the printed cow table has it; milking [0 or 1]."""
    return 1.0 + 0.2 * milking


@equation(
    name="Net energy for grazing",
    output=("nem_activity", "Mcal/day", ""),
    source="nrc-beef-1996-cows",
    mark="recalled",
    species=_CATTLE,
)
def nem_grazing(
    weight: Any, pasture_eaten: Any, digestibility: Any, terrain: Any, forage_standing: Any
) -> Any:
    """(0.006 pI (0.9 - D) + 0.05 terrain/(forage + 3)) x weight / 4.184; 0 when fed in a lot.

    Parameters
    ----------
    weight
        [kg].
    pasture_eaten
        [kg of dry matter a day].
    digestibility
        [fraction].
    terrain
        1 flat, 1.5 rolling, 2 hilly [factor].
    forage_standing
        [t of dry matter per ha].
    """
    grazing = 0.006 * pasture_eaten * (0.9 - digestibility)
    walking = 0.05 * terrain / (forage_standing + 3.0)
    return (grazing + walking) * weight / 4.184


@equation(
    name="Net energy for walking to feed",
    output=("nem_activity", "Mcal/day", ""),
    source="common-practice",
    mark="practice",
    species=_CATTLE,
    units={"walking": "% of maintenance"},
)
def nem_walking(nem_maintenance: Any, walking: Any) -> Any:
    """A share of maintenance: 10 to 15 % on easy ground, 25 to 30 % on sparse hills.

    Parameters
    ----------
    nem_maintenance
        [Mcal/day].
    walking
        [% of maintenance].
    """
    return nem_maintenance * walking / 100.0
