"""Sections of a batch report: controls, calibration, readings, equipment, sources of limits."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from haywright.bench.batch import Batch, Position, PositionKind
from haywright.bench.findings import Control, Outcome
from haywright.bench.read_back import ReadBack, read_back
from haywright.bench.report import BatchReport
from haywright.measure.analytes import quantity
from haywright.measure.message import message
from haywright.paper import blocks
from haywright.paper.calibration_charts import curve_chart, residual_chart
from haywright.paper.speaker import DAGGER, Speaker, decimals_of
from haywright.paper.worksheet_paper import named

_WORST = (Outcome.FAILED, Outcome.WARNED, Outcome.NOT_JUDGED, Outcome.PASSED)
# Kind of position -> kinds of control that speak of it without naming its place.
_SPOKEN_OF = {
    PositionKind.CHECK: ("check",),
    PositionKind.BLANK: ("blank",),
    PositionKind.STANDARD: ("standards",),
    PositionKind.SPIKE: ("spike",),
}
_OF_BAGS = (PositionKind.BAG, PositionKind.DUPLICATE)
_COLUMNS, _GIVES = 7, 2


def controls_section(report: BatchReport, words: Speaker) -> blocks.Block:
    """Every control: what was found against which rule and limit, and how it came out."""
    rows: list[list[blocks.Cell]] = []
    for outcome in _WORST:
        said: dict[str, Control] = {}
        for one in report.controls:
            if one.outcome is outcome:
                said.setdefault(words.said(one.said), one)
        for text, one in said.items():
            mark = f" {DAGGER}" if one.mark == "recalled" else ""
            rows.append([words(f"bench_paper.outcome.{outcome.name.lower()}"), f"{text}{mark}"])
    head = [words("bench_paper.controls.verdict"), words("bench_paper.controls.found")]
    note = words("bench_paper.controls.note") if any(c.mark == "recalled" for c in
                                                     report.controls) else ""  # fmt: skip
    tight = len(rows) > 12
    return blocks.section(
        words("bench_paper.controls.head"),
        blocks.table(head, rows, widths=(0.8, 4.2), tight=tight),
        note=note,
    )


def calibration_section(report: BatchReport, words: Speaker) -> blocks.Block | None:
    """The curve, what the standards leave over it, and what each reads back as."""
    found = [
        one
        for curve in report.curves.values()
        if (one := read_back(report.batch, report.method, curve)) is not None
    ]
    if not found:
        return None
    matter = [block for one in found for block in _curve(one, report, words)]
    return blocks.section(words("bench_paper.curve.head"), *matter, wide=True)


def _curve(one: ReadBack, report: BatchReport, words: Speaker) -> list[blocks.Block]:
    name = words.said(report.determination.name)
    curve = curve_chart(one, words, name=name, width=230)
    left = residual_chart(one, words, name=name, width=230)
    pictures = [blocks.picture(p, width=p.width) for p in (curve, left)]
    digits = max(0, 1 - math.floor(math.log10(one.curve.fit.s))) if one.curve.fit.s > 0 else 0
    rows = [
        (
            s.sample,
            words.exactly(s.known),
            words.count(s.back, 3),
            "" if s.off_pct is None else words.count(s.off_pct, 1),
            words.count(s.residual, digits),
        )
        for s in one.standards
    ]
    head = [words(f"bench_paper.curve.{n}") for n in ("standard", "known", "back", "off", "left")]
    table = blocks.table(head, rows, align="lrrrr", widths=(1.3, 0.9, 0.9, 0.8, 1), tight=True)
    tried = [blocks.text(said, kind="small") for said in _tried(one, words)]
    return [blocks.beside(pictures, [table, *tried], widths=(1, 1.2))]


def _tried(one: ReadBack, words: Speaker) -> list[str]:
    """The curve in numbers, its range, and what was tried on it."""
    figures = one.to_json()
    lack, runs = figures["lack_of_fit"], figures["residual_runs"]
    formula = words(
        f"bench_paper.curve.form.{one.curve.model.value}",
        **{f"b{power}": words.count(value, 6) for power, value in one.curve.coefficients.items()},
    )
    said = [
        formula,
        words("bench_paper.curve.weights", weights=one.curve.weighting.value),
        words("bench_paper.curve.sd", sd=words.plain(one.curve.fit.s), df=one.curve.fit.df),
        words("bench_paper.curve.range", low=words.plain(one.low), high=words.plain(one.high)),
        words("bench_paper.curve.runs", runs=runs["runs"], p=words.count(runs["p"], 2)),
    ]
    if lack is None:
        return [*said, words("bench_paper.curve.no_repeats")]
    return [*said, words("bench_paper.curve.lack", f=words.count(lack["f"], 2),
                         p=words.count(lack["p"], 3))]  # fmt: skip


def readings_section(report: BatchReport, words: Speaker) -> blocks.Block:
    """Every place in the order of the run: what was read, what it gave, what became of it."""
    batch = report.batch
    columns = [
        column.name
        for column in report.method.columns
        if any(one.has(column.name) for one in batch.positions)
    ]
    gave = {name for values in report.portions.values() for name in values}
    leads = [lead.portion for lead in report.method.leads if lead.portion in gave]
    gives = leads if len(leads) <= _GIVES else []
    timed = any(one.read_at for one in batch.positions)
    parts = [columns[n : n + _COLUMNS] for n in range(0, len(columns), _COLUMNS)] or [[]]
    tables = [
        _readings(report, part, gives if last else [], words, timed=timed and first, last=last)
        for n, part in enumerate(parts)
        for first, last in [(n == 0, n == len(parts) - 1)]
    ]
    return blocks.section(words("bench_paper.readings.head"), *tables, wide=True)


def _readings(
    report: BatchReport,
    columns: Sequence[str],
    gives: Sequence[str],
    words: Speaker,
    *,
    timed: bool,
    last: bool,
) -> blocks.Block:
    decimals = {c: _decimals(report.batch, c) for c in columns}
    rows: list[list[blocks.Cell]] = []
    for one in report.batch.positions:
        what = named(one, words)
        cells: list[blocks.Cell] = [str(one.order), blocks.cell(what["text"], small=what["small"])]
        if timed:
            cells.append(one.read_at.strftime("%m-%d %H:%M %z") if one.read_at else "")
        cells += [words.count(one.readings[c], decimals[c]) if one.has(c) else "" for c in columns]
        gave = report.portions.get(one.order, {})
        cells += [words.figure(gave[g], g) if g in gave else "" for g in gives]
        if last:
            cells.append(became(one, report, words))
        rows.append(cells)
    head = [words("bench_paper.run.place"), words("bench_paper.run.what")]
    head += [words("bench_paper.run.read_at")] if timed else []
    head += [_with_unit(name, words) for name in columns]
    head += [words("bench_paper.readings.gives", what=_with_unit(name, words)) for name in gives]
    head += [words("bench_paper.readings.became")] if last else []
    numbers = len(columns) + len(gives)
    align = "rl" + ("l" if timed else "") + "r" * numbers + ("l" if last else "")
    widths = [0.5, 1.7, *([1.3] if timed else []), *[1.0] * numbers, *([1.4] if last else [])]
    return blocks.table(head, rows, align=align, widths=widths, tight=True)


def _decimals(batch: Batch, column: str) -> int:
    """Decimals of the reading with most of them, so that none is cut and all stand alike."""
    read = [one.readings[column] for one in batch.positions if one.has(column)]
    return max((decimals_of(one) for one in read), default=0)


def _with_unit(name: str, words: Speaker) -> str:
    unit = quantity(name).unit and words.unit(name)
    return f"{words.name(name)}, {unit}" if unit else words.name(name)


def became(one: Position, report: BatchReport, words: Speaker) -> str:
    """What became of one place of the run."""
    cause = report.batch.voids.get(one.order)
    if cause is not None:
        return words("bench_paper.became.void", cause=cause)
    if one.kind in _OF_BAGS:
        return words(f"bench_paper.became.{_of_bag(one.sample, report)}")
    spoken = [c for c in report.controls if one.order in c.positions]
    spoken += [c for c in report.controls if not c.positions and c.kind in
               _SPOKEN_OF.get(one.kind, ())]  # fmt: skip
    outcome = _worst(spoken)
    return "" if outcome is None else words(f"bench_paper.outcome.{outcome.name.lower()}")


def _of_bag(bag: str, report: BatchReport) -> str:
    decision = report.decision
    if bag in decision.waiting:
        return "waiting"
    held = any(one.bag == bag for one in decision.held)
    above = any(name == bag for name, _ in decision.beyond)
    if decision.released.get(bag):
        return "in_part" if held or above else "released"
    return "held" if held else "beyond"


def _worst(spoken: Iterable[Control]) -> Outcome | None:
    found = {one.outcome for one in spoken}
    return next((outcome for outcome in _WORST if outcome in found), None)


def equipment_section(report: BatchReport, words: Speaker) -> blocks.Block | None:
    """What was used, its last check, and what was opened for the run."""
    rows: list[list[blocks.Cell]] = []
    for one in report.batch.equipment:
        checks = "; ".join(
            words("bench_paper.tool.check", should=words.exactly(should), was=words.exactly(was))
            for should, was in one.checks
        )
        day = words.day(one.checked_on) if one.checked_on else ""
        if one.expires is not None:
            day = words("bench_paper.tool.until", day=words.day(one.expires))
            checks = words("bench_paper.tool.of_lot", lot=one.lot) if one.lot else checks
        kind = words.said(message(f"bench.equipment.kind.{one.kind}"))
        rows.append([one.name, kind, day, checks])
    if not rows:
        return None
    head = [words(f"bench_paper.tool.{n}") for n in ("name", "what", "checked_on", "check_head")]
    table = blocks.table(head, rows, widths=(1.2, 0.8, 1.2, 2), tight=True)
    return blocks.section(words("bench_paper.tool.used"), table)


def sources_section(report: BatchReport, words: Speaker) -> blocks.Block | None:
    """Where the limits come from."""
    keys = dict.fromkeys(one.source for one in report.controls if one.source)
    said = list(dict.fromkeys(words.source(key) for key in keys))
    if not said:
        return None
    lines = [blocks.text(one, kind="small") for one in said]
    return blocks.section(words("bench_paper.sources.head"), *lines)
