"""Hay lost in storage week by week, from what trials lost over months."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from haywright.sources.tables import load_toml
from haywright.stack.keeping import storage_loss

_NEAR, _FAR = 9.0, 18.0  # months: the two stretches that the printed trials speak of
_MOST_BY, _MOST = 3.0, 2 / 3  # of a stretch's loss this much is gone by this month


def weekly_losses(
    storage: str, baled: date, first: date, weeks: int, *, rain: float | None = None
) -> tuple[float, ...]:
    """Share lost of what stands, by week; most goes in the first months.

    Parameters
    ----------
    storage
        Way of keeping hay.
    baled
        When.
    first
        First day of the plan.
    weeks
        How many [count].
    rain
        Rain in a year [m].
    """
    month = float(load_toml("reproduction")["usual"]["month"])
    near = storage_loss(storage, _NEAR, rain=rain).middle / 100.0
    far = max(storage_loss(storage, _FAR, rain=rain).middle / 100.0, near)
    days = np.array([(first - baled + timedelta(days=7 * n)).days for n in range(weeks + 1)])
    ages = np.maximum(days / month, 0.0)
    lost = np.interp(ages, [0.0, _MOST_BY, _NEAR, _FAR], [0.0, _MOST * near, near, far])
    kept = 1.0 - lost
    return tuple(float(one) for one in 1.0 - kept[1:] / kept[:-1])
