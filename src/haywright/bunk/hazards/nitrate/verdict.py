"""May it be fed: the verdict, with what it rests on and what would change it.

A verdict names guide, class, basis, margin, whether water was counted, how it is fed, what bound.
It aids a conversation with a veterinarian or the local extension office.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from haywright.bunk.hazards.nitrate.doubt import BagSays, bag_says, bales_over, hill
from haywright.bunk.hazards.nitrate.lookup import Says, says
from haywright.bunk.hazards.nitrate.question import Fed, How, NitrateQuestion
from haywright.bunk.hazards.nitrate.rules import rules
from haywright.bunk.hazards.nitrate.settle import HOPELESS, Settle, ways_to_settle
from haywright.bunk.hazards.nitrate.shares import (
    GuideShare,
    Limit,
    ShareLimit,
    average_day,
    bad_bale,
    by_way,
    class_line,
    guide_share,
    line_is_printed,
)
from haywright.measure.estimate import Estimate, State
from haywright.sources.guides import guides


class Answer(StrEnum):
    """What the verdict is."""

    NOT_TESTED = "not tested"
    NO_RESULT = "no result"
    HELD = "held"
    SCREEN = "screen"
    OVER_RANGE = "over range"
    SILENT = "silent"
    DO_NOT_FEED = "do not feed"
    LIMITED = "limited"
    NO_NUMBER = "no number"
    NO_LIMIT = "no limit"


@dataclass(frozen=True, slots=True)
class OverLine:
    """Bales expected over a line [mg/kg NO3-N of DM], with a 90 % range; whose line, if printed."""

    line: float
    whose: str
    printed: bool
    expected: float
    low: int
    high: int

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "line_mg_per_kg_no3n": self.line,
            "whose": self.whose,
            "expected_bales": self.expected,
            "range_90": [self.low, self.high],
        }


@dataclass(frozen=True, slots=True)
class NitrateVerdict:
    """The answer with everything it rests on.

    Parameters
    ----------
    question
        What was asked.
    answer
        What the verdict is.
    x, low, high
        Result and one-sided 95 % bounds of the lot mean [mg/kg NO3-N of DM]; NaN without one.
    bale_class, bale_worst
        The 95th- and 99th-percentile bale [mg/kg NO3-N of DM].
    guide_share
        The guide's share with its doubt.
    shares
        The three limits.
    governing
        The one that bound.
    share
        Of the ration dry matter for the way it is fed [0 to 1]; ``None`` when none is given.
    incomplete
        Whether a limit was withheld, so that the share is "no more than", not settled.
    strip
        What every guide says at the upper bound, the chosen first.
    over
        Bales expected over each line.
    settle
        What would settle a case too close to call.
    many_bad
        Half a bale or more expected over the line for all.
    bag
        What the bag says of its bales.
    """

    question: NitrateQuestion
    answer: Answer
    x: float = math.nan
    low: float = math.nan
    high: float = math.nan
    bale_class: float = math.nan
    bale_worst: float = math.nan
    guide_share: GuideShare | None = None
    shares: tuple[ShareLimit, ...] = ()
    governing: ShareLimit | None = None
    share: float | None = None
    incomplete: bool = False
    strip: tuple[Says, ...] = ()
    over: tuple[OverLine, ...] = ()
    settle: tuple[Settle, ...] = ()
    many_bad: bool = False
    bag: BagSays | None = None

    @property
    def too_close(self) -> bool:
        """Whether the bag may stand either side of an edge that changes the share."""
        return self.guide_share is not None and self.guide_share.too_close

    @property
    def restricted(self) -> bool:
        """Whether the emergency card belongs on every page and paper."""
        return self.answer not in (Answer.NO_LIMIT, Answer.NO_RESULT) or self.many_bad

    @property
    def recalled(self) -> bool:
        """Whether a row written from memory spoke for the chosen guide."""
        return self.guide_share is not None and self.guide_share.upper.recalled

    @property
    def margin(self) -> float | None:
        """From the upper bound up to the next level that changes the share [mg/kg NO3-N of DM]."""
        edge = self.guide_share.next_edge if self.guide_share else None
        return None if edge is None else edge - self.high

    @property
    def hopeless(self) -> bool:
        """Too close to call, and no number of cores or second laboratory would likely settle it."""
        return self.too_close and all(one.chance < HOPELESS for one in self.settle)

    @property
    def hill(self) -> tuple[float, ...]:
        """One value per bale of the lot for the drawing [mg/kg NO3-N of DM]."""
        bales = self.question.sampling.bales
        return hill(self.bag, bales) if self.bag is not None and bales else ()

    def share_fed(self, fed: Fed) -> float | None:
        """The share for another way of feeding.

        Parameters
        ----------
        fed
            How it would be fed.
        """
        if self.governing is None or self.governing.share is None:
            return None
        return by_way(self.governing.share, fed)

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        q = self.question
        return {
            "answer": self.answer.value,
            "animals": q.animals,
            "classes": list(q.all_classes),
            "guide": q.guide.id,
            "guide_name": q.guide.name,
            "basis": "dry matter",
            "result_mg_per_kg_no3n": _finite(self.x),
            "mean_low_95": _finite(self.low),
            "mean_high_95": _finite(self.high),
            "bale_95": _finite(self.bale_class),
            "bale_99": _finite(self.bale_worst),
            "too_close_to_call": self.too_close,
            "edge_mg_per_kg_no3n": self.guide_share.edge if self.guide_share else None,
            "margin_mg_per_kg_no3n": self.margin,
            "fed": q.fed.value,
            "share_of_ration_dm": self.share,
            "share_incomplete": self.incomplete,
            "set_by": self.governing.limit.value if self.governing else None,
            "shares": [one.to_json() for one in self.shares],
            "water_counted": q.rest.water is not None,
            "rest_counted": q.rest.feed is not None,
            "assumed": list(q.rest.assumed),
            "spread": {
                "between": q.worked_spread().between,
                "df": _finite(q.worked_spread().df),
                "within": q.worked_spread().within,
                "basis": q.worked_spread().basis,
            },
            "bales_over": [one.to_json() for one in self.over],
            "split_retest_or_grind": self.many_bad,
            "would_settle": [
                {
                    "more_cores": s.cores,
                    "second_laboratory": s.second_laboratory,
                    "chance": s.chance,
                }
                for s in self.settle
            ],
            "recalled": self.recalled,
            "guides": [_guide_json(one) for one in self.strip],
            "emergency_card": self.restricted,
        }


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _guide_json(one: Says) -> dict[str, Any]:
    return {
        "guide": one.guide.id,
        "name": one.guide.name,
        "unit": one.guide.printed_unit,
        "value": one.value,
        "from": None if one.silent else one.row.low,
        "to": None if one.silent else one.row.high,
        "class_used": one.class_used,
        "share": "silent" if one.silent else one.share,
        "recalled": one.recalled,
    }


def decide(q: NitrateQuestion) -> NitrateVerdict:
    """Answer whether a hay may be fed.

    Parameters
    ----------
    q
        The question.
    """
    if q.result is None:
        return NitrateVerdict(q, Answer.NOT_TESTED if q.must_test else Answer.NO_RESULT)
    if q.result.state is State.HELD:
        return NitrateVerdict(q, Answer.HELD)
    bag = _bag(q, q.result)
    r = rules()
    low, high = bag.mean_at(1 - r.bound), bag.mean_at(r.bound)
    guided = guide_share(q, low, high)
    shares = (guided.limit, average_day(q, high), bad_bale(q, bag))
    governing, incomplete = _smallest(shares, guided.upper)
    over = () if q.horse or q.sampling.bales is None else _over(q, bag, q.sampling.bales)
    share = None if governing is None else by_way(governing.share or 0.0, q.fed)
    answer = _answer(q, guided.upper, share)
    return NitrateVerdict(
        question=q,
        answer=answer,
        x=bag.x,
        low=low,
        high=high,
        bale_class=bag.bale_at(r.class_level),
        bale_worst=bag.bale_at(r.all_level),
        guide_share=guided,
        shares=shares,
        governing=governing,
        share=0.0 if answer is Answer.DO_NOT_FEED else None if answer in _NO_SHARE else share,
        incomplete=incomplete,
        strip=_strip(q, high),
        over=over,
        settle=_settle(q, bag.x, guided),
        many_bad=any(o.line == r.line_all and o.expected >= r.many for o in over),
        bag=bag,
    )


_NO_SHARE = (Answer.SCREEN, Answer.OVER_RANGE, Answer.SILENT, Answer.NO_NUMBER)


def _bag(q: NitrateQuestion, result: Estimate) -> BagSays:
    """The bag's number: below a limit enters as its limit, above range as the top of the range."""
    beyond = result.state in (State.BELOW, State.ABOVE) and result.limit is not None
    x = result.limit.value if beyond and result.limit else result.value
    if result.state is State.BETWEEN:
        x = result.high
    return bag_says(
        x, spread=q.worked_spread(), sampling=q.sampling, laboratory=q.worked_laboratory()
    )


