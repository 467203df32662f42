"""What is known only of a finished plan: steps of held-back hay, sulfur where forage is little."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from haywright.bunk.hazards.nitrate.rules import rules
from haywright.bunk.hazards.nitrate.stepup import StepUp
from haywright.bunk.hazards.sulfur import tolerated
from haywright.bunk.ration.program import Floats
from haywright.bunk.winter.minerals import contents
from haywright.bunk.winter.question import WEEK

if TYPE_CHECKING:
    from haywright.bunk.winter.plan import Plan

STILL_FED = 1e-4  # kg a week and head: below this a lot is not being fed


def step_up_caps(first_week: int, weeks: int, share: float | Floats) -> Floats:
    """Most of the ration by week when a lot is first fed in a week [fraction], (T,).

    Each week holds to the step of its first day.

    Parameters
    ----------
    first_week
        First week fed, from 0 [count].
    weeks
        How many [count].
    share
        Full share, of all weeks or by week [fraction].
    """
    fed = np.maximum(np.arange(weeks) - first_week, 0)
    return np.asarray(share * np.array(_steps(weeks))[fed], dtype=np.float64)


@lru_cache(maxsize=8)
def _steps(weeks: int) -> tuple[float, ...]:
    """Most of a full share by week of feeding [fraction], (T,)."""
    r = rules()
    steps = StepUp(1.0, r.step_up_steps, r.step_up_days)
    return tuple(steps.on(WEEK * week + 1) for week in range(weeks))


def too_fast(plan: Plan) -> dict[tuple[str, str], Floats]:
    """Held-back lots fed faster than their steps, with the caps that would hold them."""
    found = {}
    for herd, held in zip(plan.question.herds, plan.model.herds, strict=True):
        eaten = plan.eaten(herd.name)
        total = np.maximum(eaten.sum(axis=1), 1e-9)
        for i, hay in enumerate(plan.question.hays):
            share = held.share[:, i]
            fed = eaten[:, i] > STILL_FED * max(held.head, 1.0)
            if (share[fed] >= 1).all():
                continue
            caps = _caps_of_runs(fed, share)
            if (eaten[:, i] / total > caps + 1e-6).any():
                found[herd.name, hay.name] = caps
    return found


def _caps_of_runs(fed: NDArray[np.bool_], share: Floats) -> Floats:
    """Caps by week where every run of fed weeks begins at the first step again.

    Weeks in which the whole ration may be of the lot are not stepped, and count as fed.
    """
    week = np.arange(len(fed))
    start = np.maximum.accumulate(np.where(fed, -1, week)) + 1  # the run that a fed week is in
    step = np.array(_steps(len(fed)))[np.where(fed, week - start, 0)]
    return np.where(share < 1, step * share, 1.0)


def low_forage(plan: Plan, known: Mapping[str, Floats]) -> dict[str, Floats]:
    """Most sulfur by week of herds that get too little forage for what was held [% of DM].

    Parameters
    ----------
    plan
        What was found.
    known
        Herd -> what was held already [% of DM].
    """
    feeds = plan.feeds
    content, forage = contents(feeds, "s"), np.array([one.forage for one in feeds])
    if np.isnan(content).any():
        return {}
    found = {}
    for herd, held in zip(plan.question.herds, plan.model.herds, strict=True):
        eaten = plan.per_head(herd.name)
        total = eaten.sum(axis=1)
        share = np.divide(eaten @ forage, total, out=np.ones_like(total), where=total > STILL_FED)
        most = np.array([tolerated(100.0 * one) for one in share])
        brought = eaten @ content + held.water_s
        most = np.minimum(most, known.get(herd.name, most))
        over = brought > most / 100.0 * np.maximum(total, STILL_FED) + 1e-6
        new = not np.array_equal(most, known.get(herd.name, ()))
        if new and over[total > STILL_FED].any():
            found[herd.name] = most
    return found
