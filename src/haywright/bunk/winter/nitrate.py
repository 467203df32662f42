"""Most of a ration by nitrate, week by week: what is lost in storage concentrates what is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from haywright.bunk.hazards.nitrate.question import NitrateQuestion
from haywright.bunk.hazards.nitrate.verdict import decide
from haywright.bunk.ration.program import Floats
from haywright.measure.estimate import State
from haywright.measure.register import equation

_STEP = 4  # weeks judged at once, at the nitrate of the last of them


@equation(
    name="Nitrate after losses in storage",
    output=("nitrate_n", "mg/kg", "dry matter"),
    units={"lost": "fraction"},
    source="winter-plan-model",
    mark="derived",
)
def concentrated(nitrate_n: Any, lost: Any) -> Any:
    """Nitrate / (1 - lost): dry matter goes, nitrate stays.

    Parameters
    ----------
    nitrate_n
        When tested [mg/kg NO3-N of dry matter].
    lost
        Of the dry matter since then [fraction].
    """
    return nitrate_n / (1.0 - lost)


def lost_by_week(loss: Sequence[float]) -> Floats:
    """Lost of what stood on the first day, at the start of each week [fraction], (T,).

    Parameters
    ----------
    loss
        By week, lost of what stands [fraction].
    """
    kept = np.cumprod(1.0 - np.asarray(loss, dtype=np.float64))
    return np.asarray(1.0 - np.concatenate([[1.0], kept[:-1]]), dtype=np.float64)


def shares_by_week(q: NitrateQuestion, loss: Sequence[float]) -> tuple[float, ...]:
    """Most of the ration by week for the way the hay is fed [0 to 1], (T,).

    Judged anew every four weeks at the nitrate of the last of them. Nothing of a lot for which
    there is no share: not tested, withheld, held, screened or over what the guide allows.

    Parameters
    ----------
    q
        The lot, who eats it, how it is fed, with the rest of the ration and the water.
    loss
        By week, lost of what stands [fraction].
    """
    lost = lost_by_week(loss)
    found = np.zeros(len(lost))
    for first in range(0, len(lost), _STEP):
        weeks = slice(first, first + _STEP)
        found[weeks] = _share(q, float(lost[weeks][-1]))
    return tuple(float(one) for one in found)


def _share(q: NitrateQuestion, lost: float) -> float:
    if q.result is None:
        return 0.0 if q.must_test else 1.0
    # What is held or over range is not a number that could be carried on.
    carried = q.result.state not in (State.HELD, State.ABOVE)
    stands = replace(q, result=concentrated(q.result, lost)) if carried else q
    return float(decide(stands).share or 0.0)