def _smallest(shares: tuple[ShareLimit, ...], upper: Says) -> tuple[ShareLimit | None, bool]:
    """The limit that binds; whether a withheld one could be smaller still."""
    known = [one for one in shares if one.share is not None]
    withheld = [one for one in shares[1:] if one.share is None and one.line is not None]
    if upper.silent:
        return None, bool(withheld)
    if shares[0].share == 0.0:
        return shares[0], False
    needed = upper.share is None and shares[1].share is None
    if needed or not known:
        return None, True
    return min(known, key=lambda one: one.share or 0.0), bool(withheld)


def _answer(q: NitrateQuestion, upper: Says, share: float | None) -> Answer:
    screen = q.how is not How.PROBE
    if upper.share == 0:
        return Answer.DO_NOT_FEED
    if q.result is not None and q.result.state is State.ABOVE:
        return Answer.OVER_RANGE
    if upper.silent:
        return Answer.SILENT
    if screen:
        return Answer.SCREEN
    if share is None:
        return Answer.NO_NUMBER
    if share == 0:
        return Answer.DO_NOT_FEED if q.fed is Fed.MIXED else Answer.LIMITED
    return Answer.LIMITED if share < 1 else Answer.NO_LIMIT


def _over(q: NitrateQuestion, bag: BagSays, bales: int) -> tuple[OverLine, ...]:
    lines = [(class_line(q), "class", line_is_printed(q)), (rules().line_all, "all", False)]
    found = []
    for line, whose, printed in dict.fromkeys(lines):
        expected, low, high = bales_over(bag, line, bales)
        found.append(OverLine(line, whose, printed, expected, low, high))
    return tuple(found[:1] if lines[0][0] == lines[1][0] else found)


