"""What changes along a run: a cup leaves a little in the next, and the instrument drifts."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from haywright.measure.register import equation


def carry_over(high: ArrayLike, low: ArrayLike) -> float:
    """Share of a high cup that is left in the next low one [fraction], from three of each.

    Parameters
    ----------
    high, low
        Readings of three high cups, then three low ones, in order [one unit].
    """
    a, b = np.asarray(high, dtype=float), np.asarray(low, dtype=float)
    return float((b[0] - b[2]) / (a[2] - b[2]))


@equation(
    name="Reading without carry-over",
    output=("reading", "", ""),
    source="broughton-1984",
    mark="recalled",
    units={"observed": "", "observed_before": "", "share": "fraction"},
)
def without_carry_over(observed: Any, observed_before: Any, share: Any) -> Any:
    """A reading with what the cup before left in it taken off.

    Parameters
    ----------
    observed, observed_before
        This reading and the one before it [one unit].
    share
        Carry-over [fraction].
    """
    return (observed - share * observed_before) / (1.0 - share)


@equation(
    name="Drift factor of one check",
    output=("drift", "", ""),
    source="common-practice",
    mark="practice",
    units={"nominal": "", "found": ""},
)
def drift_factor(nominal: Any, found: Any) -> Any:
    """What readings near a check must be multiplied by.

    Parameters
    ----------
    nominal, found
        What the check should read and what it read [one unit].
    """
    return nominal / found


@equation(
    name="Drift factor between two checks",
    output=("drift", "", ""),
    source="common-practice",
    mark="practice",
    units={"before": "", "after": "", "place": "", "place_before": "", "place_after": ""},
)
def drift_between(before: Any, after: Any, place: Any, place_before: Any, place_after: Any) -> Any:
    """Drift factor at a place in the run, on a straight line between the checks around it.

    Parameters
    ----------
    before, after
        Drift factors of the two checks [ratio].
    place, place_before, place_after
        Places in the run [count].
    """
    return before + (after - before) * (place - place_before) / (place_after - place_before)
