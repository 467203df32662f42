"""Commands of instruments' tables: what their columns mean, and what was understood of one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haywright.cli.common import EXIT_REFUSED, Json, answer, command_errors

if TYPE_CHECKING:
    from haywright.bench.against_order import Mismatch
    from haywright.files.columns import ColumnsForm, ColumnUse
    from haywright.files.instruments import InstrumentTable
    from haywright.measure.message import Message

Office = Annotated[
    Path, typer.Option("--office", help="The office in small; this folder when left out.")
]


def add_to(app: typer.Typer) -> None:
    """Hang these commands on the bench."""
    app.command("columns")(columns)
    app.command("table")(table)


@command_errors
def columns(
    name: Annotated[
        str, typer.Argument(help="Name to save it by, such as flow; all names when left out.")
    ] = "",
    holds: Annotated[
        list[str] | None,
        typer.Option(
            "--column",
            help="What a column holds and its heading: position=Cup, sample=Name, replicate=Rep, "
            "kind=Type, run=Run, or a reading such as peak=Height. A number is the column's place "
            "from the left. Other headings of the same column follow after |. May be given "
            "several times.",
        ),
    ] = None,
    unit: Annotated[
        list[str] | None,
        typer.Option(
            "--unit", help="Unit a reading is written in where it is not its own: sample_g=mg."
        ),
    ] = None,
    sheet: Annotated[str, typer.Option("--sheet", help="Name of the sheet.")] = "",
    header_row: Annotated[
        int, typer.Option("--header-row", help="Row of the headings; found by them if left out.")
    ] = 0,
    skip_rows: Annotated[
        int, typer.Option("--skip-rows", help="Rows above the headings to pass over.")
    ] = 0,
    delimiter: Annotated[
        str, typer.Option("--delimiter", help="Sign between cells: , ; | or tab; found if not.")
    ] = "",
    decimal: Annotated[
        str, typer.Option("--decimal", help="Decimal mark: comma or point; found if left out.")
    ] = "",
    pass_over: Annotated[
        list[str] | None,
        typer.Option("--pass-over", help="Rows beginning with this are no positions, e.g. Mean."),
    ] = None,
    absent: Annotated[
        list[str] | None,
        typer.Option("--absent", help="What is written where there is no reading, such as n.a."),
    ] = None,
    allow: Annotated[
        list[str] | None,
        typer.Option(
            "--allow",
            help="Take what is refused otherwise: formula_values, hidden, empty_rows, other_kinds.",
        ),
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over the form of this name.")
    ] = False,
    office: Office = Path(),
    json: Json = False,
) -> None:
    """Save what the columns of an instrument's export mean, by name; or show what is saved.

    Example: haywright bench columns flow --column position=Cup --column "sample=Sample name"
    --column peak=Height --skip-rows 2 --decimal comma
    """
    from haywright.files.columns import read_columns, save_columns, saved_columns
    from haywright.measure.message import message

    if not name:
        known = saved_columns(office)
        key = "bench_tables.saved_names" if known else "bench_tables.none_saved"
        lines: list[str | Message] = [message(key, names=known)]
        answer({"columns": list(known)}, lines, json=json)
        return
    if holds is None:
        form = read_columns(office, name)
        answer(_form_payload(form), list(_form_lines(form)), json=json)
        return
    given: dict[str, Any] = {
        "sheet": sheet,
        "header_row": header_row,
        "skip_rows": skip_rows,
        "delimiter": delimiter,
        "decimal": decimal,
        "pass_over": pass_over,
        "absent": absent,
        "allow": allow,
    }
    form = _form(name, holds, unit or [], {k: v for k, v in given.items() if v})
    path = save_columns(office, form, replace=replace)
    said = message("bench_tables.saved", name=name, path=str(path))
    answer({"saved": str(path)} | _form_payload(form), [said, *_form_lines(form)], json=json)


def _form(name: str, holds: list[str], units: list[str], rest: dict[str, Any]) -> ColumnsForm:
    """The form that plain options describe, checked like one that was written by hand."""
    from haywright.files.columns import checked_columns
    from haywright.files.reading import Checked
    from haywright.measure.errors import UnknownName

    written = dict(_pair("--unit", one) for one in units)
    tables = []
    for what, where in (_pair("--column", one) for one in holds):
        one: dict[str, Any] = {"holds": what}
        if where.isdigit():
            one["at"] = int(where[:9])
        else:
            one["heading"] = [part.strip() for part in where.split("|")]
        if what in written:
            one["unit"] = written.pop(what)
        tables.append(one)
    for what in written:
        raise UnknownName("--unit", what, [one["holds"] for one in tables])
    return checked_columns(Checked({"column": tables, **rest}, name), name)


def _pair(option: str, text: str) -> tuple[str, str]:
    from haywright.measure.errors import Refused

    what, sign, where = text.partition("=")
    if not (sign and what.strip() and where.strip()):
        raise Refused(option, text, key="bench_tables.pair")
    return what.strip(), where.strip()


def _form_payload(form: ColumnsForm) -> dict[str, Any]:
    from dataclasses import asdict

    return asdict(form)


def _form_lines(form: ColumnsForm) -> list[str | Message]:
    from haywright.measure.message import message

    return [
        message(
            "bench_tables.column_at" if one.at else "bench_tables.column_named",
            holds=_holds(one),
            heading=" / ".join(one.headings) or str(one.at),
            unit=_units(one),
        )
        for one in form.columns
    ]


def _holds(one: ColumnUse) -> Message:
    from haywright.measure.message import message

    if one.is_reading:
        return message("measure.quantity", id=one.holds)
    return message(f"bench_tables.holds.{one.holds}")


def _units(one: ColumnUse) -> Message | str:
    """How the unit of a column reads: its own, or the one it is turned into."""
    from haywright.measure.message import message

    own, written = one.reading_unit, one.unit
    if own and written and own != written:
        return message("bench_tables.turned_into", written=written, own=own)
    return message("bench_tables.in_unit", unit=own or written) if own or written else ""


@command_errors
def table(
    file: Annotated[Path, typer.Argument(help="The instrument's export: text or spreadsheet.")],
    by: Annotated[
        str, typer.Option("--columns", help="Name its columns were saved by; see: bench columns.")
    ],
    batch: Annotated[
        Path | None,
        typer.Option("--batch", help="A batch's folder: its run order is held against the table."),
    ] = None,
    run: Annotated[
        str, typer.Option("--run", help="One run, where the export holds several.")
    ] = "",
    rows: Annotated[int, typer.Option("--rows", min=0, help="How many rows to show.")] = 5,
    office: Annotated[
        Path | None,
        typer.Option(
            "--office", help="The office in small; when left out the batch's, else this folder."
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Look at an instrument's table: what was understood, what was not, what is out of place.

    Nothing is written. Anything not understood, or different from the run order of the batch,
    ends with exit code 2.

    Example: haywright bench table run.csv --columns flow --batch batches/2026-09-22-nitrate
    """
    from haywright.files.batch_tables import differences, office_of
    from haywright.files.columns import read_columns
    from haywright.files.instruments import read_instrument_table

    home = office if office is not None else office_of(batch if batch is not None else Path())
    found = read_instrument_table(file, read_columns(home, by), run=run)
    wrong = differences(batch, found) if batch is not None else ()
    payload = found.to_json() | {
        "differences": [
            {
                "difference": one.difference.value,
                "positions": list(one.positions),
                "said": one.said.to_json(),
            }
            for one in wrong
        ]
    }
    answer(payload, _table_lines(found, wrong, rows, compared=batch is not None), json=json)
    if wrong or found.problems:
        raise typer.Exit(EXIT_REFUSED)


