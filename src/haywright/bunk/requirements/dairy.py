"""Dairy cows at table depth: net energy for milk and dry matter eaten, the edition of 2001."""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation

_CATTLE = ("cattle",)
_NEL = ("nel_need", "Mcal/day", "")
_DMI = ("dmi", "kg/day", "")


@equation(
    name="Maintenance of a dairy cow",
    output=_NEL,
    source="nrc-dairy-2001-needs",
    mark="recalled",
    species=_CATTLE,
)
def dairy_nel_maintenance(weight: Any) -> Any:
    """0.080 x weight^0.75; weight [kg]."""
    return 0.080 * weight**0.75


@equation(
    name="Net energy of dairy milk",
    output=("milk_energy", "Mcal/kg", "milk"),
    source="nrc-dairy-2001-needs",
    mark="recalled",
    species=_CATTLE,
)
def dairy_milk_energy(milk_fat: Any, milk_protein: Any, milk_lactose: Any = 4.8) -> Any:
    """0.0929 fat + 0.0547 protein + 0.0192 lactose.

    Parameters
    ----------
    milk_fat, milk_protein, milk_lactose
        [%].
    """
    return 0.0929 * milk_fat + 0.0547 * milk_protein + 0.0192 * milk_lactose


@equation(
    name="Pregnancy of a dairy cow",
    output=_NEL,
    source="nrc-dairy-2001-needs",
    mark="recalled",
    species=_CATTLE,
    valid={"days_pregnant": (190, 279)},
)
def dairy_nel_pregnancy(days_pregnant: Any, calf_birth_weight: Any) -> Any:
    """((0.00318 d - 0.0352) x CBW / 45) / 0.218 from day 190; 0 before.

    Parameters
    ----------
    days_pregnant
        [day].
    calf_birth_weight
        [kg].
    """
    need = (0.00318 * days_pregnant - 0.0352) * calf_birth_weight / 45.0 / 0.218
    return np.where(np.asarray(days_pregnant) >= 190.0, need, 0.0)[()]


@equation(
    name="Intake of a dry dairy cow",
    output=_DMI,
    source="nrc-dairy-2001-needs",
    mark="recalled_confirmed",
    species=_CATTLE,
    valid={"days_pregnant": (210, 280)},
)
def dairy_dmi_dry(weight: Any, days_pregnant: Any) -> Any:
    """(1.97 - 0.75 e^(0.16 (day - 280))) % of weight; weight [kg], days_pregnant [day]."""
    return (1.97 - 0.75 * np.exp(0.16 * (days_pregnant - 280.0))) * weight / 100.0


@equation(
    name="Milk at 4 % fat",
    output=("fcm", "kg/day", ""),
    source="nrc-dairy-2001-needs",
    mark="recalled_confirmed",
    species=_CATTLE,
)
def fat_corrected_milk(milk: Any, milk_fat: Any) -> Any:
    """0.4 milk + 15 fat; milk [kg/day], milk_fat [%]."""
    return 0.4 * milk + 15.0 * milk * milk_fat / 100.0


@equation(
    name="Intake of a milking dairy cow",
    output=_DMI,
    source="nrc-dairy-2001-needs",
    mark="recalled",
    species=_CATTLE,
)
def dairy_dmi_milking(weight: Any, fcm: Any, week_of_milk: Any) -> Any:
    """(0.372 FCM + 0.0968 weight^0.75)(1 - e^(-0.192 (week + 3.67))).

    Parameters
    ----------
    weight
        [kg].
    fcm
        Milk at 4 % fat [kg/day].
    week_of_milk
        [week].
    """
    early = 1.0 - np.exp(-0.192 * (week_of_milk + 3.67))
    return (0.372 * fcm + 0.0968 * weight**0.75) * early
