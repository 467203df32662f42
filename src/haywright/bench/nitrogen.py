"""Equations of nitrogen: combustion, titration, protein and protein bound in fiber."""

from __future__ import annotations

from typing import Any

from haywright.measure.atoms import mass_share
from haywright.measure.register import equation


def theoretical_nitrogen(formula: str) -> float:
    """Nitrogen of a pure compound [% by mass], from its formula and the atomic masses.

    Parameters
    ----------
    formula
        Chemical formula, e.g. "C10H16N2O8".
    """
    return 100.0 * mass_share("N", formula)


@equation(
    name="Nitrogen per peak area",
    output=("n_per_area", "mg/area", ""),
    source="common-practice",
    mark="practice",
    units={"standard_mass": "mg", "standard_n": "% of the pure compound", "area": "area",
           "blank_area": "area"},
)  # fmt: skip
def nitrogen_per_area(standard_mass: Any, standard_n: Any, area: Any, blank_area: Any) -> Any:
    """Calibration factor from one portion of a pure compound.

    Parameters
    ----------
    standard_mass
        Compound weighed in [mg].
    standard_n
        Nitrogen of the compound [% by mass, certified purity included].
    area, blank_area
        Peak, and mean peak of the blanks [area].
    """
    return standard_mass * standard_n / 100.0 / (area - blank_area)


@equation(
    name="Drift since calibration",
    output=("drift", "", ""),
    source="common-practice",
    mark="practice",
    units={"standard_mass": "mg", "standard_n": "% of the pure compound", "area": "area",
           "blank_area": "area", "n_per_area": "mg/area"},
)  # fmt: skip
def drift_factor(
    standard_mass: Any, standard_n: Any, area: Any, blank_area: Any, n_per_area: Any
) -> Any:
    """Nitrogen weighed in over nitrogen found for the pure compound run again in the batch.

    Parameters
    ----------
    standard_mass
        Compound weighed in [mg].
    standard_n
        Nitrogen of the compound [% by mass].
    area, blank_area
        Peak, and mean peak of the blanks [area].
    n_per_area
        Calibration factor [mg N per area].
    """
    return standard_mass * standard_n / 100.0 / (n_per_area * (area - blank_area))


@equation(
    name="Nitrogen by combustion",
    output=("n", "%", "as analysed"),
    source="common-practice",
    mark="practice",
    units={"n_per_area": "mg/area", "drift": "", "area": "area", "blank_area": "area",
           "portion": "mg"},
)  # fmt: skip
def combustion_nitrogen(
    n_per_area: Any, drift: Any, area: Any, blank_area: Any, portion: Any
) -> Any:
    """Nitrogen of the powder from its peak.

    Parameters
    ----------
    n_per_area
        Calibration factor [mg N per area].
    drift
        Drift factor [fraction].
    area, blank_area
        Peak, and mean peak of the blanks [area].
    portion
        Powder weighed in [mg as analysed].
    """
    return 100.0 * n_per_area * drift * (area - blank_area) / portion


@equation(
    name="Nitrogen by titration (Kjeldahl, boric acid)",
    output=("n", "%", "as analysed"),
    source="clemson-dry-matter",
    mark="read",
    units={"titrant": "mL", "blank_titrant": "mL", "normality": "mol/L", "portion": "g"},
)
def kjeldahl_nitrogen(titrant: Any, blank_titrant: Any, normality: Any, portion: Any) -> Any:
    """Nitrogen of the powder from the acid that its ammonia took.

    Parameters
    ----------
    titrant, blank_titrant
        Acid used for the sample and for the blank [mL].
    normality
        Of the acid [mol/L].
    portion
        Powder weighed in [g as analysed].
    """
    return (titrant - blank_titrant) * normality * 1.4007 / portion


@equation(
    name="Crude protein",
    output=("cp", "%", "basis of the nitrogen"),
    source="uc-davis-methods",
    mark="read",
    units={"n": "%", "factor": ""},
)
def crude_protein(n: Any, factor: Any = 6.25) -> Any:
    """Protein that a nitrogen stands for.

    Parameters
    ----------
    n
        Nitrogen [% on any basis].
    factor
        Mass of protein per mass of nitrogen [fraction]; 6.25 unless another is asked for.
    """
    return n * factor


@equation(
    name="Protein bound in acid detergent fiber",
    output=("adicp", "%", "dry matter"),
    source="licitra-1996",
    mark="recalled_confirmed",
    units={"n_of_residue": "% of the residue", "factor": ""},
)
def bound_protein(adf: Any, n_of_residue: Any, factor: Any = 6.25) -> Any:
    """Protein left in the ADF residue.

    Parameters
    ----------
    adf
        ADF residue [% of dry matter].
    n_of_residue
        Nitrogen of the residue [% of the residue].
    factor
        Mass of protein per mass of nitrogen [fraction].
    """
    return adf * n_of_residue / 100.0 * factor