def _settle(q: NitrateQuestion, x: float, guided: GuideShare) -> tuple[Settle, ...]:
    if guided.edge is None:
        return ()
    return ways_to_settle(
        x,
        guided.edge,
        spread=q.worked_spread(),
        sampling=q.sampling,
        laboratory=q.worked_laboratory(),
    )


def _strip(q: NitrateQuestion, high: float) -> tuple[Says, ...]:
    """What every guide says: chosen first, strictest to mildest, then no number, then silent."""
    others = [says(g, high, q.classes) for g in guides().values() if g.id != q.guide.id]
    numbered = sorted(
        (one for one in others if not one.silent and one.share is not None),
        key=lambda one: one.share or 0.0,
    )
    without = [one for one in others if not one.silent and one.share is None]
    silent = [one for one in others if one.silent]
    return (says(q.guide, high, q.classes), *numbered, *without, *silent)


def must_test(
    *, accumulator: bool, stressed: bool, cp: float | None, cp_line: float
) -> tuple[str, ...]:
    """Why an untested lot must be tested before it is fed.

    Parameters
    ----------
    accumulator
        Whether the crop or its weeds store nitrate.
    stressed
        Whether an event raised it: drought, frost, hail ...
    cp
        Crude protein [% of DM], when known.
    cp_line
        Protein above which nitrate is looked for [% of DM].
    """
    found = [name for name, here in (("accumulator", accumulator), ("event", stressed)) if here]
    if cp is not None and cp > cp_line:
        found.append("protein")
    return tuple(found)


__all__ = ["Answer", "Fed", "How", "Limit", "NitrateQuestion", "NitrateVerdict", "decide"]
