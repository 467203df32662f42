"""The report of a batch on paper: what was run, what came of it, what may go out and why."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from haywright.bench.report import BatchReport, digits_of
from haywright.measure.estimate import State
from haywright.measure.message import Amount, Message
from haywright.measure.result import Result
from haywright.paper import blocks
from haywright.paper.batch_doubt import doubt_sections
from haywright.paper.batch_sections import (
    calibration_section,
    controls_section,
    equipment_section,
    readings_section,
    sources_section,
)
from haywright.paper.chosen import choice_name, choice_said
from haywright.paper.speaker import Speaker
from haywright.paper.typeset import set_pdf
from haywright.paper.worksheet_paper import PAPER_NAMES
from haywright.words import Reader

# Most results that stand beside one another.
_ACROSS = 6
PLUS_MINUS = "\N{PLUS-MINUS SIGN}"


def batch_pdf(
    report: BatchReport,
    reader: Reader,
    *,
    paper: str = "letter",
    office: str = "",
    since: Sequence[str] = (),
) -> bytes:
    """The report of a batch as PDF.

    Parameters
    ----------
    report
        What came of the batch.
    reader
        Who reads it.
    paper
        letter or a4.
    office
        Name of the office that prints it.
    since
        What became of it since the bench wrote it, in words.
    """
    data = batch_data(report, reader, paper=paper, office=office, since=since)
    return set_pdf("batch_report", data)


def batch_data(
    report: BatchReport,
    reader: Reader,
    *,
    paper: str = "letter",
    office: str = "",
    since: Sequence[str] = (),
) -> dict[str, Any]:
    """The report as the template takes it; every text is ready. What else: ``batch_pdf``."""
    words = Speaker(reader)
    batch = report.batch
    day = words.day(batch.run_on)
    title = words("bench_paper.report.title", batch=batch.id)
    sections = [
        _released(report, words),
        _again(report, words),
        _before(report, words),
        controls_section(report, words),
        calibration_section(report, words),
        *doubt_sections(report, words),
        readings_section(report, words),
        _how(report, words),
        equipment_section(report, words),
        _cautions(report, words),
        sources_section(report, words),
    ]
    first, *_ = report.decision.lines()
    head = office or batch.laboratory
    return {
        "language": reader.language,
        "paper": PAPER_NAMES[paper],
        "title": title,
        "head": {"name": words("paper.name"), "office": head, "call": ""},
        "kicker": [words("bench_paper.report.name"), batch.id, day,
                   *([batch.analyst] if batch.analyst else [])],
        "mark": None,
        "verdict": [words.said(first)],
        "lede": words("bench_paper.report.lede", what=report.determination.name,
                      method=report.method.label, n=len(batch.bags)),
        "standing": [*since, _made_up(report, words)],
        "sections": [one for one in sections if one is not None],
        "foot": {
            "left": f"{title}, {day}. {words('bench_paper.report.speaks')}",
            "emergency": "",
            "page": words("paper.page", page="{page}", pages="{pages}"),
        },
    }  # fmt: skip


def _made_up(report: BatchReport, words: Speaker) -> str:
    batch = report.batch
    said = [words("bench_paper.report.places", places=len(batch.positions))]
    if batch.ordered_by:
        said.append(words(f"bench_paper.order.{batch.ordered_by}"))
    if batch.rerun_of:
        said.append(words("bench_paper.report.rerun", batch=batch.rerun_of,
                          cause=batch.rerun_cause))  # fmt: skip
    return " ".join(said)


def result_said(one: Result, words: Speaker, *, unit: bool = True) -> str:
    """A result with its expanded doubt: "1,070 ± 120 mg/kg", or in words where it has none."""
    if one.estimate.state is not State.MEASURED or not one.estimate.u > 0:
        return words.value(one.estimate, one.analyte, unit=unit)
    from haywright.bench.scatter import expanded

    half, _ = expanded(one.estimate)
    digits = digits_of(one.analyte, half)
    parts = [
        words("paper.amount", amount=Amount(value, "", analyte=one.analyte, digits=places))
        for value, places in ((one.value, None), (half, digits))
    ]
    said = f" {PLUS_MINUS} ".join(parts)
    name = words.unit(one.analyte)
    return f"{said} {name}" if unit and name else said


def _standing(bag: str, analyte: str, report: BatchReport) -> str:
    """What becomes of one result: released, held, beyond or waiting.

    What is worked from results that are released goes with them.
    """
    decision = report.decision
    if any(one.bag == bag and one.analyte == analyte for one in decision.held):
        return "held"
    if (bag, analyte) in decision.beyond:
        return "beyond"
    return "waiting" if bag in decision.waiting else "released"


def _reasons(bag: str, analyte: str, report: BatchReport) -> tuple[Message, ...]:
    return next(
        (one.reasons for one in report.decision.held if (one.bag, one.analyte) == (bag, analyte)),
        (),
    )


def _released(report: BatchReport, words: Speaker) -> blocks.Block:
    """Every result of every bag, with its doubt, and whether it may go out."""
    names = _analytes(report)
    matter = _of_one(names[0], report, words) if len(names) == 1 else _of_many(names, report, words)
    waits = [
        words("bench_paper.report.waits", bag=bag, results=tuple(words.name(n) for n in missing))
        for bag, missing in report.decision.waiting.items()
    ]
    return blocks.section(
        words("bench_paper.report.results"),
        *matter,
        *(blocks.text(said) for said in waits),
        note=words("bench_paper.report.range"),
        heavy=True,
    )


def _analytes(report: BatchReport) -> list[str]:
    names = [one.analyte for of_bag in report.results.values() for one in of_bag]
    names += [one.analyte for one in report.decision.held]
    return list(dict.fromkeys(names))


def _of_one(analyte: str, report: BatchReport, words: Speaker) -> list[blocks.Block]:
    """A row for each bag, the reason beside what is held."""
    rows: list[list[blocks.Cell]] = []
    basis = ""
    for bag in report.batch.bags:
        found = next((r for r in report.results.get(bag, ()) if r.analyte == analyte), None)
        standing = _standing(bag, analyte, report)
        said = result_said(found, words) if found else ""
        basis = str(found.basis) if found else basis
        why = " ".join(words.every(_reasons(bag, analyte, report)))
        goes = blocks.cell(words(f"bench_paper.standing.{standing}"), small=why)
        rows.append([bag, said, goes])
    head = [words(f"bench_paper.report.{one}") for one in ("bag", "found", "goes")]
    of = words.name(analyte)
    title = words("bench_paper.report.of", quantity=of, basis=basis) if basis else of
    return [blocks.text(title, kind="strong"), blocks.table(head, rows, widths=(0.9, 1.2, 2.4))]


def _of_many(names: list[str], report: BatchReport, words: Speaker) -> list[blocks.Block]:
    """A row for each bag, its results across; what is not released is said in its place."""
    out: list[blocks.Block] = []
    bases = {one.analyte: str(one.basis) for of in report.results.values() for one in of}
    tables = -(-len(names) // _ACROSS)
    each = -(-len(names) // max(tables, 1)) or 1
    for start in range(0, len(names), each):
        some = names[start : start + each]
        rows = [_across(bag, some, report, words) for bag in report.batch.bags]
        head: list[blocks.Cell] = [words("bench_paper.report.bag")]
        head += [blocks.cell(_with_unit(n, words), small=bases.get(n, "")) for n in some]
        widths = [1.1, *[1.0] * each]
        rows = [[*row, *[""] * (each - len(some))] for row in rows]
        head += [""] * (each - len(some))
        out.append(blocks.table(head, rows, align="l" + "r" * each, widths=widths, tight=True))
    if not any(one for one in (report.decision.held, report.decision.beyond,
                               report.decision.waiting)):  # fmt: skip
        out.append(blocks.text(words("bench_paper.report.all_released"), kind="strong"))
    told = ("bench.decide.held", "bench.decide.beyond")
    lines = [line for line in report.decision.lines() if line.key in told]
    return [*out, *(blocks.text(said) for said in words.every(lines))]


def _across(bag: str, names: list[str], report: BatchReport, words: Speaker) -> list[blocks.Cell]:
    found = {one.analyte: one for one in report.results.get(bag, ())}
    cells: list[blocks.Cell] = [bag]
    for name in names:
        said = result_said(found[name], words, unit=False) if name in found else ""
        standing = _standing(bag, name, report)
        mark = name in found and standing in ("held", "waiting")
        small = words(f"bench_paper.standing.{standing}") if mark else ""
        cells.append(blocks.cell(said, small=small if small != said else ""))
    return cells


def _with_unit(name: str, words: Speaker) -> str:
    return f"{words.name(name)}, {words.unit(name)}" if words.unit(name) else words.name(name)


def _again(report: BatchReport, words: Speaker) -> blocks.Block | None:
    reruns = words.every(report.decision.reruns)
    if not reruns:
        return None
    return blocks.section(words("bench_paper.report.again"), blocks.ticks(list(reruns)))


def _before(report: BatchReport, words: Speaker) -> blocks.Block | None:
    """What the first batch had given beside what this one gives."""
    rows: list[list[blocks.Cell]] = []
    for bag, results in report.before.items():
        now = {one.analyte: one for one in report.results.get(bag, ())}
        for one in results:
            after = now.get(one.analyte)
            raw = words.figure(one.value, one.analyte) if one.value == one.value else ""
            held = one.estimate.state is State.HELD and raw
            first = blocks.cell(
                words.value(one.estimate, one.analyte) if held else result_said(one, words),
                small=words("bench_paper.before.raw", value=raw) if held else "",
            )
            rows.append([bag, words.name(one.analyte), first,
                         result_said(after, words) if after else ""])  # fmt: skip
    if not rows:
        return None
    head = [words("bench_paper.report.bag"), words("bench_paper.report.result"),
            words("bench_paper.before.first", batch=report.batch.rerun_of),
            words("bench_paper.before.now")]  # fmt: skip
    return blocks.section(
        words("bench_paper.before.head"),
        blocks.table(head, rows, widths=(0.9, 1.1, 1.5, 1.5)),
        blocks.text(words("bench_paper.before.rule"), kind="small"),
    )


def _cautions(report: BatchReport, words: Speaker) -> blocks.Block | None:
    if not report.cautions:
        return None
    said = [*words.every(report.cautions), words("bench_paper.local_rules")]
    return blocks.section(words("paper.mind"), blocks.caution(words("paper.caution"), said))


def _how(report: BatchReport, words: Speaker) -> blocks.Block:
    """The method and what was chosen of it."""
    items = [(words("bench_paper.how.method"), report.method.label)]
    for one in report.method.choices:
        said = choice_said(report.batch, one.name, words)
        if said:
            items.append((words.said(choice_name(one)), said))
    items += [
        (words(f"bench_paper.how.{name}"), value)
        for name, value in (("laboratory", report.batch.laboratory),
                            ("analyst", report.batch.analyst))
        if value
    ]  # fmt: skip
    return blocks.section(words("bench_paper.choice.head"), blocks.data_list(items))
