"""Commands of the office: its pages opened or served, results received, copies, the ledger."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haywright.cli.common import EXIT_HELD, Json, answer, command_errors

if TYPE_CHECKING:
    from haywright.measure.message import Message

app = typer.Typer(
    no_args_is_help=True,
    help="The office in a browser: serve it to many, receive results, keep a copy, bring it back.",
)
ledger = typer.Typer(
    no_args_is_help=True, help="The history of everything written down, entry after entry."
)

Data = Annotated[
    Path | None,
    typer.Option(
        "--data",
        file_okay=False,
        help="Folder of a desk’s data. Left out: the office the settings name, else your own desk.",
    ),
]


def add_to(top: typer.Typer) -> None:
    """Hang the commands of the office into the whole."""
    top.command(name="open")(open_)
    top.add_typer(app, name="office")
    top.add_typer(ledger, name="ledger")


def _ready(data: Path | None, *, begun: bool = False) -> None:
    from haywright.office import start

    start.ready(data, desk=start.is_desk(data), begun=begun)


@command_errors
def open_(
    demo: Annotated[
        bool, typer.Option("--demo", help="Open the demo’s office, in a folder of its own.")
    ] = False,
    port: Annotated[
        int,
        typer.Option(min=0, max=2**16 - 1, help="Port here; a free one if left out."),
    ] = 0,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Only print the address; open no browser.")
    ] = False,
    data: Annotated[
        Path | None,
        typer.Option(
            "--data",
            envvar="HAYWRIGHT_DATA",
            file_okay=False,
            help="Folder where everything is kept.",
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Open the office in a browser on this machine: yours alone, nothing to set up."""
    from haywright.office import start

    folder = data or (start.default_folder() / "demo" if demo else start.default_folder())
    start.ready(folder, desk=True)
    for one in start.open_desk(demo=demo, port=port, browser=not no_browser):
        answer({"address": one.args["address"], "data": str(folder)}, [one], json=json)


@app.command()
@command_errors
def serve(
    address: Annotated[str, typer.Option(help="Address it listens on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=1, max=2**16 - 1, help="Port it listens on.")] = 8000,
    workers: Annotated[int, typer.Option(min=1, max=64, help="How many processes serve.")] = 2,
    json: Json = False,
) -> None:
    """Serve an office of many: accounts, PostgreSQL, settings from the environment.

    It needs HAYWRIGHT_SECRET (or HAYWRIGHT_SECRET_FILE), HAYWRIGHT_HOSTS and DATABASE_URL, and
    HAYWRIGHT_PROXY where a proxy in front of it speaks HTTPS.
    """
    from haywright.office import start

    start.ready(desk=False)
    for one in start.open_office(address, port, workers=workers):
        answer(
            {"said": one.key, **{k: list(v) if isinstance(v, tuple) else v
                                 for k, v in one.args.items()}},
            [one],
            json=json,
        )  # fmt: skip


@app.command()
@command_errors
def begin(
    name: Annotated[str, typer.Argument(help="What the office is called.")],
    code: Annotated[str, typer.Argument(help="Three letters for its bags, such as SDG.")],
    email: Annotated[str, typer.Argument(help="E-mail address of its first admin.")],
    json: Json = False,
) -> None:
    """Begin an office of many, and print the invitation of its first admin."""
    from haywright.measure.message import message
    from haywright.office import start

    start.ready(desk=False)
    address = start.begin(name, code, email)
    lines = [message("office.begin.invitation", email=email, address=address)]
    answer({"office": name, "code": code.upper(), "invitation": address}, lines, json=json)


@app.command()
@command_errors
def receive(
    results: Annotated[
        list[Path], typer.Argument(help="Files results.json, as haywright bench run writes them.")
    ],
    as_: Annotated[
        str, typer.Option("--as", help="E-mail address of the lab manager who receives them.")
    ] = "",
    data: Data = None,
    json: Json = False,
) -> None:
    """Receive what the bench wrote: readings, controls and results; all files or none."""
    from haywright.measure.message import message
    from haywright.office import start

    start.no_folder("RESULTS", results)
    _ready(data, begun=True)
    batches = start.receive(results, as_)
    lines: list[str | Message] = [
        message("office.receive.held" if one["held"] else "office.receive.batch",
                batch=one["batch"], n=one["results"])
        for one in batches
    ]  # fmt: skip
    answer({"batches": batches}, lines, json=json)
    if any(one["held"] for one in batches):
        raise typer.Exit(EXIT_HELD)


@app.command()
@command_errors
def backup(
    file: Annotated[Path, typer.Argument(help="File to write; it must not exist yet.")],
    data: Data = None,
    json: Json = False,
) -> None:
    """Write a copy of everything into one file, while the office goes on."""
    from haywright.office import start

    _ready(data, begun=True)
    _say_kept("office.backup.done", file, start.backup(file), json=json)


@app.command()
@command_errors
def restore(
    file: Annotated[Path, typer.Argument(help="What haywright office backup wrote.")],
    data: Data = None,
    json: Json = False,
) -> None:
    """Bring such a copy into an empty office: all of it, with its ledger checked, or nothing."""
    from haywright.office import start

    start.no_folder("FILE", [file])
    _ready(data)
    _say_kept("office.restore.done", file, start.restore(file), json=json)


def _say_kept(key: str, file: Path, kept: Any, *, json: bool) -> None:
    from haywright.measure.message import Message

    told = {"file": str(file), "rows": kept.total, "photos": kept.photos}
    answer({**told, "tables": kept.rows}, [Message(key, told)], json=json)


@ledger.command()
@command_errors
def check(data: Data = None, json: Json = False) -> None:
    """Look the whole history over: whether an entry was changed, taken out or put in between."""
    from haywright.cli.common import reader
    from haywright.measure.message import message
    from haywright.office import start
    from haywright.words import say

    _ready(data, begun=True)
    lines: list[str | Message] = []
    offices = start.check_ledgers()
    for one in offices:
        held = "office.ledger_check.broken" if one["broken"] else "office.ledger_check.holds"
        lines += [message(held, office=one["office"], n=one["entries"]), *one["broken"]]
        one["broken"] = [say(each, reader()) for each in one["broken"]]
    answer({"offices": offices}, lines, json=json)
    if any(one["broken"] for one in offices):
        raise typer.Exit(EXIT_HELD)
