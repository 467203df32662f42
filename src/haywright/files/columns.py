"""What the columns of an instrument's table mean: one small form for each kind of export.

It is written once, saved by name as ``columns/NAME.toml`` beside the office's other forms, and
holds for every export of that shape:

    decimal = "comma"
    skip_rows = 2

    [[column]]
    holds = "position"          # position, sample, replicate, kind, run, or a reading
    heading = "Cup"

    [[column]]
    holds = "sample_g"
    heading = ["Weight", "Weight [mg]"]
    unit = "mg"
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from haywright.files.reading import DELIMITERS, Checked, read_toml, write_atomic
from haywright.measure.analytes import dictionary
from haywright.measure.errors import HaywrightError, Problems, Refused, UnknownName
from haywright.measure.units import dimension, names

FOLDER = "columns"
PLACES = ("position", "sample", "replicate", "kind", "run")
DECIMALS = ("comma", "point")
ALLOWED = ("formula_values", "hidden", "empty_rows", "other_kinds")
_SIGNS = {"tab": "\t"} | {sign: sign for sign in DELIMITERS}
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,60}")
_MOST_ROWS = 1000


@dataclass(frozen=True, slots=True)
class ColumnUse:
    """What one column of an export holds.

    Parameters
    ----------
    holds
        position, sample, replicate, kind, run, or the name of a reading.
    headings
        The names it goes by in the header row; none where it is found by its place.
    at
        Its place from the left, from 1; 0 where it is found by its heading.
    unit
        Unit it is written in; "" for the reading's own.
    """

    holds: str
    headings: tuple[str, ...] = ()
    at: int = 0
    unit: str = ""

    @property
    def is_reading(self) -> bool:
        """Whether it holds a number that was read, not what stood there."""
        return self.holds not in PLACES

    @property
    def reading_unit(self) -> str:
        """Unit of the reading as the batch wants it; "" for a bare signal."""
        return dictionary()[self.holds].unit if self.is_reading else ""


@dataclass(frozen=True, slots=True)
class ColumnsForm:
    """How the exports of one instrument are read.

    Parameters
    ----------
    name
        What it was saved as.
    columns
        What each column holds.
    sheet
        Name of the sheet; "" for the only one in sight.
    header_row
        Row of the headings, from 1; 0 where it is found by them.
    skip_rows
        Rows above the header that are passed over unread.
    delimiter, decimal
        Sign between cells; comma or point; "" where it is found.
    pass_over
        Rows that begin with one of these are no positions, such as a mean at the foot.
    absent
        What the export writes where there is no reading.
    allow
        What would be refused otherwise: formula_values, hidden, empty_rows, other_kinds.
    """

    name: str
    columns: tuple[ColumnUse, ...]
    sheet: str = ""
    header_row: int = 0
    skip_rows: int = 0
    delimiter: str = ""
    decimal: str = ""
    pass_over: tuple[str, ...] = ()
    absent: tuple[str, ...] = ()
    allow: tuple[str, ...] = ()

    @property
    def readings(self) -> tuple[ColumnUse, ...]:
        """Columns that hold readings."""
        return tuple(one for one in self.columns if one.is_reading)

    def use_of(self, holds: str) -> ColumnUse | None:
        """The column that holds this; ``None`` when no column does."""
        return next((one for one in self.columns if one.holds == holds), None)

    @property
    def has_header(self) -> bool:
        """Whether the table has a row of headings."""
        return bool(self.header_row) or any(one.headings for one in self.columns)


def columns_path(office: Path, name: str) -> Path:
    """Where a form is saved; a name that would lead elsewhere is refused."""
    if not _NAME.fullmatch(name):
        raise Refused("columns", name, key="bench_tables.form_name")
    return office / FOLDER / f"{name}.toml"


def saved_columns(office: Path) -> tuple[str, ...]:
    """Names of the forms an office has."""
    return tuple(sorted(path.stem for path in (office / FOLDER).glob("*.toml")))


def read_columns(office: Path, name: str) -> ColumnsForm:
    """The form an office saved by a name.

    Raises
    ------
    Refused, Problems
        No such form, or everything that is wrong in it.
    """
    path = columns_path(office, name)
    if not path.is_file():
        raise UnknownName("columns", name, saved_columns(office))
    return checked_columns(read_toml(path), name)


def checked_columns(form: Checked, name: str) -> ColumnsForm:
    """A form of columns from its fields, every problem told at once."""
    out = ColumnsForm(
        name=name,
        columns=tuple(_columns(form)),
        sheet=form.text("sheet", default=""),
        header_row=form.whole("header_row", most=_MOST_ROWS, default=0),
        skip_rows=form.whole("skip_rows", most=_MOST_ROWS, default=0),
        delimiter=_SIGNS.get(form.choice("delimiter", _SIGNS, default=""), ""),
        decimal=form.choice("decimal", DECIMALS, default=""),
        pass_over=_words(form, "pass_over"),
        absent=_words(form, "absent"),
        allow=form.choices("allow", ALLOWED, default=()),
    )
    form.problems += _at_odds(out, form.place)
    form.done()
    return out


def _columns(form: Checked) -> Iterator[ColumnUse]:
    for one in form.tables("column"):
        yield ColumnUse(
            holds=one.text("holds"),
            headings=_words(one, "heading"),
            at=one.whole("at", least=1, most=_MOST_ROWS, default=0),
            unit=one.text("unit", default=""),
        )
        one.finish()


def _words(form: Checked, field_name: str) -> tuple[str, ...]:
    """One text or a list of them."""
    value = form.raw(field_name, default=[])
    given = value if isinstance(value, list) else [value]
    if not all(isinstance(one, str) and one.strip() and len(one) <= 500 for one in given):
        form.refuse(field_name, value, key="files.text", longest=500)
        return ()
    return tuple(one.strip() for one in given)


def _at_odds(form: ColumnsForm, place: str) -> Iterator[HaywrightError]:
    """What does not go together, or names something there is not."""
    held = [one.holds for one in form.columns]
    for number, one in enumerate(form.columns, 1):
        where = f"{place}: column {number}"
        if held.count(one.holds) > 1 and held.index(one.holds) < number - 1:
            yield Refused(f"{where}: holds", one.holds, key="bench_tables.held_twice")
        if bool(one.at) == bool(one.headings):
            yield Refused(f"{where}: heading", one.holds, key="bench_tables.heading_or_place")
        if one.is_reading and one.holds not in dictionary():
            yield UnknownName(f"{where}: holds", one.holds, [*PLACES, *dictionary()])
        elif one.unit:
            yield from _unit_at_odds(one, where)
    if not {"position", "sample"} & set(held):
        yield Refused(f"{place}: column", "", key="bench_tables.no_place")
    if not form.readings:
        yield Refused(f"{place}: column", "", key="bench_tables.no_reading")
    if form.header_row and form.header_row <= form.skip_rows:
        yield Refused(
            f"{place}: header_row", form.header_row, key="bench_tables.header_skipped",
            rows=form.skip_rows,
        )  # fmt: skip


def _unit_at_odds(one: ColumnUse, where: str) -> Iterator[HaywrightError]:
    """A unit that cannot become the reading's; a bare signal may be written in any."""
    own = one.reading_unit
    if not one.is_reading:
        yield Refused(f"{where}: unit", one.unit, key="bench_tables.unit_of_no_reading")
    elif own:
        try:
            fits = dimension(one.unit) == dimension(own)
        except UnknownName:
            yield UnknownName(f"{where}: unit", one.unit, names())
            return
        except Refused as error:
            yield error
            return
        if not fits:
            yield Refused(f"{where}: unit", one.unit, own, key="bench_tables.unit_unfit")


