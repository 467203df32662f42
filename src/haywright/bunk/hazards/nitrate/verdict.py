"""May it be fed: the verdict, with what it rests on and what would change it.

A verdict names guide, class, basis, margin, whether water was counted, how it is fed, what bound.
It aids a conversation with a veterinarian or the local extension office.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import Any

from haywright.bunk.hazards.nitrate.doubt import (
    BagSays,
    bag_says,
    bales_over,
    expected_over,
    hill,
    share_over,
)
from haywright.bunk.hazards.nitrate.question import Fed, How, NitrateQuestion
from haywright.bunk.hazards.nitrate.settle import Settle, ways_to_settle, what_stands_in_the_way
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
from haywright.bunk.hazards.nitrate.strip import GuideSays, every_guide
from haywright.measure.errors import Refused
from haywright.measure.estimate import Estimate, State


class Answer(StrEnum):
    """What the verdict is."""

    NOT_TESTED = "not tested"
    NO_RESULT = "no result"
    HELD = "held"
    SCREEN = "screen"
    OVER_RANGE = "over range"
    SILENT = "silent"
    DO_NOT_FEED = "do not feed"
    NO_WORD = "no share on this program's word"
    WITHHELD = "withheld"
    LIMITED = "limited"
    NO_LIMIT = "no limit"


_NO_SHARE = (Answer.SCREEN, Answer.OVER_RANGE, Answer.SILENT, Answer.WITHHELD)
_NONE = (Answer.DO_NOT_FEED, Answer.NO_WORD)


@dataclass(frozen=True, slots=True)
class OverLine:
    """Bales expected over a line.

    Parameters
    ----------
    line
        [mg/kg NO3-N of DM].
    whose
        class or all.
    printed
        Whether the guide prints the line; else it is common practice.
    expected, low, high
        Bales, with a 90 % range [count].
    """

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
            "printed_by_the_guide": self.printed,
            "expected_bales": self.expected,
            "range_90": [self.low, self.high],
        }


@dataclass(frozen=True, slots=True)
class OverShare:
    """The same for a lot whose bales nobody counted: shares of the bales [0 to 1]."""

    line: float
    whose: str
    printed: bool
    expected: float
    low: float
    high: float

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "line_mg_per_kg_no3n": self.line,
            "whose": self.whose,
            "printed_by_the_guide": self.printed,
            "expected_share_of_bales": self.expected,
            "range_90": [self.low, self.high],
        }


@dataclass(frozen=True)
class NitrateVerdict:
    """The answer with everything it rests on; what only a page shows is worked when it is asked.

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
    at_most
        What the share could be at most, mixed, whatever is still unknown [0 to 1].
    missing
        What is not known (feed, water), so that a limit and the share are withheld.
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
    at_most: float = 0.0
    missing: tuple[str, ...] = ()
    many_bad: bool = False
    bag: BagSays | None = None

    @cached_property
    def strip(self) -> tuple[GuideSays, ...]:
        """What every guide says at the upper bound, the chosen first."""
        return () if self.bag is None else every_guide(self.question, self.low, self.high)

    @cached_property
    def over(self) -> tuple[OverLine, ...]:
        """Bales expected over each line."""
        return () if self.bag is None else _over(self.question, self.bag)

    @cached_property
    def over_share(self) -> tuple[OverShare, ...]:
        """Their share where the lot was not counted."""
        return () if self.bag is None else _over_share(self.question, self.bag)

    @cached_property
    def settle(self) -> tuple[Settle, ...]:
        """What would settle a case too close to call."""
        guided = self.guide_share
        return () if guided is None else _settle(self.question, self.x, guided)

    @cached_property
    def in_the_way(self) -> str:
        """What keeps any number of cores from settling it: laboratory, edge, or nothing."""
        guided = self.guide_share
        return "" if guided is None else _in_the_way(self.question, self.x, guided)

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
    def incomplete(self) -> bool:
        """Whether a limit was withheld for want of a number, and the share with it."""
        return bool(self.missing)

    @property
    def hopeless(self) -> bool:
        """Too close to call, and no number of cores would likely settle it."""
        return self.too_close and bool(self.in_the_way)

    @property
    def water_room(self) -> float | None:
        """Nitrate that water may bring, spread over intake, so that nothing else binds.

        Returns
        -------
        float or None
            [mg/kg NO3-N of DM]; ``None`` where something else limits the share already.
        """
        if self.missing and self.at_most >= 1.0:
            room = [one.line - one.level for one in self.shares if one.line and one.level]
            return min(room) if room and min(room) > 0 else None
        return None

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
        if self.answer in _NONE:
            return 0.0
        if self.answer in _NO_SHARE or not self.shares:
            return None
        return _by_way(self.question, self.at_most, fed, many_bad=self.many_bad)

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
            "share_at_most": self.at_most,
            "withheld_for_want_of": list(self.missing),
            "share_by_way_of_feeding": {fed.value: self.share_fed(fed) for fed in Fed},
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
            "sampling": {
                "cored": q.sampling.cored,
                "said": q.sampling.said,
                "bales": q.sampling.bales,
                "cores_per_bale": q.sampling.cores_per_bale,
            },
            "mixed_bales": q.mixed,
            "bales_over": [one.to_json() for one in self.over]
            + [one.to_json() for one in self.over_share],
            "split_retest_or_grind": self.many_bad,
            "would_settle": [one.to_json() for one in self.settle],
            "no_number_settles_it_because_of": self.in_the_way,
            "recalled": self.recalled,
            "guides": [one.to_json() for one in self.strip],
            "emergency_card": self.restricted,
        }


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


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
    bag, r = _bag(q, q.result), q.rules
    low, high = bag.mean_at(1 - r.bound), bag.mean_at(r.bound)
    guided = guide_share(q, low, high)
    shares = (guided.limit, average_day(q, high), bad_bale(q, bag))
    governing, missing = _smallest(shares)
    at_most = min(one.most for one in shares)
    many_bad = _many_bad(q, bag)
    fed = _by_way(q, at_most, q.fed, many_bad=many_bad)
    answer = _answer(q, guided, fed, at_most, missing)
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
        share=None if answer in _NO_SHARE else 0.0 if answer in _NONE else fed,
        at_most=at_most,
        missing=missing,
        many_bad=many_bad,
        bag=bag,
    )


