"""Body condition as a store of energy: its bounds by week, its rate, and when none may be lost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from haywright.bunk.ration.program import Floats
from haywright.bunk.requirements.condition import body_energy, condition_energy
from haywright.bunk.winter.question import WEEK, Herd, WinterQuestion
from haywright.sources.tables import load_toml


@dataclass(frozen=True, slots=True)
class Store:
    """Body energy of one head as a store [Mcal]: now, its bounds by week, most change by week."""

    now: float
    least: Floats
    most: Floats
    rate: Floats
    hold: NDArray[np.bool_]


def reserves(herd: Herd, q: WinterQuestion) -> Store:
    """Body energy as a store.

    Between whole scores the energy of a score is not the same; kept as energy, the store is
    exactly linear, and a score is read back from it.
    """
    weeks, group, rules = q.weeks, herd.group, load_toml("winter_rules")["condition"]
    if not herd.reserves:
        zero, never = np.zeros(weeks + 1), np.zeros(weeks, dtype=bool)
        return Store(0.0, zero, zero, np.zeros(weeks), never)

    def energy(score: float) -> float:
        return float(body_energy(group.weight_at_5, score))

    days = np.array([(q.day(week) - (group.due or q.last)).days for week in range(weeks + 1)])
    least = np.full(weeks + 1, energy(herd.floor))
    if group.due is not None and herd.target is not None:
        within = np.flatnonzero((days >= 0) & (days < WEEK))
        least[within] = np.maximum(least[within], energy(herd.target))
    near = (days[:-1] >= -rules["hold_before"]) & (days[:-1] < rules["hold_after"])
    hold = near if group.due is not None else np.zeros_like(near)
    return Store(energy(group.condition), least, np.full(weeks + 1, energy(9.0)),
                 _rate(herd, hold), hold)  # fmt: skip


def _rate(herd: Herd, hold: NDArray[np.bool_]) -> Floats:
    """Most energy gained or lost by week that is never more than the score a stretch allows.

    A score holds the less energy the thinner the cow: each week is priced at the leanest she can
    be by then, so the rate holds wherever she really stands.
    """
    step = WEEK / float(load_toml("winter_rules")["condition"]["days_per_score"])
    leanest, found = herd.group.condition, []
    for kept in hold:
        if not kept:
            leanest = max(leanest - step, herd.floor)
        found.append(condition_energy(herd.group.weight_at_5, leanest, leanest + step))
    return np.array(found, dtype=np.float64)
