"""One number of a test sheet: what it is worth, and how it came about down to the readings."""

from __future__ import annotations

from haywright.measure.result import Result
from haywright.paper import blocks
from haywright.paper.large import SAMPLING, Ranges
from haywright.paper.sheet_sections import evidence_section, laboratory_alone
from haywright.paper.speaker import Speaker
from haywright.sheet.sheet import Sheet

# Steps down to the readings; evidence is never deeper than a result of a result of a run.
DEEPEST = 12


def number_sections(
    sheet: Sheet, result: Result, ranges: Ranges, words: Speaker
) -> list[blocks.Block]:
    """What a number is worth, then how it came about.

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
    return [one for one in (worth, told, said) if one is not None]


def _worth(sheet: Sheet, result: Result, ranges: Ranges, words: Speaker) -> list[tuple[str, str]]:
    name, confidence = result.analyte, sheet.choices.confidence
    laboratory, sampling = result.estimate, ""
    if result.estimate.part_of(SAMPLING) > 0:
        laboratory = laboratory_alone(result.estimate)
        sampling = words.likely(result.estimate, name, confidence)
    if name in ranges:
        sampling = words.between(*ranges[name], name)
    received = sheet.as_received.get(name)
    rows = {
        "value": words.value(result.estimate, name),
        "received": words.value(received, name) if received is not None else "",
        "laboratory": words.likely(laboratory, name, confidence),
        "sampling": sampling,
        "kind": words(f"paper.kind.{result.kind.name.lower()}"),
        "method": words.method(result.method),
        "equation": words.equation(result.equation) if result.equation else "",
        "who": result.laboratory,
        "report": result.report,
    }
    return [(words(f"paper.number.{key}"), value) for key, value in rows.items() if value]
