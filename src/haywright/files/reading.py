"""Reading what people hand in: TOML forms and delimited tables, checked.

Every problem is found at once and its place named. Writing goes through a temporary file, so that
a half-written one never stays behind.
"""

from __future__ import annotations

import csv
import io
import math
import os
import re
import tempfile
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from haywright.measure.errors import HaywrightError, Problems, Refused, UnknownName
from haywright.measure.parse import parse_amount, parse_number

FORM_BYTES = 1_000_000
TABLE_ROWS = 200_000
TABLE_BYTES = 50_000_000
DELIMITERS = (",", ";", "\t", "|")


def read_bytes(path: Path, limit_bytes: int) -> bytes:
    """The bytes of a file, refused unread when it is larger than the limit or not there."""
    try:
        size = path.stat().st_size
    except OSError:
        raise Refused("file", path, key="files.not_there") from None
    if not path.is_file():
        raise Refused("file", path, key="files.not_there")
    if size > limit_bytes:
        raise Refused("file", path, key="files.too_large", size=size, limit=limit_bytes)
    if size == 0:
        raise Refused("file", path, key="files.empty")
    return path.read_bytes()


def decode(data: bytes, path: Path) -> str:
    """Text of a file: a byte-order mark decides, else UTF-8, else the Windows western page."""
    return decode_as(data, path)[0]


def decode_as(data: bytes, path: Path) -> tuple[str, str]:
    """Text of a file, and the name of the encoding it was found in."""
    marked = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    if b"\x00" in data and not marked:
        raise Refused("file", path, key="files.binary")
    for encoding in ("utf-16",) if marked else ("utf-8-sig", "cp1252"):
        try:
            return data.decode(encoding), encoding
        except UnicodeDecodeError:
            continue
    raise Refused("file", path, key="files.encoding")


def read_toml(path: Path, limit_bytes: int = FORM_BYTES) -> Checked:
    """A TOML form as a :class:`Checked` reader."""
    text = decode(read_bytes(path, limit_bytes), path)
    try:
        return Checked(tomllib.loads(text), str(path))
    except (ValueError, RecursionError) as error:  # a number of thousands of digits among them
        raise Refused("file", path, str(error), key="files.not_toml") from None


def placed(place: str, field: str) -> str:
    """A field with its form before it, when the form has a place of its own."""
    return f"{place}: {field}" if place else field


