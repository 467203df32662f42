"""A batch's run order joined with what instruments exported.

``readings.csv`` says what stands at each position; each ``[[instrument_table]]`` of the form
names a file of the batch's folder and the saved form of columns it is read by. Its readings go to
the positions of the run order, or nowhere: one difference between the two and nothing is joined.
Without ``readings.csv`` the first table is the run order, where it tells kind and sample.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from haywright.bench.against_order import Mismatch, Place, mismatches
from haywright.bench.batch import PositionKind
from haywright.bench.pattern import Method, determination
from haywright.files.columns import FOLDER, ColumnsForm, read_columns
from haywright.files.instruments import InstrumentRow, InstrumentTable, read_instrument_table
from haywright.files.reading import Cell, Checked, Table, read_csv, read_toml, whole_number
from haywright.measure.errors import HaywrightError, Problems, Refused, UnknownName
from haywright.measure.message import message

READINGS = "readings.csv"
ROWS = 2000


@dataclass(frozen=True, slots=True)
class Source:
    """An instrument's table that a batch names: its file, its form of columns, its run."""

    file: str
    columns: str
    run: str = ""


def sources_of(form: Checked) -> tuple[Source, ...]:
    """The instrument tables that a batch's form names."""
    return tuple(_source(one) for one in form.tables("instrument_table", default=[]))


def _source(one: Checked) -> Source:
    file = one.text("file")
    if file and (Path(file).name != file or "\\" in file or file in (".", "..")):
        one.refuse("file", file, key="bench_tables.file_outside")
    found = Source(file, one.text("columns"), one.text("run", default=""))
    one.finish()
    return found


def office_of(folder: Path) -> Path:
    """The nearest folder from a batch upwards that has saved forms of columns, or its own."""
    here = folder.resolve()
    return next((one for one in (here, *here.parents[:2]) if (one / FOLDER).is_dir()), folder)


def table_of(folder: Path, sources: Iterable[Source], method: Method) -> tuple[Table, Path]:
    """The run order of a batch with every reading in its place, and the file it came from.

    Raises
    ------
    Refused, Problems
        Whatever was not understood of a table, and every difference from the run order.
    """
    path, tables = folder / READINGS, [_read(folder, one, method) for one in sources]
    for one in tables:
        one.refuse()
    if tables and not path.exists():
        path, order = tables[0].path, _own_order(tables[0])
        tables = tables[1:]
    else:
        order = read_csv(path, ROWS)
    problems: list[HaywrightError] = []
    for table in tables:
        order, found = _joined(order, table, method)
        problems += found
    if problems:
        raise problems[0] if len(problems) == 1 else Problems(problems)
    return order, path


def _read(folder: Path, source: Source, method: Method) -> InstrumentTable:
    form = read_columns(office_of(folder), source.columns)
    unknown = [one.holds for one in form.readings if one.holds not in _names(method)]
    if unknown:
        raise UnknownName(f"{source.columns}: holds", unknown[0], _names(method))
    return read_instrument_table(folder / source.file, form, run=source.run)


def _names(method: Method) -> list[str]:
    return [one.name for one in method.columns]


def _own_order(table: InstrumentTable) -> Table:
    """A table that is its own run order."""
    for holds in ("kind", "sample"):
        if table.form.use_of(holds) is None:
            raise Refused(str(table.path), holds, key="bench_tables.no_order")
    if len(table.rows) > ROWS:
        raise Refused(
            "file", table.path, key="files.too_many_rows", rows=len(table.rows), limit=ROWS
        )
    readings = tuple(one.holds for one in table.form.readings)
    columns = ("position", "kind", "sample", "replicate", *readings)
    rows = [
        {
            "position": Cell(str(one.position), one.row, "position"),
            "kind": Cell(one.kind, one.row, "kind"),
            "sample": Cell(one.sample, one.row, "sample"),
            "replicate": Cell(str(one.replicate or ""), one.row, "replicate"),
            **_cells(one, one.row, readings),
        }
        for one in table.rows
    ]
    return Table(columns, tuple(rows))


def _cells(one: InstrumentRow, row: int, readings: Iterable[str]) -> dict[str, Cell]:
    return {
        name: Cell(repr(one.readings[name]), row, name, one.readings[name])
        if name in one.readings
        else Cell("", row, name)
        for name in readings
    }


def planned_places(order: Table, form: ColumnsForm, method: Method) -> Iterator[Place]:
    """The places of a run order; needed are those whose kind takes a reading of this table."""
    known = {one.name: one for one in method.columns}
    columns = [known[one.holds] for one in form.readings if one.holds in known]
    kinds = {kind for one in columns for kind in one.kinds}
    for row in order.rows:
        number = whole_number(_text(row, "position"))
        if number is None:
            continue  # told when the positions are read
        kind = _text(row, "kind").lower().replace(" ", "_")
        usual = 2 if kind == PositionKind.DUPLICATE else 1
        replicate = whole_number(_text(row, "replicate")) or usual
        line = next(iter(row.values())).row
        yield Place(number, _text(row, "sample"), replicate, line, needed=kind in kinds)


def _text(row: Mapping[str, Cell], column: str) -> str:
    return row[column].text if column in row else ""


def compared(order: Table, table: InstrumentTable, method: Method) -> tuple[Mismatch, ...]:
    """Every difference between a run order and an instrument's table."""
    read = [Place(one.position, one.sample, one.replicate, one.row) for one in table.rows]
    return mismatches(list(planned_places(order, table.form, method)), read)


def _joined(
    order: Table, table: InstrumentTable, method: Method
) -> tuple[Table, list[HaywrightError]]:
    """The run order with the table's readings; whatever is in the way of it."""
    problems: list[HaywrightError] = [
        HaywrightError(message("bench_tables.order.in", path=str(table.path), said=one.said))
        for one in compared(order, table, method)
    ]
    readings = tuple(one.holds for one in table.form.readings)
    at = {one.position: one for one in table.rows}
    rows = []
    for row in order.rows:
        line = next(iter(row.values())).row
        found = at.get(whole_number(_text(row, "position")) or 0)
        cells = _cells(found, line, readings) if found else {}
        for name, cell in cells.items():
            if cell.text and _text(row, name) and row[name].number != cell.number:
                where = f"{table.path}: row {found.row if found else line}, column {name}"
                problems.append(
                    Refused(where, cell.text, key="bench_tables.given_twice",
                            other=_text(row, name), row=line)
                )  # fmt: skip
        given = {name: cell for name, cell in cells.items() if cell.text or name not in row}
        rows.append({**{name: Cell("", line, name) for name in readings}, **row, **given})
    columns = tuple(dict.fromkeys((*order.columns, *readings)))
    return Table(columns, tuple({n: row[n] for n in columns} for row in rows)), problems


def differences(folder: Path, table: InstrumentTable) -> tuple[Mismatch, ...]:
    """Every difference between a table and the run order of a batch's folder.

    Raises
    ------
    Refused, Problems
        The batch has no form, no known method or no run order.
    """
    form = read_toml(folder / "batch.toml")
    of = determination(form.text("determination"))
    method = of.method(form.text("method"))
    return compared(read_csv(folder / READINGS, ROWS), table, method)
