"""An instrument's table read by a saved form of columns: delimited text or a spreadsheet.

Nothing is guessed in silence: what was understood is kept to be looked at, and whatever was not
is named with its row and column. A table with anything against it gives a batch nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from statistics import median
from typing import Any

from haywright.files.cells import CellReader, decimal_mark
from haywright.files.columns import ColumnsForm, ColumnUse
from haywright.files.grid import Formula, Grid, Row, shown, text_grid
from haywright.files.headings import Header, header_of
from haywright.files.reading import TABLE_BYTES, read_bytes, whole_number
from haywright.files.spreadsheets import is_spreadsheet, spreadsheet_grid
from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.measure.message import Message, message
from haywright.measure.units import dimension

MOST_PROBLEMS = 500
SLIP, SPREAD = 1000.0, 3.0  # g written as mg, among readings that differ threefold
_WEIGHED = ("mass", "volume")


@dataclass(frozen=True, slots=True)
class InstrumentRow:
    """One row of an instrument's table, understood.

    Parameters
    ----------
    row
        Its number in the file, from 1.
    position
        Place in the run; counted from the top where no column holds it.
    sample, kind, run
        What stood there, what kind of position it was, which run; "" where not written.
    replicate
        Which portion; 0 where not written.
    readings
        Reading -> number, in the unit of the reading.
    """

    row: int
    position: int
    sample: str
    replicate: int
    kind: str
    run: str
    readings: Mapping[str, float]


@dataclass(frozen=True)
class InstrumentTable:
    """What was understood of an instrument's table, and what was not.

    Parameters
    ----------
    path, form
        The file, and how its columns were read.
    grid, header
        The table as it lies in the file, and where its columns stand.
    decimal
        comma, point, or "" where no number settles it.
    rows
        Rows understood.
    passed_over
        Rows that the form passes over.
    problems
        What was not understood, each with its row and column.
    notes
        What to know of it though nothing is wrong.
    """

    path: Path
    form: ColumnsForm
    grid: Grid
    header: Header
    decimal: str
    rows: tuple[InstrumentRow, ...]
    passed_over: tuple[int, ...] = ()
    problems: tuple[HaywrightError, ...] = ()
    notes: tuple[Message, ...] = field(default=())

    def refuse(self) -> None:
        """Raise whatever was not understood."""
        if self.problems:
            raise self.problems[0] if len(self.problems) == 1 else Problems(self.problems)

    @property
    def unused(self) -> tuple[str, ...]:
        """Headings of columns that the form does not name."""
        used = set(self.header.places.values())
        return tuple(
            one for place, one in enumerate(self.header.headings) if one and place not in used
        )

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "file": str(self.path),
            "columns": self.form.name,
            "encoding": self.grid.encoding,
            "delimiter": self.grid.delimiter,
            "decimal": self.decimal,
            "sheet": self.grid.sheet,
            "header_row": self.header.row,
            "understood": [
                {
                    "holds": use.holds,
                    "heading": self.header.name(self.header.places[use.holds]),
                    "written_in": use.unit or use.reading_unit,
                    "unit": use.reading_unit or use.unit,
                }
                for use in self.form.columns
            ],
            "not_used": list(self.unused),
            "passed_over": list(self.passed_over),
            "rows": [
                {
                    "row": one.row,
                    "position": one.position,
                    "sample": one.sample,
                    "replicate": one.replicate or None,
                    "kind": one.kind,
                    "run": one.run,
                    "readings": dict(one.readings),
                }
                for one in self.rows
            ],
            "notes": [one.to_json() for one in self.notes],
            "problems": [m.to_json() for one in self.problems for m in one.messages()],
        }


def read_instrument_table(path: Path, form: ColumnsForm, *, run: str = "") -> InstrumentTable:
    """Read an instrument's export.

    Parameters
    ----------
    path
        The file: delimited text or a spreadsheet, whatever its name ends with.
    form
        What its columns mean.
    run
        Name of one run; rows of others are left out. Every run when left out.

    Raises
    ------
    Refused, Problems
        The file cannot be opened as a table, or its header is not found. What is wrong with
        single rows is kept in ``problems``.
    """
    data = read_bytes(path, TABLE_BYTES)
    if is_spreadsheet(data):
        grid = spreadsheet_grid(data, path, sheet=form.sheet)
    else:
        grid = text_grid(data, path, delimiter=form.delimiter)
    header = header_of(grid, form, path)
    return _Reading(path, form, grid, header).table(run)


class _Reading:
    """Reads the rows below a header; every problem is noted, none stops it."""

    def __init__(self, path: Path, form: ColumnsForm, grid: Grid, header: Header) -> None:
        self.path, self.form, self.grid, self.header = path, form, grid, header
        self.problems: list[HaywrightError] = []
        self.passed_over: list[int] = []
        self.data = list(self._data())
        self.decimal = form.decimal or decimal_mark(self._texts())
        self.readers = [
            (use, header.places[use.holds], self._cell_reader(use)) for use in form.readings
        ]

    def table(self, run: str) -> InstrumentTable:
        self._look_beside()
        rows = tuple(self._rows(run))
        if not rows and not self.problems:
            key = "bench_tables.no_run" if run else "bench_tables.no_rows"
            self.problems.append(Refused(str(self.path), run, key=key))
        self._repeated(rows)
        for use in self.form.readings:
            self._odd_units(use, rows)
        problems = self.problems[:MOST_PROBLEMS]
        if len(self.problems) > len(problems):
            more = len(self.problems) - len(problems)
            problems.append(Refused(str(self.path), more, key="bench_tables.more"))
        return InstrumentTable(
            self.path, self.form, self.grid, self.header, self.decimal, rows,
            tuple(self.passed_over), tuple(problems), tuple(self._notes()),
        )  # fmt: skip

    def _cell_reader(self, use: ColumnUse) -> CellReader:
        values = "formula_values" in self.form.allow
        return CellReader(use, self.decimal, self.form.absent, formula_values=values)

    def refuse(self, row: int, value: object, key: str, *, column: str = "", **args: Any) -> None:
        where = f"{self.path}: row {row}" + (f", column {column}" if column else "")
        self.problems.append(Refused(where, value, key=key, **args))

    def _data(self) -> Iterator[Row]:
        """Rows below the header that are positions."""
        above = max(self.header.row, self.form.skip_rows)
        words = tuple(one.casefold() for one in self.form.pass_over)
        for row in self.grid.rows:
            if row.number <= above:
                continue
            first = next((text for cell in row.cells if (text := shown(cell))), "")
            if words and first.casefold().startswith(words):
                self.passed_over.append(row.number)
            else:
                yield row

    def _texts(self) -> Iterator[str]:
        """Cells of readings that are text, for the decimal mark."""
        places = [self.header.places[use.holds] for use in self.form.readings]
        for row in self.data:
            for place in places:
                cell = row.cells[place] if place < len(row.cells) else ""
                if isinstance(cell, str):
                    yield cell

    def _look_beside(self) -> None:
        """What a spreadsheet hides or merges, and rows that are missing between others."""
        first = self.header.row or (self.data[0].number if self.data else 0)
        last = self.data[-1].number if self.data else first
        for top, bottom, place in self.grid.merged:
            if top <= last and bottom >= first:
                self.refuse(top, place, "bench_tables.merged")
        if "other_kinds" not in self.form.allow and not self.grid.tells:
            self.problems.append(Refused("file", self.path, key="bench_tables.does_not_tell"))
        if "hidden" not in self.form.allow:
            self._refuse_hidden(first)
        if "empty_rows" not in self.form.allow:
            numbers = sorted([first, *self.passed_over, *(row.number for row in self.data)])
            for before, after in pairwise(numbers):
                if after > before + 1 and before >= first:
                    self.refuse(before + 1, after - before - 1, "bench_tables.empty_rows")

    def _refuse_hidden(self, first: int) -> None:
        for row in self.data:
            if row.number in self.grid.hidden_rows:
                self.refuse(row.number, row.text(0), "bench_tables.hidden_row")
        if first in self.grid.hidden_rows and self.header.row:
            self.refuse(first, self.header.name(0), "bench_tables.hidden_row")
        for place in sorted(set(self.header.places.values()) & self.grid.hidden_columns):
            name = self.header.name(place)
            self.refuse(self.header.row, name, "bench_tables.hidden_column", column=name)
        if self.grid.sheet in self.grid.hidden_sheets:
            sheet = self.grid.sheet
            self.problems.append(
                Refused(f"{self.path}: sheet", sheet, key="bench_tables.hidden_sheet")
            )

    def _rows(self, run: str) -> Iterator[InstrumentRow]:
        width = len(self.header.headings) or (len(self.data[0].cells) if self.data else 0)
        counted = 0
        for row in self.data:
            named = self._text(row, "run")
            if run and named != run:
                continue
            counted += 1
            if not self._long_enough(row, width):
                continue
            before = len(self.problems)
            place = {
                "position": self._whole(row, "position", usual=counted),
                "sample": self._identity(row),
                "replicate": self._whole(row, "replicate", usual=0),
                "kind": self._text(row, "kind"),
            }
            placed = len(self.problems) == before
            readings = dict(self._readings(row))
            if placed:
                yield InstrumentRow(row=row.number, run=named, readings=readings, **place)  # type: ignore[arg-type]

    def _long_enough(self, row: Row, width: int) -> bool:
        """A text row must be as long as the header, but for empty cells at its end."""
        cells = len(row.cells)
        spare = any(shown(one) for one in row.cells[width:])
        if spare or (cells < width and not self.grid.sheet):
            self.refuse(row.number, cells, "bench_tables.row_length", expected=width, found=cells)
            return False
        return True

    def _text(self, row: Row, holds: str) -> str:
        """A cell as text; a formula counts for what it came to where that is allowed."""
        place = self.header.places.get(holds)
        if place is None or place >= len(row.cells):
            return ""
        cell = row.cells[place]
        if isinstance(cell, Formula):
            try:
                where = f"{self.path}: row {row.number}, column {self.header.name(place)}"
                values = "formula_values" in self.form.allow
                cell = CellReader(ColumnUse(holds), "", formula_values=values).value(cell, where)
            except Refused as error:
                self.problems.append(error)
                return ""
        return shown(cell)

    def _identity(self, row: Row) -> str:
        found = self._text(row, "sample")
        place = self.header.places.get("sample")
        if not found and place is not None:
            self.refuse(row.number, "", "bench.file.cell_missing", column=self.header.name(place))
        return found

    def _whole(self, row: Row, holds: str, *, usual: int) -> int:
        place = self.header.places.get(holds)
        if place is None:
            return usual
        written = self._text(row, holds)
        found = whole_number(written)
        if found is None or found < 1:
            self.refuse(row.number, written, "bench.file.whole", column=self.header.name(place))
            return 1
        return found

    def _readings(self, row: Row) -> Iterator[tuple[str, float]]:
        for use, place, reader in self.readers:
            cell = row.cells[place] if place < len(row.cells) else ""
            where = f"{self.path}: row {row.number}, column {self.header.name(place)}"
            try:
                number = reader.number(cell, where)
            except Refused as error:
                self.problems.append(error)
                continue
            if number is not None:
                yield use.holds, number

    def _repeated(self, rows: tuple[InstrumentRow, ...]) -> None:
        """A position that two rows claim."""
        seen: dict[tuple[str, int], int] = {}
        for one in rows:
            first = seen.setdefault((one.run, one.position), one.row)
            if first != one.row:
                self.refuse(one.row, one.position, "bench_tables.position_twice", other=first)

    def _odd_units(self, use: ColumnUse, rows: tuple[InstrumentRow, ...]) -> None:
        """A mass or volume a thousand times off the others of its column: mg among g."""
        own = use.reading_unit
        if not own or dimension(own) not in tuple(((kind, 1),) for kind in _WEIGHED):
            return
        found = [(one.row, v) for one in rows if (v := one.readings.get(use.holds, 0.0)) > 0]
        if len(found) < len(_WEIGHED) + 1:
            return
        usual = median(value for _, value in found)
        name = self.header.name(self.header.places[use.holds])
        for row, value in found:
            ratio = max(value / usual, usual / value)
            if SLIP / SPREAD <= ratio <= SLIP * SPREAD:
                self.refuse(
                    row, f"{value:.6g} {own}", "bench_tables.thousandfold",
                    column=name, usual=f"{usual:.4g} {own}",
                )  # fmt: skip

    def _notes(self) -> Iterator[Message]:
        if self.form.use_of("sample") is None:
            yield message("bench_tables.note.no_identity")
        if self.form.use_of("position") is None:
            yield message("bench_tables.note.counted")
        if not self.grid.tells:
            yield message("bench_tables.note.does_not_tell")
        if "formula_values" in self.form.allow and self._has_formulas():
            yield message("bench_tables.note.formula_values")
        others = tuple(one for one in self.grid.hidden_sheets if one != self.grid.sheet)
        if others:
            yield message("bench_tables.note.hidden_sheets", names=others)
        if "hidden" in self.form.allow and self.grid.hidden_rows:
            rows = tuple(map(str, sorted(self.grid.hidden_rows)))
            yield message("bench_tables.note.hidden_rows", rows=rows)

    def _has_formulas(self) -> bool:
        return any(isinstance(cell, Formula) for row in self.data for cell in row.cells)
