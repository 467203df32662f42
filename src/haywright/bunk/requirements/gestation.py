"""What the calf inside needs, by day of pregnancy."""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation

_CATTLE = ("cattle",)


@equation(
    name="Days of gestation of cows",
    output=("days_pregnant", "day", ""),
    source="gestation-283",
    mark="read",
    species=_CATTLE,
)
def gestation_days() -> Any:
    """283 days."""
    return 283.0


@equation(
    name="Birth weight of a calf from its mother",
    output=("calf_birth_weight", "kg", ""),
    source="common-practice",
    mark="practice",
    species=_CATTLE,
)
def birth_weight(mature_weight: Any) -> Any:
    """7 % of the cow's mature shrunk weight; mature_weight [kg]."""
    return 0.07 * mature_weight


@equation(
    name="Birth weight of a calf, printed cow tables",
    output=("calf_birth_weight", "kg", ""),
    source="nrc-beef-1996-cows",
    mark="recalled",
    species=_CATTLE,
)
def birth_weight_tables(mature_weight: Any) -> Any:
    """6.67 % of the cow's mature shrunk weight, 80 lb for 1,200; mature_weight [kg]."""
    return 0.0667 * mature_weight


@equation(
    name="Net energy for pregnancy of cows",
    output=("nem_pregnancy", "Mcal/day", ""),
    source="nrc-beef-1996-cows",
    mark="recalled_confirmed",
    species=_CATTLE,
    valid={"days_pregnant": (30, 283)},
)
def nem_pregnancy(calf_birth_weight: Any, days_pregnant: Any) -> Any:
    """0.576 CBW (0.4504 - 0.000766 t) exp((0.03233 - 0.0000275 t) t) / 1000; 0 when open.

    Reproduces all ten printed months of a cow calving in March.

    Parameters
    ----------
    calf_birth_weight
        [kg].
    days_pregnant
        [day].
    """
    t = np.maximum(days_pregnant, 0.0)
    growing = np.exp((0.03233 - 0.0000275 * t) * t)
    need = 0.576 * calf_birth_weight * (0.4504 - 0.000766 * t) * growing / 1000.0
    return np.where(t > 0, need, 0.0)[()]


@equation(
    name="Metabolizable protein for pregnancy of cows",
    output=("mp_pregnancy", "g/day", ""),
    source="nrc-beef-1996-cows",
    mark="recalled",
    species=_CATTLE,
    valid={"days_pregnant": (30, 283)},
)
def mp_pregnancy(calf_birth_weight: Any, days_pregnant: Any) -> Any:
    """CBW (0.001669 - 0.00000211 t) exp((0.0278 - 0.0000176 t) t) x 6.25 / 0.65; 0 when open.

    Parameters
    ----------
    calf_birth_weight
        [kg].
    days_pregnant
        [day].
    """
    t = np.maximum(days_pregnant, 0.0)
    growing = np.exp((0.0278 - 0.0000176 * t) * t)
    need = calf_birth_weight * (0.001669 - 0.00000211 * t) * growing * 6.25 / 0.65
    return np.where(t > 0, need, 0.0)[()]


@equation(
    name="Gravid uterus",
    output=("uterus", "kg", ""),
    source="nrc-beef-1996-cows",
    mark="recalled",
    species=_CATTLE,
    valid={"days_pregnant": (30, 283)},
)
def gravid_uterus(calf_birth_weight: Any, days_pregnant: Any) -> Any:
    """CBW x 0.01828 exp((0.02 - 0.0000143 t) t), 1.6 x the calf at term.

    Parameters
    ----------
    calf_birth_weight
        [kg].
    days_pregnant
        [day].
    """
    t = np.maximum(days_pregnant, 0.0)
    weight = calf_birth_weight * 0.01828 * np.exp((0.02 - 0.0000143 * t) * t)
    return np.where(t > 0, weight, 0.0)[()]


@equation(
    name="Gain of the gravid uterus",
    output=("uterus_gain", "g/day", ""),
    source="nrc-beef-1996-cows",
    mark="recalled",
    species=_CATTLE,
    valid={"days_pregnant": (30, 283)},
)
def uterus_gain(calf_birth_weight: Any, days_pregnant: Any) -> Any:
    """CBW x 18.28 (0.02 - 0.0000286 t) exp((0.02 - 0.0000143 t) t): not gain of the cow.

    Parameters
    ----------
    calf_birth_weight
        [kg].
    days_pregnant
        [day].
    """
    t = np.maximum(days_pregnant, 0.0)
    growing = np.exp((0.02 - 0.0000143 * t) * t)
    gain = calf_birth_weight * 18.28 * (0.02 - 0.0000286 * t) * growing
    return np.where(t > 0, gain, 0.0)[()]
