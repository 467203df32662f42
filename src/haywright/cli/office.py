"""The office in a browser: open it, serve it, check its history, take results in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from haywright.cli.common import EXIT_HELD, Json, answer, command_errors

app = typer.Typer(no_args_is_help=True, help="The office for many: accounts, PostgreSQL, results.")
ledger = typer.Typer(
    no_args_is_help=True, help="The history of an office: is it as it was written?"
)
Data = Annotated[
    Path | None, typer.Option(help="Folder of the database; the usual one when left out.")
]


def add_to(top: typer.Typer) -> None:
    """Hang the commands into the whole."""
    top.command("open")(open_desk)
    top.add_typer(app, name="office")
    top.add_typer(ledger, name="ledger")


@command_errors
def open_desk(
    demo: Annotated[bool, typer.Option("--demo", help="With the invented lots in it.")] = False,
    data: Data = None,
    port: Annotated[int, typer.Option(help="Port on this machine; 0 takes a free one.")] = 0,
    browser: Annotated[bool, typer.Option(help="Open a browser.")] = True,
    json: Json = False,
) -> None:
    """Open your own desk in a browser: nothing to set up, stopped with Ctrl-C."""
    from haywright.office import start

    folder = data or (start.default_folder() / "demo" if demo else None)
    start.ready(folder, desk=True)
    for said in start.open_desk(demo=demo, port=port, browser=browser):
        answer(dict(said.args), [said], json=json)


@app.command()
@command_errors
def serve(
    address: Annotated[str, typer.Option(help="Address to listen at.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(help="Port to listen at.")] = 8000,
    workers: Annotated[int, typer.Option(help="Processes.")] = 2,
) -> None:
    """Serve an office of many; settings come from the environment."""
    from haywright.office import start

    start.ready(desk=False)
    start.migrate()
    start.serve(address, port, workers=workers)


@app.command()
@command_errors
def receive(
    results: Annotated[list[Path], typer.Argument(help="results.json as bench run writes it.")],
    data: Data = None,
    json: Json = False,
) -> None:
    """Take in what the bench wrote, readings included; all of it or nothing."""
    from haywright.measure.message import message
    from haywright.office import start

    start.ready(data, desk=data is not None or start.desk_is_there())
    names = start.receive(results)
    answer({"batches": names}, [message("office.start.received", n=len(names))], json=json)


@ledger.command("check")
@command_errors
def ledger_check(data: Data = None, json: Json = False) -> None:
    """Read every office's history from its first entry and say whether it is as it was written."""
    from haywright.measure.message import message
    from haywright.office import start

    start.ready(data, desk=data is not None or start.desk_is_there())
    checked = start.check_ledgers()
    lines = [one for _, _, said in checked for one in said]
    told = [
        message("office.start.ledger", office=name, n=n) for name, n, said in checked if not said
    ]
    payload = {
        name: {"entries": n, "broken": [one.to_json() for one in said]} for name, n, said in checked
    }
    answer({"offices": payload}, [*lines, *told], json=json)
    if lines:
        raise typer.Exit(EXIT_HELD)
