"""Monte Carlo propagation through the same functions (JCGM 101:2008).

Each source of doubt is drawn once and shared by every estimate that leans on it; a source with
finite degrees of freedom is drawn from Student's t scaled by its standard uncertainty
(JCGM 101, 6.4.9.2). The generator is passed in.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from haywright.measure.estimate import Estimate, Source


def draw(
    estimates: Mapping[str, Estimate], n: int, rng: np.random.Generator
) -> dict[str, NDArray[np.float64]]:
    """Draw correlated samples of several estimates.

    Parameters
    ----------
    estimates
        Name -> measured Estimate.
    n
        Number of draws.
    rng
        Generator.

    Returns
    -------
    dict
        Name -> array of ``n`` draws, in the estimate's unit.
    """
    shared: dict[Source, NDArray[np.float64]] = {}
    for one in estimates.values():
        for source in one.parts:
            if source not in shared:
                finite = math.isfinite(source.df)
                shared[source] = rng.standard_t(source.df, n) if finite else rng.standard_normal(n)
    out = {}
    for name, one in estimates.items():
        total = np.full(n, one.value)
        for source, u in one.parts.items():
            total += u * shared[source]
        out[name] = total
    return out


def propagate(
    fn: Callable[..., Any], estimates: Mapping[str, Estimate], n: int, rng: np.random.Generator
) -> NDArray[np.float64]:
    """Draws of ``fn(**inputs)``; ``fn`` must work on arrays, as every equation does."""
    return np.asarray(fn(**draw(estimates, n, rng)), dtype=float)


def symmetric(draws: NDArray[np.float64], confidence: float = 0.95) -> tuple[float, float]:
    """Probabilistically symmetric coverage interval of the draws (JCGM 101, 7.7).

    Parameters
    ----------
    draws
        Draws [any unit].
    confidence
        Share of the draws inside [fraction].
    """
    low, high = np.quantile(draws, [(1 - confidence) / 2, (1 + confidence) / 2])
    return float(low), float(high)
