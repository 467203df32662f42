"""The verdict as messages: the sentence first, then what it rests on, then what to do next."""

from __future__ import annotations

from collections.abc import Iterator

from haywright.bunk.hazards.nitrate.lookup import Says
from haywright.bunk.hazards.nitrate.question import Fed, How
from haywright.bunk.hazards.nitrate.rules import rules
from haywright.bunk.hazards.nitrate.settle import HOPELESS
from haywright.bunk.hazards.nitrate.verdict import Answer, NitrateVerdict, OverLine
from haywright.measure.message import Amount, Message, message
from haywright.measure.nitrate import NitrateForm, convert_form

EMERGENCY = (
    "bunk.emergency.stop",
    "bunk.emergency.quiet",
    "bunk.emergency.call",
    "bunk.emergency.keep",
)
_LEVELS = ((0.5, "half"), (0.25, "quarter"))


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


def share_words(share: float) -> Message:
    """A share in words with the per cent beside it.

    Parameters
    ----------
    share
        [0 to 1].
    """
    percent = Amount(100 * share, "%", digits=0)
    for level, name in _LEVELS:
        if abs(share - level) < 5e-4:
            return message(f"bunk.share.{name}", percent=percent)
    return message("bunk.share.part", percent=percent)


def sentence(v: NitrateVerdict) -> tuple[Message, ...]:
    """The verdict a tired person can repeat at supper; doubt first where there is doubt."""
    who = v.question.animals or message("bunk.animals.these")
    doubt = (message("bunk.nitrate.too_close"),) if v.too_close else ()
    if v.answer is Answer.LIMITED:
        return (*doubt, _limited(v, who))
    key = f"bunk.nitrate.answer.{v.answer.name.lower()}"
    if v.answer is Answer.NO_LIMIT and v.many_bad:
        key = "bunk.nitrate.answer.mean_only"
    return (*doubt, message(key, animals=who, guide=v.question.guide.name))


def _limited(v: NitrateVerdict, who: str | Message) -> Message:
    fed = message(f"bunk.fed.{v.question.fed.value}")
    if not v.share:
        mixed = v.share_fed(Fed.MIXED) or 0.0
        return message("bunk.nitrate.answer.not_this_way", animals=who, fed=fed,
                       share=share_words(mixed))  # fmt: skip
    key = "bunk.nitrate.answer.at_most" if v.incomplete else "bunk.nitrate.answer.limited"
    return message(key, animals=who, share=share_words(v.share), fed=fed)


def reason(v: NitrateVerdict) -> Message | None:
    """The second sentence: why, in one breath."""
    q = v.question
    if v.too_close and v.guide_share and v.guide_share.edge:
        return message("bunk.nitrate.reason.edge", edge=no3n(v.guide_share.edge))
    if v.answer is Answer.NOT_TESTED:
        because = tuple(message(f"bunk.nitrate.because.{one}") for one in q.must_test)
        return message("bunk.nitrate.reason.not_tested", because=because)
    if v.answer is Answer.NO_RESULT:
        return message("bunk.nitrate.reason.no_result")
    if v.answer is Answer.SCREEN:
        return message(f"bunk.nitrate.reason.{'grab' if q.how is How.GRAB else 'spot'}")
    if v.answer is Answer.OVER_RANGE:
        return message("bunk.nitrate.reason.over_range", level=no3n(v.x))
    if v.governing is not None:
        return v.governing.why
    return v.shares[0].why if v.shares else None


