"""The whole way of every lot in an office's folder, with its papers: what the demo runs."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from haywright.measure.message import Amount, Message, message

if TYPE_CHECKING:
    from haywright.bench.report import BatchReport
    from haywright.files.office import OfficeFolder
    from haywright.paper.sheet_paper import About
    from haywright.stack.lot import Lot
    from haywright.way.lot import Decision, Sample
    from haywright.words import Reader

Tell = Callable[[Message], None]


@dataclass
class Carried:
    """What a tour wrote: the files by lot, and what it found."""

    files: list[tuple[Path, Message]] = field(default_factory=list)
    lots: list[dict[str, Any]] = field(default_factory=list)
    unplanned: list[str] = field(default_factory=list)

    def wrote(self, path: Path, what: Message) -> None:
        """Note one file."""
        self.files.append((path, what))


def carry_office(
    folder: OfficeFolder, out: Path, *, made_on: date, reader: Reader, tell: Tell
) -> Carried:
    """Carry every lot of an office the whole way and write its papers.

    Parameters
    ----------
    folder
        The office, read.
    out
        Where the papers go.
    made_on
        Day printed on plans and sheets.
    reader
        Whom the papers speak to.
    tell
        Called with each step as it is done.
    """
    from haywright.bench.panel import merge_results, run_batches
    from haywright.bench.rerun import changed
    from haywright.cli.tour_bench import bench_lines
    from haywright.measure.errors import HaywrightError
    from haywright.way.lot import samples_of

    done = Carried()
    reports = run_batches(folder.batches)
    for said in bench_lines(reports, changed(folder.batches, reports)):
        tell(said)
    _bench(reports, folder, out, done, reader)
    merged = merge_results(reports)
    every = [
        s for lot in folder.lots.values() for s in samples_of(lot, folder.bags.values(), merged)
    ]
    for lot in folder.lots.values():
        tell(message("cli.tour.lot", name=lot.name or lot.id))
        _plan(lot, folder, out / lot.id, done, made_on=made_on, reader=reader)
        mine = [one for one in every if one.lot.id == lot.id]
        for sample in mine:
            _sample(sample, mine, every, folder, out / lot.id, done, made_on, reader)
    for name, asked in folder.winters.items():
        if asked.turnout is not None:
            tell(message("cli.tour.winter", name=asked.name))
            try:
                _winter(name, every, folder, out / "winter", done, made_on, reader)
            except HaywrightError as error:
                # Hay that is still on the bench keeps nobody from the papers of the other hay.
                done.unplanned.append(name)
                for why in error.messages():
                    tell(message("cli.tour.no_winter", why=why))
    return done


def lot_samples(folder: OfficeFolder, lot: str) -> tuple[list[Sample], list[Sample]]:
    """The samples of one lot, and those of every lot of the office."""
    from haywright.bench.panel import merge_results, run_batches
    from haywright.measure.errors import Refused, UnknownName
    from haywright.way.lot import samples_of

    if lot not in folder.lots:
        raise UnknownName("lot", lot, folder.lots)
    merged = merge_results(run_batches(folder.batches))
    every = [
        s for one in folder.lots.values() for s in samples_of(one, folder.bags.values(), merged)
    ]
    mine = [one for one in every if one.lot.id == lot]
    if not mine:
        raise Refused("lot", lot, key="cli.sheet.no_bag")
    return mine, every


def write_sheets(
    samples: Sequence[Sample],
    every: Sequence[Sample],
    folder: OfficeFolder,
    out: Path,
    *,
    reader: Reader,
    released: date | None = None,
) -> list[Path]:
    """Write the test sheet of each sample as PDF and as JSON; gives the paths."""
    from haywright.files.reading import write_atomic
    from haywright.paper.sheet_paper import sheet_pdf
    from haywright.paper.verdict_matter import opening_of

    written = []
    for sample in samples:
        first = _decisions(sample, samples, every, folder)[0]
        path = out / f"test-sheet{_part(sample)}.pdf"
        about = _about(sample, folder, released)
        pdf = sheet_pdf(sample.sheet, about, opening_of(first.verdict, reader), reader)
        write_atomic(path, pdf)
        text = json.dumps(sample.sheet.to_json(), indent=1, ensure_ascii=False)
        write_atomic(path.with_suffix(".json"), text + "\n")
        written += [path, path.with_suffix(".json")]
    return written


def _part(sample: Sample) -> str:
    return f"-{sample.part.replace(' ', '-')}" if sample.part else ""


def _about(sample: Sample, folder: OfficeFolder, released: date | None) -> About:
    from haywright.paper.sheet_paper import About

    return About(
        folder.office,
        sample.lot.id,
        sample.name,
        folder.ranches[sample.lot.ranch].name if sample.lot.ranch else "",
        released=released,
        bag=sample.bags[0],
        bales=sample.bales,
        laboratory=folder.batches[0].laboratory if folder.batches else "",
    )


def _decisions(
    sample: Sample, mine: Sequence[Sample], every: Sequence[Sample], folder: OfficeFolder
) -> list[Decision]:
    """The verdict for each group of the ranch; for bred cows where no ranch is named."""
    from haywright.way.lot import cleanest, decisions_of

    same = [s for s in every if s.lot.ranch == sample.lot.ranch]
    ranch = folder.ranches.get(sample.lot.ranch)
    clean = cleanest(same, besides=sample)
    return decisions_of(sample, mine, office=folder.office, ranch=ranch, clean_feed=clean)


def _bench(
    reports: Iterable[BatchReport], folder: OfficeFolder, out: Path, done: Carried, reader: Reader
) -> None:
    from haywright.files.reading import write_atomic
    from haywright.paper.batch_paper import batch_pdf
    from haywright.words import say

    for report in reports:
        path = out / "bench" / f"{report.batch.id}.json"
        write_atomic(path, json.dumps(report.to_json(), indent=1, ensure_ascii=False) + "\n")
        text = "\n".join(say(line, reader) for line in report.lines())
        write_atomic(path.with_suffix(".txt"), text + "\n")
        pdf = batch_pdf(report, reader, paper=folder.office.paper, office=folder.office.name)
        write_atomic(path.with_suffix(".pdf"), pdf)
    done.wrote(out / "bench", message("cli.tour.bench_files"))


def _plan(
    lot: Lot, folder: OfficeFolder, out: Path, done: Carried, *, made_on: date, reader: Reader
) -> None:
    from haywright.files.reading import write_atomic
    from haywright.paper.plan_paper import plan_pdf
    from haywright.paper.yard import yard_sheet
    from haywright.stack.plan import make_plan

    plan = make_plan(lot)
    path = out / "sampling-plan.pdf"
    ranch = folder.ranches[lot.ranch].name if lot.ranch else ""
    yard = yard_sheet(plan, folder.office, reader, ranch=ranch, made_on=made_on)
    write_atomic(path, plan_pdf(yard, reader))
    done.wrote(path, message("cli.tour.plan"))


def _sample(
    sample: Sample,
    mine: Sequence[Sample],
    every: Sequence[Sample],
    folder: OfficeFolder,
    out: Path,
    done: Carried,
    made_on: date,
    reader: Reader,
) -> None:
    from haywright.files.reading import write_atomic
    from haywright.paper.decision_paper import decision_pdf
    from haywright.paper.label_paper import labels_pdf

    sheets = write_sheets([sample], every, folder, out, reader=reader, released=made_on)
    done.wrote(sheets[0], message("cli.tour.sheet"))
    part = _part(sample)
    write_atomic(out / f"bag-label{part}.pdf", labels_pdf(sample.bags, reader))
    about = _about(sample, folder, made_on)
    decisions = _decisions(sample, mine, every, folder)
    for one in decisions:
        name = f"decision{part}-{one.group.name.replace(' ', '-')}"
        write_atomic(out / f"{name}.pdf", decision_pdf(one.verdict, about, reader))
        write_atomic(out / f"{name}.txt", "\n".join(_decision_text(one, folder, reader)) + "\n")
    payload = _decision_json(sample, decisions, folder)
    path = out / f"decision{part}.json"
    write_atomic(path, json.dumps(payload, indent=1, ensure_ascii=False) + "\n")
    done.wrote(out / f"decision{part}-*.pdf", message("cli.tour.decision"))
    done.lots.append(_summary(sample, decisions, about))


def _winter(
    name: str,
    every: Sequence[Sample],
    folder: OfficeFolder,
    out: Path,
    done: Carried,
    made_on: date,
    reader: Reader,
) -> None:
    from haywright.cli.bunk_winter import plan_of_office
    from haywright.cli.bunk_winter_lines import winter_json, winter_lines
    from haywright.files.reading import write_atomic
    from haywright.paper.feeding_cards import cards_pdf
    from haywright.paper.winter_answer import matter_of
    from haywright.paper.winter_paper import winter_pdf
    from haywright.words import say

    answer, changes = plan_of_office(folder, name, samples=every)
    lines = winter_lines(answer, changes, units=reader.units)
    text = "\n".join(line if isinstance(line, str) else say(line, reader) for line in lines)
    write_atomic(out / f"{name}.txt", text + "\n")
    payload = json.dumps(winter_json(answer, changes), indent=1, ensure_ascii=False)
    write_atomic(out / f"{name}.json", payload + "\n")
    done.wrote(out / f"{name}.txt", message("cli.tour.winter_file"))
    plan, cards = out / f"{name}.pdf", out / f"{name}-cards.pdf"
    matter = matter_of(answer, folder.office, changes=changes, made_on=made_on)
    write_atomic(plan, winter_pdf(matter, reader))
    write_atomic(cards, cards_pdf(matter, reader))
    done.wrote(plan, message("winter_paper.tour.plan"))
    done.wrote(cards, message("winter_paper.tour.cards"))


def _decision_text(one: Decision, folder: OfficeFolder, reader: Reader) -> Iterator[str]:
    from haywright.cli.bunk import verdict_lines
    from haywright.words import say

    for line in verdict_lines(one.verdict.question, one.verdict):
        yield line if isinstance(line, str) else say(line, reader)
    yield ""
    yield from (say(line, reader) for line in value_lines(one.sample, folder, barred=_barred(one)))


def _barred(one: Decision) -> bool:
    return one.verdict.share == 0.0


def value_lines(sample: Sample, folder: OfficeFolder, *, barred: bool) -> Iterator[Message]:
    """What a pound of protein and of TDN costs in this hay at its asking price."""
    from haywright.way.lot import value_of

    price = folder.asking.get(sample.lot.id)
    dm = sample.sheet.get("dm")
    if price is None or dm is None or not dm.settled:
        return
    line = value_of(sample, price, barred=barred).lines[0]
    yield message("cli.tour.value.price", price=Amount(price.rounded(2), "$/short_ton", digits=2),
                  dry=Amount(line.dry_matter.rounded(2), "$/short_ton", digits=2))  # fmt: skip
    for name, cost in line.costs.items():
        quantity = message("measure.quantity", id=name)
        if cost is None:
            yield message("cli.tour.value.none", quantity=quantity)
        else:
            money = Amount(float(cost.money), f"$/{cost.unit}", digits=3)
            yield message("cli.tour.value.cost", quantity=quantity, cost=money)


def _decision_json(
    sample: Sample, decisions: Sequence[Decision], folder: OfficeFolder
) -> dict[str, Any]:
    from haywright.way.lot import value_of

    price, dm = folder.asking.get(sample.lot.id), sample.sheet.get("dm")
    value = None
    if price is not None and dm is not None and dm.settled:
        line = value_of(sample, price).lines[0]
        value = {
            "price_per_short_ton": str(price.rounded(2)),
            "currency": price.currency,
            "per_short_ton_dry_matter": str(line.dry_matter.rounded(2)),
            "cost_per_unit": {
                name: {"money": round(float(cost.money), 4), "unit": cost.unit}
                for name, cost in line.costs.items()
                if cost is not None
            },
        }
    return {
        "lot": sample.lot.id,
        "part": sample.part,
        "bags": [str(bag.code) for bag in sample.bags],
        "sheet": sample.sheet.to_json(),
        "value": value,
        "decisions": [{"group": one.group.name, **one.verdict.to_json()} for one in decisions],
    }


def _summary(sample: Sample, decisions: Sequence[Decision], about: About) -> dict[str, Any]:
    return {
        "lot": sample.lot.id,
        "name": about.lot_name,
        "interim": sample.sheet.interim,
        "pending": tuple(message("measure.quantity", id=one) for one in sample.sheet.pending),
        "decisions": decisions,
    }


def _interim(pending: tuple[Message, ...]) -> Iterator[Message]:
    if pending:
        yield message("cli.tour.interim", tests=pending)
    else:
        yield message("cli.tour.interim_held")


def closing(done: Carried, out: Path, *, invented: bool) -> Iterator[Message | str]:
    """The summary in plain words: what was decided of each hay, and where each paper is.

    Parameters
    ----------
    done, out
        What was carried, and where its papers are.
    invented
        Whether it is the demo, which says so.
    """
    from haywright.bunk.hazards.nitrate import told

    yield message("cli.tour.done")
    for one in done.lots:
        yield ""
        yield message("cli.tour.hay", name=one["name"])
        if one["interim"]:
            yield from _interim(one["pending"])
        said = (told.sentence(decision.verdict) for decision in one["decisions"])
        for verdict in dict.fromkeys(said):
            yield message("cli.tour.verdict", said=verdict)
    yield ""
    yield message("cli.tour.papers", folder=str(out))
    for path, what in done.files:
        yield message("cli.tour.paper", path=str(path.relative_to(out)), what=what)
    yield ""
    if invented:
        yield message("cli.tour.invented")
    yield message("bunk.nitrate.caution.ask")
    if invented:
        yield message("cli.tour.open")
