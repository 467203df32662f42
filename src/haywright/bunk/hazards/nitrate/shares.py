"""Three shares of the ration dry matter: the guide's, an average day's, a bad bale's."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from haywright.bunk.hazards.nitrate.blend import share_at_target
from haywright.bunk.hazards.nitrate.doubt import BagSays
from haywright.bunk.hazards.nitrate.lookup import (
    Says,
    do_not_feed_from,
    edges,
    highest_without_number,
    says,
    unrestricted_to,
)
from haywright.bunk.hazards.nitrate.question import Fed, NitrateQuestion
from haywright.bunk.hazards.nitrate.rules import rules
from haywright.measure.message import Message, message


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
    """

    limit: Limit
    share: float | None
    why: Message
    line: float | None = None

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "limit": self.limit.value,
            "share": self.share,
            "line_mg_per_kg_no3n": self.line,
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
    """

    limit: ShareLimit
    upper: Says
    lower: Says
    edge: float | None
    next_edge: float | None

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
    upper, lower = says(q.guide, high, q.classes), says(q.guide, low, q.classes)
    steps = edges(q.guide, q.classes)
    between = [level for level, _ in steps if low < level <= high]
    after = [level for level, _ in steps if level > high]
    softer = not lower.silent and lower.order > upper.order
    return GuideShare(
        limit=_guide_limit(q, upper, high),
        upper=upper,
        lower=lower,
        edge=between[-1] if softer and between else None,
        next_edge=after[0] if after else None,
    )


def _guide_limit(q: NitrateQuestion, upper: Says, high: float) -> ShareLimit:
    note = upper.rows[0].note if upper.rows else ""
    if upper.silent:
        why = message("bunk.nitrate.why.silent", guide=q.guide.name)
        return ShareLimit(Limit.GUIDE, None, why)
    if upper.share is not None:
        why = message("bunk.nitrate.why.guide", guide=q.guide.name, note=note)
        return ShareLimit(Limit.GUIDE, upper.share, why)
    if highest_without_number(q.guide, high) or high > rules().line_all:
        why = message("bunk.nitrate.why.no_word", guide=q.guide.name, note=note)
        return ShareLimit(Limit.GUIDE, 0.0, why)
    why = message("bunk.nitrate.why.dilute", guide=q.guide.name, note=note)
    return ShareLimit(Limit.GUIDE, _limited_below(q, high), why)


def _limited_below(q: NitrateQuestion, high: float) -> float | None:
    """Smallest share the guide prints for less nitrate: more nitrate is never allowed more."""
    printed = [
        here.share
        for level, here in edges(q.guide, q.classes)
        if level <= high and here.share is not None and here.share < 1
    ]
    return min(printed, default=None)


def average_day(q: NitrateQuestion, high: float) -> ShareLimit:
    """Share (b): s x_U + (1 - s) d + h <= the guide's own target, or the top of its first band.

    Parameters
    ----------
    q
        The question.
    high
        Upper bound of the lot mean [mg/kg NO3-N of DM].
    """
    target = q.guide.target_no3n or unrestricted_to(q.guide, q.classes)
    if target is None:
        return ShareLimit(Limit.AVERAGE_DAY, None, message("bunk.nitrate.why.no_target"))
    return _held_to(q, Limit.AVERAGE_DAY, high, target, "bunk.nitrate.why.average")


def bad_bale(q: NitrateQuestion, bag: BagSays) -> ShareLimit:
    """Share (c): a bad bale against the class's line, the worst against the line for all.

    Parameters
    ----------
    q
        The question.
    bag
        What the bag says.
    """
    if q.horse:
        return ShareLimit(Limit.BAD_BALE, None, message("bunk.nitrate.why.horse_bale"))
    r = rules()
    one = _held_to(
        q, Limit.BAD_BALE, bag.bale_at(r.class_level), class_line(q), "bunk.nitrate.why.bale"
    )
    other = _held_to(
        q, Limit.BAD_BALE, bag.bale_at(r.all_level), r.line_all, "bunk.nitrate.why.worst_bale"
    )
    if one.share is None or other.share is None:
        return one if one.share is None else other
    return one if one.share <= other.share else other


def class_line(q: NitrateQuestion) -> float:
    """Line for one bale: the guide's do-not-feed edge for the class, else practice.

    Returns
    -------
    float
        [mg/kg NO3-N of DM].
    """
    printed = do_not_feed_from(q.guide, q.classes)
    if printed is not None:
        return printed
    return rules().line_pregnant if q.tender else rules().line_others


def line_is_printed(q: NitrateQuestion) -> bool:
    """Whether the class's line is the guide's own and not practice."""
    return do_not_feed_from(q.guide, q.classes) is not None


def _held_to(q: NitrateQuestion, limit: Limit, level: float, line: float, key: str) -> ShareLimit:
    """Largest share that keeps a level at a line; withheld where an unknown would decide."""
    water, feed = q.rest.water, q.rest.feed
    if water is None or (feed is None and level + water > line):
        missing = tuple(
            message(f"bunk.nitrate.unknown.{name}")
            for name, value in (("feed", feed), ("water", water))
            if value is None
        )
        return ShareLimit(limit, None, message("bunk.nitrate.why.withheld", missing=missing), line)
    share = float(share_at_target(level, feed or 0.0, line, water))
    why = message(key, level=_no3n(level), line=_no3n(line))
    return ShareLimit(limit, share, why, line)


def _no3n(value: float) -> Any:
    from haywright.measure.message import Amount

    return Amount(value, "mg/kg", analyte="nitrate_n")


def by_way(share: float, fed: Fed) -> float:
    """The share by the way of feeding: mixed whole, limited half [practice], free choice none.

    Parameters
    ----------
    share
        Smallest of the three [0 to 1].
    fed
        How it is fed.
    """
    if share >= 1.0 or fed is Fed.MIXED:
        return share
    return share * rules().limited if fed is Fed.LIMITED else 0.0
