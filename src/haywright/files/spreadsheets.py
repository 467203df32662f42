"""Spreadsheets as grids, with what they hide: merged cells, formulas, rows and sheets out of sight.

A workbook is a zip of XML. Its declared sizes are summed before a byte is unpacked, and the
unpacking never gives more than was declared. Values are read a row at a time; what is merged or
hidden is read from the sheet's own XML, so that a merged range of a whole sheet costs nothing.
Kinds that do not tell hidden rows and formulas are read too, and say so.
"""

from __future__ import annotations

import io
import warnings
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path, PurePosixPath
from typing import Any, TypeVar
from xml.etree import ElementTree as ET

from haywright.files.grid import COLUMNS, Formula, Grid, GridCell, Percent, Row, refuse_wide
from haywright.files.reading import TABLE_ROWS
from haywright.measure.errors import HaywrightError, Refused, UnknownName

T = TypeVar("T")
ZIP = b"PK\x03\x04"
OLD = b"\xd0\xcf\x11\xe0"
UNPACKED_BYTES = 100_000_000
PARTS = 1000
CELLS = 2_000_000
_WORKBOOK = "xl/workbook.xml"
_OPEN_CONTENT = "content.xml"
_CHUNK = 1_000_000


def is_spreadsheet(data: bytes) -> bool:
    """Whether the first bytes are those of a spreadsheet, whatever the file is called."""
    return data.startswith((ZIP, OLD))


def spreadsheet_grid(data: bytes, path: Path, *, sheet: str = "") -> Grid:
    """One sheet of a spreadsheet.

    Parameters
    ----------
    data, path
        Bytes of the file, and its name for what is said of it.
    sheet
        Name of the sheet; may be left out where only one is in sight.

    Raises
    ------
    Refused
        Too large when unpacked, not a spreadsheet, no such sheet, several sheets and none named.
    """
    if data.startswith(ZIP):
        names = _names(data, path)
        if _WORKBOOK in names:
            return _careful(path, lambda: _workbook_grid(data, path, sheet))
        if _OPEN_CONTENT not in names:
            raise Refused("file", path, key="bench_tables.other_kind")
        _careful(path, lambda: _refuse_unfolding(data, path))
    return _careful(path, lambda: _other_grid(data, path, sheet))


def _careful(path: Path, read: Callable[[], T]) -> T:
    """Run a reader that is not ours: whatever it stumbles over, the file cannot be read."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return read()
    except HaywrightError:
        raise
    except Exception as error:  # noqa: BLE001 - a broken file, in as many ways as bytes can break
        raise Refused("file", path, type(error).__name__, key="bench_tables.broken") from None
    except BaseException as error:
        if type(error).__name__ != "PanicException":  # how a reader written in Rust gives up
            raise
        raise Refused("file", path, type(error).__name__, key="bench_tables.broken") from None


def _names(data: bytes, path: Path) -> set[str]:
    """Names of the parts of a zip, refused where they would unpack to too much."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
    except (zipfile.BadZipFile, ValueError, OverflowError, NotImplementedError, EOFError) as error:
        raise Refused("file", path, type(error).__name__, key="bench_tables.broken") from None
    size = sum(one.file_size for one in parts)
    if size > UNPACKED_BYTES or len(parts) > PARTS:
        raise Refused("file", path, key="bench_tables.unpacked", size=size, limit=UNPACKED_BYTES)
    return {one.filename for one in parts}


@dataclass(frozen=True, slots=True)
class _Sheet:
    name: str
    hidden: bool
    part: str


