"""Robust mean and SD: Algorithm A, and Algorithm S for pooled SDs.

Both run until nothing moves any more; where one stops changes the answer by some percent.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from haywright.measure.errors import Refused
from haywright.sources.tables import load_toml

_STILL = 1e-6
_MOST_STEPS = 1000


@dataclass(frozen=True, slots=True)
class Robust:
    """A robust mean and SD.

    Parameters
    ----------
    mean, sd
        In the unit of the numbers.
    u
        Standard uncertainty of the mean.
    steps
        How many steps it took.
    """

    mean: float
    sd: float
    u: float
    steps: int


def algorithm_a_steps(values: Sequence[float]) -> Iterator[tuple[float, float]]:
    """Robust mean and SD after each step of Algorithm A (ISO 13528).

    Parameters
    ----------
    values
        Numbers [one unit].
    """
    x = np.asarray(values, dtype=float)
    if len(x) < 3:
        raise Refused("values", len(x), "3", key="bench.statistics.too_few")
    constants = load_toml("robust_constants")["value"]
    mean = float(np.median(x))
    sd = constants["mad_to_sd"] * float(np.median(np.abs(x - mean)))
    if sd == 0.0:
        # More than half the numbers are alike: their spread is read off the rest.
        sd = float(np.mean(np.abs(x - mean))) or float(x.std(ddof=1))
    while True:
        if sd == 0.0:
            yield mean, 0.0
            continue
        half = constants["clip"] * sd
        clipped = np.clip(x, mean - half, mean + half)
        mean = float(clipped.mean())
        sd = constants["clipped_to_sd"] * float(clipped.std(ddof=1))
        yield mean, sd


def algorithm_a(values: Sequence[float]) -> Robust:
    """Robust mean and SD by Algorithm A, until SD and mean change by less than 1 in a million.

    Parameters
    ----------
    values
        Numbers [one unit].
    """
    before = (math.nan, math.nan)
    for step, now in enumerate(algorithm_a_steps(values), 1):
        scale = now[1] or abs(now[0]) or 1.0
        moved = max(abs(now[0] - before[0]), abs(now[1] - before[1]))
        if moved <= _STILL * scale or step >= _MOST_STEPS:
            break
        before = now
    factor = load_toml("robust_constants")["value"]["u_of_mean"]
    return Robust(now[0], now[1], factor * now[1] / math.sqrt(len(values)), step)


def algorithm_s(sds: Sequence[float], df: float) -> float:
    """Pooled SD by Algorithm S (ISO 13528).

    Parameters
    ----------
    sds
        SDs, or ranges of duplicates over root 2 [one unit].
    df
        Degrees of freedom of each [count].
    """
    from scipy.special import chdtr, chdtri

    w = np.asarray(sds, dtype=float)
    eta = math.sqrt(float(chdtri(df, 0.1)) / df)
    inside = float(chdtr(df + 2, df * eta**2)) + 0.1 * eta**2
    pooled = float(np.median(w))
    for _ in range(_MOST_STEPS):
        clipped = np.minimum(w, eta * pooled)
        now = math.sqrt(float(np.mean(clipped**2)) / inside)
        if abs(now - pooled) <= _STILL * now:
            return now
        pooled = now
    return pooled
