"""The forms for a known between-bale spread, declared once: numbers or arrays alike.

With result x of a bag of n of N bales, m cores each; c between-bale, w within-bale coefficient of
variation, u the laboratory's relative standard uncertainty with its bias:

    RSE^2 = (1 - n/N) c^2/n + w^2/(n m) + u^2        v^2 = ln(1 + RSE^2)      s^2 = ln(1 + c^2)
    lot mean: ln(mean) ~ N(ln x + v^2/2, v^2)
    one bale: ln(bale) ~ N(ln x + v^2/2 - s^2/2, s^2 + v^2)

An uncertain spread is a mixture of these over c.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation
from haywright.stack.error import sampling_variance

_SOURCE = "nitrate-spread"


@equation(
    name="Relative variance of a bag's result about the lot mean",
    output=("relative_variance", "", ""),
    source=_SOURCE,
    mark="derived",
    units={"cored": "", "bales": "", "cores_per_bale": "", "between": "", "within": "", "u": ""},
)
def relative_variance(
    cored: Any, bales: Any, cores_per_bale: Any, between: Any, within: Any, u: Any
) -> Any:
    """RSE^2 = (1 - n/N) c^2/n + w^2/(n m) + u^2.

    Parameters
    ----------
    cored, bales
        Bales cored and bales in the lot [count]; infinite where the lot was not counted.
    cores_per_bale
        Cores from each [count].
    between, within
        Coefficient of variation between bales, and between cores of one bale [fraction].
    u
        Relative standard uncertainty of the laboratory, bias included [fraction].
    """
    return sampling_variance(between, within, 0.0, 0.0, u, bales, cored, cores_per_bale, 1.0, 1.0)


@equation(
    name="Variance of the logarithm",
    output=("log_variance", "", ""),
    source=_SOURCE,
    mark="derived",
    units={"relative": ""},
)
def log_variance(relative: Any) -> Any:
    """ln(1 + CV^2): v^2 from RSE^2, s^2 from c^2; relative variance [fraction squared]."""
    return np.log1p(relative)


@equation(
    name="Bales truly mixed: relative variance between mixes",
    output=("relative_variance", "", ""),
    source=_SOURCE,
    mark="derived",
    units={"between": "", "mixed": "", "bales": ""},
)
def mixed_variance(between: Any, mixed: Any, bales: Any) -> Any:
    """c^2 (1 - k/N)/k for k bales ground together; c^2 for one bale.

    Parameters
    ----------
    between
        Coefficient of variation between bales [fraction].
    mixed
        Bales in one mix [count].
    bales
        Bales in the lot [count]; infinite where not counted.
    """
    of_mix = between**2 * (1.0 - mixed / bales) / mixed
    return np.where(np.asarray(mixed) > 1, of_mix, between**2)[()]


@equation(
    name="Bound of the lot mean",
    output=("nitrate_n", "mg/kg", "dry matter"),
    source=_SOURCE,
    mark="derived",
    units={"x": "mg/kg of dry matter", "v2": "", "z": ""},
)
def mean_bound(x: Any, v2: Any, z: Any) -> Any:
    """X exp(v^2/2 + z v).

    Parameters
    ----------
    x
        Result of the bag [mg/kg of dry matter, one form].
    v2
        Log variance of the mean [1].
    z
        Standard normal deviate of the bound [1]; negative for a lower one.
    """
    return x * np.exp(v2 / 2.0 + z * np.sqrt(v2))


@equation(
    name="A bale at a level of chance",
    output=("nitrate_n", "mg/kg", "dry matter"),
    source=_SOURCE,
    mark="derived",
    units={"x": "mg/kg of dry matter", "v2": "", "s2": "", "z": ""},
)
def bale_bound(x: Any, v2: Any, s2: Any, z: Any) -> Any:
    """X exp(v^2/2 - s^2/2 + z sqrt(s^2 + v^2)).

    Parameters
    ----------
    x
        Result of the bag [mg/kg of dry matter, one form].
    v2, s2
        Log variances of the mean and between bales [1].
    z
        Standard normal deviate [1].
    """
    return x * np.exp((v2 - s2) / 2.0 + z * np.sqrt(s2 + v2))


@equation(
    name="Chance that the lot mean is over a line",
    output=("chance", "fraction", ""),
    source=_SOURCE,
    mark="derived",
    units={"x": "mg/kg of dry matter", "v2": "", "line": "mg/kg of dry matter"},
)
def mean_over(x: Any, v2: Any, line: Any) -> Any:
    """1 - Phi((ln line - ln x - v^2/2) / v).

    Parameters
    ----------
    x, line
        Result and line [mg/kg of dry matter, one form].
    v2
        Log variance of the mean [1].
    """
    from scipy.special import ndtr

    return ndtr((np.log(x / line) + v2 / 2.0) / np.sqrt(v2))


@equation(
    name="Share of bales expected over a line",
    output=("chance", "fraction", ""),
    source=_SOURCE,
    mark="derived",
    units={"x": "mg/kg of dry matter", "v2": "", "s2": "", "line": "mg/kg of dry matter"},
)
def bale_over(x: Any, v2: Any, s2: Any, line: Any) -> Any:
    """1 - Phi((ln line - ln x - v^2/2 + s^2/2) / sqrt(s^2 + v^2)).

    Parameters
    ----------
    x, line
        Result and line [mg/kg of dry matter, one form].
    v2, s2
        Log variances of the mean and between bales [1].
    """
    from scipy.special import ndtr

    return ndtr((np.log(x / line) + (v2 - s2) / 2.0) / np.sqrt(s2 + v2))


@equation(
    name="Chance that more tests settle on which side of an edge a lot lies",
    output=("chance", "fraction", ""),
    source=_SOURCE,
    mark="derived",
    units={
        "x": "mg/kg of dry matter",
        "edge": "mg/kg of dry matter",
        "v2": "",
        "v2_later": "",
        "z": "",
    },
)
def settle_chance(x: Any, edge: Any, v2: Any, v2_later: Any, z: Any) -> Any:
    """Phi((ln L - z v' - mu)/e) + 1 - Phi((ln L + z v' - mu)/e), e^2 = v^2 - v'^2.

    Parameters
    ----------
    x, edge
        Result and edge [mg/kg of dry matter, one form].
    v2, v2_later
        Log variance of the mean now, and with the tests still to come [1].
    z
        Standard normal deviate of the one-sided bounds [1].
    """
    from scipy.special import ndtr

    gain = np.sqrt(np.maximum(v2 - v2_later, 0.0))
    some = np.where(gain > 0, gain, 1.0)
    to_edge, half = np.log(edge / x) - v2 / 2.0, z * np.sqrt(v2_later)
    chance = ndtr((to_edge - half) / some) + ndtr(-(to_edge + half) / some)
    return np.where(gain > 0, chance, 0.0)[()]
