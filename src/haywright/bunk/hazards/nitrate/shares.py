"""Three shares of the ration dry matter: the guide's, an average day's, a bad bale's."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from haywright.bunk.hazards.nitrate.blend import share_at_target
from haywright.bunk.hazards.nitrate.doubt import BagSays
from haywright.bunk.hazards.nitrate.ladder import (
    Step,
    bale_line,
    day_target,
    do_not_feed_from,
    step_at,
    steps_of,
)
from haywright.bunk.hazards.nitrate.lookup import Says
from haywright.bunk.hazards.nitrate.question import Fed, NitrateQuestion
from haywright.bunk.hazards.nitrate.rules import rules
from haywright.measure.message import Amount, Message, message


class Limit(StrEnum):
    """What a share rests on."""

    GUIDE = "guide"
    AVERAGE_DAY = "average day"
    BAD_BALE = "bad bale"


@dataclass(frozen=True, slots=True)
class ShareLimit:
    """One of the three shares.

    Parameters
    ----------
    limit
        Which.
    share
        [0 to 1]; ``None`` when withheld or without a number.
    why
        What it rests on, or why there is none.
    line
        Level it was held against [mg/kg NO3-N of DM].
    level
        Level of the hay that was held against it [mg/kg NO3-N of DM].
    missing
        What is not known (feed, water), so that the share is withheld.
    at_most
        The share could not be more than this, whatever the unknown is [0 to 1].
    """

    limit: Limit
    share: float | None
    why: Message
    line: float | None = None
    level: float | None = None
    missing: tuple[str, ...] = ()
    at_most: float = 1.0

    @property
    def most(self) -> float:
        """The share, or where there is none what it could be at most [0 to 1]."""
        return self.at_most if self.share is None else self.share

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "limit": self.limit.value,
            "share": self.share,
            "at_most": self.most,
            "withheld_for_want_of": list(self.missing),
            "line_mg_per_kg_no3n": self.line,
            "level_mg_per_kg_no3n": self.level,
            "why": self.why.to_json(),
        }


@dataclass(frozen=True, slots=True)
class GuideShare:
    """The guide's share with its doubt.

    Parameters
    ----------
    limit
        The share.
    upper, lower
        What the guide says at the mean's upper and lower bound.
    edge
        Level between them that changes the share [mg/kg NO3-N of DM], when too close to call.
    next_edge
        Next level above the upper bound that changes the share [mg/kg NO3-N of DM].
    refused
        Whether the row gives no number and none is given on this program's word.
    """

    limit: ShareLimit
    upper: Says
    lower: Says
    edge: float | None
    next_edge: float | None
    refused: bool = False

    @property
    def too_close(self) -> bool:
        """Whether the bag may stand either side of an edge that matters."""
        return self.edge is not None


def guide_share(q: NitrateQuestion, low: float, high: float) -> GuideShare:
    """Share (a): the row of the chosen guide at the mean's upper bound.

    Parameters
    ----------
    q
        The question.
    low, high
        One-sided bounds of the lot mean [mg/kg NO3-N of DM].
    """
    upper, lower = (step_at(q.guide, q.classes, level, q.rules) for level in (high, low))
    after = [one.level for one in steps_of(q.guide, q.classes, q.rules) if one.level > high]
    softer = _mildness(lower) > _mildness(upper)
    return GuideShare(
        limit=_guide_limit(q, upper, q.says(high)),
        upper=q.says(high),
        lower=q.says(low),
        edge=upper.level if softer else None,
        next_edge=after[0] if after else None,
        refused=upper.refused,
    )


def _mildness(step: Step) -> tuple[float, bool]:
    """What a step allows; of two that allow alike the one with a number is milder."""
    return step.most, step.says.share is not None


def _guide_limit(q: NitrateQuestion, upper: Step, row: Says) -> ShareLimit:
    if row.silent:
        return ShareLimit(
            Limit.GUIDE, None, message("bunk.nitrate.why.silent", guide=q.guide.name), at_most=0.0
        )
    said = {"guide": q.guide.name, "note": row.row.note}
    if upper.refused:
        return ShareLimit(Limit.GUIDE, 0.0, message("bunk.nitrate.why.no_word", **said))
    if row.share is not None:
        return ShareLimit(Limit.GUIDE, upper.most, message("bunk.nitrate.why.guide", **said))
    share = None if upper.most == 1.0 else upper.most
    return ShareLimit(Limit.GUIDE, share, message("bunk.nitrate.why.dilute", **said))


def average_day(q: NitrateQuestion, high: float) -> ShareLimit:
    """Share (b): s x_U + (1 - s) d + h <= the guide's own target, or the top of its first band.

    Parameters
    ----------
    q
        The question.
    high
        Upper bound of the lot mean [mg/kg NO3-N of DM].
    """
    target = day_target(q.guide, q.classes)
    if target is None:
        why = message("bunk.nitrate.why.no_target")
        return ShareLimit(Limit.AVERAGE_DAY, None, why, at_most=0.0)
    return _held_to(q, Limit.AVERAGE_DAY, high, target, "bunk.nitrate.why.average")


def bad_bale(q: NitrateQuestion, bag: BagSays) -> ShareLimit:
    """Share (c): the 95th-percentile bale held to the class's line, the 99th to the line for all.

    Parameters
    ----------
    q
        The question.
    bag
        What the bag says.
    """
    r = q.rules
    one = _held_to(
        q, Limit.BAD_BALE, bag.meal_at(r.class_level), class_line(q), "bunk.nitrate.why.bale"
    )
    if q.horse:
        return one
    other = _held_to(
        q, Limit.BAD_BALE, bag.meal_at(r.all_level), r.line_all, "bunk.nitrate.why.worst_bale"
    )
    return min(one, other, key=lambda limit: (limit.most, limit.share is not None))


def class_line(q: NitrateQuestion) -> float:
    """Line for one bale: the guide's do-not-feed edge for the class, else practice.

    Returns
    -------
    float
        [mg/kg NO3-N of DM].
    """
    return bale_line(q.guide, q.classes, q.rules)


def line_is_printed(q: NitrateQuestion) -> bool:
    """Whether the class's line is the guide's own and not practice."""
    return do_not_feed_from(q.guide, q.classes) is not None


def _held_to(q: NitrateQuestion, limit: Limit, level: float, line: float, key: str) -> ShareLimit:
    """Largest share that keeps a level at a line; withheld where an unknown would decide."""
    water, feed = q.rest.water, q.rest.feed
    best = float(share_at_target(level, feed or 0.0, line, water or 0.0))
    matters = water is None or (feed is None and level + water > line)
    if matters and best > 0:
        missing = tuple(n for n, v in (("feed", feed), ("water", water)) if v is None)
        told = tuple(message(f"bunk.nitrate.unknown.{name}") for name in missing)
        why = message("bunk.nitrate.why.withheld", missing=told)
        return ShareLimit(limit, None, why, line, level, missing, best)
    why = message(key, level=_no3n(level), line=_no3n(line))
    return ShareLimit(limit, best, why, line, level)


def _no3n(value: float) -> Amount:
    return Amount(value, "mg/kg", analyte="nitrate_n")


def by_way(share: float, fed: Fed, *, whole: bool | None = None, limited: float = 0.0) -> float:
    """The share by the way of feeding: mixed whole, limited half [practice], free choice none.

    Parameters
    ----------
    share
        Smallest of the three [0 to 1].
    fed
        How it is fed.
    whole
        Whether nothing limits the lot, so that it may be fed any way; a share of 1 when left out.
    limited
        Part of the share when a limited amount is fed [0 to 1]; 0 takes the table's.
    """
    if fed is Fed.MIXED or (share >= 1.0 if whole is None else whole):
        return share
    return share * (limited or rules().limited) if fed is Fed.LIMITED else 0.0
