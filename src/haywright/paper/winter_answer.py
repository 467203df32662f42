"""The winter's answer as the papers take it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from haywright.bunk.hazards.nitrate import told
from haywright.bunk.hazards.nitrate.verdict import NitrateVerdict
from haywright.measure.message import Message, message
from haywright.paper.feeding_cards import cards_pdf
from haywright.paper.winter_matter import Change, Offer, WinterMatter, all_on_hand
from haywright.paper.winter_paper import winter_pdf
from haywright.way.office import Office
from haywright.way.winter import WinterAnswer, binding
from haywright.way.winter_changes import Change as Worked
from haywright.way.winter_hard import hard_plan
from haywright.words import Reader

_BINDS = 6


def winter_paper(
    answer: WinterAnswer,
    reader: Reader,
    *,
    office: Office,
    changes: Sequence[Worked] = (),
    made_on: date | None = None,
) -> bytes:
    """The winter plan as PDF.

    Parameters
    ----------
    answer
        The winter answered.
    reader
        Whom it speaks to.
    office
        Who prints it, and whom to call.
    changes
        What a change is worth.
    made_on
        The day it is printed.
    """
    return winter_pdf(matter_of(answer, office, changes=changes, made_on=made_on), reader)


def feeding_cards(
    answer: WinterAnswer,
    reader: Reader,
    *,
    office: Office,
    weeks: int | None = None,
    made_on: date | None = None,
) -> bytes:
    """The feeding cards as PDF, a page each.

    Parameters
    ----------
    answer
        The winter answered.
    reader
        Whom they speak to.
    office
        Who prints them, and whom to call.
    weeks
        Only the first weeks [count]; ``None`` for the whole winter.
    made_on
        The day they are printed.
    """
    return cards_pdf(matter_of(answer, office, made_on=made_on), reader, weeks=weeks)


def matter_of(
    answer: WinterAnswer,
    office: Office,
    *,
    changes: Sequence[Worked] = (),
    made_on: date | None = None,
) -> WinterMatter:
    """Everything the papers print of an answer.

    Where needs cannot all be met, what hay and head are worth hangs on what falling short was
    counted at; then it is not printed.

    Parameters
    ----------
    answer
        The winter answered.
    office
        Who prints it, and whom to call.
    changes
        What a change is worth.
    made_on
        The day it is printed.
    """
    counted, met = answer.counted, answer.conflict is None
    return WinterMatter(
        office=office,
        plan=answer.plan,
        ranch=counted.asked.name,
        made_on=made_on,
        lasts=answer.lasts,
        in_ten=answer.sooner,
        drawn=len(answer.ends),
        hardest=answer.hardest,
        missing=answer.missing,
        conflict=answer.conflict,
        turnout=counted.asked.turnout,
        hard=all_on_hand(hard_plan(answer)),
        keep=answer.keep if met else {},
        offers=tuple(_offers(answer)) if met else (),
        one_more={one.herd: one.cost for one in answer.heads} if met else {},
        changes=tuple(Change(one.what, one.saves) for one in changes) if met else (),
        binds=tuple(_binds(answer)),
        fed_guides={hay.name: tuple(_not_fed(answer, hay.name)) for hay in counted.hays},
        defaults=tuple(dict.fromkeys(counted.said)),
        cautions=(*counted.remarks, *_cautions(answer)),
    )


def _offers(answer: WinterAnswer) -> Iterator[Offer]:
    for one in answer.offers:
        hay, bid = answer.counted.hay(one.lot).hay, one.net.bid
        most = None if bid.most is None else bid.most * hay.feed.dm / 100.0
        yield Offer(bid.buyer, one.lot, one.net.per_dry, most, one.sell, one.gain)


def _binds(answer: WinterAnswer) -> Iterator[Message]:
    for kind, name, weeks in binding(answer.plan)[:_BINDS]:
        what = message(f"winter.row.{kind.partition(':')[0]}", name=name)
        yield message("ranch_plan.binds", what=what, n=weeks, weeks=weeks)


def _not_fed(answer: WinterAnswer, lot: str) -> Iterator[Message]:
    """Why some herds get none of a lot that was tested."""
    counted = answer.counted.hay(lot)
    if not counted.hay.tested:
        return
    reasons: dict[Message, list[str]] = {}
    for herd in answer.question.herds:
        why = counted.why_not(herd.name)
        if why is not None:
            reasons.setdefault(why, []).append(herd.name)
    for why, herds in reasons.items():
        yield message("ranch_plan.not_fed", lot=lot, herds=tuple(herds), why=why)


def _cautions(answer: WinterAnswer) -> Iterator[Message]:
    """What the verdicts of held-back lots say beside their shares."""
    for verdict in _restricted(answer):
        yield from told.cautions(verdict)


def _restricted(answer: WinterAnswer) -> Iterator[NitrateVerdict]:
    for hay in answer.counted.hays:
        for verdict in hay.verdicts.values():
            if verdict.restricted and verdict.question.result is not None:
                yield verdict
