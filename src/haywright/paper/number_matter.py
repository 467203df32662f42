"""One number of a test sheet: what it is worth, and how it came about down to the readings."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from haywright.measure.analytes import dictionary
from haywright.measure.estimate import Estimate, State
from haywright.measure.register import Equation, get, resolved
from haywright.measure.result import Kind, Result
from haywright.paper import blocks
from haywright.paper.large import SAMPLING, Ranges
from haywright.paper.sheet_sections import (
    evidence_section,
    laboratory_alone,
    report_named,
    sampling_alone,
)
from haywright.paper.speaker import Speaker
from haywright.sheet.sheet import Sheet
from haywright.words.numbers import NBSP

# Steps down to the readings; evidence is never deeper than a result of a result of a run.
DEEPEST = 12
MOST_PARTS = 6
LEAST_NAMED = 0.01  # share of the doubt, below which a part is named no more


def number_sections(
    sheet: Sheet, result: Result, ranges: Ranges, words: Speaker
) -> list[blocks.Block]:
    """What a number is worth, by which equation, what its doubt is made of, how it came about.

    Parameters
    ----------
    sheet
        Where it stands.
    result
        The number.
    ranges
        Likely ranges with sampling counted, by quantity.
    words
        Who says it.
    """
    told = evidence_section(result, words, deep=DEEPEST)
    worth = blocks.section(
        words("paper.number.worth"), blocks.data_list(_worth(sheet, result, ranges, words))
    )
    notes = [blocks.text(one, kind="small") for one in words.every(result.notes)]
    said = blocks.section(words("paper.number.notes"), *notes) if notes else None
    by = _equation_section(get(result.equation), words) if result.equation else None
    made = (worth, by, doubt_section(result, ranges, words), told, said)
    return [one for one in made if one is not None]


def whole_value(result: Result, words: Speaker) -> str:
    """The number with its unit and basis: "1,120 mg/kg of dry matter"."""
    if result.estimate.state is State.HELD:
        return words("paper.number.held")
    said, basis = words.value(result.estimate, result.analyte), dictionary()[result.analyte].basis
    if not words.unit(result.analyte) or not basis:
        return said
    if basis == "dry matter":
        return f"{said} {words('paper.of_dry_matter')}"
    if basis == "as received":
        return f"{said} {words('paper.large.as_received')}"
    return words("paper.results.of_basis", value=said, basis=words.reader.name(basis))


def made_from(sheet: Sheet, result: Result) -> list[str]:
    """The numbers of the sheet that a calculated one was worked out from."""
    if not result.equation:
        return []
    return [one.name for one in get(result.equation).inputs if sheet.get(one.name) is not None]


def goes_into(sheet: Sheet, name: str) -> list[str]:
    """The numbers of the sheet that are worked out from one."""
    return [one.analyte for one in sheet.derived.values() if name in made_from(sheet, one)]


def _worth(sheet: Sheet, result: Result, ranges: Ranges, words: Speaker) -> list[tuple[str, str]]:
    name, confidence = result.analyte, sheet.choices.confidence
    laboratory, sampling, counted = result.estimate, "", ""
    if result.estimate.part_of(SAMPLING) > 0:
        laboratory = laboratory_alone(result.estimate)
        sampling = _likely(sampling_alone(result.estimate), name, confidence, words)
        counted = _likely(result.estimate, name, confidence, words)
    if name in ranges:
        counted = _in_its_unit(words.between(*ranges[name], name), name, words)
    received = sheet.as_received.get(name)
    method = "" if result.kind is Kind.CALCULATED else words.method(result.method)
    rows = {
        "value": whole_value(result, words),
        "received": words.value(received, name) if received is not None else "",
        "laboratory": _likely(laboratory, name, confidence, words),
        "sampling_alone": sampling,
        "sampling": counted,
        "kind": words(f"paper.kind.{result.kind.name.lower()}"),
        "method": method,
        "who": result.laboratory,
        "report": report_named(result, words),
    }
    return [(words(f"paper.number.{key}"), value) for key, value in rows.items() if value]


def _likely(estimate: Estimate, name: str, confidence: float, words: Speaker) -> str:
    """The likely range of a number with its unit; nothing for one that has none."""
    said = words.likely(estimate, name, confidence)
    return _in_its_unit(said, name, words) if said else ""


def _in_its_unit(said: str, name: str, words: Speaker) -> str:
    unit = words.unit(name)
    return f"{said}{NBSP}{unit}" if unit else said


def _equation_section(one: Equation, words: Speaker) -> blocks.Block:
    """The equation of a calculated number: whose it is, how well it is known, what it holds for."""
    rows = {
        "equation": words.equation(one.id),
        "source": words.source(one.source),
        "known": words(f"paper.number.mark.{one.mark.value}"),
        "holds": "; ".join(_holds(one, words)),
    }
    items = [(words(f"paper.number.{key}"), value) for key, value in rows.items() if value]
    return blocks.section(words("paper.number.by"), blocks.data_list(items))


def _holds(one: Equation, words: Speaker) -> Iterator[str]:
    units = {term.name: term.unit for term in resolved(one)} if one.valid else {}
    for name, (low, high) in one.valid.items():
        reach = words("paper.range", low=words.plain(low), high=words.plain(high))
        yield f"{words.name(name)} {reach} {units[name]}"


def doubt_section(result: Result, ranges: Ranges, words: Speaker) -> blocks.Block | None:
    """What the doubt of a number is made of, the largest first, sampling and laboratory apart."""
    total = result.estimate.u**2
    if not result.settled or not total > 0:
        return None
    squares: dict[tuple[bool, str], float] = {}
    for source, u in result.estimate.parts.items():
        key = (source.id.startswith(SAMPLING), words.said(source.label).rstrip("."))
        squares[key] = squares.get(key, 0.0) + u * u
    largest = sorted(squares.items(), key=lambda one: -one[1])
    named = [one for one in largest[:MOST_PARTS] if one[1] >= LEAST_NAMED * total]
    rest = math.fsum(square for _, square in largest[len(named) :]) / total
    shares = [square / total for _, square in named] + ([rest] if rest > 0 else [])
    said = [_share(*one, words) for one in zip(shares, whole_percents(shares), strict=True)]
    rows = [_doubt_row(label, one, words) for (label, _), one in zip(named, said, strict=False)]
    if rest > 0:
        rows.append([words("paper.number.doubt.rest"), "", said[-1]])
    head = [words(f"paper.number.doubt.{one}") for one in ("what", "whose", "share")]
    table = blocks.table(head, rows, align="llr", widths=(3, 1, 1))
    apart = result.analyte in ranges and not any(sampling for sampling, _ in squares)
    more = [blocks.text(words("paper.number.doubt.bales"), kind="small")] if apart else []
    return blocks.section(words("paper.number.doubt"), table, *more)


def whole_percents(shares: Sequence[float]) -> list[int]:
    """Shares of one whole as whole per cent that add up to it; the largest remainders go up.

    Parameters
    ----------
    shares
        [0 to 1], together 1; one under a hundredth is said as such and takes no whole per cent.
    """
    counted = [100 * one if one >= LEAST_NAMED else 0.0 for one in shares]
    whole = [math.floor(one) for one in counted]
    left = 100 - sum(whole)
    by_remainder = sorted(
        (n for n, one in enumerate(counted) if one), key=lambda n: whole[n] - counted[n]
    )
    for n in by_remainder[:left]:
        whole[n] += 1
    return whole


def _doubt_row(label: tuple[bool, str], share: blocks.Cell, words: Speaker) -> list[blocks.Cell]:
    sampling, said = label
    whose = words("paper.number.doubt.sampling" if sampling else "paper.number.doubt.laboratory")
    return [said[:1].upper() + said[1:], whose, share]


def _share(share: float, percent: int, words: Speaker) -> blocks.Cell:
    said = words.percent(percent / 100) if percent else words("paper.number.doubt.least")
    return blocks.cell(said, share=share)
