"""Planning for nitrate: the bale that is missed, and how well a bag knows the mean.

For planning only. A verdict on feed uses the form of the logarithm, with the spread itself
uncertain; the normal bounds here are passed more often than they say when the spread is wide.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from haywright.measure.errors import Refused
from haywright.measure.register import equation
from haywright.stack.error import sampling_variance


@equation(
    name="Relative standard error of a bag's nitrate",
    output=("relative_se", "", ""),
    source="sampling-plan-model",
    mark="derived",
    units={"between_cv": "", "within_cv": "", "laboratory_u": ""},
)
def relative_se(
    between_cv: Any,
    within_cv: Any,
    laboratory_u: Any,
    lot_bales: Any,
    bales_cored: Any,
    cores_per_bale: Any,
) -> Any:
    """sqrt((1-n/N) c^2/n + w^2/(nm) + u^2).

    Parameters
    ----------
    between_cv, within_cv
        Between bales and within a bale [share of the mean].
    laboratory_u
        The laboratory's whole relative uncertainty, bias with it [share of the value].
    lot_bales, bales_cored, cores_per_bale
        N, n, m [counts].
    """
    return np.sqrt(
        sampling_variance(
            between_cv, within_cv, 0.0, laboratory_u, 0.0, lot_bales, bales_cored, cores_per_bale,
            1.0, 1.0,
        )
    )  # fmt: skip


@equation(
    name="Upper bound of the lot mean, for planning = x (1 + z RSE)",
    output=("upper_bound", "mg/kg", "as reported"),
    source="normal-distribution",
    mark="derived",
)
def planning_upper_bound(composite: Any, relative_se: Any, spread_multiplier: Any) -> Any:
    """Not for a verdict.

    Parameters
    ----------
    composite
        Result of the bag [mg/kg, one chemical form].
    relative_se
        Relative standard error [share of the value].
    spread_multiplier
        One-sided normal standard errors [count].
    """
    return composite * (1.0 + spread_multiplier * relative_se)


@equation(
    name="Chance that the lot mean is over a limit, for planning",
    output=("chance", "", ""),
    source="normal-distribution",
    mark="derived",
)
def planning_chance_over(composite: Any, relative_se: Any, limit_value: Any) -> Any:
    """1 - Phi((T - x)/(RSE x)); not for a verdict.

    Parameters
    ----------
    composite, limit_value
        Result of the bag and the limit [mg/kg, one chemical form].
    relative_se
        Relative standard error [share of the value].
    """
    from scipy.special import ndtr

    return 1.0 - ndtr((limit_value - composite) / (relative_se * composite))


@equation(
    name="Share of bales over a limit, bales lognormal",
    output=("chance", "", ""),
    source="normal-distribution",
    mark="derived",
    units={"mean_value": "mg/kg"},
)
def share_of_bales_over(mean_value: Any, relative_spread: Any, limit_value: Any) -> Any:
    """1 - Phi((ln T - mu)/s) with s^2 = ln(1 + c^2) and mu = ln(mean) - s^2/2.

    Parameters
    ----------
    mean_value, limit_value
        Mean of the lot and the limit [mg/kg, one chemical form].
    relative_spread
        Spread between bales [share of the mean].
    """
    from scipy.special import ndtr

    s = np.sqrt(np.log1p(relative_spread**2))
    mu = np.log(mean_value) - s**2 / 2
    return 1.0 - ndtr((np.log(limit_value) - mu) / s)


@equation(
    name="Spread over mean of a lognormal = sqrt(exp(s^2) - 1)",
    output=("relative_spread", "", ""),
    source="normal-distribution",
    mark="definition",
)
def relative_spread_of_log(log_spread: Any) -> Any:
    """From log_spread [standard deviation of the natural logarithms]."""
    return np.sqrt(np.expm1(log_spread**2))


def chance_missed(lot_bales: int, high_bales: int, bales_cored: int) -> float:
    """Chance that none of the high bales is among those cored: C(N-K, n)/C(N, n).

    Being cored is not being seen: one high bale of n is diluted n times in a bag.

    Parameters
    ----------
    lot_bales, high_bales, bales_cored
        N, K, n [counts].
    """
    if not 0 <= high_bales <= lot_bales:
        raise Refused("high_bales", high_bales, key="stack.more_than_lot", bales=lot_bales)
    if not 0 <= bales_cored <= lot_bales:
        raise Refused("bales_cored", bales_cored, key="stack.more_than_lot", bales=lot_bales)
    return math.comb(lot_bales - high_bales, bales_cored) / math.comb(lot_bales, bales_cored)


def bales_to_hit(lot_bales: int, high_bales: int, chance: float) -> int:
    """Fewest bales that core at least one of the high ones with a chance.

    Parameters
    ----------
    lot_bales, high_bales
        N and K [counts].
    chance
        Chance wanted [fraction].
    """
    if high_bales < 1:
        raise Refused("high_bales", high_bales, key="stack.count_least")
    if not 0 < chance < 1:
        raise Refused("chance", chance, key="stack.confidence")
    low, high = 1, lot_bales
    while low < high:
        middle = (low + high) // 2
        if 1 - chance_missed(lot_bales, high_bales, middle) >= chance:
            high = middle
        else:
            low = middle + 1
    return low
