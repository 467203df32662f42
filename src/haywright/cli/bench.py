"""Commands of the bench: a batch of readings becomes results, and what may be released is said."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from haywright.cli import bench_panel, bench_papers, bench_quality, bench_season, bench_tables
from haywright.cli.common import EXIT_HELD, Json, Units, answer, command_errors

if TYPE_CHECKING:
    from haywright.bench.batch import Batch
    from haywright.bench.report import BatchReport
    from haywright.measure.message import Message

app = typer.Typer(
    no_args_is_help=True,
    help="The laboratory: readings of a batch become results, duplicates and checks are judged.",
)

bench_quality.add_to(app)
bench_papers.add_to(app)
bench_season.add_to(app)
bench_panel.add_to(app)
bench_tables.add_to(app)


@app.command()
@command_errors
def run(
    folder: Annotated[
        Path, typer.Argument(help="The batch: a folder with batch.toml and readings.csv.")
    ],
    dry: Annotated[
        list[Path] | None,
        typer.Option(
            "--dry",
            help="A batch of the same bags that this one leans on, such as their dry matter. "
            "May be given several times.",
        ),
    ] = None,
    pdf: Annotated[
        Path | None,
        typer.Option("--pdf", help="Print the report of the batch into this file (PDF)."),
    ] = None,
    paper: Annotated[
        str, typer.Option(help="letter or a4; the office's own, else letter, when left out.")
    ] = "",
    show: Units = "us",
    json: Json = False,
) -> None:
    """Work a batch: results with their doubt, what may be released, what not and why.

    The results are also written beside the readings, as results.json. A batch with anything held
    or above its range ends with exit code 3. With --pdf the same report is printed: every reading,
    the calibration drawn, the controls, the doubt of each result.

    Example: haywright bench run batches/2026-09-22-nitrate --dry batches/2026-09-22-dry-matter
    """
    from haywright.bench.decide import Verdict
    from haywright.bench.panel import run_batches
    from haywright.files.batches import read_batch, write_results

    batches: list[Batch] = [read_batch(path) for path in (folder, *(dry or ()))]
    reports = {one.batch.id: one for one in run_batches(batches)}
    report = reports[batches[0].id]
    written = write_results(folder, report)
    if pdf is not None:
        bench_papers.print_report(report, folder, pdf, paper=paper, units=show)
    answer(report.to_json(), [*report.lines(), *_tail(report, written)], json=json, units=show)
    if report.decision.verdict is not Verdict.RELEASE:
        raise typer.Exit(EXIT_HELD)


def _tail(report: BatchReport, written: Path) -> list[str | Message]:
    from haywright.measure.message import message

    return [*report.cautions, message("bench.report.written", path=str(written))]


@app.command()
@command_errors
def begin(
    folder: Annotated[Path, typer.Argument(help="Folder of the batch; it must not exist yet.")],
    determination: Annotated[
        str, typer.Option("--of", help="What is determined, such as nitrate or dry_matter.")
    ],
    method: Annotated[str, typer.Option("--by", help="Its method; see: haywright bench methods.")],
    bag: Annotated[
        list[str] | None, typer.Option("--bag", help="Code of a bag. May be given several times.")
    ] = None,
    day: Annotated[
        str, typer.Option("--day", help="Day of the run, such as 2026-09-22; today if left out.")
    ] = "",
    json: Json = False,
) -> None:
    """Lay out a batch to fill in: its form, and a table with a row for each position."""
    from haywright.measure.message import message

    written = bench_papers.lay_out(folder, determination, method, bags=bag or [], day=day)
    lines = [message("bench.form.written", path=path) for path in written]
    answer({"written": written}, lines, json=json)


@app.command()
@command_errors
def methods(
    determination: Annotated[
        str, typer.Argument(help="One determination, such as nitrate; all when left out.")
    ] = "",
    json: Json = False,
) -> None:
    """Which determinations and methods there are, and which columns their readings have."""
    from haywright.bench.pattern import determination as called
    from haywright.bench.pattern import determinations
    from haywright.measure.message import message

    known = [called(determination)] if determination else list(determinations().values())
    payload = {
        one.id: {
            name: {
                "name": method.label,
                "columns": [column.name for column in method.columns],
                "choices": {c.name: list(c.options) for c in method.choices},
            }
            for name, method in one.methods.items()
        }
        for one in known
    }
    lines: list[str | Message] = []
    for one in known:
        lines.append(message("bench.methods.determination", id=one.id, name=one.name))
        for name, method in one.methods.items():
            lines.append(message("bench.methods.method", id=name, name=method.label))
            columns = tuple(column.name for column in method.columns)
            lines.append(message("bench.methods.columns", columns=columns))
            lines += [
                message(
                    "bench.methods.choice" if choice.options else "bench.methods.number",
                    name=choice.name,
                    options=choice.options,
                )
                for choice in method.choices
            ]
    answer(payload, lines, json=json)
