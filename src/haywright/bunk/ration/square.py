"""Pearson's square, and exact answers for one, two and three feeds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from haywright.measure.errors import Refused
from haywright.measure.register import equation


@equation(
    name="What a feed brings",
    output=("supplied", "as the amount", ""),
    source="mass-balance",
    mark="definition",
    units={"amount": "", "share": "%"},
)
def supplied(amount: Any, share: Any) -> Any:
    """Amount x share / 100; amount [any mass], share [% of the same basis]."""
    return amount * share / 100.0


@equation(
    name="What is missing",
    output=("short", "as the need", ""),
    source="mass-balance",
    mark="definition",
    units={"need": "", "supply": ""},
)
def short_of(need: Any, supply: Any) -> Any:
    """Need - supply, never below 0; need [any unit], supply [the same]."""
    return np.maximum(need - supply, 0.0)


@equation(
    name="Feed that closes one gap",
    output=("feed", "as the gap", ""),
    source="afc-feeding-facts",
    mark="read",
    units={"short": "", "share": "%"},
)
def feed_for_gap(short: Any, share: Any) -> Any:
    """Short / (share / 100); short [any mass], share [%]. Of two gaps the larger amount governs."""
    return 100.0 * short / share


@equation(
    name="Feed to swap for another",
    output=("feed", "as the need", ""),
    source="gadberry-fsa3080",
    mark="recalled",
    units={"need": "", "supply": "", "share_new": "%", "share_old": "%"},
)
def feed_swapped(need: Any, supply: Any, share_new: Any, share_old: Any) -> Any:
    """(need - supply) / (new - old): amount of the new feed in the place of the old.

    Parameters
    ----------
    need, supply
        [any mass].
    share_new, share_old
        [% of dry matter].
    """
    return 100.0 * (need - supply) / (share_new - share_old)


@dataclass(frozen=True, slots=True)
class Square:
    """Two feeds mixed to a target.

    Parameters
    ----------
    parts_a, parts_b
        [parts].
    share_a, share_b
        [% of the mix, dry matter].
    """

    parts_a: float
    parts_b: float

    @property
    def share_a(self) -> float:
        """The first feed in the mix [%]."""
        return 100.0 * self.parts_a / (self.parts_a + self.parts_b)

    @property
    def share_b(self) -> float:
        """The second feed in the mix [%]."""
        return 100.0 * self.parts_b / (self.parts_a + self.parts_b)

    def amounts(self, total: float) -> tuple[float, float]:
        """Both feeds in a batch [the unit of ``total``]."""
        return total * self.share_a / 100.0, total * self.share_b / 100.0


def pearson(target: float, a: float, b: float) -> Square:
    """Pearson's square: two feeds mixed to a target; it gives proportions, not amounts.

    Parameters
    ----------
    target, a, b
        Wanted, and of the two feeds [one unit, on dry matter].

    Raises
    ------
    Refused
        The target does not lie between the two feeds, or the two are alike.
    """
    low, high = min(a, b), max(a, b)
    if not low <= target <= high or a == b:
        raise Refused("target", f"{target:g}", key="ration.square_outside", low=low, high=high)
    return Square(parts_a=abs(b - target), parts_b=abs(a - target))


def exact_mix(needs: Sequence[float], contents: Sequence[Sequence[float]]) -> tuple[float, ...]:
    """Amounts of as many feeds as there are needs that meet each exactly.

    Parameters
    ----------
    needs
        By nutrient [one unit each].
    contents
        By feed, the content of each nutrient [fraction of the feed].

    Raises
    ------
    Refused
        The feeds are alike, or an amount would be negative: no mix of just these meets them.
    """
    matrix = np.array(contents, dtype=float).T
    if matrix.shape != (len(needs), len(needs)):
        raise Refused("feeds", len(contents), key="ration.exact_count", needs=len(needs))
    if np.linalg.matrix_rank(matrix) < len(needs):
        raise Refused("feeds", len(contents), key="ration.exact_alike")
    amounts = np.linalg.solve(matrix, np.array(needs, dtype=float))
    if (amounts < 0).any():
        raise Refused("feeds", int(np.argmin(amounts)) + 1, key="ration.exact_negative")
    return tuple(float(one) for one in amounts)


def mix_to_total(total: float, target: float, a: float, b: float) -> tuple[float, float]:
    """Two feeds that fill a total at a target content.

    Parameters
    ----------
    total
        [any mass].
    target, a, b
        [% or any one unit].
    """
    return pearson(target, a, b).amounts(total)
