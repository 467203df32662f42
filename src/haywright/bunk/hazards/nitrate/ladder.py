"""One guide for one kind of stock as steps: from which nitrate on which share holds.

More nitrate never allows more. A row that gives advice without a number leaves the share to the
average day and the bad bale, but allows no more than the row below it; in the highest of three or
more bands, and above the line for all, such a row gives no share at all on this program's word.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from haywright.bunk.hazards.nitrate.lookup import (
    HORSES,
    Says,
    checked_classes,
    edges,
    says,
    unrestricted_to,
)
from haywright.bunk.hazards.nitrate.rules import Rules, rules
from haywright.measure.errors import Refused
from haywright.sources.guides import Guide

Floats = NDArray[np.float64]
_DUST = 1e-12
_MANY_BANDS = 3


@dataclass(frozen=True, slots=True)
class Step:
    """What holds from a level on, up to the next step.

    Parameters
    ----------
    level
        Where it begins [mg/kg NO3-N of DM].
    says
        The guide's row there.
    most
        The most that it can allow [fraction of ration DM]; 1 where it gives no number.
    refused
        Whether the row gives no number and none is given on this program's word.
    """

    level: float
    says: Says
    most: float
    refused: bool = False

    @property
    def sameness(self) -> tuple[float, bool, bool, bool]:
        """Two steps that agree in this are one."""
        here = self.says
        return self.most, here.share is None, here.silent, self.refused


def steps_of(guide: Guide, classes: Iterable[str], by: Rules | None = None) -> tuple[Step, ...]:
    """The steps of a guide for the classes of an animal, rising; each changes what may be fed."""
    return _steps(guide, checked_classes(classes), by or rules())


@lru_cache(maxsize=512)
def _steps(guide: Guide, classes: tuple[str, ...], by: Rules) -> tuple[Step, ...]:
    bands = guide.bands
    top = guide.to_no3n(bands[-1]) if len(bands) >= _MANY_BANDS else np.inf
    levels = {guide.to_no3n(edge) for edge in bands} | {by.line_all}
    found: list[Step] = []
    most = 1.0
    for level in sorted(levels):
        here = says(guide, level * (1 + _DUST), classes)
        refused = here.share is None and not here.silent and level >= min(top, by.line_all)
        most = min(most, 0.0 if refused else 1.0 if here.share is None else here.share)
        step = Step(level, here, most, refused)
        if not found or step.sameness != found[-1].sameness:
            found.append(step)
    return tuple(found)


def step_at(guide: Guide, classes: Iterable[str], level: float, by: Rules | None = None) -> Step:
    """The step that a level [mg/kg NO3-N of DM] stands on; an edge belongs to the higher one."""
    steps = steps_of(guide, classes, by)
    return [one for one in steps if one.level <= level * (1 + _DUST)][-1]


def do_not_feed_from(guide: Guide, classes: Iterable[str]) -> float | None:
    """Level from which the guide prints do not feed [mg/kg NO3-N of DM]; None when it does not."""
    return next((level for level, here in edges(guide, classes) if here.share == 0), None)


def bale_line(guide: Guide, classes: Iterable[str], by: Rules | None = None) -> float:
    """What one bad bale is held against: the guide's do-not-feed edge for the class, else practice.

    For horses without one: where the guide stops giving a share.

    Returns
    -------
    float
        [mg/kg NO3-N of DM].
    """
    r, mine = by or rules(), checked_classes(classes)
    printed = do_not_feed_from(guide, mine)
    if printed is not None:
        return printed
    if set(HORSES) & set(mine):
        refused = [one.level for one in steps_of(guide, mine, r) if one.refused]
        return refused[0] if refused else r.line_others
    return r.line_pregnant if {"pregnant", "young", "stressed"} & set(mine) else r.line_others


def day_target(guide: Guide, classes: Iterable[str]) -> float | None:
    """What a whole day may hold: the guide's own target, else the top of its unrestricted band.

    Returns
    -------
    float
        [mg/kg NO3-N of DM].
    """
    return guide.target_no3n or unrestricted_to(guide, classes)


@dataclass(frozen=True, slots=True)
class Ladder:
    """Steps of a guide for a kind of stock, as arrays take them.

    Parameters
    ----------
    edges
        Rising levels at which the share changes [mg/kg NO3-N of DM].
    shares
        Share below the first edge, then from each edge on [fraction of ration DM].
    target
        What the whole day may hold [mg/kg NO3-N of DM].
    line
        What one bad bale is held against [mg/kg NO3-N of DM].
    line_all
        The line for all cattle, sheep and goats [mg/kg NO3-N of DM].
    """

    edges: tuple[float, ...]
    shares: tuple[float, ...]
    target: float
    line: float
    line_all: float

    def share(self, level: Floats) -> Floats:
        """The guide's share at each level [mg/kg NO3-N of DM]."""
        step = np.searchsorted(np.asarray(self.edges) * (1.0 - _DUST), level, side="right")
        return np.asarray(self.shares)[step]


def ladder(guide: Guide, classes: Iterable[str], by: Rules | None = None) -> Ladder:
    """The steps of a guide for the classes of an animal, for many decisions at once.

    Raises
    ------
    Refused
        Where the guide says nothing of these animals.
    """
    r, mine = by or rules(), checked_classes(classes)
    steps = steps_of(guide, mine, r)
    if any(one.says.silent for one in steps):
        raise Refused("guide", guide.id, key="bunk.nitrate.silent_guide")
    changes = [n for n in range(1, len(steps)) if steps[n].most != steps[n - 1].most]
    return Ladder(
        edges=tuple(steps[n].level for n in changes),
        shares=(steps[0].most, *(steps[n].most for n in changes)),
        target=day_target(guide, mine) or 0.0,
        line=bale_line(guide, mine, r),
        line_all=r.line_all,
    )