def _table_lines(
    found: InstrumentTable, wrong: tuple[Mismatch, ...], rows: int, *, compared: bool
) -> list[str | Message]:
    from haywright.measure.message import message

    grid = found.grid
    sort = "bench_tables.sheet_read" if grid.sheet else "bench_tables.text_read"
    decimal = message(f"bench_tables.decimal.{found.decimal or 'open'}")
    lines: list[str | Message] = [
        message(
            sort, path=str(found.path), sheet=grid.sheet, encoding=grid.encoding,
            delimiter=message(f"bench_tables.sign.{_SIGN_NAMES.get(grid.delimiter, 'comma')}"),
            decimal=decimal,
        ),
        message("bench_tables.header_at" if found.header.row else "bench_tables.header_none",
                row=found.header.row),
    ]  # fmt: skip
    for one in found.form.columns:
        heading = found.header.name(found.header.places[one.holds])
        key = "bench_tables.understood"
        lines.append(message(key, heading=heading, holds=_holds(one), unit=_units(one)))
    if found.unused:
        lines.append(message("bench_tables.unused", names=found.unused))
    lines += found.notes
    lines.append(message("bench_tables.count", n=len(found.rows)))
    if found.passed_over:
        passed = tuple(map(str, found.passed_over))
        lines.append(message("bench_tables.passed_over", rows=passed))
    lines += _sample_of_rows(found, rows)
    lines += [m for one in found.problems for m in one.messages()]
    lines += [one.said for one in wrong]
    if found.problems or wrong:
        n = len(found.problems) + len(wrong)
        lines.append(message("bench_tables.not_usable", n=n))
    elif compared:
        lines.append(message("bench_tables.in_order"))
    return lines


_SIGN_NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}


def _sample_of_rows(found: InstrumentTable, rows: int) -> list[str]:
    """The first rows as they will be used, set as a table."""
    readings = [one.holds for one in found.form.readings]
    places = [one.holds for one in found.form.columns if not one.is_reading]
    head = ["row", *dict.fromkeys(["position", *places]), *readings]
    body = [[str(one.row), *(_shown(one, name) for name in head[1:])] for one in found.rows[:rows]]
    if not body:
        return []
    table = [head, *body]
    wide = [max(len(line[n]) for line in table) for n in range(len(head))]
    return [
        "  " + "  ".join(cell.ljust(width) for cell, width in zip(line, wide, strict=True)).rstrip()
        for line in table
    ]


def _shown(row: Any, name: str) -> str:
    if name in row.readings:
        return f"{row.readings[name]:.6g}"
    value = getattr(row, name, "")
    return str(value or "-")
