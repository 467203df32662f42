"""Uncertainty from the laboratory's own history (top-down), and from certificates.

Top-down is used where there is history: scatter of the check sample between runs, and bias from
proficiency rounds, certified materials or recoveries.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from haywright.measure.register import equation


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value anywhere within a half-width [its own unit]."""
    return half_width / math.sqrt(3.0)


def triangular(half_width: float) -> float:
    """Standard uncertainty of a value more likely in the middle of a half-width [its own unit]."""
    return half_width / math.sqrt(6.0)


def arcsine(half_width: float) -> float:
    """Standard uncertainty of a value that swings between two ends [half-width, its own unit]."""
    return half_width / math.sqrt(2.0)


def combined(*contributions: float) -> float:
    """Root of the sum of squares of independent contributions [one unit]."""
    return math.sqrt(math.fsum(u * u for u in contributions))


def root_mean_square(biases: Sequence[float]) -> float:
    """Root mean square of several biases [one unit]."""
    return math.sqrt(math.fsum(b * b for b in biases) / len(biases))


@dataclass(frozen=True, slots=True)
class TopDown:
    """Uncertainty from history.

    Parameters
    ----------
    within
        Scatter between runs in the laboratory [unit of the result or %].
    bias
        Standard uncertainty of bias [same unit].
    """

    within: float
    bias: float

    @property
    def u(self) -> float:
        """Combined standard uncertainty [same unit]."""
        return combined(self.within, self.bias)

    @property
    def expanded(self) -> float:
        """Expanded uncertainty, k = 2 [same unit]."""
        return 2.0 * self.u


def from_chart(control_limit_2s: float, rms_bias: float, u_reference: float) -> TopDown:
    """Top-down from a control chart and proficiency rounds (Nordtest TR 537).

    Parameters
    ----------
    control_limit_2s
        Warning limit of the check sample's chart, two SDs [unit of the result or %].
    rms_bias
        Root mean square of the biases found in rounds [same unit].
    u_reference
        Standard uncertainty of the assigned values [same unit].
    """
    return TopDown(control_limit_2s / 2.0, combined(rms_bias, u_reference))


def from_one_material(
    within: float, bias: float, sd: float, n: int, *, u_reference: float
) -> TopDown:
    """Top-down with bias from one certified material.

    Parameters
    ----------
    within
        Scatter between runs [unit of the result].
    bias, sd
        Mean bias found and SD of its results [same unit].
    n
        How many results [count].
    u_reference
        Standard uncertainty of the certified value [same unit].
    """
    return TopDown(within, combined(bias, sd / math.sqrt(n), u_reference))


@dataclass(frozen=True, slots=True)
class RecoveryBias:
    """Bias from spike recoveries [% each]."""

    rms_bias: float
    u_volume: float
    u_recovery: float
    u_bias: float


def from_recoveries(
    recoveries: Sequence[float],
    *,
    u_concentration: float,
    volume_half_width: float,
    volume_repeatability: float,
) -> RecoveryBias:
    """Uncertainty of bias from spike recoveries (Nordtest TR 537).

    Parameters
    ----------
    recoveries
        Recoveries [%].
    u_concentration
        Standard uncertainty of the spike's strength [%].
    volume_half_width
        What the maker leaves open of the volume, rectangular [%].
    volume_repeatability
        SD of the volume given [%].
    """
    rms = root_mean_square([100.0 - one for one in recoveries])
    u_volume = combined(rectangular(volume_half_width), volume_repeatability)
    u_recovery = combined(u_concentration, u_volume)
    return RecoveryBias(rms, u_volume, u_recovery, combined(rms, u_recovery))


@equation(
    name="Strength of a standard made up from a pure substance",
    output=("standard_mg_per_l", "mg/L", ""),
    source="quam-2012",
    mark="read",
    units={"mass_mg": "mg", "purity": "fraction", "volume_ml": "mL"},
)
def standard_made_up(mass_mg: Any, purity: Any, volume_ml: Any) -> Any:
    """Strength of a standard weighed into a flask.

    Parameters
    ----------
    mass_mg
        Substance weighed in [mg].
    purity
        Its purity [fraction].
    volume_ml
        Volume of the flask [mL].
    """
    return 1000.0 * mass_mg * purity / volume_ml


@equation(
    name="Strength of a titrant from a weighed standard",
    output=("titrant_mol_per_l", "mol/L", ""),
    source="quam-2012",
    mark="read",
    units={"mass_g": "g", "purity": "fraction", "molar_mass": "g/mol", "titrant_ml": "mL",
           "repeatability": "ratio"},
)  # fmt: skip
def titrant_strength(
    mass_g: Any, purity: Any, molar_mass: Any, titrant_ml: Any, repeatability: Any = 1.0
) -> Any:
    """Strength of a titrant that a weighed standard used up.

    Parameters
    ----------
    mass_g
        Standard weighed in [g].
    purity
        Its purity [fraction].
    molar_mass
        Its molar mass [g/mol].
    titrant_ml
        Titrant used [mL].
    repeatability
        Factor 1 that carries the scatter of the whole titration [ratio].
    """
    return repeatability * 1000.0 * mass_g * purity / (molar_mass * titrant_ml)


@equation(
    name="Molar mass of potassium hydrogen phthalate",
    output=("molar_mass", "g/mol", ""),
    source="quam-2012",
    mark="read",
    units={"carbon": "g/mol", "hydrogen": "g/mol", "oxygen": "g/mol", "potassium": "g/mol"},
)
def phthalate_molar_mass(carbon: Any, hydrogen: Any, oxygen: Any, potassium: Any) -> Any:
    """Molar mass of C8H5O4K from its atoms.

    Parameters
    ----------
    carbon, hydrogen, oxygen, potassium
        Atomic masses [g/mol].
    """
    return 8.0 * carbon + 5.0 * hydrogen + 4.0 * oxygen + potassium


@equation(
    name="Uncertainty that grows with the level",
    output=("u", "", "as the level"),
    source="quam-2012",
    mark="recalled",
    units={"level": "", "constant": "", "proportional": "fraction"},
)
def u_at_level(level: Any, constant: Any, proportional: Any) -> Any:
    """Standard uncertainty with a constant and a proportional part.

    Parameters
    ----------
    level, constant
        Result and constant part [one unit].
    proportional
        Proportional part [fraction].
    """
    return np.sqrt(constant**2 + (proportional * level) ** 2)
