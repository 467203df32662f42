"""What would settle a case too close to call: more cores, a second laboratory, or both.

With v' after the new bag (the laboratory's bias kept), e^2 = v^2 - v'^2, mu = ln x + v^2/2 and L
the edge: P = Phi((ln L - z v' - mu)/e) + 1 - Phi((ln L + z v' - mu)/e), integrated over c.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from haywright.bunk.hazards.nitrate.doubt import (
    Laboratory,
    Sampling,
    Spread,
    log_variances,
    spread_nodes,
)
from haywright.bunk.hazards.nitrate.rules import rules

MORE_CORES = (10, 20, 40)
HOPELESS = 0.1


@dataclass(frozen=True, slots=True)
class Settle:
    """One way to settle: further cores [count], whether by a second laboratory, the chance."""

    cores: int
    second_laboratory: bool
    chance: float


def settle_chance(
    x: float,
    edge: float,
    *,
    spread: Spread,
    now: tuple[Sampling, Laboratory],
    then: tuple[Sampling, Laboratory],
) -> float:
    """Chance that what is then known lies wholly on one side of an edge.

    Parameters
    ----------
    x, edge
        Result and edge [mg/kg NO3-N of DM].
    spread
        How much bales differ.
    now, then
        Sampling and laboratory of the result, and of all results together later.
    """
    from scipy.special import ndtr, ndtri

    c, weights = spread_nodes(spread.between, spread.df)
    v2, _ = log_variances(c, within=spread.within, sampling=now[0], laboratory=now[1].variance)
    later, _ = log_variances(c, within=spread.within, sampling=then[0], laboratory=then[1].variance)
    gain = np.sqrt(np.maximum(v2 - later, 0.0))
    z = ndtri(rules().bound)
    centre = math.log(x) + v2 / 2
    above = (math.log(edge) - z * np.sqrt(later) - centre) / np.maximum(gain, 1e-12)
    below = (math.log(edge) + z * np.sqrt(later) - centre) / np.maximum(gain, 1e-12)
    chance = np.where(gain > 0, ndtr(above) + 1 - ndtr(below), 0.0)
    return float(weights @ chance)


def ways_to_settle(
    x: float, edge: float, *, spread: Spread, sampling: Sampling, laboratory: Laboratory
) -> tuple[Settle, ...]:
    """The chance that 10, 20, 40 more cores, a second laboratory, or both would settle it.

    Parameters
    ----------
    x, edge
        Result and edge [mg/kg NO3-N of DM].
    spread, sampling, laboratory
        As the result was got.
    """
    now = (sampling, laboratory)
    another = replace(laboratory, analyses=laboratory.analyses + 1, laboratories=2)
    again = replace(laboratory, analyses=laboratory.analyses + 1)
    plans = [(more, False, again) for more in MORE_CORES]
    plans += [(0, True, another), (MORE_CORES[1], True, another)]
    return tuple(
        Settle(
            cores,
            second,
            settle_chance(
                x, edge, spread=spread, now=now, then=(_more(sampling, cores), laboratory_then)
            ),
        )
        for cores, second, laboratory_then in plans
    )


def _more(sampling: Sampling, cores: int) -> Sampling:
    """The sampling with further bales cored; in a small lot the rest of the bales, cored again."""
    if sampling.bales is None or sampling.cored + cores <= sampling.bales:
        return replace(sampling, cored=sampling.cored + cores)
    per_bale = sampling.cores_per_bale + (sampling.cored + cores - sampling.bales) // sampling.bales
    return replace(sampling, cored=sampling.bales, cores_per_bale=per_bale)
