"""Equations of dissolved samples: from an amount per liter of extract or digest to the powder.

Each reading has its own dilution: a blank read undiluted is not multiplied by the sample's.
"""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation


@equation(
    name="Amount in the powder from extract or digest",
    output=("amount_an", "mg/kg", "as analysed"),
    source="mass-balance",
    mark="definition",
)
def of_powder(
    reading_mg_per_l: Any,
    dilution: Any,
    blank_mg_per_l: Any,
    blank_dilution: Any,
    volume_ml: Any,
    sample_g: Any,
) -> Any:
    """Amount per mass of powder: (DF c - DF_blank c_blank) V / m.

    Parameters
    ----------
    reading_mg_per_l
        Reading of the sample as read [mg/L].
    dilution
        How often the sample was diluted before that reading [ratio].
    blank_mg_per_l
        Reading of the method blank as read [mg/L].
    blank_dilution
        How often the blank was diluted before its reading [ratio].
    volume_ml
        Volume the portion was extracted in or made up to [mL].
    sample_g
        Portion weighed in [g as analysed].
    """
    left = dilution * reading_mg_per_l - blank_dilution * blank_mg_per_l
    return left * volume_ml / sample_g


@equation(
    name="Amount in the extract, less the blank",
    output=("extract_mg_per_l", "mg/L", ""),
    source="mass-balance",
    mark="definition",
)
def of_extract(
    reading_mg_per_l: Any, dilution: Any, blank_mg_per_l: Any, blank_dilution: Any
) -> Any:
    """Amount per liter of the undiluted extract, less the blank at its own dilution.

    Parameters
    ----------
    reading_mg_per_l, dilution
        Reading of the sample as read [mg/L], and its dilution [ratio].
    blank_mg_per_l, blank_dilution
        Reading of the method blank as read [mg/L], and its dilution [ratio].
    """
    return dilution * reading_mg_per_l - blank_dilution * blank_mg_per_l


@equation(
    name="Amount before dilution",
    output=("extract_mg_per_l", "mg/L", ""),
    source="mass-balance",
    mark="definition",
)
def undiluted(reading_mg_per_l: Any, dilution: Any) -> Any:
    """Amount per liter before a dilution.

    Parameters
    ----------
    reading_mg_per_l
        Reading as read [mg/L].
    dilution
        How often it was diluted before that reading [ratio].
    """
    return reading_mg_per_l * dilution


@equation(
    name="Percent from mg/kg",
    output=("percent_an", "%", "as analysed"),
    source="mass-balance",
    mark="definition",
)
def percent(amount_an: Any) -> Any:
    """The same amount in percent.

    Parameters
    ----------
    amount_an
        Amount in the powder [mg/kg as analysed].
    """
    return amount_an / 10_000.0


@equation(
    name="Internal standard recovered",
    output=("internal_standard_recovery", "%", ""),
    source="common-practice",
    mark="practice",
)
def internal_standard_recovery(internal_counts: Any, internal_reference_counts: Any) -> Any:
    """How much of the internal standard's signal a sample showed.

    Parameters
    ----------
    internal_counts, internal_reference_counts
        Signal of the internal standard in the sample and at calibration [counts].
    """
    return 100.0 * internal_counts / internal_reference_counts


@equation(
    name="Reading corrected by the internal standard",
    output=("reading_mg_per_l", "mg/L", ""),
    source="common-practice",
    mark="practice",
)
def by_internal_standard(
    apparent_mg_per_l: Any, internal_counts: Any, internal_reference_counts: Any
) -> Any:
    """An apparent reading, corrected for what the internal standard lost or gained.

    Parameters
    ----------
    apparent_mg_per_l
        Reading as the instrument gave it [mg/L].
    internal_counts, internal_reference_counts
        Signal of the internal standard in the sample and at calibration [counts].
    """
    return apparent_mg_per_l * internal_reference_counts / internal_counts


@equation(
    name="Reading less an interfering element",
    output=("reading_mg_per_l", "mg/L", ""),
    source="epa-6010",
    mark="recalled",
)
def less_interference(reading_mg_per_l: Any, interference: Any, interferent_mg_per_l: Any) -> Any:
    """A reading with what another element pretends taken off.

    Parameters
    ----------
    reading_mg_per_l
        Reading after the internal standard [mg/L].
    interference
        Apparent analyte per unit of the interfering element [ratio].
    interferent_mg_per_l
        The interfering element [mg/L].
    """
    return reading_mg_per_l - interference * interferent_mg_per_l


@equation(
    name="Efficiency of a cadmium column",
    output=("column_efficiency", "%", ""),
    source="epa-353-2",
    mark="recalled",
    units={"nitrate_signal": "", "nitrite_signal": "", "blank_signal": ""},
)
def column_efficiency(nitrate_signal: Any, nitrite_signal: Any, blank_signal: Any) -> Any:
    """Share of nitrate the column turns into nitrite.

    Parameters
    ----------
    nitrate_signal, nitrite_signal
        Signals of a nitrate and a nitrite standard of equal nitrogen [one unit].
    blank_signal
        Signal of the blank [same unit].
    """
    return 100.0 * (nitrate_signal - blank_signal) / (nitrite_signal - blank_signal)


@equation(
    name="Nitrate less nitrite, curve of nitrate standards",
    output=("reading_mg_per_l", "mg/L", ""),
    source="epa-353-2",
    mark="recalled",
)
def less_nitrite_by_nitrate_curve(
    total_mg_per_l: Any, nitrite_mg_per_l: Any, column_efficiency: Any
) -> Any:
    """Nitrate where the column's curve was made with nitrate: nitrite reads as nitrite / E there.

    Parameters
    ----------
    total_mg_per_l
        Reading through the column [mg N/L].
    nitrite_mg_per_l
        Nitrite, read without the column [mg N/L].
    column_efficiency
        Efficiency of the column [%].
    """
    return total_mg_per_l - nitrite_mg_per_l / (column_efficiency / 100.0)


@equation(
    name="Nitrate less nitrite, curve of nitrite standards",
    output=("reading_mg_per_l", "mg/L", ""),
    source="epa-353-2",
    mark="recalled",
)
def less_nitrite_by_nitrite_curve(
    total_mg_per_l: Any, nitrite_mg_per_l: Any, column_efficiency: Any
) -> Any:
    """Nitrate where the column's curve was made with nitrite.

    Parameters
    ----------
    total_mg_per_l
        Reading through the column [mg N/L].
    nitrite_mg_per_l
        Nitrite, read without the column [mg N/L].
    column_efficiency
        Efficiency of the column [%].
    """
    return (total_mg_per_l - nitrite_mg_per_l) / (column_efficiency / 100.0)
