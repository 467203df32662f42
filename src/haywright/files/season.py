"""A season as handed in: a form with what its runs share, and one long table of all their rows.

    batch      name of the run
    run_on     its day, such as 2026-09-22
    position   place in the run, from 1
    kind       bag, duplicate, blank, standard, verification, check ...
    sample     bag code, or the name of the standard, blank or check material
    replicate, attempt, read_at     as in the table of one batch
    void       cause why the row does not count
    lab_dm_pct, u_lab_dm_pct        laboratory dry matter of the bag and its standard uncertainty

and then a column for each reading of the method. The form is that of a batch without what belongs
to one run; its equipment is a log, an entry for each check.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from haywright.bag.codes import as_printed, read_code
from haywright.bench.batch import Equipment, PositionKind
from haywright.bench.pattern import BAG_KINDS, Method
from haywright.bench.season.table import KINDS, Common, Head, Numbers, Places, Season, used_on
from haywright.files.batches import equipment, method_of, shared_fields
from haywright.files.blocks import Block, read_blocks
from haywright.files.reading import read_toml, write_atomic
from haywright.measure.errors import HaywrightError, Problems, Refused, UnknownName

NEEDED = ("batch", "run_on", "position", "kind", "sample")
FIXED = (*NEEDED, "replicate", "attempt", "read_at", "void", "lab_dm_pct", "u_lab_dm_pct")
_MOST_PROBLEMS = 20
_MOST_DIGITS = 9
_CODES = {kind: code for code, kind in enumerate(KINDS)}
_OF_BAGS = frozenset(_CODES[kind] for kind in BAG_KINDS)
T = TypeVar("T")


def read_season(form: Path, export: Path) -> Season:
    """The season of a form and a table.

    Raises
    ------
    Refused, Problems
        What is wrong with the form, or with the table, each with its row and column.
    """
    common, log, method = read_form(form)
    rows = _Rows(export, [column.name for column in method.columns])
    blocks = [rows.block(block) for block in read_blocks(export)]
    rows.done()
    columns = {name: np.concatenate([one[name] for one in blocks]) for name in blocks[0]}
    if not len(columns["batch"]):
        raise Refused("file", export, key="files.empty")
    heads = rows.heads(columns, log)
    order = np.lexsort((columns["order"], columns["batch"]))
    columns = {name: values[order] for name, values in columns.items()}
    columns.pop("day")
    readings = {name: columns.pop(name) for name in rows.readings}
    return Season(common, heads, tuple(rows.names), readings=readings, **columns)


def read_form(path: Path) -> tuple[Common, tuple[Equipment, ...], Method]:
    """What the runs share, the log of their equipment, and the method."""
    form = read_toml(path)
    fields, log = shared_fields(form), equipment(form)
    method = method_of(form, fields)
    form.done()
    if method is None:
        raise Refused(str(path), fields["method"], key="measure.refused")
    return Common(**fields), log, method


class _Rows:
    """The rows of a season by column; problems are gathered with their row and column."""

    def __init__(self, path: Path, readings: Sequence[str]) -> None:
        self.path = path
        self.readings = readings
        self.problems: list[HaywrightError] = []
        self.names: dict[str, int] = {}
        self.batches: dict[str, int] = {}
        self.seen: dict[tuple[str, bool], int] = {}
        self.table = Block({}, (), decimal_comma=False)

    def block(self, table: Block) -> dict[str, Any]:
        """The arrays of some rows."""
        self.table = table
        self.check_columns()
        kind = self.coded("kind", _kind)
        codes = [_CODES[one] for one in kind]
        usual = [2 if one is PositionKind.DUPLICATE else 1 for one in kind]
        found = {
            "batch": self.batch(),
            "day": np.array(self.coded("run_on", _day), dtype=np.intp),
            "kind": np.array(codes, dtype=np.int8),
            "sample": self.samples([one in _OF_BAGS for one in codes]),
            "order": self.whole("position"),
            "replicate": self.whole("replicate", usual=usual),
            "attempt": self.whole("attempt", usual=[1] * len(kind)),
            "void": np.array(self.coded("void", bool), dtype=bool),
            "lab_dm": self.numbers("lab_dm_pct"),
            "u_lab_dm": self.numbers("u_lab_dm_pct"),
            "read_at": np.array(self.coded("read_at", _instant), dtype=float),
            "line": np.array(table.lines, dtype=np.intp),
            **{name: self.numbers(name) for name in self.readings},
        }
        if len(self.problems) >= _MOST_PROBLEMS:
            self.done()
        return found

    def check_columns(self) -> None:
        known = (*FIXED, *self.readings)
        place = f"{self.path}: column"
        have = self.table.cells
        self.problems += [UnknownName(place, name, known) for name in have if name not in known]
        self.problems += [
            Refused(place, name, key="bench_arrays.season.column_missing", needed=NEEDED)
            for name in NEEDED
            if name not in have
        ]
        self.done()

    def done(self) -> None:
        if self.problems:
            raise Problems(self.problems[:_MOST_PROBLEMS])

    def cells(self, column: str) -> Sequence[str]:
        return self.table.cells.get(column, ("",) * len(self.table.lines))

    def refuse(self, column: str, text: str, error: Refused) -> None:
        """Note a problem at the first row that holds a text."""
        at = next(n for n, cell in enumerate(self.cells(column)) if cell.strip() == text.strip())
        row = self.table.lines[at]
        args = {k: v for k, v in error.message.args.items()
                if k not in ("field", "value", "accepted")}  # fmt: skip
        place = f"{self.path}: row {row}, column {column}"
        self.problems.append(Refused(place, text, error.accepted, key=error.message.key, **args))

    def coded(self, column: str, read: Callable[[str], T]) -> list[T]:
        """A column read once for each different text in it."""
        cells = self.cells(column)
        found: dict[str, T] = {}
        wrong: set[str] = set()
        for text in dict.fromkeys(cells):
            try:
                found[text] = read(text.strip())
            except Refused as error:
                wrong.add(text)
                self.refuse(column, text, error)
        if wrong:
            self.done()
        return [found[text] for text in cells]

    def samples(self, is_bag: Sequence[bool]) -> Places:
        """The sample of each row, as a number into the names."""
        seen, keys = self.seen, list(zip(self.cells("sample"), is_bag, strict=True))
        for key in dict.fromkeys(keys):
            if key not in seen:
                seen[key] = self.names.setdefault(self.sample(*key), len(self.names))
        return np.array([seen[key] for key in keys], dtype=np.intp)

    def sample(self, text: str, is_bag: bool) -> str:  # noqa: FBT001 - one of two kinds of name
        written = text.strip()
        if not written:
            self.refuse("sample", text, Refused("sample", text, key="bench.file.cell_missing"))
        elif is_bag and not as_printed(written):
            try:
                return str(read_code(written))
            except Refused as error:
                self.refuse("sample", text, error)
        return written

    def batch(self) -> Places:
        """The batch of each row, numbered as they appear."""
        names = [name.strip() for name in self.cells("batch")]
        for name in dict.fromkeys(names):
            self.batches.setdefault(name, len(self.batches))
        if "" in self.batches:
            self.refuse("batch", "", Refused("batch", "", key="bench_arrays.season.batch_missing"))
            self.done()
        return np.array([self.batches[name] for name in names], dtype=np.intp)

    def heads(self, columns: Mapping[str, Any], log: Sequence[Equipment]) -> tuple[Head, ...]:
        """The batches with their days and the equipment of each day; a batch has one day."""
        batch, day, line = columns["batch"], columns["day"], columns["line"]
        _, first = np.unique(batch, return_index=True)
        days = [date.fromordinal(one) for one in day[first].tolist()]
        for row in np.flatnonzero(day != day[first][batch])[:1].tolist():
            where, other = f"{self.path}: row {line[row]}, column run_on", days[batch[row]]
            found = date.fromordinal(int(day[row]))
            raise Refused(where, found, str(other), key="bench_arrays.season.day")
        tools = {one: used_on(log, one) for one in dict.fromkeys(days)}
        return tuple(
            Head(name, one, tools[one]) for name, one in zip(self.batches, days, strict=True)
        )

    def whole(self, column: str, *, usual: Sequence[int] = ()) -> Places:
        cells = self.cells(column)
        if usual:
            found = [_count(t) if t.strip() else u for t, u in zip(cells, usual, strict=True)]
        else:
            found = [_count(t) for t in cells]
        wrong = [t for t, n in zip(cells, found, strict=True) if n < 1] if 0 in found else []
        for text in dict.fromkeys(wrong):
            self.refuse(column, text, Refused(column, text, key="bench.file.whole"))
        return np.array(found, dtype=np.intp)

    def numbers(self, column: str) -> Numbers:
        """A column of numbers; nan where a cell is empty."""
        cells = self.cells(column)
        try:
            found = np.array([float(t) if t else math.nan for t in cells])
        except ValueError:
            found = np.array([self.number(t) for t in cells])
        odd = np.flatnonzero(~np.isfinite(found))
        if len(odd) == cells.count(""):
            return found
        for text in dict.fromkeys(t for t in (cells[k] for k in odd.tolist()) if t.strip()):
            self.refuse(column, text, _not_a_number(text))
        return found

    def number(self, text: str) -> float:
        written = text.strip()
        if self.table.decimal_comma and written.count(",") == 1 and "." not in written:
            written = written.replace(",", ".")
        try:
            return float(written) if written else math.nan
        except ValueError:
            return math.inf


def _not_a_number(text: str) -> Refused:
    below = text.strip().startswith("<")
    return Refused("", text, key="bench.file.below" if below else "measure.not_a_number")


def _count(text: str) -> int:
    """A whole number from 1; 0 for anything else."""
    return int(text) if text.isdecimal() and len(text) <= _MOST_DIGITS else 0


def _kind(text: str) -> PositionKind:
    written = text.lower().replace(" ", "_")
    if written not in set(PositionKind):
        raise UnknownName("kind", text, list(PositionKind))
    return PositionKind(written)


def _day(text: str) -> int:
    try:
        return date.fromisoformat(text).toordinal()
    except ValueError:
        raise Refused("run_on", text, key="files.day") from None


def _instant(text: str) -> float:
    if not text:
        return math.nan
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        found = None
    if found is None or found.tzinfo is None:
        raise Refused("read_at", text, key="bench.file.moment")
    return found.timestamp()


def write_table(path: Path, columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> Path:
    """Write a table whole or not at all; what is not there is left empty."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    write_atomic(path, out.getvalue())
    return path
