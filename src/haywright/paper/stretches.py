"""A plan's weeks in stretches in which a group is fed alike, for the card in the shed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from haywright.bunk.ration.program import Floats
from haywright.bunk.winter.feeding_out import bales_of, hay_put_out
from haywright.bunk.winter.plan import Plan, step_up_caps
from haywright.bunk.winter.question import WEEK, Hay, Herd
from haywright.gate.need import mass_from_dry_matter

_SEEN = 0.05  # kg of dry matter a head and day: less is not put on a card
_ALIKE = 0.1  # of an amount, or
_ALIKE_HAY, _ALIKE_FEED = 0.5, 0.15  # kg of dry matter a head and day: fed alike


@dataclass(frozen=True, slots=True)
class Portion:
    """One feed in one stretch, the mean of its weeks.

    Parameters
    ----------
    name
        Of the lot or feed.
    each
        Eaten by one [kg as it stands a day].
    out
        Put out for the group, with what is wasted [kg as it stands a day].
    bales
        Put out for the group [count a day]; ``None`` for what does not come in bales.
    bale
        Weight of one [kg as it stands]; ``None`` likewise.
    share
        Most of the ration in the week that allows least [0 to 1].
    most
        The same for one head, all steps done [kg as it stands a day].
    part
        Of the ration it is, the most of any week [0 to 1 of dry matter].
    since
        For a held-back lot, the day its feeding, and so its steps, began.
    """

    name: str
    each: float
    out: float
    bales: float | None
    bale: float | None
    share: float
    most: float
    part: float
    since: date | None = None

    @property
    def held_back(self) -> bool:
        """Whether it may be no more than a share of the feed."""
        return self.share < 1


@dataclass(frozen=True, slots=True)
class Stretch:
    """Weeks in which a group is fed alike.

    Parameters
    ----------
    herd
        Which.
    head
        Animals [count].
    weeks
        From the first week to the one after the last, counted from 0.
    first, last
        Days, both fed.
    portions
        Of each feed, the largest first.
    stepping
        Whether a held-back lot is still on its steps here.
    """

    herd: str
    head: float
    weeks: tuple[int, int]
    first: date
    last: date
    portions: tuple[Portion, ...]
    stepping: bool = False

    @property
    def days(self) -> int:
        """How many [count]."""
        return (self.last - self.first).days + 1

    @property
    def held_back(self) -> tuple[Portion, ...]:
        """Portions of held-back lots."""
        return tuple(one for one in self.portions if one.held_back)


def stretches(plan: Plan, herd: Herd) -> tuple[Stretch, ...]:
    """A herd's winter in stretches, in order of days.

    A week is like the one before it when no feed differs by more than a tenth, or by more than
    anybody weighs, from the stretch's first week; a held-back lot keeps its steps apart.
    """
    per_head = plan.per_head(herd.name)
    steps = _steps(plan, herd)
    starts = [0]
    for week in range(1, plan.question.weeks):
        first = starts[-1]
        same_step = (steps[week] == steps[first]).all()
        near = _alike(plan, per_head[first], per_head[week])
        if not same_step or not near:
            starts.append(week)
    ends = [*starts[1:], plan.question.weeks]
    return tuple(
        _stretch(plan, herd, first, end, stepping=_stepping(steps, first))
        for first, end in zip(starts, ends, strict=True)
    )


def _alike(plan: Plan, one: Floats, other: Floats) -> bool:
    hays = len(plan.question.hays)
    bands = np.where(np.arange(len(one)) < hays, _ALIKE_HAY, _ALIKE_FEED)
    return bool((np.abs(one - other) <= np.maximum(bands, _ALIKE * one)).all())


def _steps(plan: Plan, herd: Herd) -> Floats:
    """Part of its share that each held-back lot is on by week, 0 where it is not fed, (T, I)."""
    q = plan.question
    eaten = plan.per_head(herd.name)
    found = np.zeros((q.weeks, len(q.hays)))
    for i, hay in enumerate(q.hays):
        share, start = _shares(plan, herd, hay), -1
        for week in range(q.weeks):
            if eaten[week, i] <= _SEEN:
                start = -1
                continue
            start = week if start < 0 else start
            if share[week] < 1:
                found[week, i] = step_up_caps(start, q.weeks, 1.0)[week]
    return found


def _stepping(steps: Floats, week: int) -> bool:
    """Whether a held-back lot has not come to its last step."""
    return bool(((steps[week] > 0) & (steps[week] < 1)).any())


def _stretch(plan: Plan, herd: Herd, first: int, end: int, *, stepping: bool) -> Stretch:
    q = plan.question
    return Stretch(
        herd.name,
        plan.head_kept(herd.name),
        (first, end),
        q.day(first),
        q.day(end) - timedelta(days=1),
        tuple(sorted(_portions(plan, herd, first, end), key=lambda one: -one.out)),
        stepping,
    )


def _shares(plan: Plan, herd: Herd, hay: Hay | None) -> Floats:
    """Most of the ration by week [fraction], (T,)."""
    weeks = plan.question.weeks
    return np.ones(weeks) if hay is None else np.array(hay.shares_for(herd.name, weeks))


def _since(plan: Plan, herd: Herd, k: int, week: int) -> date:
    """First day of the run of weeks in which a feed is eaten and a week lies."""
    fed = plan.per_head(herd.name)[:, k] > _SEEN
    while week > 0 and fed[week - 1]:
        week -= 1
    return plan.question.day(week)


def _portions(plan: Plan, herd: Herd, first: int, end: int) -> Iterator[Portion]:
    hays = plan.question.hays
    weeks = plan.eaten(herd.name)[first:end]
    total = np.maximum(weeks.sum(axis=1), 1e-9)
    mean = weeks.mean(axis=0) / WEEK
    head = plan.head_kept(herd.name) or 1.0
    for k, feed in enumerate(plan.feeds):
        if mean[k] <= _SEEN * head:
            continue
        hay = hays[k] if k < len(hays) else None
        share = float(_shares(plan, herd, hay)[first:end].min())
        # Where a share falls within the stretch, its mean may not go over the last week's.
        most = share * float(mean.sum())
        herds = float(mass_from_dry_matter(min(float(mean[k]), most), feed.dm))
        out = herds if hay is None else float(hay_put_out(herds, herd.waste))
        bale = None if hay is None or hay.bale is None else mass_from_dry_matter(hay.bale, feed.dm)
        yield Portion(
            feed.name,
            each=herds / head,
            out=out,
            bales=None if bale is None else float(bales_of(out, bale)),
            bale=None if bale is None else float(bale),
            share=share,
            most=float(mass_from_dry_matter(most, feed.dm)) / head,
            part=float((weeks[:, k] / total).max()),
            since=_since(plan, herd, k, first) if share < 1 else None,
        )