class Checked:
    """Reads the fields of a form, gathers every problem with its place, and raises them together.

    Call the field methods, then :meth:`done`. After a problem a method gives a harmless value so
    that reading can go on; :meth:`done` raises before anything is used.
    """

    def __init__(
        self,
        data: Mapping[str, Any],
        place: str,
        *,
        problems: list[HaywrightError] | None = None,
    ) -> None:
        self.data = data
        self.place = place
        self.problems = [] if problems is None else problems
        self._read: set[str] = set()
        self._inside = problems is not None

    def _where(self, field: str) -> str:
        return placed(self.place, field)

    def refuse(self, field: str, value: object, accepted: str = "", **kwargs: Any) -> None:
        """Note a problem with a field."""
        self.problems.append(Refused(self._where(field), value, accepted, **kwargs))

    def has(self, field: str) -> bool:
        """Whether the field is given."""
        return field in self.data

    def raw(self, field: str, *, default: Any = ...) -> Any:
        """The value as written; without a default a missing field is a problem."""
        self._read.add(field)
        if field in self.data:
            return self.data[field]
        if default is ...:
            self.refuse(field, None, key="files.field_missing")
            return None
        return default

    def text(self, field: str, *, default: Any = ..., longest: int = 500) -> str:
        """A text field."""
        value = self.raw(field, default=default)
        if value is None or value == default:
            return value or ""
        if not isinstance(value, str) or not value.strip() or len(value) > longest:
            self.refuse(field, value, key="files.text", longest=longest)
            return ""
        return value.strip()

    def number(
        self,
        field: str,
        *,
        unit: str = "",
        least: float | None = None,
        most: float | None = None,
        default: Any = ...,
    ) -> float:
        """A number, in ``unit`` when one is given.

        A text such as "5 ft" is converted; a bare number is refused unless the field's own name
        ends with the unit.
        """
        value = self.raw(field, default=default)
        if value is None or value is default:
            return value  # type: ignore[return-value]
        try:
            number = self._numeric(field, value, unit)
        except Refused as error:
            self.problems.append(error)
            return least or 0.0
        too_small = least is not None and number < least
        too_large = most is not None and number > most
        if too_small or too_large or math.isnan(number):
            self.refuse(
                field,
                value,
                key="files.out_of_range",
                least="" if least is None else f"{least:g}",
                most="" if most is None else f"{most:g}",
                unit=unit,
            )
            return least or 0.0
        return number

    def _numeric(self, field: str, value: Any, unit: str) -> float:
        if isinstance(value, str):
            if unit:
                return parse_amount(value, to=unit, field=self._where(field))
            try:
                return parse_number(value)
            except Refused:
                raise Refused(self._where(field), value, key="measure.not_a_number") from None
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise Refused(self._where(field), value, key="measure.not_a_number")
        if unit and not field.endswith(_suffixes(unit)):
            raise Refused(self._where(field), value, unit, key="measure.unit_missing")
        return float(value)

    def whole(
        self, field: str, *, least: int = 0, most: int | None = None, default: Any = ...
    ) -> int:
        """A whole number."""
        value = self.raw(field, default=default)
        if value is None or value is default:
            return value  # type: ignore[return-value]
        fits = isinstance(value, int) and not isinstance(value, bool) and value >= least
        if not fits or (most is not None and value > most):
            self.refuse(field, value, key="files.whole", least=least, most=most or "")
            return least
        return int(value)

    def day(self, field: str, *, default: Any = ...) -> date | None:
        """A date written as 2026-09-22."""
        value = self.raw(field, default=default)
        if value is None or value is default:
            return None
        if isinstance(value, datetime):
            return value.date()
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(str(value))
        except ValueError:
            self.refuse(field, value, key="files.day")
            return None

    def choice(self, field: str, options: Iterable[str], *, default: Any = ...) -> str:
        """One of a list of names."""
        value = self.raw(field, default=default)
        if value is None or value is default:
            return value or ""
        names = list(options)
        if value not in names:
            self.problems.append(UnknownName(self._where(field), value, names))
            return names[0] if names else ""
        return str(value)

    def choices(self, field: str, options: Iterable[str], *, default: Any = ...) -> tuple[str, ...]:
        """Several of a list of names."""
        value = self.raw(field, default=default)
        if value is None or value is default:
            return tuple(value or ())
        names = list(options)
        given = value if isinstance(value, list) else [value]
        for one in given:
            if one not in names:
                self.problems.append(UnknownName(self._where(field), one, names))
        return tuple(str(one) for one in given if one in names)

    def yes_no(self, field: str, *, default: Any = ...) -> bool:
        """True or false."""
        value = self.raw(field, default=default)
        if not isinstance(value, bool):
            if value is not None:
                self.refuse(field, value, "true, false")
            return False
        return value

    def tables(self, field: str, *, default: Any = ...) -> list[Checked]:
        """An array of tables, each read like a form of its own."""
        value = self.raw(field, default=default)
        if value is None:
            return []
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            self.refuse(field, value, key="files.tables")
            return []
        return [
            Checked(one, f"{self.place}: {field} {index}", problems=self.problems)
            for index, one in enumerate(value, 1)
        ]

    def table(self, field: str, *, default: Any = ...) -> Checked:
        """One table, read like a form of its own."""
        value = self.raw(field, default=default)
        if value is None or not isinstance(value, dict):
            if value is not None:
                self.refuse(field, value, key="files.tables")
            value = {}
        return Checked(value, f"{self.place}: {field}", problems=self.problems)

    def finish(self) -> None:
        """Note every field that nobody asked for; a slip of the pen is not passed over."""
        for field in self.data:
            if field not in self._read:
                self.problems.append(UnknownName(self.place, field, self._read))

    def done(self) -> None:
        """Refuse fields nobody asked for and raise every problem found, if any."""
        self.finish()
        if self._inside or not self.problems:
            return
        if len(self.problems) == 1:
            raise self.problems[0]
        raise Problems(self.problems)


def _suffixes(unit: str) -> tuple[str, ...]:
    plain = {"%": "pct", "degC": "c"}.get(unit, unit.lower().replace("/", "_per_"))
    return (f"_{plain}",)


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a table: its text and, where it reads as one, its number.

    ``below`` marks a cell written "<0.05"; the number is then the limit.
    """

    text: str
    row: int
    column: str
    number: float | None = None
    below: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A delimited table as read: columns by name, and rows of cells."""

    columns: tuple[str, ...]
    rows: tuple[Mapping[str, Cell], ...]


