"""The verdict as messages: the sentence first, then what it rests on, then what to do next."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from haywright.bunk.hazards.nitrate.ladder import step_at
from haywright.bunk.hazards.nitrate.question import Fed, How
from haywright.bunk.hazards.nitrate.stepup import step_up_to
from haywright.bunk.hazards.nitrate.strip import GuideSays
from haywright.bunk.hazards.nitrate.verdict import Answer, NitrateVerdict, OverLine, OverShare
from haywright.measure.analytes import quantity
from haywright.measure.message import Amount, Message, message
from haywright.measure.nitrate import NitrateForm, convert_form
from haywright.measure.rounding import round_significant

EMERGENCY = (
    "bunk.emergency.stop",
    "bunk.emergency.quiet",
    "bunk.emergency.call",
    "bunk.emergency.keep",
)
_LEVELS = ((1.0, "whole"), (0.5, "half"), (0.25, "quarter"))


def no3n(value: float) -> Amount:
    """A nitrate level to print, as NO3-N.

    Parameters
    ----------
    value
        [mg/kg NO3-N of DM].
    """
    return Amount(value, "mg/kg", analyte="nitrate_n")


def no3(value: float) -> Amount:
    """The same level as the nitrate ion.

    Parameters
    ----------
    value
        [mg/kg NO3-N of DM].
    """
    ion = convert_form(value, NitrateForm.NO3_N, NitrateForm.NO3)
    return Amount(ion, "mg/kg", analyte="no3")


def percent(share: float) -> Amount:
    """A share as whole per cent, never rounded up.

    Parameters
    ----------
    share
        [0 to 1].
    """
    return Amount(math.floor(100 * share + 1e-9), "%", digits=0)


def share_words(share: float) -> Message:
    """A share in words with the per cent beside it.

    Parameters
    ----------
    share
        [0 to 1].
    """
    for level, name in _LEVELS:
        if abs(share - level) < 5e-4:
            return message(f"bunk.share.{name}", percent=percent(share))
    return message("bunk.share.part", percent=percent(share))


def _who(v: NitrateVerdict) -> str | Message:
    return v.question.animals or message("bunk.animals.these")


def sentence(v: NitrateVerdict) -> tuple[Message, ...]:
    """The verdict a tired person can repeat at supper; doubt first where there is doubt."""
    doubt = (message("bunk.nitrate.too_close"),) if v.too_close else ()
    return (*doubt, _verdict(v))


def _verdict(v: NitrateVerdict) -> Message:
    who, fed = _who(v), message(f"bunk.fed.{v.question.fed.value}")
    if v.answer is Answer.WITHHELD and v.at_most < 1:
        return message(
            "bunk.nitrate.answer.withheld", animals=who, share=share_words(v.at_most),
            fed=message("bunk.fed.mixed"),
        )  # fmt: skip
    if v.answer is Answer.LIMITED and not v.share:
        return message(
            "bunk.nitrate.answer.not_this_way", animals=who, fed=fed, share=share_words(v.at_most)
        )
    if v.answer is Answer.LIMITED:
        return message(
            "bunk.nitrate.answer.limited", animals=who, share=share_words(v.share or 0.0), fed=fed
        )
    name = v.answer.name.lower()
    if v.answer is Answer.WITHHELD:
        name = "withheld_open"
    elif v.answer is Answer.NO_LIMIT and v.many_bad:
        name = "mean_only"
    return message(f"bunk.nitrate.answer.{name}", animals=who, guide=v.question.guide.name)


def reason(v: NitrateVerdict) -> Message | None:
    """The second sentence: why, in one breath."""
    if v.answer is Answer.WITHHELD:
        return _missing(v)
    if v.too_close and v.guide_share and v.guide_share.edge:
        return message("bunk.nitrate.reason.edge", edge=no3n(v.guide_share.edge))
    if v.answer is Answer.NOT_TESTED:
        because = tuple(message(f"bunk.nitrate.because.{one}") for one in v.question.must_test)
        return message("bunk.nitrate.reason.not_tested", because=because)
    if v.answer is Answer.NO_RESULT:
        return message("bunk.nitrate.reason.no_result")
    if v.answer is Answer.SCREEN:
        how = "grab" if v.question.how is How.GRAB else "spot"
        return message(f"bunk.nitrate.reason.{how}")
    if v.answer is Answer.OVER_RANGE:
        return message("bunk.nitrate.reason.over_range", level=no3n(v.x))
    if v.answer is Answer.NO_LIMIT:
        return None
    if v.governing is not None:
        return v.governing.why
    return v.shares[0].why if v.shares else None


def _missing(v: NitrateVerdict) -> Message:
    missing = tuple(message(f"bunk.nitrate.unknown.{name}") for name in v.missing)
    if v.water_room is None:
        return message("bunk.nitrate.reason.missing", missing=missing)
    return message(
        "bunk.nitrate.reason.water_room",
        missing=missing,
        room=no3n(v.water_room),
        water=Amount(v.water_room / v.question.rules.water_per_feed, "mg/L", digits=0),
    )


def standing(v: NitrateVerdict) -> tuple[Message, ...]:
    """Guide, class, basis, bound, margin, water, how it is fed, what set the limit."""
    return tuple(_standing(v)) if v.shares else ()


def _standing(v: NitrateVerdict) -> Iterator[Message]:
    q = v.question
    named = "bunk.nitrate.standing.recalled" if v.recalled else "bunk.nitrate.standing.guide"
    yield message(named, guide=q.guide.name, classes=_classes(v))
    yield message(
        "bunk.nitrate.standing.bound",
        high=no3n(v.high), high_no3=no3(v.high), x=no3n(v.x), x_no3=no3(v.x), low=no3n(v.low),
    )  # fmt: skip
    yield _margin(v)
    for name, known in (("water", q.rest.water), ("rest", q.rest.feed)):
        if known is None:
            yield message(f"bunk.nitrate.standing.{name}.no")
        else:
            yield message(f"bunk.nitrate.standing.{name}.yes", level=no3n(known))
    if q.rest.assumed:
        names = tuple(message(f"bunk.nitrate.unknown.{one}") for one in q.rest.assumed)
        yield message("bunk.nitrate.standing.assumed", what=names)
    yield message("bunk.nitrate.standing.fed", fed=message(f"bunk.fed.{q.fed.value}"))
    if q.mixed > 1:
        yield message("bunk.nitrate.standing.mixed", bales=q.mixed)
    if v.governing is not None and v.at_most < 1 and v.governing.most <= v.at_most:
        yield message(f"bunk.nitrate.standing.set_by.{v.governing.limit.name.lower()}")
    yield _sampling(v)
    spread = q.worked_spread()
    percent_of = Amount(100 * spread.between, "%", digits=0)
    yield message(f"bunk.nitrate.standing.spread.{spread.basis}", spread=percent_of)


def _margin(v: NitrateVerdict) -> Message:
    """How far the bound is from the next level that changes what the guide allows."""
    q, guided = v.question, v.guide_share
    # from the bound as it is printed beside it, so that who takes one from the other agrees
    figures = quantity("nitrate_n").significant or 3
    bound = float(round_significant(v.high, figures)) if math.isfinite(v.high) else v.high
    if guided is None or guided.next_edge is None:
        top = step_at(q.guide, q.classes, v.high, q.rules).level
        return message("bunk.nitrate.standing.margin.over", over=no3n(bound - top), line=no3n(top))
    following = step_at(q.guide, q.classes, guided.next_edge, q.rules)
    name = "refused" if following.refused else "no" if following.most == 0 else "less"
    return message(
        f"bunk.nitrate.standing.margin.{name}",
        margin=no3n(guided.next_edge - bound),
        line=no3n(guided.next_edge),
    )


def _sampling(v: NitrateVerdict) -> Message:
    s = v.question.sampling
    if not s.said:
        return message("bunk.nitrate.standing.sampling.unknown")
    if s.bales is None:
        return message("bunk.nitrate.standing.sampling.uncounted", n=s.cored, m=s.cores_per_bale)
    return message(
        "bunk.nitrate.standing.sampling.counted", n=s.cored, bales=s.bales, m=s.cores_per_bale
    )


def _classes(v: NitrateVerdict) -> Message:
    """The classes the guide was asked for; those assumed or borrowed are said."""
    q = v.question
    names = tuple(message(f"bunk.class.{one}") for one in q.all_classes)
    if not q.horse and not {"pregnant", "non_pregnant", "all"} & set(q.classes):
        return message("bunk.class.unknown_counts", classes=names)
    if v.guide_share is not None and v.guide_share.upper.borrowed:
        return message("bunk.class.borrowed", classes=names)
    return message("bunk.class.plain", classes=names)


def next_step(v: NitrateVerdict) -> Message | None:
    """The one next step, with what it brings."""
    if v.answer in (Answer.NOT_TESTED, Answer.NO_RESULT, Answer.SCREEN):
        return message("bunk.nitrate.next.core")
    if v.answer is Answer.OVER_RANGE:
        return message("bunk.nitrate.next.rerun")
    if v.answer is Answer.WITHHELD:
        return message("bunk.nitrate.next.enter")
    if v.many_bad and not v.too_close:
        return message("bunk.nitrate.next.split")
    return _settling(v) if v.too_close else None


def _settling(v: NitrateVerdict) -> Message:
    if v.hopeless:
        return message(f"bunk.nitrate.next.hopeless.{v.in_the_way}")
    if v.question.parts_known:
        return message("bunk.nitrate.next.parts")
    cores = [s for s in v.settle if not s.second_laboratory]
    if not cores:
        return message("bunk.nitrate.next.laboratory", chances=_chances(v.settle[0].chance))
    enough = [s for s in cores if s.chance >= 0.9 * max(one.chance for one in cores)]
    return message("bunk.nitrate.next.cores", n=enough[0].cores, chances=_chances(enough[0].chance))


def _chances(chance: float) -> Amount:
    return Amount(100 * chance, "", digits=0)


def settle_lines(v: NitrateVerdict) -> tuple[tuple[Message, float], ...]:
    """Each way to settle, with its chance [0 to 1]."""
    return tuple(
        (message(_settle_key(one.cores, second=one.second_laboratory), n=one.cores), one.chance)
        for one in v.settle
    )


def _settle_key(cores: int, *, second: bool) -> str:
    if second:
        return "bunk.nitrate.settle.both" if cores else "bunk.nitrate.settle.laboratory"
    return "bunk.nitrate.settle.cores"


LEAST = Amount(0.1, "", digits=1)  # bales; fewer are said to be under it


def hardly_any(expected: float) -> bool:
    """Whether so few bales [count] would print as none, which is more than anybody knows."""
    return expected < LEAST.value / 2


def over_line(one: OverLine, bales: int) -> Message:
    """Bales expected over a line, in words with the range."""
    return message(
        "bunk.nitrate.over_hardly" if hardly_any(one.expected) else "bunk.nitrate.over",
        about=LEAST
        if hardly_any(one.expected)
        else Amount(one.expected, "", digits=1 if one.expected < 1.5 else 0),
        bales=bales,
        line=no3n(one.line),
        line_no3=no3(one.line),
        low=one.low,
        high=one.high,
        whose=_whose(one),
    )


def over_share_line(one: OverShare) -> Message:
    """Share of the bales expected over a line, for a lot that was not counted."""
    about, low, high = (Amount(100 * p, "", digits=0) for p in (one.expected, one.low, one.high))
    return message(
        "bunk.nitrate.over_share",
        about=about, line=no3n(one.line), line_no3=no3(one.line), low=low, high=high,
        whose=_whose(one),
    )  # fmt: skip


def _whose(one: OverLine | OverShare) -> Message:
    practice = "" if one.whose == "all" or one.printed else "_practice"
    return message(f"bunk.nitrate.line.{one.whose}{practice}")


def guide_line(one: GuideSays) -> Message:
    """What one guide says, in one plain line."""
    if one.silent:
        return message("bunk.nitrate.guide.silent")
    said = _guide_said(one, tuple(row.note for row in one.says.rows))
    return message("bunk.nitrate.guide.too_close", said=said) if one.too_close else said


def _guide_said(one: GuideSays, note: tuple[str, ...]) -> Message:
    if one.refused:
        return message("bunk.nitrate.guide.refused", note=note)
    if one.share is None:
        return message("bunk.nitrate.guide.no_number", note=note)
    if one.diluted:
        return message("bunk.nitrate.guide.diluted", note=note, share=share_words(one.share))
    if one.share in (0, 1):
        return message("bunk.nitrate.guide.row", note=note)
    return message("bunk.nitrate.guide.share", note=note, share=share_words(one.share))


def fed_shares(v: NitrateVerdict) -> tuple[tuple[Message, float | None], ...]:
    """Each way of feeding with its share [0 to 1]."""
    return tuple((message(f"bunk.fed.row.{fed.value}"), v.share_fed(fed)) for fed in Fed)


def step_up(v: NitrateVerdict) -> Message | None:
    """How to come up to a restricted share, when the guide prescribes nothing [practice]."""
    if v.answer is not Answer.LIMITED or not v.share:
        return None
    plan = step_up_to(v.share, v.question.rules)
    each = tuple(
        message("bunk.nitrate.step", share=percent(share), day=day) for day, share in plan.schedule
    )
    return message("bunk.nitrate.step_up", steps=plan.steps, days=plan.days, each=each)


def cautions(v: NitrateVerdict) -> tuple[Message, ...]:
    """What every restricted or doubtful verdict says beside its number."""
    return tuple(_cautions(v))


def _cautions(v: NitrateVerdict) -> Iterator[Message]:
    yield message("bunk.nitrate.caution.sample")
    if v.question.horse:
        yield message("bunk.nitrate.caution.horse")
    elif {"sheep", "goat"} & set(v.question.all_classes):
        yield message("bunk.nitrate.caution.sheep")
    if v.many_bad:
        yield message("bunk.nitrate.caution.many")
    if v.answer is Answer.LIMITED:
        yield message("bunk.nitrate.caution.every_feeding")
        yield message("bunk.nitrate.caution.mixing")
    if v.question.rest.over_household_limit:
        yield message("bunk.nitrate.caution.household")
    if v.recalled:
        yield message("bunk.nitrate.caution.recalled")
    if v.restricted:
        yield message("bunk.nitrate.caution.ask")


def emergency() -> tuple[Message, ...]:
    """The card: what to do when an animal shows signs. No dose of anything."""
    return (message("bunk.emergency.signs"), *(message(key) for key in EMERGENCY))


def to_json(v: NitrateVerdict) -> dict[str, Any]:
    """Everything the verdict says, as messages in plain JSON values."""
    second, step, rise = reason(v), next_step(v), step_up(v)
    return {
        "sentence": [one.to_json() for one in sentence(v)],
        "reason": second.to_json() if second else None,
        "standing": [one.to_json() for one in standing(v)],
        "next_step": step.to_json() if step else None,
        "step_up": rise.to_json() if rise else None,
        "cautions": [one.to_json() for one in cautions(v)],
        "emergency": [one.to_json() for one in emergency()] if v.restricted else [],
    }
