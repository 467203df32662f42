"""Proficiency: a laboratory's result beside an assigned value, and whether the packs were alike."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np

from haywright.bench.precision import summary
from haywright.measure.register import equation

_SHARE_OF_SIGMA = 0.3
_SATISFACTORY, _UNSATISFACTORY = 2.0, 3.0


class Score(StrEnum):
    """How a score is called."""

    SATISFACTORY = "satisfactory"
    QUESTIONABLE = "questionable"
    UNSATISFACTORY = "unsatisfactory"


@equation(
    name="z score",
    output=("z", "", ""),
    source="iso-13528",
    mark="recalled",
    units={"found": "", "assigned": "", "sigma": ""},
)
def z_score(found: Any, assigned: Any, sigma: Any) -> Any:
    """Distance from the assigned value in the scheme's SDs.

    Parameters
    ----------
    found, assigned, sigma
        Result, assigned value, the scheme's SD [one unit].
    """
    return (found - assigned) / sigma


@equation(
    name="z' score",
    output=("z_prime", "", ""),
    source="iso-13528",
    mark="recalled",
    units={"found": "", "assigned": "", "sigma": "", "u_assigned": ""},
)
def z_prime_score(found: Any, assigned: Any, sigma: Any, u_assigned: Any) -> Any:
    """The z score with the doubt of the assigned value; used where that is more than 0.3 of the SD.

    Parameters
    ----------
    found, assigned, sigma, u_assigned
        Result, assigned value, the scheme's SD, doubt of the assigned value [one unit].
    """
    return (found - assigned) / np.sqrt(sigma**2 + u_assigned**2)


@equation(
    name="zeta score",
    output=("zeta", "", ""),
    source="iso-13528",
    mark="recalled",
    units={"found": "", "assigned": "", "u_found": "", "u_assigned": ""},
)
def zeta_score(found: Any, assigned: Any, u_found: Any, u_assigned: Any) -> Any:
    """Distance from the assigned value in the doubts both claim.

    Parameters
    ----------
    found, assigned, u_found, u_assigned
        Result, assigned value and their standard uncertainties [one unit].
    """
    return (found - assigned) / np.sqrt(u_found**2 + u_assigned**2)


@equation(
    name="En number",
    output=("en", "", ""),
    source="iso-13528",
    mark="recalled",
    units={"found": "", "assigned": "", "expanded_found": "", "expanded_assigned": ""},
)
def en_number(found: Any, assigned: Any, expanded_found: Any, expanded_assigned: Any) -> Any:
    """Distance from the assigned value in the expanded uncertainties both claim.

    Parameters
    ----------
    found, assigned, expanded_found, expanded_assigned
        Result, assigned value and their expanded uncertainties [one unit].
    """
    return (found - assigned) / np.sqrt(expanded_found**2 + expanded_assigned**2)


def call(score: float) -> Score:
    """How a z, z' or zeta score [ratio] is called."""
    if abs(score) <= _SATISFACTORY:
        return Score.SATISFACTORY
    return Score.QUESTIONABLE if abs(score) < _UNSATISFACTORY else Score.UNSATISFACTORY


def call_en(number: float) -> Score:
    """How an En number [ratio] is called."""
    return Score.SATISFACTORY if abs(number) <= 1 else Score.UNSATISFACTORY


@dataclass(frozen=True, slots=True)
class Homogeneity:
    """Whether packs of a material are alike enough.

    Parameters
    ----------
    s_analysis, s_sample
        SD of analysis, and between packs [unit of the results].
    allowed
        Largest variance between packs that passes [unit squared].
    """

    s_analysis: float
    s_sample: float
    allowed: float

    @property
    def sufficient(self) -> bool:
        """Whether the packs pass."""
        return self.s_sample**2 <= self.allowed


def homogeneity_factors(packs: int) -> tuple[float, float]:
    """Factors F1 and F2 of the test for a number of packs [ratio] (Fearn and Thompson)."""
    from scipy.special import chdtri, fdtri

    m = packs
    return float(chdtri(m - 1, 0.05)) / (m - 1), (float(fdtri(m - 1, m, 0.95)) - 1.0) / 2.0


def homogeneity(pairs: Sequence[tuple[float, float]], sigma: float) -> Homogeneity:
    """Test for sufficient homogeneity on packs analysed twice.

    Parameters
    ----------
    pairs
        The two results of each pack, ten packs or more [one unit].
    sigma
        The scheme's SD [same unit].
    """
    m = len(pairs)
    analysis = math.fsum((a - b) ** 2 for a, b in pairs) / (2 * m)
    between = summary([a + b for a, b in pairs]).sd ** 2 / 2.0
    sample = max(0.0, (between - analysis) / 2.0)
    f1, f2 = homogeneity_factors(m)
    allowed = f1 * (_SHARE_OF_SIGMA * sigma) ** 2 + f2 * analysis
    return Homogeneity(math.sqrt(analysis), math.sqrt(sample), allowed)
