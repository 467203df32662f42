"""How much nitrate an animal takes in for its weight: context beside a verdict, never instead."""

from __future__ import annotations

from typing import Any

from haywright.measure.nitrate import NitrateForm, convert_form
from haywright.measure.register import equation
from haywright.measure.units import convert


@equation(
    name="Nitrate eaten per weight of the animal",
    output=("dose_no3", "mg/kg", "body weight, as NO3"),
    source="mass-balance",
    mark="definition",
    units={"nitrate_mass": "g/day of NO3-N", "weight": "kg"},
)
def nitrate_per_weight(nitrate_mass: Any, weight: Any) -> Any:
    """Nitrate ion for each kilogram of body weight and day.

    Parameters
    ----------
    nitrate_mass
        Feed and water together [g NO3-N/day].
    weight
        Body weight [kg].
    """
    return 1000 * convert_form(nitrate_mass, NitrateForm.NO3_N, NitrateForm.NO3) / weight


@equation(
    name="Nitrate of the ration that would carry feed and water together",
    output=("nitrate_n", "mg/kg", "dry matter"),
    source="mass-balance",
    mark="definition",
    units={"nitrate_mass": "g/day of NO3-N", "dmi": "kg/day"},
)
def ration_equivalent(nitrate_mass: Any, dmi: Any) -> Any:
    """Feed and water together, spread over the dry matter eaten.

    Parameters
    ----------
    nitrate_mass
        Feed and water together [g NO3-N/day].
    dmi
        Dry matter eaten [kg/day].
    """
    return 1000 * nitrate_mass / dmi


@equation(
    name="A salt per hundred pounds as milligrams per kilogram",
    output=("salt_dose", "mg/kg", "body weight"),
    source="prewitt-merilan",
    mark="read",
    units={"salt": "g per 100 lb of body weight"},
)
def per_kilogram(salt: Any) -> Any:
    """An amount printed per 100 lb of body weight.

    Parameters
    ----------
    salt
        [g per 100 lb of body weight].
    """
    return 1000 * salt / (100 * convert(1.0, "lb", "kg"))


def per_hundred_pounds(nitrate_mass: Any, weight: Any) -> Any:
    """The daily amount per 100 lb of body weight, as dose guides print it.

    Parameters
    ----------
    nitrate_mass
        Feed and water together [g NO3-N/day].
    weight
        Body weight [kg].

    Returns
    -------
    float or array
        [g NO3-N per 100 lb and day].
    """
    return nitrate_mass / convert(weight, "kg", "cwt")
