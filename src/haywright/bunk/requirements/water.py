"""Water drunk by cattle, by temperature."""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation

_CATTLE = ("cattle",)
_WATER = ("water", "L/day", "")


@equation(
    name="Water drunk, by weight and temperature (Colorado)",
    output=_WATER,
    source="sulfur-csu",
    mark="read",
    species=_CATTLE,
    valid={"air_f": (40, 90)},
    units={"milking": ""},
)
def water_of_weight(weight: Any, air_f: Any, milking: Any = 0.0) -> Any:
    """0.08, 0.10, 0.18 L per kg at 40, 70, 90 °F dry; 0.10, 0.15, 0.15 milking.

    Straight lines between, held at the ends.

    Parameters
    ----------
    weight
        [kg].
    air_f
        [°F].
    milking
        1 while nursing, else 0 [fraction].
    """
    at = [40.0, 70.0, 90.0]
    dry = np.interp(air_f, at, [0.08, 0.10, 0.18])
    nursing = np.interp(air_f, at, [0.10, 0.15, 0.15])
    return weight * (dry + (nursing - dry) * milking)
