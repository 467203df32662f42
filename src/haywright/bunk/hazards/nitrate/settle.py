"""What would settle a case too close to call: more cores, a second laboratory, or both.

The chance of each is ``closed.settle_chance`` integrated over the uncertain spread; the bias of a
laboratory stays whatever is cored, and halves in variance with a second one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from haywright.bunk.hazards.nitrate.closed import settle_chance
from haywright.bunk.hazards.nitrate.doubt import (
    Laboratory,
    Sampling,
    Spread,
    log_variance_of_mean,
    spread_nodes,
)
from haywright.bunk.hazards.nitrate.rules import Rules, rules


@dataclass(frozen=True, slots=True)
class Settle:
    """One way to settle: further bales cored [count], by a second laboratory or not, the chance."""

    cores: int
    second_laboratory: bool
    chance: float

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "more_bales_cored": self.cores,
            "second_laboratory": self.second_laboratory,
            "chance": self.chance,
        }


@dataclass(frozen=True, slots=True)
class Known:
    """What a result rests on: spread between bales, sampling, laboratory."""

    spread: Spread
    sampling: Sampling
    laboratory: Laboratory

    def later(self, cores: int, *, second: bool) -> Known:
        """With one bag of further bales, or the same bag read by a second laboratory, or both."""
        lab = self.laboratory
        return replace(
            self,
            sampling=replace(self.sampling, cored=self.sampling.cored + cores),
            laboratory=replace(
                lab, analyses=lab.analyses + 1, laboratories=lab.laboratories + int(second)
            ),
        )


def chance_to_settle(x: float, edge: float, *, now: Known, then: Known, bound: float) -> float:
    """Chance that what is then known lies wholly on one side of an edge.

    Parameters
    ----------
    x, edge
        Result and edge [mg/kg NO3-N of DM].
    now, then
        What the result rests on, and what all results together will.
    bound
        Of the one-sided bounds [fraction].
    """
    from scipy.special import ndtri

    c, weights = spread_nodes(now.spread.between, now.spread.df)
    v2, later = (
        log_variance_of_mean(
            c, within=one.spread.within, sampling=one.sampling, laboratory=one.laboratory
        )
        for one in (now, then)
    )
    return float(weights @ settle_chance(x, edge, v2, later, float(ndtri(bound))))


def ways_to_settle(
    x: float,
    edge: float,
    *,
    spread: Spread,
    sampling: Sampling,
    laboratory: Laboratory,
    by: Rules | None = None,
) -> tuple[Settle, ...]:
    """The chance that 10, 20, 40 more bales, a second laboratory, or both would settle it.

    Never more bales than are left; what comes to the same is named once.

    Parameters
    ----------
    x, edge
        Result and edge [mg/kg NO3-N of DM].
    spread, sampling, laboratory
        As the result was got.
    by
        Rules; those of the table when left out.
    """
    r, now = by or rules(), Known(spread, sampling, laboratory)
    return tuple(
        Settle(
            cores,
            second,
            chance_to_settle(x, edge, now=now, then=now.later(cores, second=second), bound=r.bound),
        )
        for cores, second in dict.fromkeys(_plans(sampling, r))
    )


def _plans(sampling: Sampling, r: Rules) -> Iterator[tuple[int, bool]]:
    left = np.inf if sampling.bales is None else sampling.bales - sampling.cored
    counts = [int(min(more, left)) for more in r.more_cores]
    yield from ((more, False) for more in counts if more > 0)
    yield 0, True
    yield counts[len(counts) // 2], True


def what_stands_in_the_way(
    x: float,
    edge: float,
    *,
    spread: Spread,
    sampling: Sampling,
    laboratory: Laboratory,
    by: Rules | None = None,
) -> str:
    """What keeps a case from being settled by any number of cores: laboratory, edge, or nothing.

    Parameters
    ----------
    x, edge
        Result and edge [mg/kg NO3-N of DM].
    spread, sampling, laboratory
        As the result was got.
    by
        Rules; those of the table when left out.

    Returns
    -------
    str
        "" when cores may settle it; "laboratory" when only a second one would help as well;
        "edge" when the hay stands too near the edge for both.
    """
    r, now = by or rules(), Known(spread, sampling, laboratory)
    every = 1000 * sampling.cored if sampling.bales is None else sampling.bales - sampling.cored
    for second, name in ((False, ""), (True, "laboratory")):
        then = now.later(every, second=second)
        if chance_to_settle(x, edge, now=now, then=then, bound=r.bound) >= r.least_chance:
            return name
    return "edge"
