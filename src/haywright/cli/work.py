"""Commands that belong to no single place: the whole way, the equation book, the sources."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from haywright.cli.common import Json, answer, command_errors


def add_to(app: typer.Typer) -> None:
    """Hang these commands on the program itself."""
    app.command("demo")(demo)
    app.command("new")(new)
    app.command("carry")(carry)
    app.command("equations")(equations)
    app.command("work")(work)
    app.command("sources")(sources)


@command_errors
def demo(
    folder: Annotated[Path, typer.Argument(help="Where the papers go.")] = Path("out/demo"),
    json: Json = False,
) -> None:
    """Carry the invented demo lots the whole way and write their papers."""
    from haywright.files.office import demo_folder

    _carried(demo_folder(), folder, invented=True, json=json)


@command_errors
def carry(
    office: Annotated[Path, typer.Argument(help="An office in small, as laid out by: new.")],
    folder: Annotated[
        Path | None, typer.Argument(help="Where the papers go; its sheets folder if left out.")
    ] = None,
    json: Json = False,
) -> None:
    """Carry every lot of an office the whole way: plans, results, sheets, decisions."""
    _carried(office, folder or office / "sheets", invented=False, json=json)


def _carried(office: Path, out: Path, *, invented: bool, json: bool) -> None:
    from datetime import UTC, datetime

    from haywright.cli.tour import carry_office, closing
    from haywright.files.office import read_office
    from haywright.words import Reader, say

    read = read_office(office)
    reader = Reader(units=read.office.units)
    today = datetime.now(UTC).date()
    done = carry_office(
        read,
        out,
        made_on=today,
        reader=reader,
        tell=lambda step: typer.echo(say(step, reader), err=json),
    )
    payload = {
        "folder": str(out),
        "files": [str(path) for path, _ in done.files],
        "winters_not_planned": done.unplanned,
        "lots": [
            {
                "lot": one["lot"],
                "name": one["name"],
                "interim": one["interim"],
                "decisions": [
                    {
                        "group": d.group.name,
                        "answer": d.verdict.answer.value,
                        "share": d.verdict.share,
                    }
                    for d in one["decisions"]
                ],
            }
            for one in done.lots
        ],
    }
    answer(payload, closing(done, out, invented=invented), json=json, units=read.office.units)


@command_errors
def new(
    folder: Annotated[Path, typer.Argument(help="A folder that does not exist yet, or is empty.")],
    json: Json = False,
) -> None:
    """Lay out an office in small: commented forms for lots, bags, batches and ranches."""
    from datetime import UTC, datetime

    from haywright.files.office import new_office
    from haywright.measure.message import message

    written = new_office(folder, datetime.now(UTC).date())
    answer(
        {"folder": str(folder), "files": [str(path) for path in written]},
        [message("files.new_office", folder=str(folder), n=len(written))],
        json=json,
    )


@command_errors
def equations(
    place: Annotated[str, typer.Argument(help="Only those whose name begins so.")] = "",
    json: Json = False,
) -> None:
    """List every equation: what it gives, what it needs, where it comes from."""
    from haywright.measure.message import message
    from haywright.measure.register import resolved
    from haywright.way.equations import equation_book

    found = [one for one in equation_book() if one.id.startswith(place)]
    lines: list[Any] = [message("way.equations.count", n=len(found))]
    lines += [
        message(
            "way.equations.line",
            id=one.id,
            name=one.name,
            inputs=", ".join(term.name for term in resolved(one)),
            mark=message(f"way.mark.{one.mark.value}"),
        )
        for one in found
    ]
    answer({"equations": [_declaration(one) for one in found]}, lines, json=json)


def _declaration(one: Any) -> dict[str, Any]:
    from haywright.measure.register import resolved

    return {
        "id": one.id,
        "name": one.name,
        "inputs": [
            {"name": t.name, "unit": t.unit, "basis": t.basis, "default": t.default}
            for t in resolved(one)
        ],
        "output": {"name": one.output.name, "unit": one.output.unit, "basis": one.output.basis},
        "source": one.source,
        "mark": one.mark.value,
        "species": list(one.species),
        "crops": list(one.crops),
        "valid": {name: list(span) for name, span in one.valid.items()},
    }


@command_errors
def work(
    equation_id: Annotated[
        str, typer.Argument(metavar="ID", help="An equation's name as the list prints it.")
    ],
    values: Annotated[
        list[str] | None, typer.Argument(metavar="NAME=VALUE...", help="Its inputs.")
    ] = None,
    json: Json = False,
) -> None:
    """Work one equation by hand and show the working."""
    from haywright.way.equations import worked

    result = worked(equation_id, values or [])
    answer(result.to_json(), result.lines(), json=json)


@command_errors
def sources(
    key: Annotated[str, typer.Argument(help="One source; all when left out.")] = "",
    json: Json = False,
) -> None:
    """List the sources: what was read, what is recalled, what is common practice."""
    from haywright.measure.message import message
    from haywright.sources.bibliography import bibliography, cite

    found = [cite(key)] if key else list(bibliography().values())
    lines = [
        message(
            "way.sources.line",
            source_key=one.key,
            line=one.line,
            status=message(f"way.status.{one.status.name.lower()}"),
        )
        for one in found
    ]
    payload = [
        {
            "key": one.key,
            "by": one.by,
            "title": one.title,
            "where": one.where,
            "year": one.year,
            "status": one.status.value,
            "note": one.note,
        }
        for one in found
    ]
    answer({"sources": payload}, lines, json=json)