def read_csv(path: Path, row_limit: int = TABLE_ROWS, *, limit_bytes: int = TABLE_BYTES) -> Table:
    """A delimited table, whatever its delimiter, decimal sign and encoding.

    Parameters
    ----------
    path
        The file.
    row_limit
        Rows beyond this are not read; the file is refused.
    limit_bytes
        A larger file is refused unread.

    Raises
    ------
    Refused
        Not there, empty, binary, too long, no common delimiter, a row of another length, a
        column twice or without a name; the row is named.
    """
    text = long_text(path, row_limit, limit_bytes)
    delimiter = delimiter_of(text, path)
    lines = list(filled_rows(text, delimiter, path))
    if not lines:
        raise Refused("file", path, key="files.empty")
    columns = tuple(name.strip() for name in lines[0][1])
    check_columns(columns, path)
    comma = delimiter != ","
    return Table(
        columns,
        tuple(_row(columns, number, row, path, decimal_comma=comma) for number, row in lines[1:]),
    )


def long_text(path: Path, row_limit: int, limit_bytes: int) -> str:
    """The text of a table, refused when it has too many bytes or rows."""
    text = decode(read_bytes(path, limit_bytes), path)
    rows = 1 + text.count("\n")
    if rows > row_limit + 1:
        raise Refused("file", path, key="files.too_many_rows", rows=rows, limit=row_limit)
    return text


def filled_rows(text: str, delimiter: str, path: Path) -> Iterator[tuple[int, list[str]]]:
    """The rows that hold anything, with their lines."""
    try:
        for number, row in enumerate(_split(text, delimiter), 1):
            if row and (row[0].strip() or "".join(row).strip()):
                yield number, row
    except csv.Error as error:
        raise Refused("file", path, str(error), key="files.not_table") from None


def _split(text: str, delimiter: str) -> Iterator[list[str]]:
    return csv.reader(io.StringIO(text), delimiter=delimiter, strict=True)


def delimiter_of(text: str, path: Path) -> str:
    """The sign that gives every line the same number of columns, the most columns winning."""
    lines = [line for line in text.splitlines() if line.strip()][:50]
    if not lines:
        raise Refused("file", path, key="files.empty")
    counts = {}
    for sign in DELIMITERS:
        try:
            lengths = [len(row) for row in csv.reader(lines, delimiter=sign)]
        except csv.Error as error:
            raise Refused("file", path, str(error), key="files.not_table") from None
        found, header = set(lengths), lengths[0]
        counts[sign] = (header if header > 1 else 0, len(found) == 1)
    best = max(counts, key=lambda sign: (counts[sign][1] and counts[sign][0] > 1, counts[sign][0]))
    return best if counts[best][0] else ","


def check_columns(columns: Sequence[str], path: Path) -> None:
    """Refuse a column without a name or a name that stands twice."""
    for position, name in enumerate(columns, 1):
        if not name:
            raise Refused("column", position, key="files.column_unnamed", path=str(path))
        if columns.count(name) > 1:
            raise Refused("column", name, key="files.column_twice", path=str(path))


def _row(
    columns: tuple[str, ...], number: int, row: list[str], path: Path, *, decimal_comma: bool
) -> Mapping[str, Cell]:
    if len(row) != len(columns):
        raise row_length(number, row, columns, path)
    cells = zip(columns, row, strict=True)
    return {name: _cell(text, number, name, decimal_comma=decimal_comma) for name, text in cells}


def row_length(number: int, row: list[str], columns: Sequence[str], path: Path) -> Refused:
    """The error for a row with more or fewer cells than the table has columns."""
    return Refused(
        "row",
        number,
        key="files.row_length",
        path=str(path),
        found=len(row),
        expected=len(columns),
    )


def _cell(text: str, row: int, column: str, *, decimal_comma: bool) -> Cell:
    """One cell; a comma is a decimal comma where it does not part the cells.

    Where it does, a quoted "1,234" could be either and stays text.
    """
    plain = text.strip()
    below = plain.startswith("<")
    written = plain.lstrip("<").strip()
    if "," in written:
        if not decimal_comma or written.count(",") > 1 or "." in written:
            return Cell(plain, row, column)
        written = written.replace(",", ".")
    try:
        return Cell(plain, row, column, float(written), below)
    except ValueError:
        return Cell(plain, row, column)


def write_atomic(path: Path, content: bytes | str) -> None:
    """Write a file whole or not at all: to a temporary neighbour, then renamed."""
    data = content.encode("utf-8") if isinstance(content, str) else content
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
        Path(name).chmod(0o644)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def missing_folder(path: Path) -> Refused:
    """The error for a folder that is not there."""
    return Refused("folder", path, key="files.folder_missing")


def whole_number(text: str) -> int | None:
    """A whole number in plain digits, at most nine of them; anything else is ``None``."""
    return int(text) if re.fullmatch(r"[0-9]{1,9}", text) else None
