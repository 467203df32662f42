"""Milk of beef cows by week since calving, and what it takes."""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation

_CATTLE = ("cattle",)
LACTATION_WEEKS = 30


@equation(
    name="Milk of a beef cow by week",
    output=("milk", "kg/day", ""),
    source="nrc-beef-1996-cows",
    mark="recalled_confirmed",
    species=_CATTLE,
    valid={"weeks_milking": (0, 30)},
)
def milk_yield(peak_milk: Any, weeks_milking: Any, week_of_peak: Any = 8.5) -> Any:
    """Peak x (n/8.5) exp(1 - n/8.5); reproduces the printed cow table.

    Parameters
    ----------
    peak_milk
        [kg/day].
    weeks_milking
        Since calving [week].
    week_of_peak
        [week].
    """
    n = np.maximum(weeks_milking, 0.0) / week_of_peak
    return peak_milk * n * np.exp(1.0 - n)


@equation(
    name="Peak milk of a young cow",
    output=("peak_milk", "kg/day", ""),
    source="mp391-gadberry",
    mark="recalled",
    species=_CATTLE,
)
def peak_milk_at_age(peak_milk: Any, age_years: Any) -> Any:
    """0.74 of a grown cow's peak at two years, 0.88 at three; the 0.74 was read.

    Parameters
    ----------
    peak_milk
        Of a grown cow [kg/day].
    age_years
        [year].
    """
    share = np.where(age_years < 3.0, 0.74, np.where(age_years < 4.0, 0.88, 1.0))
    return (peak_milk * share)[()]


@equation(
    name="Net energy of milk",
    output=("milk_energy", "Mcal/kg", "milk"),
    source="nrc-beef-1996-cows",
    mark="recalled_confirmed",
    species=_CATTLE,
)
def milk_energy(milk_fat: Any = 4.0, milk_snf: Any = 8.3) -> Any:
    """0.092 fat + 0.049 solids-not-fat - 0.0569; milk_fat [%], milk_snf [%]."""
    return 0.092 * milk_fat + 0.049 * milk_snf - 0.0569


@equation(
    name="Net energy for milk each day",
    output=("ne_milk", "Mcal/day", ""),
    source="nrc-beef-1996-cows",
    mark="recalled_confirmed",
    species=_CATTLE,
)
def ne_milk(milk: Any, milk_fat: Any = 4.0, milk_snf: Any = 8.3) -> Any:
    """Milk x its net energy, charged as energy for maintenance.

    Parameters
    ----------
    milk
        [kg/day].
    milk_fat, milk_snf
        [%].
    """
    return milk * milk_energy(milk_fat, milk_snf)


@equation(
    name="Metabolizable protein for milk",
    output=("mp_milk", "g/day", ""),
    source="nrc-beef-1996-cows",
    mark="recalled",
    species=_CATTLE,
)
def mp_milk(milk: Any, milk_protein: Any = 3.4) -> Any:
    """Milk x protein x 10 / 0.65; milk [kg/day], milk_protein [%]."""
    return milk * milk_protein * 10.0 / 0.65
