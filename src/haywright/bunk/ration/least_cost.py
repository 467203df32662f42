"""The cheapest ration that keeps every limit, and what each limit costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from haywright.bunk.ration.feed import Diet, RationFeed
from haywright.bunk.ration.limits import Limit, of_feed
from haywright.bunk.ration.program import (
    AT_BOUND,
    FREE,
    Build,
    Floats,
    LinearProgram,
    Ranging,
    Solution,
    Solver,
    Status,
)
from haywright.measure.errors import Refused
from haywright.measure.message import Amount, Message, message


@dataclass(frozen=True, slots=True)
class Kept:
    """How one limit came out.

    Parameters
    ----------
    limit
        Which.
    found
        What the ration has [as the limit].
    worth
        How the cost a day changes when the bound is raised by one; 0 when it does not bind.
    low, high
        Bound between which ``worth`` stays the same.
    """

    limit: Limit
    found: float
    worth: float
    low: float
    high: float

    @property
    def binds(self) -> bool:
        """Whether the ration lies on the limit and it costs money."""
        return abs(self.worth) > AT_BOUND


@dataclass(frozen=True, slots=True)
class Priced:
    """How one feed came out.

    Parameters
    ----------
    feed
        Which.
    dry_matter
        [kg a day].
    price_low, price_high
        Between these prices its amount stays [money per kg as fed].
    enters_at
        The price at which a feed that is not used begins to pay [money per kg as fed]; ``None``
        for one that is used, or that would not be used even as a gift.
    """

    feed: RationFeed
    dry_matter: float
    price_low: float
    price_high: float
    enters_at: float | None

    @property
    def fed(self) -> float:
        """[kg as fed a day]."""
        return self.feed.fed(self.dry_matter)


@dataclass(frozen=True, slots=True)
class Ration:
    """The cheapest ration.

    Parameters
    ----------
    diet
        Feeds and amounts.
    feeds
        Each feed with its price range.
    limits
        Each limit with what it costs.
    program, solution
        What was solved, for whoever checks it.
    """

    diet: Diet
    feeds: tuple[Priced, ...]
    limits: tuple[Kept, ...]
    program: LinearProgram
    solution: Solution

    @property
    def cost(self) -> float:
        """Money a day."""
        return self.solution.objective

    def over(self, days: float) -> dict[str, float]:
        """Dry matter of each feed over a stretch of days [kg]; days [day]."""
        return {name: amount * days for name, amount in self.diet.amounts.items()}

    def cost_over(self, days: float) -> float:
        """Money over a stretch of days [money]; days [day]."""
        return self.cost * days

    def unknown(self) -> tuple[str, ...]:
        """Limits that a feed of unknown content stands behind."""
        return tuple(kept.limit.id for kept in self.limits if kept.limit.unknown)


class NoRation(Refused):
    """No mix of the feeds keeps the limits: which conflict, and what would mend it."""

    def __init__(self, conflict: Sequence[Limit], mends: Sequence[tuple[Limit, float]]) -> None:
        self.conflict = tuple(conflict)
        self.mends = tuple(mends)
        super().__init__(
            "feeds",
            None,
            key="ration.no_ration",
            conflict=tuple(one.says for one in conflict),
            mends=tuple(_mend(limit, by) for limit, by in mends),
        )

    def short(self) -> dict[str, float]:
        """Limit id -> how far the best mix stays below it [as the limit]."""
        return {limit.id: -by for limit, by in self.mends if by < 0}


def _mend(limit: Limit, by: float) -> Message:
    if limit.named is not None:
        return message("ration.mend_share", limit=limit.says, bound=limit.named)
    amount = Amount(abs(by), limit.unit)
    if by < 0:
        return message("ration.mend_short", limit=limit.says, by=amount)
    return message("ration.mend_over", limit=limit.says, by=amount)


@dataclass(frozen=True, slots=True)
class Gain:
    """Energy wanted for maintenance and for gain; each feed is split between the two.

    Parameters
    ----------
    nem, neg
        [Mcal a day].
    """

    nem: float
    neg: float


def build(
    feeds: Sequence[RationFeed], limits: Sequence[Limit], gain: Gain | None = None
) -> LinearProgram:
    """The program: one column per feed, one row per limit; with gain, a second part per feed."""
    made = Build()
    amounts = made.columns(len(feeds), cost=[one.cost for one in feeds])
    rows = made.rows(
        len(limits),
        lower=[-FREE if one.least is None else one.least for one in limits],
        upper=[FREE if one.most is None else one.most for one in limits],
    )
    if len(limits):
        made.add(rows[:, None], amounts[None, :], np.stack([one.coefficients for one in limits]))
    if gain is not None:
        _add_gain(made, feeds, amounts, gain)
    return made.program()


def _add_gain(made: Build, feeds: Sequence[RationFeed], amounts: Any, gain: Gain) -> None:
    nem = np.array([one.holds("nem") or 0.0 for one in feeds])
    neg = np.array([one.holds("neg") or 0.0 for one in feeds])
    for_gain = made.columns(len(feeds))
    within = made.rows(len(feeds), upper=0.0)
    made.add(within, for_gain, 1.0)
    made.add(within, amounts, -1.0)
    maintenance = made.rows(1, lower=gain.nem)
    made.add(maintenance, amounts, nem)
    made.add(maintenance, for_gain, -nem)
    growth = made.rows(1, lower=gain.neg)
    made.add(growth, for_gain, neg)


def least_cost(
    feeds: Sequence[RationFeed],
    limits: Sequence[Limit],
    *,
    gain: Gain | None = None,
    held: Sequence[str] = ("dry_matter", "room"),
) -> Ration:
    """The cheapest ration.

    Parameters
    ----------
    feeds
        What is offered; their own least and most are kept.
    limits
        What must be kept.
    gain
        Energy wanted for maintenance and gain, where stock are to grow.
    held
        Ids of limits that may not give way when no ration keeps them all: what stock can hold.

    Raises
    ------
    NoRation
        No mix keeps all limits; it names the smallest conflict and what each would have to give.
    Refused
        No feed is offered.
    """
    if not feeds:
        raise Refused("feeds", None, key="ration.no_feeds")
    own = [
        of_feed(one.name, feeds, least=one.least, most=one.most)
        for one in feeds
        if one.least is not None or one.most is not None
    ]
    every = [*limits, *own]
    program = build(feeds, every, gain)
    solver = Solver(program)
    found = solver.solve(ranging=True)
    if found.status is Status.INFEASIBLE:
        raise _conflict(solver, every, held, gain)
    return _ration(feeds, every, program, found)


def _conflict(
    solver: Solver, limits: Sequence[Limit], held: Sequence[str], gain: Gain | None
) -> NoRation:
    named = list(limits)
    if gain is not None:  # rows beyond the limits: the split, then maintenance, then gain
        energy = [
            Limit("nem", message("ration.maintenance_energy"), np.zeros(0), unit="Mcal"),
            Limit("neg", message("ration.gain_energy"), np.zeros(0), unit="Mcal"),
        ]
        split = solver.program.shape[0] - len(limits) - 2
        named += [Limit("", message("ration.room"), np.zeros(0))] * split + energy
    fixed = [one.id in held or one.id.startswith("feed:") or not one.id for one in named]
    conflict = [named[row] for row in solver.conflict() if named[row].id]
    by = solver.concessions(np.where(fixed, -1.0, 1.0))
    mends = [(named[n], float(one)) for n, one in enumerate(by) if abs(one) > AT_BOUND]
    return NoRation(conflict, mends)


def _ration(
    feeds: Sequence[RationFeed],
    limits: Sequence[Limit],
    program: LinearProgram,
    found: Solution,
) -> Ration:
    ranging = found.ranging
    assert ranging is not None  # noqa: S101 - asked for above
    x = np.where(np.abs(found.x) < AT_BOUND, 0.0, found.x)
    return Ration(
        diet=Diet(tuple(feeds), {one.name: float(x[n]) for n, one in enumerate(feeds)}),
        feeds=tuple(_priced(one, n, x, found, ranging) for n, one in enumerate(feeds)),
        limits=tuple(
            Kept(
                limit=one,
                found=float(found.activity[n]),
                worth=float(found.worth[n]),
                low=float(ranging.row_low[n]),
                high=float(ranging.row_high[n]),
            )
            for n, one in enumerate(limits)
        ),
        program=program,
        solution=found,
    )


def _priced(one: RationFeed, n: int, x: Floats, found: Solution, ranging: Ranging) -> Priced:
    def per_fed(cost: float) -> float:
        return cost * one.dm / 100.0

    used = x[n] > 0
    enters = per_fed(one.cost - float(found.reduced[n]))
    return Priced(
        feed=one,
        dry_matter=float(x[n]),
        price_low=per_fed(float(ranging.cost_low[n])),
        price_high=per_fed(float(ranging.cost_high[n])),
        enters_at=None if used or enters <= 0 else enters,
    )