def _workbook_grid(data: bytes, path: Path, wanted: str) -> Grid:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        sheets = list(_sheets(archive))
        sheet = _chosen(sheets, wanted, path)
        hidden_rows, hidden_columns, merged, formulas = _layout(archive, sheet.part)
    with _open(data, values=False) as book:
        rows = list(_rows(book[sheet.name], path))
    if formulas:
        with _open(data, values=True) as book:
            known = {row.number: row for row in _rows(book[sheet.name], path)}
        rows = [_with_values(row, known.get(row.number)) for row in rows]
    return Grid(
        tuple(rows),
        sheet=sheet.name,
        sheets=tuple(one.name for one in sheets),
        merged=tuple(merged),
        hidden_rows=frozenset(hidden_rows),
        hidden_columns=frozenset(hidden_columns),
        hidden_sheets=tuple(one.name for one in sheets if one.hidden),
    )


def _chosen(sheets: list[_Sheet], wanted: str, path: Path) -> _Sheet:
    """The sheet of a name; without one, the only sheet in sight."""
    for one in sheets:
        if one.name == wanted:
            return one
    in_sight = [one for one in sheets if not one.hidden]
    names = [one.name for one in sheets]
    if wanted:
        raise UnknownName(f"{path}: sheet", wanted, names)
    if len(in_sight) != 1:
        raise Refused(f"{path}: sheet", None, key="bench_tables.which_sheet", names=tuple(names))
    return in_sight[0]


def _local(name: str) -> str:
    return name.rpartition("}")[2]


def _attributes(element: ET.Element) -> dict[str, str]:
    return {_local(name): value for name, value in element.attrib.items()}


def _part(archive: zipfile.ZipFile, name: str) -> Iterator[ET.Element]:
    """Elements of a part as they end; each is emptied after use.

    A part that defines entities is not a spreadsheet's: it is refused before it can unfold.
    """
    with archive.open(name) as stream:
        tail = b""
        while chunk := stream.read(_CHUNK):
            if b"<!DOCTYPE" in tail + chunk:
                raise Refused("file", name, "DOCTYPE", key="bench_tables.broken")
            tail = chunk[-len(b"<!DOCTYPE") :]
    with archive.open(name) as stream:
        for _, element in ET.iterparse(stream):  # noqa: S314 - entities refused above
            yield element
            if _local(element.tag) in ("row", "mergeCell", "col", "table-row"):
                element.clear()


def _sheets(archive: zipfile.ZipFile) -> Iterator[_Sheet]:
    links = {}
    for element in _part(archive, "xl/_rels/workbook.xml.rels"):
        given = _attributes(element)
        if "Id" in given and "Target" in given:
            links[given["Id"]] = given["Target"]
    for element in _part(archive, _WORKBOOK):
        if _local(element.tag) == "sheet":
            given = _attributes(element)
            target = links.get(given.get("id", ""), "")
            part = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
            hidden = given.get("state", "visible") != "visible"
            if "worksheets" in PurePosixPath(part).parts:
                yield _Sheet(given.get("name", ""), hidden, part)


def _layout(
    archive: zipfile.ZipFile, part: str
) -> tuple[set[int], set[int], list[tuple[int, int, str]], bool]:
    """Rows and columns out of sight, merged places, and whether there is any formula."""
    from openpyxl.utils.cell import range_boundaries

    rows: set[int] = set()
    columns: set[int] = set()
    merged = []
    formulas, number = False, 0
    for element in _part(archive, part):
        tag, given = _local(element.tag), _attributes(element)
        if tag == "row":
            number = int(given.get("r", number + 1))
            if _true(given.get("hidden")) or given.get("ht") == "0":
                rows.add(number)
        elif tag == "col" and (_true(given.get("hidden")) or given.get("width") == "0"):
            last = min(int(given["max"]), COLUMNS)
            columns |= set(range(int(given["min"]) - 1, last))
        elif tag == "mergeCell":
            _, top, _, bottom = range_boundaries(given["ref"])
            merged.append((top or 1, bottom or top or 1, given["ref"]))
        formulas = formulas or tag == "f"
    return rows, columns, merged, formulas


def _true(value: str | None) -> bool:
    return value in ("1", "true")


