"""One guide for one kind of stock as steps: from which nitrate on which share holds.

What arrays need, and what holds for every decision: more nitrate never allows more. A row that
gives advice without a number allows no more than the row below it; in the highest of three or
more bands, and above the line for all, it gives no share at all.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from haywright.bunk.hazards.nitrate.lookup import (
    checked_classes,
    do_not_feed_from,
    edges,
    highest_without_number,
    unrestricted_to,
)
from haywright.bunk.hazards.nitrate.rules import rules
from haywright.measure.errors import Refused
from haywright.sources.guides import Guide, guide

Floats = NDArray[np.float64]
# An edge belongs to the higher band; a level converted from another unit may fall short by dust.
_DUST = 1e-12


@dataclass(frozen=True, slots=True)
class Ladder:
    """Steps of a guide for a kind of stock.

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


def ladder(one: Guide, classes: Iterable[str]) -> Ladder:
    """The steps of a guide for the classes of an animal.

    Raises
    ------
    Refused
        Where the guide says nothing of these animals.
    """
    return _ladder(one.id, tuple(classes))


@lru_cache(maxsize=256)
def _ladder(guide_id: str, classes: tuple[str, ...]) -> Ladder:
    one, mine, r = guide(guide_id), checked_classes(classes), rules()
    levels, shares, least = [], [], 1.0
    for level, here in edges(one, mine):
        if here.silent:
            raise Refused("guide", one.id, key="bunk.nitrate.silent_guide")
        if here.share is None and (
            highest_without_number(one, level * (1 + _DUST)) or level >= r.line_all
        ):
            least = 0.0
        least = min(least, 1.0 if here.share is None else here.share)
        levels.append(level)
        shares.append(least)
    if shares[-1] > 0 and levels[-1] < r.line_all and _numberless(one, mine):
        levels.append(r.line_all)
        shares.append(0.0)
    kept = [n for n in range(1, len(shares)) if shares[n] != shares[n - 1]]
    tender = bool({"pregnant", "young", "stressed"} & set(mine))
    return Ladder(
        edges=tuple(levels[n] for n in kept),
        shares=(shares[0], *(shares[n] for n in kept)),
        target=one.target_no3n or unrestricted_to(one, mine) or 0.0,
        line=do_not_feed_from(one, mine) or (r.line_pregnant if tender else r.line_others),
        line_all=r.line_all,
    )


def _numberless(one: Guide, classes: tuple[str, ...]) -> bool:
    return edges(one, classes)[-1][1].share is None
