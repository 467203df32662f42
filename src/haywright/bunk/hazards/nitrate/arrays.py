"""Many decisions at once: thousands of bags in closed form, or one bag by drawing.

For seasons, maps and plans. One bag that is decided for somebody goes through ``decide``, which
integrates the uncertain spread and says why.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from haywright.bunk.hazards.nitrate.blend import share_at_target
from haywright.bunk.hazards.nitrate.closed import (
    bale_bound,
    log_variance,
    mean_bound,
    relative_variance,
)
from haywright.bunk.hazards.nitrate.doubt import Laboratory, Sampling, Spread
from haywright.bunk.hazards.nitrate.ladder import Ladder
from haywright.bunk.hazards.nitrate.rules import rules

Floats = NDArray[np.float64]
BINDS = ("guide", "average day", "bad bale")


@dataclass(frozen=True, slots=True)
class Decisions:
    """Decisions as columns; shares of ration dry matter, mixed.

    Parameters
    ----------
    share
        The smallest of the three [fraction].
    binds
        Which one that was: a number into :data:`BINDS`.
    too_close
        Whether the lower bound lies in a row that allows more.
    low, high
        One-sided bounds of the lot mean [mg/kg NO3-N of DM].
    bale, worst
        The bale held against the class's line, and against the line for all [mg/kg NO3-N of DM].
    """

    share: Floats
    binds: NDArray[np.int8]
    too_close: NDArray[np.bool_]
    low: Floats
    high: Floats
    bale: Floats
    worst: Floats


def decide_many(
    x: Floats,
    steps: Ladder,
    *,
    cored: Any,
    bales: Any,
    between: Any,
    rest: Any,
    water: Any,
    cores_per_bale: Any = 1,
    within: Any = None,
    u: Any = None,
) -> Decisions:
    """Decide many bags, each with a between-bale spread that is taken as known.

    Parameters
    ----------
    x
        Results, shape (bags,) [mg/kg NO3-N of DM].
    steps
        The guide for the animals.
    cored, bales, cores_per_bale
        How each bag was taken [count]; infinite ``bales`` where not counted.
    between, within, u
        Spread between and within bales, and of the laboratory [fraction]; the planning figures
        stand in for the last two.
    rest
        Nitrate of the rest of the ration at its upper bound [mg/kg NO3-N of DM].
    water
        Nitrate of the water spread over intake [mg/kg NO3-N of DM].

    Returns
    -------
    Decisions
        Columns of shape (bags,).
    """
    r = rules()
    within = r.within if within is None else within
    u = math.hypot(r.repeat, r.bias) if u is None else u
    v2 = log_variance(relative_variance(cored, bales, cores_per_bale, between, within, u))
    s2 = log_variance(np.square(between))
    high = mean_bound(x, v2, _z(r.bound))
    low = mean_bound(x, v2, -_z(r.bound))
    bale = bale_bound(x, v2, s2, _z(r.class_level))
    worst = bale_bound(x, v2, s2, _z(r.all_level))
    return _decisions(steps, (low, high, bale, worst), rest, water)


def decide_drawn(
    x: float,
    steps: Ladder,
    *,
    sampling: Sampling,
    spread: Spread,
    laboratory: Laboratory,
    rest: float,
    water: float,
    draws: int,
    rng: np.random.Generator,
) -> Decisions:
    """Decide one bag with its uncertain spread integrated by drawing.

    Parameters
    ----------
    x
        Result [mg/kg NO3-N of DM].
    steps
        The guide for the animals.
    sampling, spread, laboratory
        How the bag was taken, how bales differ, what the laboratory's number is worth.
    rest
        Nitrate of the rest of the ration at its upper bound [mg/kg NO3-N of DM].
    water
        Nitrate of the water spread over intake [mg/kg NO3-N of DM].
    draws
        How many [count].
    rng
        Generator.

    Returns
    -------
    Decisions
        Numbers of shape ().
    """
    r = rules()
    mean, bale = drawn_lot(
        x, sampling=sampling, spread=spread, laboratory=laboratory, draws=draws, rng=rng
    )
    low, high = np.quantile(mean, [1.0 - r.bound, r.bound], overwrite_input=True)
    bad, worst = np.quantile(bale, [r.class_level, r.all_level], overwrite_input=True)
    return _decisions(steps, (low, high, bad, worst), rest, water)


def drawn_lot(
    x: float,
    *,
    sampling: Sampling,
    spread: Spread,
    laboratory: Laboratory,
    draws: int,
    rng: np.random.Generator,
) -> tuple[Floats, Floats]:
    """Draws of the lot mean and of one bale of that lot.

    Parameters
    ----------
    x
        Result [mg/kg NO3-N of DM].
    sampling, spread, laboratory
        How the bag was taken, how bales differ, what the laboratory's number is worth.
    draws
        How many [count].
    rng
        Generator.

    Returns
    -------
    tuple
        Two arrays of shape (draws,) [mg/kg NO3-N of DM].
    """
    c2 = _drawn_c2(spread, draws, rng)
    n = sampling.cored
    fixed = spread.within**2 / (n * sampling.cores_per_bale) + laboratory.variance
    v2 = c2 * (sampling.left / n)
    v2 += fixed
    np.log1p(v2, out=v2)
    s2 = np.log1p(c2, out=c2)
    log_mean = rng.standard_normal(draws)
    log_mean *= np.sqrt(v2)
    v2 /= 2.0
    log_mean += v2
    log_bale = rng.standard_normal(draws)
    log_bale *= np.sqrt(s2)
    s2 /= 2.0
    log_bale -= s2
    log_bale += log_mean
    mean, bale = np.exp(log_mean, out=log_mean), np.exp(log_bale, out=log_bale)
    mean *= x
    bale *= x
    return mean, bale


def _drawn_c2(spread: Spread, draws: int, rng: np.random.Generator) -> Floats:
    if math.isinf(spread.df):
        return np.full(draws, spread.between**2)
    chi2 = rng.chisquare(spread.df, draws)
    c2 = np.divide(spread.df * spread.between**2, chi2, out=chi2)
    return np.minimum(c2, rules().most ** 2, out=c2)


def _decisions(
    steps: Ladder, levels: tuple[Any, Any, Any, Any], rest: Any, water: Any
) -> Decisions:
    low, high, bale, worst = levels
    guide = steps.share(high)
    day = share_at_target(high, rest, steps.target, water)
    bad = np.minimum(
        share_at_target(bale, rest, steps.line, water),
        share_at_target(worst, rest, steps.line_all, water),
    )
    share = np.minimum(guide, day)
    binds = np.less(day, guide).astype(np.int8)
    np.copyto(binds, 2, where=bad < share) if np.ndim(binds) else None
    if not np.ndim(binds):
        binds = np.int8(2) if bad < share else binds
    return Decisions(
        np.minimum(share, bad), binds, steps.share(low) > guide, low, high, bale, worst
    )


def _z(p: float) -> float:
    from scipy.special import ndtri

    return float(ndtri(p))
