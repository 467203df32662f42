"""A table as it lies in the file, before anybody says what its columns mean.

Rows keep the number a person sees beside them. Cells are texts and numbers; what a spreadsheet
knows of a cell beyond its value, a formula or a per cent sign, stays with it.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import TypeAlias

from haywright.files.reading import DELIMITERS, TABLE_ROWS, decode_as
from haywright.measure.errors import Refused

COLUMNS = 1000
_LOOKED_AT = 200  # lines that settle the delimiter


@dataclass(frozen=True, slots=True)
class Formula:
    """A cell that holds a formula; ``value`` is what was last worked out, ``None`` if nothing."""

    text: str
    value: str | float | None = None


@dataclass(frozen=True, slots=True)
class Percent:
    """A number that a spreadsheet shows as per cent; ``value`` as shown [%]."""

    value: float


GridCell: TypeAlias = str | float | Formula | Percent


@dataclass(frozen=True, slots=True)
class Row:
    """One row that holds something; ``number`` is the one a person sees, from 1."""

    number: int
    cells: tuple[GridCell, ...]

    def text(self, column: int) -> str:
        """The cell of a column, from 0, as text; "" beyond the row's end."""
        return shown(self.cells[column]) if column < len(self.cells) else ""


@dataclass(frozen=True, slots=True)
class Grid:
    """A table as it lies in its file.

    Parameters
    ----------
    rows
        Rows that hold something, from the top.
    encoding, delimiter
        Of a text file; "" for a spreadsheet.
    sheet, sheets
        Which sheet was read, and the names of all; "" and none for a text file.
    merged
        First row, last row and place of cells that were merged into one.
    hidden_rows, hidden_columns, hidden_sheets
        What a person does not see: rows from 1, columns from 0, names.
    tells
        Whether the kind of file tells merged, hidden and worked-out cells from others.
    """

    rows: tuple[Row, ...]
    encoding: str = ""
    delimiter: str = ""
    sheet: str = ""
    sheets: tuple[str, ...] = ()
    merged: tuple[tuple[int, int, str], ...] = ()
    hidden_rows: frozenset[int] = field(default_factory=frozenset)
    hidden_columns: frozenset[int] = field(default_factory=frozenset)
    hidden_sheets: tuple[str, ...] = ()
    tells: bool = True


def shown(cell: GridCell) -> str:
    """A cell as a person reads it."""
    if isinstance(cell, str):
        return cell.strip()
    if isinstance(cell, Formula):
        return cell.text
    if isinstance(cell, Percent):
        return f"{cell.value:.12g} %"
    return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)


def text_grid(data: bytes, path: Path, *, delimiter: str = "") -> Grid:
    """A delimited text as a grid.

    Parameters
    ----------
    data, path
        Bytes of the file, and its name for what is said of it.
    delimiter
        The sign between cells; found when left out.

    Raises
    ------
    Refused
        Not text, too many rows or columns, or a quotation that never ends.
    """
    text, encoding = decode_as(data, path)
    limit = TABLE_ROWS
    count = max(text.count("\n"), text.count("\r"))
    if count > limit:
        raise Refused("file", path, key="files.too_many_rows", rows=count + 1, limit=limit)
    sign = delimiter or _delimiter(text)
    try:
        lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=sign, strict=True))
    except csv.Error as error:
        raise Refused("file", path, str(error), key="files.not_table") from None
    rows = tuple(
        Row(number, tuple(cells))
        for number, cells in enumerate(lines, 1)
        if any(one.strip() for one in cells)
    )
    refuse_wide(path, max((len(row.cells) for row in rows), default=0))
    return Grid(rows, encoding=encoding.removesuffix("-sig"), delimiter=sign)


def refuse_wide(path: Path, columns: int) -> None:
    """Refuse a table of more columns than any instrument writes."""
    if columns > COLUMNS:
        raise Refused("file", path, key="bench_tables.too_wide", columns=columns, limit=COLUMNS)


def _delimiter(text: str) -> str:
    """The sign that gives the most lines one and the same number of cells.

    Lines above the table, of any length, then do not matter. Between equals a comma comes last:
    it may be a decimal sign.
    """
    lines = list(islice(io.StringIO(text), _LOOKED_AT))
    order = (*DELIMITERS[1:], DELIMITERS[0])
    return max(order, key=lambda sign: _alike(lines, sign))


def _alike(lines: Iterable[str], sign: str) -> int:
    try:
        lengths = Counter(len(cells) for cells in csv.reader(lines, delimiter=sign))
    except csv.Error:
        return 0
    return max((count for length, count in lengths.items() if length > 1), default=0)
