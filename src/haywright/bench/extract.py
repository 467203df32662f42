"""Equations of solutions: from what was read in a cup to the hay it came from."""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation

_MG_L = "mg/L"


@equation(
    name="From a solution to the powder",
    output=("extracted", "mg/kg", "as analysed"),
    source="mass-balance",
    mark="definition",
    units={"concentration": _MG_L, "dilution": "", "blank_concentration": _MG_L,
           "blank_dilution": "", "volume": "mL", "portion": "g"},
)  # fmt: skip
def extracted(
    concentration: Any,
    volume: Any,
    portion: Any,
    dilution: Any = 1.0,
    blank_concentration: Any = 0.0,
    blank_dilution: Any = 1.0,
) -> Any:
    """What the extract or digest of a portion held, each reading with its own dilution.

    Parameters
    ----------
    concentration
        Read in the cup [mg/L].
    volume
        Of the extract or digest [mL].
    portion
        Powder weighed in [g as analysed].
    dilution
        How many times the cup was diluted from the extract [fraction].
    blank_concentration, blank_dilution
        Of a blank taken through the whole procedure [mg/L; fraction].
    """
    return (dilution * concentration - blank_dilution * blank_concentration) * volume / portion


@equation(
    name="Column efficiency",
    output=("column_efficiency", "%", ""),
    source="epa-353-2",
    mark="recalled_confirmed",
    units={"nitrate_signal": "signal", "nitrite_signal": "signal", "blank_signal": "signal"},
)
def column_efficiency(nitrate_signal: Any, nitrite_signal: Any, blank_signal: Any) -> Any:
    """Share of nitrate that the cadmium column turns into nitrite.

    Parameters
    ----------
    nitrate_signal, nitrite_signal
        Of two standards of equal nitrogen [signal].
    blank_signal
        Of the blank [signal].
    """
    return 100.0 * (nitrate_signal - blank_signal) / (nitrite_signal - blank_signal)


@equation(
    name="Nitrate less nitrite, nitrate standards",
    output=("nitrate_in_cup", _MG_L, ""),
    source="common-practice",
    mark="practice",
    units={"total": _MG_L, "nitrite": _MG_L, "efficiency": ""},
)
def nitrate_by_nitrate_standards(total: Any, nitrite: Any, efficiency: Any) -> Any:
    """Nitrate nitrogen when the curve was made with nitrate, so that nitrite reads too high.

    Parameters
    ----------
    total
        Reading through the column [mg/L NO3-N].
    nitrite
        Reading without the column [mg/L NO2-N].
    efficiency
        Of the column [fraction].
    """
    return total - nitrite / efficiency


@equation(
    name="Nitrate less nitrite, nitrite standards",
    output=("nitrate_in_cup", _MG_L, ""),
    source="common-practice",
    mark="practice",
    units={"total": _MG_L, "nitrite": _MG_L, "efficiency": ""},
)
def nitrate_by_nitrite_standards(total: Any, nitrite: Any, efficiency: Any) -> Any:
    """Nitrate nitrogen when the curve was made with nitrite.

    Parameters
    ----------
    total
        Reading through the column [mg/L NO2-N].
    nitrite
        Reading without the column [mg/L NO2-N].
    efficiency
        Of the column [fraction].
    """
    return (total - nitrite) / efficiency


@equation(
    name="Internal-standard ratio",
    output=("concentration", _MG_L, ""),
    source="epa-6010",
    mark="recalled_confirmed",
    units={"apparent": _MG_L, "reference_counts": "counts", "sample_counts": "counts"},
)
def internal_standard(apparent: Any, reference_counts: Any, sample_counts: Any) -> Any:
    """Concentration corrected for what the internal standard lost in this cup.

    Parameters
    ----------
    apparent
        As read [mg/L].
    reference_counts, sample_counts
        Internal standard in the calibration blank and in this cup [counts].
    """
    return apparent * reference_counts / sample_counts


@equation(
    name="Interelement correction",
    output=("concentration", _MG_L, ""),
    source="epa-6010",
    mark="recalled_confirmed",
    units={"concentration": _MG_L, "coefficient": "", "interferent": _MG_L},
)
def interelement(concentration: Any, coefficient: Any, interferent: Any) -> Any:
    """Concentration less what another element adds to the line; once for each such element.

    Parameters
    ----------
    concentration
        After the internal standard [mg/L].
    coefficient
        Apparent analyte per unit of the other element [fraction].
    interferent
        The other element [mg/L].
    """
    return concentration - coefficient * interferent


@equation(
    name="Milligrams per kilogram to percent",
    output=("percent", "%", "as given"),
    source="mass-balance",
    mark="definition",
    units={"mg_per_kg": "mg/kg"},
)
def to_percent(mg_per_kg: Any) -> Any:
    """The same mass fraction in percent.

    Parameters
    ----------
    mg_per_kg
        Mass fraction [mg/kg on any basis].
    """
    return mg_per_kg / 10_000.0
