"""The five numbers that stand large: value, unit, basis, likely range, kind, usual hay beside."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from haywright.measure.message import message
from haywright.measure.nitrate import NitrateForm, convert_form
from haywright.measure.result import Kind, Result
from haywright.paper.drawings import UsualWords, usual_bar
from haywright.paper.speaker import DAGGER, Speaker
from haywright.sheet.sheet import Large, Sheet
from haywright.sheet.usual import Usual

Ranges = Mapping[str, tuple[float, float]]
SAMPLING = "sampling"


def large_rows(sheet: Sheet, ranges: Ranges, words: Speaker) -> dict[str, Any]:
    """The table of the five numbers, ready for the template."""
    return {
        "head": [
            words("paper.large.what"),
            "",
            words("paper.large.unit"),
            words("paper.large.likely"),
            words("paper.large.usual", crop=sheet.crop.name.lower()),
        ],
        "rows": [_row(sheet, one, ranges, words) for one in sheet.large],
        "caption": _caption(sheet, words),
    }


def _row(sheet: Sheet, one: Large, ranges: Ranges, words: Speaker) -> dict[str, Any]:
    name = one.quantity
    row: dict[str, Any] = {
        "quantity": name,
        "name": words(f"paper.large.{name}.name"),
        "small": words(f"paper.large.{name}.small"),
    }
    if one.result is None:
        why = words.said(one.why or message("sheet.not_tested"))
        none = {"value": "", "unit": why, "basis": "", "range": "", "kind": ""}
        return {**row, **none, "bar": {"svg": "", "alt": ""}}
    result = one.result
    likely = ranges.get(name) or _interval(result, sheet.choices.confidence)
    unit, basis = _unit_and_basis(result, words)
    if sheet.form == "baleage" and name in sheet.as_received:
        as_fed = words.value(sheet.as_received[name], name)
        basis = "; ".join(p for p in (words("paper.large.as_fed", value=as_fed), basis) if p)
    settled = result.settled
    return {
        **row,
        "value": words.value(result.estimate, name, unit=False),
        "unit": unit,
        "basis": basis,
        "range": words.between(*likely, name) if likely and settled else "",
        "kind": _kind(sheet, result, counted=name in ranges, words=words),
        "bar": _bar(sheet.usual.get(name), result, likely, words),
    }


def _interval(result: Result, confidence: float) -> tuple[float, float] | None:
    if not result.settled or not result.estimate.u > 0:
        return None
    return result.estimate.interval(confidence)


def _unit_and_basis(result: Result, words: Speaker) -> tuple[str, str]:
    """First the unit with what it is a share of, then method, equation or second form."""
    name, unit = result.analyte, words.unit(result.analyte)
    how = words.equation(result.equation) if result.equation else words.method(result.method)
    if name == "dm":
        return words("paper.large.of_hay", unit=unit), words("paper.large.as_received")
    if not unit:
        return words("paper.large.index"), how
    of_dry = words("paper.large.of_dry_matter", unit=unit)
    if name == "nitrate_n" and result.settled:
        as_no3 = convert_form(result.value, NitrateForm.NO3_N, NitrateForm.NO3)
        return of_dry, words("paper.large.as_no3", value=words.figure(as_no3, name))
    return of_dry, how


def _kind(sheet: Sheet, result: Result, *, counted: bool, words: Speaker) -> str:
    said = [words(f"paper.kind.{result.kind.name.lower()}")]
    if result.kind is Kind.OTHER_LABORATORY and result.laboratory:
        said = [result.laboratory]
    if result.analyte == "cp" and sheet.cp_less_nitrate is not None:
        less = words.value(sheet.cp_less_nitrate.estimate, "cp", unit=False)
        said.append(words("paper.large.cp_less", less=less))
    if counted or result.estimate.part_of(SAMPLING) > 0:
        said.append(words("paper.large.sampling_counted"))
    elif result.settled and result.estimate.u > 0:
        said.append(words("paper.large.laboratory_only"))
    elif result.settled:
        said.append(words("paper.large.no_range"))
    return "; ".join(said)


def _bar(
    usual: Usual | None, result: Result, likely: tuple[float, float] | None, words: Speaker
) -> dict[str, str]:
    name = result.analyte
    if usual is None or not result.settled:
        return {"svg": "", "alt": words("paper.large.no_usual")}
    low, high = words.figure(usual.low, name), words.figure(usual.high, name)
    value = words.value(result.estimate, name)
    said = words("paper.large.bar", value=value, low=low, high=high)
    head = (
        words("paper.large.this"),
        words("paper.large.usual_low"),
        words("paper.large.usual_high"),
    )
    drawn = usual_bar(
        result.value,
        UsualWords(low, high, words.name(name), said, head, (value, low, high)),
        usual=(usual.low, usual.high),
        likely=likely,
        palette=words.palette,
    )
    return {"svg": drawn.svg, "alt": f"{drawn.title}. {drawn.description}"}


def _caption(sheet: Sheet, words: Speaker) -> str:
    """Whose hay the bars show, how many, and what the marks are."""
    shown = [sheet.usual[one.quantity] for one in sheet.large if one.quantity in sheet.usual]
    rows = {one.feed.id: one.feed for one in shown if not one.feed.recalled}
    rows |= {one.feed.id: one.feed for one in shown if one.feed.recalled}
    if not rows:
        return ""
    named = tuple(
        (f"{words.reader.name(one.name)} {DAGGER}" if one.recalled else words.reader.name(one.name))
        + (f" ({words('paper.large.samples', n=one.samples)})" if one.samples else "")
        for one in rows.values()
    )
    said = [words("paper.large.caption", feeds=named)]
    if any(one.spread == "planning" for one in shown):
        said.append(words("paper.large.planning_spread"))
    if any(one.recalled for one in shown):
        said.append(words("paper.recalled", mark=DAGGER))
    return " ".join(said)