@contextmanager
def _open(data: bytes, *, values: bool) -> Iterator[Any]:
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(data), read_only=True, data_only=values, keep_links=False)
    try:
        yield book
    finally:
        book.close()


def _rows(sheet: Any, path: Path) -> Iterator[Row]:
    """Rows that hold something; read until there are more than any run has."""
    sheet.reset_dimensions()  # what a file says of its own size may be wrong
    cells = 0
    for number, found in enumerate(sheet.iter_rows(), 1):
        if number > TABLE_ROWS or cells > CELLS:
            raise Refused("file", path, key="files.too_many_rows", rows=number, limit=TABLE_ROWS)
        row = [_cell(one) for one in found]
        while row and row[-1] == "":
            row.pop()
        refuse_wide(path, len(row))
        cells += len(row)
        if row:
            yield Row(number, tuple(row))


def _cell(cell: Any) -> GridCell:
    if cell.value is None:
        return ""
    if cell.data_type == "f":
        return Formula(str(getattr(cell.value, "text", cell.value) or "="))
    found = _value(cell.value)
    if isinstance(found, float) and "%" in str(cell.number_format):
        return Percent(100.0 * found)
    return found


def _value(value: object) -> str | float:
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, int | float):
        return float(value)
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    return str(value) if not isinstance(value, timedelta) else f"{value.total_seconds():g} s"


def _with_values(row: Row, known: Row | None) -> Row:
    """The row with what its formulas last came to."""
    found = known.cells if known is not None else ()
    cells: list[GridCell] = []
    for column, cell in enumerate(row.cells):
        if isinstance(cell, Formula):
            last = found[column] if column < len(found) else ""
            plain = last.value if isinstance(last, Percent | Formula) else last
            cells.append(Formula(cell.text, None if plain == "" else plain))
        else:
            cells.append(cell)
    return Row(row.number, tuple(cells))


def _other_grid(data: bytes, path: Path, wanted: str) -> Grid:
    """Other kinds of spreadsheet: values only; they do not tell what is hidden or worked out."""
    from python_calamine import CalamineWorkbook, SheetVisibleEnum

    with CalamineWorkbook.from_filelike(io.BytesIO(data)) as book:
        sheets = [
            _Sheet(one.name, one.visible != SheetVisibleEnum.Visible, "")
            for one in book.sheets_metadata
        ]
        name = _chosen(sheets, wanted, path).name
        sheet = book.get_sheet_by_name(name)
        last_row, last_column = sheet.end or (0, 0)
        _refuse_area(path, last_row + 1, last_column + 1)
        values = sheet.to_python(skip_empty_area=False)
    rows = (Row(n, tuple(map(_value, cells))) for n, cells in enumerate(values, 1))
    return Grid(
        tuple(row for row in rows if any(one != "" for one in row.cells)),
        sheet=name,
        sheets=tuple(one.name for one in sheets),
        hidden_sheets=tuple(one.name for one in sheets if one.hidden),
        tells=False,
    )


def _refuse_area(path: Path, rows: int, columns: int) -> None:
    if rows * columns > CELLS:
        raise Refused("file", path, key="files.too_many_rows", rows=rows, limit=TABLE_ROWS)
    refuse_wide(path, columns)


def _refuse_unfolding(data: bytes, path: Path) -> None:
    """Refuse a table whose repeated cells would fill more than is read."""
    rows = columns = filled = column = 0
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for element in _part(archive, _OPEN_CONTENT):
            tag, given = _local(element.tag), _attributes(element)
            if tag in ("table-cell", "covered-table-cell"):
                column += int(given.get("number-columns-repeated", 1))
                filled = column if "value-type" in given else filled
            elif tag == "table-row":
                rows += int(given.get("number-rows-repeated", 1))
                columns = max(columns, filled)
                if filled:
                    _refuse_area(path, rows, columns)
                filled = column = 0
            elif tag == "table":
                rows = columns = 0
