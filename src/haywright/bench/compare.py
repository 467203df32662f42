"""Two results or two laboratories compared, before anyone is called wrong."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from haywright.bench.precision import agreement_limit
from haywright.measure.estimate import Estimate, State, t_quantile
from haywright.measure.register import equation

_CONFIDENCE = 0.95


@equation(
    name="Critical difference between two laboratories",
    output=("critical_difference", "", "as the SDs"),
    source="iso-5725-6",
    mark="recalled",
    units={"s_r": "", "s_R": "", "n1": "", "n2": ""},
)
def critical_difference(s_r: Any, s_R: Any, n1: Any, n2: Any) -> Any:
    """Most that the means of two laboratories may differ in 95 of 100 cases.

    Parameters
    ----------
    s_r, s_R
        SD within and between laboratories [unit of the results].
    n1, n2
        Portions behind each mean [count].
    """
    r, R = agreement_limit(s_r), agreement_limit(s_R)
    return np.sqrt(R**2 - r**2 * (1.0 - 1.0 / (2.0 * n1) - 1.0 / (2.0 * n2)))


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two laboratories' means held against each other.

    Parameters
    ----------
    difference, allowed
        How far apart they are, and how far they may be [unit of the results].
    r, R
        Limits for two results of one laboratory and of two [unit of the results].
    """

    difference: float
    allowed: float
    r: float
    R: float

    @property
    def agree(self) -> bool:
        """Whether they agree."""
        return abs(self.difference) <= self.allowed


def laboratories(
    first: float, second: float, *, s_r: float, s_R: float, n1: int = 1, n2: int = 1
) -> Comparison:
    """Compare the means of two laboratories on one powder.

    Parameters
    ----------
    first, second
        Their means [one unit].
    s_r, s_R
        SD within and between laboratories [same unit].
    n1, n2
        Portions behind each mean [count].
    """
    allowed = float(critical_difference(s_r, s_R, n1, n2))
    limits = float(agreement_limit(s_r)), float(agreement_limit(s_R))
    return Comparison(first - second, allowed, *limits)


@dataclass(frozen=True, slots=True)
class Difference:
    """Two results of ours held against each other, what they share cancelled.

    Parameters
    ----------
    value, half_width
        Difference and the half-width of its 95 % interval [unit of the results].
    """

    value: float
    half_width: float

    @property
    def differ(self) -> bool:
        """Whether they differ by more than their doubt."""
        return abs(self.value) > self.half_width


def results(first: Estimate, second: Estimate) -> Difference | None:
    """Compare two results; doubt they share, such as one laboratory's bias, cancels.

    ``None`` when one of them is not an ordinary number.

    Parameters
    ----------
    first, second
        Two results [one unit].
    """
    if first.state is not State.MEASURED or second.state is not State.MEASURED:
        return None
    apart = first - second
    low, high = apart.interval()
    return Difference(apart.value, (high - low) / 2.0)


@dataclass(frozen=True, slots=True)
class PredictionBias:
    """Near-infrared predictions held against wet chemistry.

    Parameters
    ----------
    bias, limit
        Mean difference and the most that luck alone gives [unit of the results].
    sep
        SD of the differences: the error of prediction without bias.
    rmsep
        Error of prediction with bias.
    """

    bias: float
    limit: float
    sep: float
    rmsep: float

    @property
    def real(self) -> bool:
        """Whether the bias is more than luck."""
        return abs(self.bias) > self.limit


def prediction_bias(mean_difference: float, sd: float, n: int) -> PredictionBias:
    """Judge the bias of near-infrared predictions from pairs with wet chemistry (ISO 12099).

    Parameters
    ----------
    mean_difference, sd
        Mean and SD of predicted less measured [one unit].
    n
        Number of pairs [count].
    """
    limit = t_quantile((1.0 + _CONFIDENCE) / 2.0, n - 1) * sd / math.sqrt(n)
    rmsep = math.sqrt(mean_difference**2 + sd**2 * (n - 1) / n)
    return PredictionBias(mean_difference, limit, sd, rmsep)
