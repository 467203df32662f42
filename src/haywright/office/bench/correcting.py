"""A correction as it is understood, before it is kept: what cannot be, and what is to be asked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from haywright.bunk.hazards.nitrate.verdict import Answer
from haywright.measure.basis import parse_basis
from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.message import Amount, Message, message
from haywright.measure.parse import parse_number
from haywright.measure.result import Result as PureResult
from haywright.measure.result import Results
from haywright.office.bench.looked import IMPOSSIBLE
from haywright.office.bench.models import Result
from haywright.office.stack.models import Lot
from haywright.office.way.pure import in_force, known, pure_lot
from haywright.sheet.normal import scales_with_moisture
from haywright.sheet.typed import Laboratory as Profile
from haywright.sheet.typed import TypedReport, parts_of, read_typed
from haywright.way.lot import sample_of_report

NITRATE = "nitrate_n"
JUMP = 10.0  # common practice: a slip of the decimal point, or of the chemical form


@dataclass(frozen=True)
class Doubts:
    """What is said of a corrected number: what cannot be, and what is kept only when confirmed."""

    impossible: tuple[Message, ...]
    unusual: tuple[Message, ...]


def read_right(result: Result, text: str) -> TypedReport:
    """A corrected number read; one that stands alone keeps the unit and basis it corrects.

    The form of a nitrate is never taken over: it must be said.

    Parameters
    ----------
    result
        The number as it was entered.
    text
        The number as it should have been.

    Raises
    ------
    Refused, Problems
        What cannot be read, or has no form, unit or basis that is accepted.
    """
    number, unit, _ = parts_of(text)
    try:
        parse_number(number.lstrip("<>"))
    except HaywrightError:
        raise Refused("right", text, key="office.correct.not_read") from None
    nitrate = result.analyte == NITRATE
    if not unit and not nitrate and result.unit:
        text = text.strip().replace(number, f"{number} {result.unit}", 1)
    basis = parse_basis(result.basis) if scales_with_moisture(result.analyte) else None
    method = result.whole.get("method", "") if result.analyte == "tdn" else ""
    profile = Profile(name=result.laboratory, basis=basis, tdn_method=method)
    # a nitrate is read by its plain name, so that its form is said and never guessed
    word = "nitrate" if nitrate else result.analyte
    bears = result.whole.get("dated", "")
    dated = date.fromisoformat(bears) if bears else None
    return read_typed([f"{word}={text}"], laboratory=profile, report=result.reported, dated=dated)


def doubts_of(result: Result, text: str) -> Doubts:
    """Hold a corrected number against the others of its bag, and against what it corrects.

    Parameters
    ----------
    result
        The number as it was entered.
    text
        The number as it should have been.
    """
    typed = read_right(result, text)
    one = typed.results[result.analyte]
    rows = in_force(result.lot, result.bag).values()
    beside = Results(PureResult.from_json(row.whole) for row in rows).with_results(one)
    sheet = sample_of_report(pure_lot(result.lot), beside).sheet
    flags = [flag for flag in sheet.flags if result.analyte in flag.quantities]
    asked = [flag.message for flag in flags if flag.kind != IMPOSSIBLE]
    if result.analyte == NITRATE:
        asked += _of_nitrate(result, one)
    never = tuple(flag.message for flag in flags if flag.kind == IMPOSSIBLE)
    return Doubts(never, tuple(asked))


def _of_nitrate(result: Result, one: PureResult) -> Iterator[Message]:
    """A nitrate that jumps, or that takes away a warning, is asked for twice."""
    was, now = PureResult.from_json(result.whole).value, one.value
    if max(was, now) >= JUMP * min(was, now):
        told = {"was": was, "now": now}
        amounts = {k: Amount(v, one.unit, analyte=NITRATE) for k, v in told.items()}
        yield message("office.correct.jump", **amounts)
    code = result.bag.code if result.bag is not None else ""
    if _barred(result.lot) - _barred(result.lot, instead=(code, one)):
        yield message("office.correct.lifts")


def _barred(lot: Lot, *, instead: tuple[str, PureResult] | None = None) -> set[tuple[str, int]]:
    """The groups that may not be fed a part of a lot, by part and place."""
    found = known(lot, instead=instead)
    return {
        (sample.part, place)
        for sample in found.samples
        for place, one in enumerate(found.decisions(sample, None))
        if one.verdict.answer is Answer.DO_NOT_FEED
    }
