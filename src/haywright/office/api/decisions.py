"""A decision about feeding as programs get it: never a bare word.

Guide, class, limit, cautions and whom to call always stand with it; the numbers are the verdict's
own, the sentences those of page and paper.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from ninja import Field, Schema

from haywright.bunk.hazards.nitrate import told
from haywright.bunk.hazards.nitrate.question import Fed
from haywright.bunk.hazards.nitrate.verdict import NitrateVerdict
from haywright.files.ranches import ranch_of
from haywright.files.reading import Checked
from haywright.measure.errors import Refused
from haywright.office.api.kinds import Key, Quantity, number
from haywright.office.api.people import Call
from haywright.office.sheet.shown import Shown
from haywright.paper.speaker import Speaker
from haywright.way.how_much import how_much
from haywright.way.lot import Decision

NITRATE = {"unit": "mg/kg NO3-N", "basis": "dry matter"}
_RATION = "dry matter of the day's ration"
Amount = Annotated[str, Field(max_length=40)]


class Asked(Schema):
    """Whom it is for: a group of the ranch by its number, or any animals."""

    group: int | None = Field(None, ge=0, le=1000, description="Number of a group of the ranch.")
    animals: str = Field("", max_length=60, description="Any word of the table of stock.")
    head: int = Field(1, ge=1, le=100_000)
    fed: Literal["", "mixed", "limited", "free"] = ""
    intake: Amount = Field("", description='Dry matter of one animal and day: "25 lb".')
    water_nitrate: Amount = Field("", description='"5 mg/L NO3-N"; left out: not tested.')
    drinks: Amount = Field("", description='Water of one animal and day: "11 gal".')
    pregnant: bool | None = None
    stressed: bool = False


class Guide(Schema):
    """The guide the decision rests on."""

    id: str
    name: str


class Limit(Schema):
    """One of the three limits of the share."""

    name: str
    share: Quantity
    line: Quantity | None = Field(description="Level that sets it, where there is one.")
    why: str
    binds: bool


class GuideSays(Schema):
    """What one guide says of this hay."""

    guide: str
    says: str
    recalled: bool = Field(description="Whether the row is written from memory.")


class OverLine(Schema):
    """Bales that are likely over a line."""

    line: Quantity
    expected: Quantity
    low: float
    high: float
    says: str


class DecisionOut(Schema):
    """May these animals be fed this hay; show it whole, cautions and telephone included."""

    sheet: Key
    version: int
    animals: str
    group: int | None
    classes: list[str]
    guide: Guide
    answer: str = Field(description="What the decision is, as a word; never show it alone.")
    sentence: list[str]
    reason: str
    standing: list[str] = Field(description="Guide, class, margin, water and what bound, in words.")
    too_close_to_call: bool
    restricted: bool = Field(description="Whether the emergency card must be shown.")
    nitrate: Quantity
    nitrate_low: Quantity
    nitrate_high: Quantity
    fed: str
    share: Quantity = Field(description="Of the ration, for the way it is fed; null: none given.")
    limit: Limit | None = Field(description="The limit that binds; null where none is known.")
    limits: list[Limit]
    most_per_head: Quantity | None = Field(description="Null where the intake is not known.")
    withheld_for_want_of: list[str]
    next_step: str
    cautions: list[str]
    emergency: list[str] = Field(description="What to do when stock falls ill; show it whole.")
    call: Call
    guides: list[GuideSays]
    bales_over: list[OverLine]


class DecisionList(Schema):
    """A decision for each group of the ranch."""

    items: list[DecisionOut]


def asked_of(seen: Shown, asked: Asked) -> tuple[int | None, Decision]:
    """The group's number and its decision; for animals of no group the number is ``None``.

    Parameters
    ----------
    seen
        A version, worked out again.
    asked
        Whom it is for.

    Raises
    ------
    Refused, Problems
        A group there is not, or animals nobody knows.
    """
    if not asked.animals:
        at, most = asked.group or 0, len(seen.decisions) - 1
        if at > most:
            raise Refused("group", at, f"0 to {most}", key="office.api.range")
        return at, seen.decisions[at]
    fed = asked.fed or Fed.MIXED.value
    group: dict[str, Any] = {"animals": asked.animals, "head": asked.head, "fed": fed}
    group["stressed"] = asked.stressed
    group |= {n: v for n in ("intake", "water_nitrate", "drinks") if (v := getattr(asked, n))}
    if asked.pregnant is not None:
        group["pregnant"] = asked.pregnant
    ranch = ranch_of(Checked({"name": "-", "group": [group]}, ""), "")
    return None, seen.decide(ranch.groups[0])


def decision_out(
    seen: Shown, decision: Decision, group: int | None, words: Speaker
) -> dict[str, Any]:
    """A decision with everything that belongs to it.

    Parameters
    ----------
    seen
        The version it rests on.
    decision
        The decision.
    group
        Number of the ranch's group; ``None`` for other animals.
    words
        The reader's.
    """
    v, office = decision.verdict, seen.known.office
    q, reason, step = v.question, told.reason(v), told.next_step(v)
    return {
        "sheet": seen.version.sheet_id,
        "version": seen.version.number,
        "animals": words.said(q.animals),
        "group": group,
        "classes": list(q.all_classes),
        "guide": {"id": q.guide.id, "name": q.guide.name},
        "answer": v.answer.value,
        "sentence": words.every(told.sentence(v)),
        "reason": words.said(reason) if reason else "",
        "standing": words.every(told.standing(v)),
        "too_close_to_call": v.too_close,
        "restricted": v.restricted,
        "nitrate": {"value": number(v.x), **NITRATE},
        "nitrate_low": {"value": number(v.low), **NITRATE},
        "nitrate_high": {"value": number(v.high), **NITRATE},
        "fed": q.fed.value,
        "share": _share(v.share),
        "limit": next((one for one in _limits(v, words) if one["binds"]), None),
        "limits": _limits(v, words),
        "most_per_head": _most(decision),
        "withheld_for_want_of": list(v.missing),
        "next_step": words.said(step) if step else "",
        "cautions": words.every(told.cautions(v)),
        "emergency": words.every(told.emergency()) if v.restricted else [],
        "call": {
            "office": office.name,
            "office_phone": office.phone,
            "name": office.call_name,
            "phone": office.call_phone,
        },
        "guides": [
            {"guide": one.guide.name, "says": words.said(told.guide_line(one)),
             "recalled": one.recalled}
            for one in v.strip
        ],
        "bales_over": list(_over(v, words)),
    }  # fmt: skip


def _share(share: float | None) -> dict[str, Any]:
    return {"value": None if share is None else 100 * share, "unit": "%", "basis": _RATION}


def _limits(v: NitrateVerdict, words: Speaker) -> list[dict[str, Any]]:
    return [
        {
            "name": one.limit.value,
            "share": _share(one.share),
            "line": None if one.line is None else {"value": number(one.line), **NITRATE},
            "why": words.said(one.why),
            "binds": one is v.governing,
        }
        for one in v.shares
    ]


def _most(decision: Decision) -> dict[str, Any] | None:
    much = how_much(decision)
    if much is None:
        return None
    return {"value": much.per_head, "unit": "kg/day", "basis": "one animal, hay as fed"}


def _over(v: NitrateVerdict, words: Speaker) -> Any:
    bales = v.question.sampling.bales
    for one in v.over:
        yield {
            "line": {"value": one.line, **NITRATE},
            "expected": {"value": one.expected, "unit": "bale", "basis": f"of {bales} bales"},
            "low": one.low,
            "high": one.high,
            "says": words.said(told.over_line(one, bales or 0)),
        }
    for part in v.over_share:
        share = {"value": 100 * part.expected, "unit": "%", "basis": "of the bales"}
        yield {
            "line": {"value": part.line, **NITRATE},
            "expected": share,
            "low": 100 * part.low,
            "high": 100 * part.high,
            "says": words.said(told.over_share_line(part)),
        }
