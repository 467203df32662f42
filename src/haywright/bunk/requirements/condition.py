"""Body condition of cows on the scale of 1 to 9: weight, fat, and the energy of a score."""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation

_CATTLE = ("cattle",)
_SCORES = {"condition": (1, 9)}


@equation(
    name="Weight at a condition score",
    output=("weight_share", "%", "weight at condition 5"),
    source="limousin-today-2018",
    mark="recalled_confirmed",
    species=_CATTLE,
    valid=_SCORES,
)
def weight_share(condition: Any) -> Any:
    """From 76.5 % at score 1 to 144.3 at 9, straight lines between; condition [score, 1 to 9]."""
    scores = np.arange(1.0, 10.0)
    shares = np.array([76.5, 81.3, 86.7, 92.9, 100.0, 108.3, 118.1, 129.9, 144.3])
    return np.interp(condition, scores, shares)


@equation(
    name="Fat of the empty body",
    output=("body_fat", "%", "empty body"),
    source="unl-condition-module",
    mark="read",
    species=_CATTLE,
    valid=_SCORES,
)
def body_fat(condition: Any) -> Any:
    """3.768 x score; condition [score, 1 to 9]."""
    return 3.768 * condition


@equation(
    name="Protein of the empty body",
    output=("body_protein", "%", "empty body"),
    source="limousin-today-2018",
    mark="recalled_confirmed",
    species=_CATTLE,
    valid=_SCORES,
)
def body_protein(condition: Any) -> Any:
    """20.09 - 0.668 x score; condition [score, 1 to 9]."""
    return 20.09 - 0.668 * condition


@equation(
    name="Energy held in a cow's body",
    output=("body_energy", "Mcal", ""),
    source="limousin-today-2018",
    mark="recalled_confirmed",
    species=_CATTLE,
    valid=_SCORES,
)
def body_energy(weight_at_5: Any, condition: Any) -> Any:
    """9.4 Mcal per kg of fat and 5.7 per kg of protein in an empty body of 0.851 of the weight.

    Parameters
    ----------
    weight_at_5
        Weight at condition 5 [kg].
    condition
        [score, 1 to 9].
    """
    empty = 0.851 * weight_at_5 * weight_share(condition) / 100.0
    return empty * (9.4 * body_fat(condition) + 5.7 * body_protein(condition)) / 100.0


@equation(
    name="Net energy between two condition scores",
    output=("condition_energy", "Mcal", ""),
    source="limousin-today-2018",
    mark="recalled_confirmed",
    species=_CATTLE,
)
def condition_energy(weight_at_5: Any, condition_from: Any, condition_to: Any) -> Any:
    """Energy of the body at one score less that at the other; reproduces 21 printed values.

    Parameters
    ----------
    weight_at_5
        Weight at condition 5 [kg].
    condition_from, condition_to
        [score, 1 to 9].
    """
    return body_energy(weight_at_5, condition_to) - body_energy(weight_at_5, condition_from)


@equation(
    name="Days for a change of condition",
    output=("condition_days", "day", ""),
    source="unl-condition-module",
    mark="read",
    species=_CATTLE,
    units={"feed_ne": "Mcal/kg of dry matter"},
)
def condition_days(condition_energy: Any, extra_feed: Any, feed_ne: Any) -> Any:
    """Energy / (extra feed x its net energy).

    Nebraska charges the gain one for one at NEm; at NEg it takes 1.4 to 2 times the feed and
    promises less.

    Parameters
    ----------
    condition_energy
        [Mcal].
    extra_feed
        Above what keeps her as she is [kg/day].
    feed_ne
        NEm or NEg of the feed [Mcal/kg].
    """
    return condition_energy / (extra_feed * feed_ne)


@equation(
    name="Weight at another condition, fixed weight per score",
    output=("weight", "kg", ""),
    source="unl-condition-module",
    mark="read",
    species=_CATTLE,
)
def weight_at_condition(
    weight: Any, condition_from: Any, condition_to: Any, per_score: Any = 34.0
) -> Any:
    """Weight + scores x weight per score; 75 lb (34 kg) in Nebraska, 75 to 100 elsewhere.

    Parameters
    ----------
    weight
        Now [kg].
    condition_from, condition_to
        [score, 1 to 9].
    per_score
        [kg per score].
    """
    return weight + (condition_to - condition_from) * per_score


@equation(
    name="Feed energy that a Mcal of lost condition replaces",
    output=("condition_energy", "Mcal", ""),
    source="common-practice",
    mark="practice",
    species=_CATTLE,
)
def condition_released(condition_energy: Any) -> Any:
    """0.8 x the energy of the tissue, used at less than full worth; condition_energy [Mcal]."""
    return 0.8 * condition_energy
