"""Commands of several batches together: the panel of a day, and predictions held to account."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haywright.cli.common import EXIT_HELD, Json, Units, answer, command_errors

if TYPE_CHECKING:
    from haywright.bench.predictions import PredictionCheck
    from haywright.measure.message import Message
    from haywright.measure.result import Result


def add_to(app: typer.Typer) -> None:
    """Hang these commands on the bench."""
    app.command("panel")(panel)
    app.command("predicted")(predicted)


@command_errors
def panel(
    folders: Annotated[
        list[Path],
        typer.Argument(help="Batches, or folders that hold batches; reruns among them."),
    ],
    same: Annotated[
        list[str] | None,
        typer.Option(
            "--same",
            help="Code of a bag whose identity was looked at and stands. May be given several "
            "times.",
        ),
    ] = None,
    show: Units = "us",
    json: Json = False,
) -> None:
    """All batches of a day together: what each bag has, what reruns changed, bags in question.

    A result that leans on another is worked after it; one that a rerun of its parent changed is
    shown as it was and as it is. Anything held ends the command with exit code 3.

    Example: haywright bench panel batches
    """
    from haywright.bench import swaps
    from haywright.bench.panel import merge_results, run_batches
    from haywright.bench.rerun import changed
    from haywright.files.batches import batch_folders, read_batch
    from haywright.measure.estimate import State

    batches = [read_batch(path) for path in batch_folders(folders)]
    reports = run_batches(batches)
    asked = swaps.questions(reports, same=same or ())
    merged = swaps.with_holds(merge_results(reports), asked)
    changes = changed(batches, reports)
    lines: list[str | Message] = [one.said() for one in asked]
    for bag, results in sorted(merged.items()):
        lines += [_line(bag, one) for one in results.values()]
    lines += [one.said() for one in changes]
    again = {report.batch.rerun_of for report in reports}
    lines += [
        text
        for report in reports
        if report.batch.id not in again
        for text in report.decision.powder
    ]
    payload: dict[str, Any] = {
        "batches": [one.batch.id for one in reports],
        "results": {
            bag: [one.to_json() for one in results.values()] for bag, results in merged.items()
        },
        "changed": [one.to_json() for one in changes],
        "in_question": [one.to_json() for one in asked],
    }
    answer(payload, lines, json=json, units=show)
    if any(o.estimate.state is State.HELD for r in merged.values() for o in r.values()):
        raise typer.Exit(EXIT_HELD)


def _line(bag: str, one: Result) -> Message:
    from haywright.bench.report import result_line
    from haywright.measure.message import message
    from haywright.measure.result import Kind

    said = result_line(bag, one)
    if one.kind is Kind.MEASURED:
        return said
    kind = message(f"bench_more.kind.{one.kind.name.lower()}")
    return message("bench_more.panel.of_kind", said=said, kind=kind)


@command_errors
def predicted(
    table: Annotated[Path, typer.Argument(help="A table with the columns predicted and measured.")],
    of: Annotated[str, typer.Option("--of", help="What was predicted, such as adf.")],
    sec: Annotated[
        float | None,
        typer.Option("--sec", help="Standard error of the calibration, unit of the results."),
    ] = None,
    behind: Annotated[int, typer.Option("--behind", help="Degrees of freedom behind --sec.")] = 0,
    json: Json = False,
) -> None:
    """Near-infrared predictions held against wet chemistry of the same powders.

    A bias, slope or scatter beyond luck ends the command with exit code 3.

    Example: haywright bench predicted pairs.csv --of adf
    """
    from haywright.bench.predictions import check_predictions
    from haywright.files.series import columns_of
    from haywright.measure.analytes import quantity
    from haywright.measure.errors import Refused

    quantity(of)
    found = columns_of(table)
    for name in ("predicted", "measured"):
        if name not in found:
            raise Refused(f"{table}: column", name, key="bench_more.predicted.column")
    pairs = list(zip(found["predicted"], found["measured"], strict=True))
    for row, pair in enumerate(pairs, 2):
        if None in pair:
            raise Refused(f"{table}: row {row}", "", key="bench_more.predicted.pair")
    whole = [(x, y) for x, y in pairs if x is not None and y is not None]
    check = check_predictions(
        [x for x, _ in whole], [y for _, y in whole], sec=sec, calibration_df=behind
    )
    answer({"analyte": of, **check.to_json()}, _said(check, of), json=json)
    if not check.fine:
        raise typer.Exit(EXIT_HELD)


def _said(check: PredictionCheck, of: str) -> list[str | Message]:
    from haywright.measure.analytes import quantity
    from haywright.measure.message import Amount, message

    entry = quantity(of)
    digits = None if entry.digits is None else entry.digits + 1

    def amount(value: float) -> Amount:
        return Amount(value, entry.unit, analyte=of, digits=digits)

    bias = check.bias
    lines: list[str | Message] = [
        message(
            f"bench_more.predicted.bias_{'real' if bias.real else 'luck'}",
            quantity=message("measure.quantity", id=of),
            n=check.pairs,
            bias=amount(bias.bias),
            limit=amount(bias.limit),
        ),
        message(
            f"bench_more.predicted.slope_{'off' if check.slope_off else 'fine'}",
            slope=round(check.slope, 3),
            low=round(check.slope_low, 3),
            high=round(check.slope_high, 3),
        ),
        message("bench_more.predicted.error", sep=amount(bias.sep), rmsep=amount(bias.rmsep)),
    ]
    if check.sep_limit is not None:
        key = (
            "bench_more.predicted.sep_large"
            if check.sep_too_large
            else ("bench_more.predicted.sep_fine")
        )
        lines.append(message(key, sep=amount(bias.sep), limit=amount(check.sep_limit)))
    return lines
