"""Equations of nitrogen: combustion, Kjeldahl, protein, protein bound in fiber."""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation


@equation(
    name="Nitrogen per area of the pure compound",
    output=("mg_n_per_area", "mg/area", ""),
    source="common-practice",
    mark="practice",
)
def mg_n_per_area(sample_mg: Any, compound_n: Any, area: Any, blank_area: Any) -> Any:
    """What one unit of area stands for, from one weighing of a pure compound.

    Parameters
    ----------
    sample_mg
        Pure compound weighed in [mg].
    compound_n
        Nitrogen of the compound by its formula, times its purity [%].
    area
        Area of its peak [area].
    blank_area
        Mean area of the blanks [area].
    """
    return sample_mg * compound_n / 100.0 / (area - blank_area)


@equation(
    name="Drift factor of a pure compound",
    output=("drift", "", ""),
    source="common-practice",
    mark="practice",
)
def drift(sample_mg: Any, compound_n: Any, mg_n_per_area: Any, area: Any, blank_area: Any) -> Any:
    """Nitrogen weighed in over nitrogen found, for a pure compound run among the samples.

    Parameters
    ----------
    sample_mg
        Pure compound weighed in [mg].
    compound_n
        Nitrogen of the compound [%].
    mg_n_per_area
        Calibration [mg nitrogen per area].
    area, blank_area
        Area of its peak, and mean area of the blanks [area].
    """
    return sample_mg * compound_n / 100.0 / (mg_n_per_area * (area - blank_area))


@equation(
    name="Nitrogen by combustion",
    output=("n_an", "%", "as analysed"),
    source="common-practice",
    mark="practice",
)
def by_combustion(
    area: Any, blank_area: Any, mg_n_per_area: Any, sample_mg: Any, drift: Any = 1.0
) -> Any:
    """Nitrogen of the powder burnt.

    Parameters
    ----------
    area, blank_area
        Area of the peak, and mean area of the blanks [area].
    mg_n_per_area
        Calibration [mg nitrogen per area].
    sample_mg
        Powder weighed in [mg as analysed].
    drift
        Drift factor at this place in the run [ratio].
    """
    return 100.0 * mg_n_per_area * drift * (area - blank_area) / sample_mg


@equation(
    name="Nitrogen by Kjeldahl, boric acid receiver",
    output=("n_an", "%", "as analysed"),
    source="clemson-nitrogen",
    mark="read",
)
def by_kjeldahl(acid_ml: Any, blank_acid_ml: Any, acid_normality: Any, sample_g: Any) -> Any:
    """Nitrogen from the acid that took up its ammonia.

    Parameters
    ----------
    acid_ml, blank_acid_ml
        Standard acid for the sample and for the blank [mL].
    acid_normality
        Normality of the acid [mol/L of acid strength].
    sample_g
        Powder digested [g as analysed].
    """
    # 1.4007: a tenth of the atomic mass of nitrogen; the page prints 1.401.
    return (acid_ml - blank_acid_ml) * acid_normality * 1.4007 / sample_g


@equation(
    name="Nitrogen by Kjeldahl, standard acid titrated back",
    output=("n_an", "%", "as analysed"),
    source="common-practice",
    mark="practice",
)
def by_kjeldahl_back(base_ml: Any, blank_base_ml: Any, base_normality: Any, sample_g: Any) -> Any:
    """Nitrogen from the base that the rest of a measured standard acid took.

    Sample and blank start from the same measured acid, so only the base differs.

    Parameters
    ----------
    base_ml, blank_base_ml
        Base taken back by sample and by blank [mL].
    base_normality
        Normality of the base [mol/L].
    sample_g
        Powder digested [g as analysed].
    """
    return (blank_base_ml - base_ml) * base_normality * 1.4007 / sample_g


@equation(
    name="Crude protein from nitrogen",
    output=("cp", "%", "dry matter"),
    source="protein-factor",
    mark="definition",
)
def crude_protein(n: Any, protein_factor: Any = 6.25) -> Any:
    """Crude protein, nitrogen times a factor by agreement.

    Parameters
    ----------
    n
        Nitrogen [% of dry matter].
    protein_factor
        Protein per nitrogen [ratio], 6.25 unless another was asked for.
    """
    return n * protein_factor


@equation(
    name="Protein bound in a fiber residue",
    output=("bound_protein", "%", "dry matter"),
    source="licitra-1996",
    mark="recalled",
)
def bound_protein(fiber: Any, residue_n: Any, protein_factor: Any = 6.25) -> Any:
    """Crude protein left in ADF or NDF.

    Parameters
    ----------
    fiber
        Fiber residue [% of dry matter].
    residue_n
        Nitrogen of that residue [% of the residue].
    protein_factor
        Protein per nitrogen [ratio].
    """
    return fiber * residue_n / 100.0 * protein_factor
