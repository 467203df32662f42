"""Ion-selective electrodes: a potential falls on a straight line over decades of concentration.

The line is fitted over decades above 1 ug/L, so that a standard of 1 mg/L is not a zero.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.atoms import molar_mass
from haywright.measure.register import equation


@equation(
    name="Nernst slope of an anion of one charge",
    output=("nernst_slope_mv", "mV per decade", ""),
    source="nernst-equation",
    mark="definition",
    units={"temperature_c": "degC"},
)
def nernst_slope(temperature_c: Any) -> Any:
    """Change of potential per tenfold concentration: -R T ln 10 / F.

    Parameters
    ----------
    temperature_c
        Temperature of the solutions [degC].
    """
    gas_constant, faraday = 8.314462618, 96485.33212
    return -1000.0 * gas_constant * (temperature_c + 273.15) * np.log(10.0) / faraday


@equation(
    name="Slope of an electrode as a share of Nernst's",
    output=("electrode_slope_share", "%", "of the Nernst slope"),
    source="nernst-equation",
    mark="definition",
    units={"slope_mv": "mV per decade", "nernst_slope_mv": "mV per decade"},
)
def slope_share(slope_mv: Any, nernst_slope_mv: Any) -> Any:
    """How much of the slope that theory gives an electrode shows.

    Parameters
    ----------
    slope_mv, nernst_slope_mv
        Slope found and slope of theory [mV per decade].
    """
    return 100.0 * slope_mv / nernst_slope_mv


@equation(
    name="Decades of a concentration",
    output=("level_decades", "", "decades above 1 ug/L"),
    source="nernst-equation",
    mark="definition",
)
def decades(known_mg_per_l: Any) -> Any:
    """Decades above 1 ug/L.

    Parameters
    ----------
    known_mg_per_l
        Concentration [mg/L].
    """
    return np.log10(1000.0 * known_mg_per_l)


@equation(
    name="Concentration from its decades",
    output=("reading_mg_per_l", "mg/L", ""),
    source="nernst-equation",
    mark="definition",
    units={"level_decades": ""},
)
def from_decades(level_decades: Any) -> Any:
    """Concentration a number of decades above 1 ug/L.

    Parameters
    ----------
    level_decades
        Decades above 1 ug/L [log10].
    """
    return 10.0**level_decades / 1000.0


@equation(
    name="Nitrate that chloride pretends",
    output=("chloride_share", "%", "of the nitrate read"),
    source="nikolsky-equation",
    mark="recalled",
    units={"selectivity": "ratio", "chloride_mg_per_l": "mg/L", "reading_mg_per_l": "mg/L"},
)
def chloride_share(selectivity: Any, chloride_mg_per_l: Any, reading_mg_per_l: Any) -> Any:
    """What chloride adds to a reading of nitrate nitrogen, both ions of one charge.

    Parameters
    ----------
    selectivity
        Potentiometric selectivity of the electrode for chloride over nitrate [mol/mol].
    chloride_mg_per_l
        Chloride in the same solution [mg/L].
    reading_mg_per_l
        Nitrate nitrogen read there [mg N/L].
    """
    as_nitrogen = selectivity * chloride_mg_per_l / molar_mass("Cl") * molar_mass("N")
    return 100.0 * as_nitrogen / reading_mg_per_l