def _bag(q: NitrateQuestion, result: Estimate) -> BagSays:
    """The bag's number: below a limit enters as its limit, above range as the top of the range."""
    beyond = result.state in (State.BELOW, State.ABOVE) and result.limit is not None
    x = result.limit.value if beyond and result.limit else result.value
    if result.state is State.BETWEEN:
        x = result.high
    if not x > 0:
        raise Refused("nitrate", f"{x:g}", key="bunk.nitrate.zero")
    return bag_says(
        x,
        spread=q.worked_spread(),
        sampling=q.sampling,
        laboratory=q.worked_laboratory(),
        mixed=q.mixed,
    )


def _smallest(shares: tuple[ShareLimit, ...]) -> tuple[ShareLimit | None, tuple[str, ...]]:
    """The limit that binds, and what is missing while a withheld one could be smaller still."""
    known = [one for one in shares if one.share is not None]
    governing = min(known, key=lambda one: one.share or 0.0) if known else None
    if governing is not None and governing.share == 0.0:
        return governing, ()
    return governing, tuple(dict.fromkeys(name for one in shares for name in one.missing))


def _by_way(q: NitrateQuestion, share: float, fed: Fed, *, many_bad: bool) -> float:
    """The share for a way of feeding; whole bales go out only where few can be bad."""
    whole = share >= 1.0 and not many_bad
    return by_way(share, fed, whole=whole, limited=q.rules.limited)


def _answer(
    q: NitrateQuestion, guided: GuideShare, fed: float, at_most: float, missing: tuple[str, ...]
) -> Answer:
    if guided.upper.share == 0:
        return Answer.DO_NOT_FEED
    if q.result is not None and q.result.state is State.ABOVE:
        return Answer.OVER_RANGE
    if guided.upper.silent:
        return Answer.SILENT
    if q.how is not How.PROBE:
        return Answer.SCREEN
    if guided.refused:
        return Answer.NO_WORD
    if at_most == 0:
        return Answer.DO_NOT_FEED
    if missing:
        return Answer.WITHHELD
    return Answer.NO_LIMIT if fed >= 1 else Answer.LIMITED


def _lines(q: NitrateQuestion) -> dict[float, tuple[str, bool]]:
    """Each line once, the class's first: whose it is and whether the guide prints it."""
    lines = {class_line(q): ("class", line_is_printed(q))}
    if not q.horse:
        lines.setdefault(q.rules.line_all, ("all", False))
    return lines


def _many_bad(q: NitrateQuestion, bag: BagSays) -> bool:
    """Whether half a bale or more of a counted lot is expected over the line for all."""
    n, line = q.sampling.bales, q.rules.line_all
    return bool(n and line in _lines(q) and expected_over(bag, line, n) >= q.rules.many)


def upper_bound(q: NitrateQuestion) -> float:
    """One-sided 95 % bound of the lot mean [mg/kg NO3-N of DM]; NaN where a result is held.

    Parameters
    ----------
    q
        The question, with a result.
    """
    if q.result is None or q.result.state is State.HELD:
        return math.nan
    return _bag(q, q.result).mean_at(q.rules.bound)


def _over(q: NitrateQuestion, bag: BagSays) -> tuple[OverLine, ...]:
    bales = q.sampling.bales
    if bales is None:
        return ()
    found = []
    for line, (whose, printed) in _lines(q).items():
        expected, low, high = bales_over(bag, line, bales)
        found.append(OverLine(line, whose, printed, expected, low, high))
    return tuple(found)


def _over_share(q: NitrateQuestion, bag: BagSays) -> tuple[OverShare, ...]:
    if q.sampling.bales is not None:
        return ()
    return tuple(
        OverShare(line, *whose, *share_over(bag, line)) for line, whose in _lines(q).items()
    )


def _settle(q: NitrateQuestion, x: float, guided: GuideShare) -> tuple[Settle, ...]:
    if guided.edge is None:
        return ()
    return ways_to_settle(
        x,
        guided.edge,
        spread=q.worked_spread(),
        sampling=q.sampling,
        laboratory=q.worked_laboratory(),
        by=q.rules,
    )


def _in_the_way(q: NitrateQuestion, x: float, guided: GuideShare) -> str:
    if guided.edge is None:
        return ""
    return what_stands_in_the_way(
        x,
        guided.edge,
        spread=q.worked_spread(),
        sampling=q.sampling,
        laboratory=q.worked_laboratory(),
        by=q.rules,
    )


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
