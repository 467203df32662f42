"""Tests for outliers: Grubbs, Dixon, Cochran. They mark; they never take a client's number away.

The tests can disagree on one data set, so a finding names its test, its alpha and its sides.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from haywright.bench.precision import summary
from haywright.measure.errors import Refused
from haywright.measure.estimate import t_quantile

Sides = Literal[1, 2]


@dataclass(frozen=True, slots=True)
class Suspect:
    """The number that lies farthest out, and how it fares in a test.

    Parameters
    ----------
    test
        Which test.
    value
        The number [its own unit].
    statistic, critical
        What the test gives and what it may be [ratio].
    alpha, sides
        Risk [fraction] and whether one end or both were looked at.
    """

    test: str
    value: float
    statistic: float
    critical: float
    alpha: float
    sides: Sides

    @property
    def outlying(self) -> bool:
        """Whether the test calls it an outlier."""
        return self.statistic > self.critical


def grubbs_critical(n: int, *, alpha: float, sides: Sides = 2) -> float:
    """Critical value of Grubbs' test for n numbers at a risk ``alpha`` [fraction]."""
    if n < 3:
        raise Refused("values", n, "3", key="bench.statistics.too_few")
    t = t_quantile(1 - alpha / (sides * n), n - 2)
    return (n - 1) / math.sqrt(n) * math.sqrt(t * t / (n - 2 + t * t))


def grubbs(values: Sequence[float], *, alpha: float, sides: Sides = 2) -> Suspect:
    """Grubbs' test of the number farthest from the mean.

    Parameters
    ----------
    values
        Numbers [one unit].
    alpha
        Risk of calling a good one bad [fraction].
    sides
        2 when either end may be out, 1 when only the one looked at.
    """
    critical = grubbs_critical(len(values), alpha=alpha, sides=sides)
    found = summary(values)
    farthest = max(values, key=lambda v: abs(v - found.mean))
    statistic = abs(farthest - found.mean) / found.sd if found.sd > 0 else 0.0
    return Suspect("Grubbs", farthest, statistic, critical, alpha, sides)


def _spans(n: int) -> tuple[int, int]:
    """Which ratio is used for n numbers: gap to the j-th neighbour over a range k short."""
    if n <= 7:
        return 1, 0
    return (1, 1) if n <= 10 else (2, 1) if n <= 13 else (2, 2)


def dixon_statistic(ordered: Sequence[float], spans: tuple[int, int]) -> float:
    """Dixon's ratio for the first of some ordered numbers [one unit], gap over range."""
    j, k = spans
    width = ordered[-1 - k] - ordered[0]
    return (ordered[j] - ordered[0]) / width if width != 0 else 0.0


@lru_cache(maxsize=1)
def _nodes() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Nodes and weights of Gauss and Legendre on -1 to 1."""
    nodes, weights = np.polynomial.legendre.leggauss(90)
    return nodes, weights


def dixon_exceeded(q: float, n: int, spans: tuple[int, int]) -> float:
    """Chance that Dixon's ratio of the lowest of n normal numbers exceeds q [ratio]."""
    from scipy.special import gammaln, ndtr

    j, k = spans
    nodes, weights = _nodes()
    x, w = 7.0 * nodes[:, None], 7.0 * (1.0 + nodes[None, :])
    low, top, second = ndtr(x), ndtr(x + w), ndtr(x + q * w)
    m = n - j - k - 2
    gap = np.clip(top - second, 0.0, None)
    inner = gap ** (m + 1) / (m + 1)
    if j == 2:
        inner = (top - low) * inner - gap ** (m + 2) / (m + 2)
    density = np.exp(-(x**2 + (x + w) ** 2) / 2.0) / (2.0 * math.pi)
    whole = density * inner * (1.0 - top) ** k
    factor = math.exp(gammaln(n + 1) - gammaln(j) - gammaln(m + 1) - gammaln(k + 1))
    return float(factor * 7.0 * 7.0 * (weights @ whole @ weights))


def dixon_critical(
    n: int, *, alpha: float, sides: Sides = 2, spans: tuple[int, int] | None = None
) -> float:
    """Critical value of Dixon's ratio for n numbers at a risk ``alpha`` [fraction]."""
    from scipy.optimize import brentq

    if n < 3:
        raise Refused("values", n, "3", key="bench.statistics.too_few")
    chosen = spans or _spans(n)
    tail = alpha / sides
    return float(brentq(lambda q: dixon_exceeded(q, n, chosen) - tail, 1e-6, 1.0 - 1e-9))


def dixon(
    values: Sequence[float],
    *,
    alpha: float,
    sides: Sides = 2,
    spans: tuple[int, int] | None = None,
) -> Suspect:
    """Dixon's test of the end with the larger gap.

    Parameters
    ----------
    values
        Numbers [one unit].
    alpha
        Risk of calling a good one bad [fraction].
    sides
        2 when either end may be out.
    spans
        Which ratio, as (neighbour, short of the range); by count when left out.
    """
    n = len(values)
    chosen = spans or _spans(n)
    up, down = sorted(values), sorted(values, reverse=True)
    low, high = dixon_statistic(up, chosen), dixon_statistic(down, chosen)
    suspect, statistic = (up[0], low) if low >= high else (down[0], high)
    critical = dixon_critical(n, alpha=alpha, sides=sides, spans=chosen)
    return Suspect(f"Dixon r{chosen[0]}{chosen[1]}", suspect, statistic, critical, alpha, sides)


def cochran_critical(laboratories: int, replicates: int, *, alpha: float) -> float:
    """Critical share of the largest variance among all of them, at a risk ``alpha`` [fraction]."""
    from scipy.special import fdtri

    p, n = laboratories, replicates
    f = float(fdtri(n - 1, (p - 1) * (n - 1), 1 - alpha / p))
    return f / (f + p - 1)


def cochran(sds: Sequence[float], replicates: int, *, alpha: float) -> Suspect:
    """Cochran's test of the largest scatter.

    Parameters
    ----------
    sds
        SD of each laboratory or group [one unit].
    replicates
        How many results each rests on [count].
    alpha
        Risk of calling a good one bad [fraction].
    """
    squares = [s * s for s in sds]
    total = math.fsum(squares)
    statistic = max(squares) / total if total > 0 else 0.0
    critical = cochran_critical(len(sds), replicates, alpha=alpha)
    return Suspect("Cochran", max(sds), statistic, critical, alpha, 1)