def columns_text(form: ColumnsForm) -> str:
    """A form of columns as it is saved."""
    lines = []
    if form.sheet:
        lines.append(f"sheet = {_quoted(form.sheet)}")
    lines += [
        f"{name} = {value}"
        for name, value in (("header_row", form.header_row), ("skip_rows", form.skip_rows))
        if value
    ]
    if form.delimiter:
        lines.append(
            f"delimiter = {_quoted('tab' if form.delimiter == chr(9) else form.delimiter)}"
        )
    if form.decimal:
        lines.append(f'decimal = "{form.decimal}"')
    lines += [
        f"{name} = {_list(words)}"
        for name, words in (
            ("pass_over", form.pass_over), ("absent", form.absent), ("allow", form.allow),
        )
        if words
    ]  # fmt: skip
    for one in form.columns:
        lines += ["", "[[column]]", f"holds = {_quoted(one.holds)}"]
        if one.headings:
            only = len(one.headings) == 1
            lines.append(f"heading = {_quoted(one.headings[0]) if only else _list(one.headings)}")
        if one.at:
            lines.append(f"at = {one.at}")
        if one.unit:
            lines.append(f"unit = {_quoted(one.unit)}")
    return "\n".join(lines).lstrip("\n") + "\n"


def _list(words: tuple[str, ...]) -> str:
    return f"[{', '.join(map(_quoted, words))}]"


def _quoted(text: str) -> str:
    """A text between quotation marks, as TOML wants it."""
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else f"\\U{ord(c):08X}" for c in plain) + '"'


def save_columns(office: Path, form: ColumnsForm, *, replace: bool = False) -> Path:
    """Save a form by its name; one that is there already stays unless it is to be replaced.

    Raises
    ------
    Refused, Problems
        The name is taken and ``replace`` is not set, or the form is at odds with itself.
    """
    path = columns_path(office, form.name)
    problems = list(_at_odds(form, form.name))
    if problems:
        raise problems[0] if len(problems) == 1 else Problems(problems)
    if path.exists() and not replace:
        raise Refused("columns", form.name, key="bench_tables.form_taken")
    write_atomic(path, columns_text(form))
    return path