def standing(v: NitrateVerdict) -> tuple[Message, ...]:
    """Guide, class, basis, bound, margin, water, how it is fed, what set the limit."""
    q = v.question
    if not v.shares:
        return ()
    named = "bunk.nitrate.standing.recalled" if v.recalled else "bunk.nitrate.standing.guide"
    out = [
        message(named, guide=q.guide.name, classes=_classes(v)),
        message("bunk.nitrate.standing.bound", high=no3n(v.high), high_no3=no3(v.high),
                x=no3n(v.x), low=no3n(v.low)),
    ]  # fmt: skip
    if q.sampling.bales is None and q.sampling.cored == 1 and q.how is How.PROBE:
        out.append(message("bunk.nitrate.standing.one_bale"))
    if v.margin is not None:
        out.append(message("bunk.nitrate.standing.margin", margin=no3n(v.margin)))
    out.append(
        message(f"bunk.nitrate.standing.water.{'yes' if q.rest.water is not None else 'no'}")
    )
    out.append(message(f"bunk.nitrate.standing.rest.{'yes' if q.rest.feed is not None else 'no'}"))
    if q.rest.assumed:
        names = tuple(message(f"bunk.nitrate.unknown.{one}") for one in q.rest.assumed)
        out.append(message("bunk.nitrate.standing.assumed", what=names))
    if v.governing is not None:
        out.append(message(f"bunk.nitrate.standing.set_by.{v.governing.limit.name.lower()}"))
    spread = q.worked_spread()
    out.append(message(f"bunk.nitrate.standing.spread.{spread.basis}",
                       spread=Amount(100 * spread.between, "%", digits=0)))  # fmt: skip
    return tuple(out)


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
    if v.many_bad:
        return message("bunk.nitrate.next.split")
    if not v.too_close:
        return None
    if v.hopeless:
        return message("bunk.nitrate.next.hopeless")
    if v.question.parts_known:
        return message("bunk.nitrate.next.parts")
    best = max((s for s in v.settle if not s.second_laboratory), key=lambda s: s.chance)
    if best.chance < HOPELESS:
        return message("bunk.nitrate.next.hopeless")
    return message("bunk.nitrate.next.cores", n=best.cores, chances=_chances(best.chance))


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


def over_line(one: OverLine, bales: int) -> Message:
    """Bales expected over a line, in words with the range."""
    whose = (
        f"bunk.nitrate.line.{one.whose}{'' if one.whose == 'all' or one.printed else '_practice'}"
    )
    return message(
        "bunk.nitrate.over",
        n=max(1, round(one.expected)) if one.expected >= 0.5 else 0,
        about=Amount(one.expected, "", digits=1 if one.expected < 1.5 else 0),
        bales=bales,
        line=no3n(one.line),
        line_no3=no3(one.line),
        low=one.low,
        high=one.high,
        whose=message(whose),
    )


def guide_line(one: Says) -> Message:
    """What one guide says, in one plain line."""
    if one.silent:
        return message("bunk.nitrate.guide.silent")
    note = one.row.note
    if one.share is None:
        return message("bunk.nitrate.guide.no_number", note=note)
    if one.share == 0:
        return message("bunk.nitrate.guide.no", note=note)
    if one.share == 1:
        return message("bunk.nitrate.guide.no_limit", note=note)
    return message("bunk.nitrate.guide.share", note=note, share=share_words(one.share))


def fed_shares(v: NitrateVerdict) -> tuple[tuple[Message, float | None], ...]:
    """Each way of feeding with its share [0 to 1]."""
    return tuple((message(f"bunk.fed.row.{fed.value}"), v.share_fed(fed)) for fed in Fed)


def step_up(v: NitrateVerdict) -> Message | None:
    """How to come up to a restricted share, when the guide prescribes nothing [practice]."""
    if v.answer is not Answer.LIMITED or not v.share:
        return None
    r = rules()
    return message("bunk.nitrate.step_up", steps=r.step_up_steps, days=r.step_up_days)


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
    if v.recalled:
        yield message("bunk.nitrate.caution.recalled")
    if v.restricted:
        yield message("bunk.nitrate.caution.ask")


def emergency() -> tuple[Message, ...]:
    """The card: what to do when an animal shows signs. No dose of anything."""
    return (message("bunk.emergency.signs"), *(message(key) for key in EMERGENCY))
