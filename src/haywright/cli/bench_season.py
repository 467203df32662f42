"""The command that judges the runs of one method over a season again, all at once."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from haywright.cli.common import EXIT_HELD, Json, Units, answer, command_errors

if TYPE_CHECKING:
    from haywright.measure.message import Message


def add_to(app: typer.Typer) -> None:
    """Hang the command on the bench."""
    app.command("season")(season)


@command_errors
def season(
    table: Annotated[
        Path,
        typer.Argument(
            help="The rows of all runs: a table with the columns batch, run_on, position, kind, "
            "sample, and a column for each reading."
        ),
    ],
    form: Annotated[
        Path,
        typer.Option(
            "--form",
            help="What the runs share: a form as for one batch, with every check of the equipment.",
        ),
    ],
    into: Annotated[
        Path | None,
        typer.Option(
            "--into", help="Folder for the two tables of results; beside the rows if left out."
        ),
    ] = None,
    show: Units = "us",
    json: Json = False,
) -> None:
    """Judge every run of one method over a season again, at once: nitrate by flow injection.

    Writes season-results.csv, a row for each bag of each run, and season-batches.csv, a row for
    each run. Each run is judged by itself, as bench run would. Anything not released whole ends
    with exit code 3.

    Example: haywright bench season runs.csv --form season.toml
    """
    from haywright.bench.season import told
    from haywright.bench.season.judge import judge
    from haywright.files.season import read_season, write_table
    from haywright.measure.message import message

    judged = judge(read_season(form, table))
    folder = table.parent if into is None else into
    written = [
        write_table(folder / "season-results.csv", told.RESULT_COLUMNS, told.result_rows(judged)),
        write_table(folder / "season-batches.csv", told.BATCH_COLUMNS, told.batch_rows(judged)),
    ]
    lines: list[str | Message] = [*told.lines(judged)]
    lines += [message("bench_arrays.season.written", path=str(path)) for path in written]
    answer(told.to_json(judged), lines, json=json, units=show)
    if not told.all_released(judged):
        raise typer.Exit(EXIT_HELD)
