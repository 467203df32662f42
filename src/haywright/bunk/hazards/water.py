"""Water: what its nitrate means by each published scale, and how much of it stock drink."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from haywright.measure.errors import UnknownName
from haywright.measure.register import equation
from haywright.sources.tables import load_toml


@dataclass(frozen=True, slots=True)
class WaterBand:
    """Where a water stands on one scale: band, its edges [mg/L NO3-N], source and mark."""

    scale: str
    band: str
    low: float
    high: float | None
    source: str
    mark: str


def water_band(nitrate: float, scale: str = "sdsu") -> WaterBand:
    """Where a water's nitrate stands on a scale; an edge belongs to the higher band.

    Parameters
    ----------
    nitrate
        [mg/L NO3-N].
    scale
        Name of the scale.
    """
    scales = load_toml("water_nitrate")["scales"]
    if scale not in scales:
        raise UnknownName("scale", scale, scales)
    table = scales[scale]
    row = next(r for r in reversed(table["rows"]) if nitrate >= r["from"])
    return WaterBand(
        scale, row["band"], float(row["from"]), row.get("to"), table["source"], table["mark"]
    )


def over_household_limit(nitrate: float) -> bool:
    """Whether a water is above the limit for people; then the household is warned too.

    Parameters
    ----------
    nitrate
        [mg/L NO3-N].
    """
    return nitrate > float(load_toml("water_nitrate")["household"]["limit"])


@equation(
    name="Water drunk by feedlot steers, Hicks 1988",
    output=("water_intake_gal", "gal/day", ""),
    source="hicks-1988",
    mark="read",
    species=("cattle",),
    units={
        "max_temperature": "degF",
        "dmi": "lb/day of dry matter",
        "rain": "in",
        "salt": "% of dry matter",
    },
)
def water_hicks(max_temperature: Any, dmi: Any, rain: Any = 0.0, salt: Any = 0.0) -> Any:
    """Water drunk by feedlot steers.

    Parameters
    ----------
    max_temperature
        Weekly mean of the daily highest [degF].
    dmi
        Dry matter eaten [lb/day].
    rain
        Mean rain [in].
    salt
        Salt in the diet [% of DM].
    """
    return -4.939 + 0.1040 * max_temperature + 0.2923 * dmi - 2.5971 * rain - 1.1739 * salt


def water_by_weight(weight: Any, temperature: Any, *, lactating: bool = False) -> Any:
    """Water drunk by beef cattle as a share of body weight, straight lines between printed rows.

    Parameters
    ----------
    weight
        Body weight [kg].
    temperature
        Air temperature [degF].
    lactating
        Whether they nurse a calf.

    Returns
    -------
    float or array
        [L/day].
    """
    table = load_toml("water_nitrate")["intake"]
    shares = table["lactating" if lactating else "dry"]
    return weight * np.interp(temperature, table["temperature_f"], shares)
