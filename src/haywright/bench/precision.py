"""Precision within and between laboratories, and what is usual between them.

Sums of squares are taken about the mean in two passes, with exact summation.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from haywright.bench.scatter import horwitz
from haywright.measure.errors import Refused
from haywright.measure.register import equation

_LEAST_HORRAT, _MOST_HORRAT = 0.5, 2.0


@dataclass(frozen=True, slots=True)
class Summary:
    """Count, mean and standard deviation of some numbers."""

    n: int
    mean: float
    sd: float


def summary(values: Sequence[float]) -> Summary:
    """Mean and SD, in two passes.

    Parameters
    ----------
    values
        Numbers [one unit].

    Raises
    ------
    Refused
        Fewer than two numbers.
    """
    n = len(values)
    if n < 2:
        raise Refused("values", n, "2", key="bench.statistics.too_few")
    mean = math.fsum(values) / n
    off = [value - mean for value in values]
    # The second term takes off what rounding left in the mean.
    squares = math.fsum(d * d for d in off) - math.fsum(off) ** 2 / n
    return Summary(n, mean, math.sqrt(max(squares, 0.0) / (n - 1)))


@dataclass(frozen=True, slots=True)
class OneWay:
    """One-way analysis of variance."""

    ss_between: float
    ss_within: float
    df_between: int
    df_within: int
    f: float
    p: float
    residual_sd: float


def one_way(groups: Sequence[Sequence[float]]) -> OneWay:
    """One-way analysis of variance of groups of any size.

    Parameters
    ----------
    groups
        Numbers of each group [one unit].
    """
    from scipy.special import fdtrc

    n, k = sum(len(group) for group in groups), len(groups)
    if k < 2 or n <= k:
        raise Refused("groups", k, "2", key="bench.statistics.too_few")
    grand = math.fsum(v for group in groups for v in group) / n
    means = [math.fsum(group) / len(group) for group in groups]
    between = math.fsum(
        len(group) * (m - grand) ** 2 for group, m in zip(groups, means, strict=True)
    )
    within = math.fsum((v - m) ** 2 for group, m in zip(groups, means, strict=True) for v in group)
    ms_within = within / (n - k)
    f = between / (k - 1) / ms_within if ms_within > 0 else math.inf
    p = float(fdtrc(k - 1, n - k, f)) if math.isfinite(f) else 0.0
    return OneWay(between, within, k - 1, n - k, f, p, math.sqrt(ms_within))


@equation(
    name="Limit within which two results agree",
    output=("limit", "", "as the SD"),
    source="iso-5725-6",
    mark="recalled",
    units={"sd": ""},
)
def agreement_limit(sd: Any) -> Any:
    """Most that two results may differ in 95 of 100 cases: r from s_r, R from s_R.

    Parameters
    ----------
    sd
        SD within or between laboratories [unit of the results].
    """
    return 2.8 * sd


@dataclass(frozen=True, slots=True)
class Interlaboratory:
    """Precision of a method from several laboratories on one material.

    Parameters
    ----------
    mean
        Mean of the laboratories' means.
    s_xbar
        SD of those means.
    within, between, both
        SD within laboratories (s_r), between them (s_L), and of both together (s_R).
    h, k
        Mandel's statistics of each laboratory: how far its mean lies off, how its scatter compares.
    """

    mean: float
    s_xbar: float
    within: float
    between: float
    both: float
    h: tuple[float, ...]
    k: tuple[float, ...]

    @property
    def repeatability_limit(self) -> float:
        """Most that two results of one laboratory may differ, r [unit of the results]."""
        return float(agreement_limit(self.within))

    @property
    def reproducibility_limit(self) -> float:
        """Most that results of two laboratories may differ, R [unit of the results]."""
        return float(agreement_limit(self.both))


def interlaboratory(laboratories: ArrayLike) -> Interlaboratory:
    """Precision from a balanced study (ISO 5725-2): variance between laboratories never below 0.

    Parameters
    ----------
    laboratories
        Results, shape (laboratories, replicates) [one unit].
    """
    x = np.asarray(laboratories, dtype=float)
    if x.ndim != 2 or min(x.shape) < 2:
        raise Refused("laboratories", str(x.shape), "2 x 2", key="bench.statistics.too_few")
    n = x.shape[1]
    means, sds = x.mean(axis=1), x.std(axis=1, ddof=1)
    within = float(np.mean(sds**2))
    spread = float(means.std(ddof=1))
    between = max(0.0, spread**2 - within / n)
    s_r = math.sqrt(within)
    return Interlaboratory(
        mean=float(means.mean()),
        s_xbar=spread,
        within=s_r,
        between=math.sqrt(between),
        both=math.sqrt(within + between),
        h=tuple(map(float, (means - means.mean()) / spread)) if spread > 0 else (),
        k=tuple(map(float, sds / s_r)) if s_r > 0 else (),
    )


@equation(
    name="Found scatter over usual scatter between laboratories",
    output=("horrat", "", ""),
    source="horwitz-aoac-f",
    mark="read",
    units={"found_rsd": "%", "mass_fraction": "kg/kg"},
)
def horrat(found_rsd: Any, mass_fraction: Any) -> Any:
    """Horwitz ratio; not for moisture, ash and fiber, where it is information only.

    Parameters
    ----------
    found_rsd
        Relative SD between laboratories found [%].
    mass_fraction
        Level of the analyte [kg/kg].
    """
    return found_rsd / horwitz(mass_fraction)


def horrat_usual(ratio: float) -> bool:
    """Whether a Horwitz ratio [ratio] is as studies between laboratories usually give it."""
    return _LEAST_HORRAT <= ratio <= _MOST_HORRAT


@equation(
    name="Scatter between laboratories by Thompson",
    output=("sd_between", "kg/kg", ""),
    source="thompson-2000",
    mark="recalled",
    units={"mass_fraction": "kg/kg"},
)
def thompson(mass_fraction: Any) -> Any:
    """SD between laboratories that is usual at a level, flat at both ends.

    Parameters
    ----------
    mass_fraction
        Level of the analyte [kg/kg].
    """
    c = np.asarray(mass_fraction, dtype=float)
    middle = 0.02 * np.power(c, 0.8495)
    return np.where(c < 1.2e-7, 0.22 * c, np.where(c > 0.138, 0.01 * np.sqrt(c), middle))[()]


@dataclass(frozen=True, slots=True)
class Nested:
    """Scatter of analysis, sampling and targets from the duplicate method.

    All in the unit of the results; ``measurement`` is sampling and analysis together.
    """

    mean: float
    s_analysis: float
    s_sampling: float
    s_target: float

    @property
    def measurement(self) -> float:
        """SD of sampling and analysis together [unit of the results]."""
        return math.hypot(self.s_analysis, self.s_sampling)

    @property
    def total(self) -> float:
        """SD of all three together [unit of the results]."""
        return math.hypot(self.measurement, self.s_target)

    @property
    def expanded_pct(self) -> float:
        """Expanded uncertainty of a measurement, k = 2 [% of the mean]."""
        return 200.0 * self.measurement / self.mean


def duplicate_method(results: ArrayLike) -> Nested:
    """Nested analysis of variance: targets, two samples of each, two analyses of each sample.

    Parameters
    ----------
    results
        Shape (targets, 4): sample 1 twice, sample 2 twice [one unit].
    """
    x = np.asarray(results, dtype=float).reshape(-1, 2, 2)
    samples, targets = x.mean(axis=2), x.mean(axis=(1, 2))
    analysis = float(np.mean((x[:, :, 0] - x[:, :, 1]) ** 2) / 2.0)
    ms_sampling = float(np.mean((samples[:, 0] - samples[:, 1]) ** 2))
    ms_target = 4.0 * float(targets.var(ddof=1))
    sampling = max(0.0, (ms_sampling - analysis) / 2.0)
    between = max(0.0, (ms_target - ms_sampling) / 4.0)
    return Nested(float(x.mean()), *map(math.sqrt, (analysis, sampling, between)))


@equation(
    name="Uncertainty of a lot's result from cores, subsampling and laboratory",
    output=("u_lot", "", "as the SDs"),
    source="eurachem-sampling",
    mark="recalled",
    units={"s_core": "", "cores": "", "s_sub": "", "subsamples": "", "s_laboratory": ""},
)
def lot_uncertainty(s_core: Any, cores: Any, s_sub: Any, subsamples: Any, s_laboratory: Any) -> Any:
    """Standard uncertainty of one lot's result.

    Parameters
    ----------
    s_core, cores
        SD between cores [unit of the result], and how many.
    s_sub, subsamples
        SD of subsampling [unit of the result], and how many subsamples.
    s_laboratory
        SD between laboratories [unit of the result].
    """
    return np.sqrt(s_core**2 / cores + s_sub**2 / subsamples + s_laboratory**2)
