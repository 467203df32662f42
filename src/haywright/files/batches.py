"""Batches of an office in small: batches/DATE-determination/{batch.toml, readings.csv}.

The form says what was run, how, on what; the table holds the readings, one position a row:

    position  place in the run, from 1
    kind      bag, duplicate, blank, standard, verification, check, spike ...
    sample    bag code, or the name of the standard, blank or check material
    replicate which portion of the bag (1 when left out; a duplicate is 2)
    attempt   which try at that portion (1 when left out)
    read_at   instant with its offset, when written down
    vessel    mark of the crucible, dish, cup or boat, when written down

and then a column for each reading of the method, its unit at the end of its name. A reading may
come from an instrument's export instead; the form then names it (see ``batch_tables``):

    [[instrument_table]]
    file = "run.csv"        beside this form
    columns = "flow"        saved as columns/flow.toml of the office
    run = "14 Sept A"       where one export holds several runs
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any

from haywright.bag.codes import read_code
from haywright.bench.batch import Batch, CheckMaterial, Equipment, Position, PositionKind, Scatter
from haywright.bench.charts import rule_sets
from haywright.bench.pattern import Determination, Method, determination, determinations
from haywright.bench.report import BatchReport
from haywright.bench.worksheet import Arrangement
from haywright.files.batch_tables import sources_of, table_of
from haywright.files.reading import (
    Cell,
    Checked,
    Table,
    missing_folder,
    read_toml,
    whole_number,
    write_atomic,
)
from haywright.measure.errors import HaywrightError, Problems, Refused, UnknownName

FIXED = ("position", "kind", "sample", "replicate", "attempt", "read_at", "vessel")
_NEEDED = ("position", "kind", "sample")
_OF_BAGS = (PositionKind.BAG, PositionKind.DUPLICATE)
_SCATTER = ("repeat", "repeat_pct", "repeat_df", "between_runs", "between_runs_pct",
            "between_runs_df", "bias", "bias_pct", "bias_df")  # fmt: skip


def read_batch(folder: Path) -> Batch:
    """The batch of one folder.

    Raises
    ------
    Refused, Problems
        Everything that is wrong with the form or the table, each with its field, or its row and
        column.
    """
    if not folder.is_dir():
        raise missing_folder(folder)
    form = read_toml(folder / "batch.toml")
    fields = _fields(form, folder)
    method = method_of(form, fields)
    sources = sources_of(form)
    form.finish()
    positions: tuple[Position, ...] = ()
    if method is not None:
        try:
            table, path = table_of(folder, sources, method)
        except HaywrightError as error:
            form.problems += error.errors if isinstance(error, Problems) else [error]
        else:
            positions = _positions(table, method, path, form.problems)
    if form.problems:
        raise form.problems[0] if len(form.problems) == 1 else Problems(form.problems)
    return Batch(positions=positions, **fields)


def batch_folders(paths: Iterable[Path]) -> tuple[Path, ...]:
    """The batches among some folders: each that is one, and those that lie in one.

    Raises
    ------
    Refused
        A folder that is not there, or holds no batch.
    """
    found: list[Path] = []
    for path in paths:
        if not path.is_dir():
            raise missing_folder(path)
        if (path / "batch.toml").is_file():
            inside = [path]
        else:
            inside = [one.parent for one in sorted(path.glob("*/batch.toml"))]
        if not inside:
            raise Refused("folder", path, key="bench_more.file.no_batch")
        found += inside
    return tuple(dict.fromkeys(found))


def write_results(folder: Path, report: BatchReport) -> Path:
    """Write the report beside the readings as results.json, whole or not at all."""
    path = folder / "results.json"
    text = json.dumps(report.to_json(), indent=1, ensure_ascii=False, allow_nan=False)
    write_atomic(path, text + "\n")
    return path


def _fields(form: Checked, folder: Path) -> dict[str, Any]:
    return {
        "id": form.text("id", default=folder.resolve().name),
        "run_on": form.day("run_on") or date.min,
        "analyst": form.text("analyst", default=""),
        "voids": dict(_voids(form)),
        "rerun_of": form.text("rerun_of", default=""),
        "rerun_cause": form.text("rerun_cause", default=""),
        "ordered_by": form.choice("ordered_by", Arrangement, default=""),
        "seed": form.text("seed", default=""),
        "equipment": equipment(form),
        **shared_fields(form),
        "vessels": _series(form, "vessels"),
        "powder": _numbers(form, "powder"),
    }


def equipment(form: Checked) -> tuple[Equipment, ...]:
    """The equipment of a form, each with its check."""
    return tuple(_equipment(one) for one in form.tables("equipment", default=[]))


def shared_fields(form: Checked) -> dict[str, Any]:
    """What batches run alike share: the fields of a batch that speak of no single run."""
    return {
        "determination": form.choice("determination", determinations()),
        "method": form.text("method"),
        "laboratory": form.text("laboratory", default=""),
        "choices": _choices(form),
        "checks": {m.name: m for m in _materials(form)},
        "scatter": _scatter(form),
        "limits": _numbers(form, "limits"),
        "rules": form.choice("rules", rule_sets(), default="action_limits"),
    }


def method_of(form: Checked, fields: Mapping[str, Any]) -> Method | None:
    """The method of the form; ``None`` when it is not known, which is then a problem."""
    if not fields["determination"]:
        return None
    of: Determination = determination(fields["determination"])
    try:
        return of.method(fields["method"])
    except UnknownName:
        form.problems.append(
            UnknownName(f"{form.place}: method", fields["method"], list(of.methods))
        )
        return None


def _choices(form: Checked) -> dict[str, str | float]:
    """Words and numbers; which of them a method knows is settled when it is worked."""
    out: dict[str, str | float] = {}
    table = form.raw("choices", default={})
    if not isinstance(table, dict):
        form.refuse("choices", table, key="files.tables")
        return out
    for name, value in table.items():
        if isinstance(value, bool):
            out[name] = "yes" if value else "no"
        elif isinstance(value, str):
            out[name] = value
        elif isinstance(value, int | float):
            out[name] = float(value)
        else:
            form.refuse(f"choices.{name}", value, key="bench.file.choice")
    return out


def _numbers(form: Checked, field: str) -> dict[str, float]:
    """A table of plain numbers."""
    out: dict[str, float] = {}
    table = form.raw(field, default={})
    if not isinstance(table, dict):
        form.refuse(field, table, key="files.tables")
        return out
    for name, value in table.items():
        if isinstance(value, bool) or not isinstance(value, int | float):
            form.refuse(f"{field}.{name}", value, key="measure.not_a_number")
        else:
            out[name] = float(value)
    return out


def _series(form: Checked, field: str) -> dict[str, tuple[float, ...]]:
    """A table of lists of numbers, oldest first."""
    out: dict[str, tuple[float, ...]] = {}
    table = form.raw(field, default={})
    if not isinstance(table, dict):
        form.refuse(field, table, key="files.tables")
        return out
    for name, values in table.items():
        numbers = values if isinstance(values, list) else [values]
        wrong = [v for v in numbers if isinstance(v, bool) or not isinstance(v, int | float)]
        if wrong:
            form.refuse(f"{field}.{name}", wrong[0], key="measure.not_a_number")
        out[name] = tuple(float(v) for v in numbers if v not in wrong)
    return out


def _equipment(one: Checked) -> Equipment:
    found = Equipment(
        kind=one.text("kind"),
        name=one.text("name"),
        checked_on=one.day("checked_on", default=None),
        checks=tuple(_pairs(one)),
        tolerance=_plain(one, "tolerance", default=None),
        repeatability=_plain(one, "repeatability", default=0.0) or 0.0,
        half_width=_plain(one, "half_width", default=0.0) or 0.0,
        lot=one.text("lot", default=""),
        expires=one.day("expires", default=None),
        unbroken=one.yes_no("unbroken", default=True),
    )
    one.finish()
    return found


def _plain(one: Checked, field: str, *, default: float | None) -> float | None:
    """A bare number, in the unit its kind of equipment is read in (g, mL, degC)."""
    return one.number(field, least=0.0, default=default)


def _pairs(one: Checked) -> Iterator[tuple[float, float]]:
    given = one.raw("checks", default=())
    for pair in given if isinstance(given, list | tuple) else [given]:
        numbers = isinstance(pair, list) and all(
            isinstance(v, int | float) and not isinstance(v, bool) for v in pair
        )
        if not numbers or len(pair) != 2:
            one.refuse("checks", pair, key="bench.file.checks")
            return
        yield float(pair[0]), float(pair[1])


def _materials(form: Checked) -> Iterator[CheckMaterial]:
    for one in form.tables("check_material", default=[]):
        yield CheckMaterial(
            name=one.text("name"),
            assigned=_numbers(one, "assigned"),
            between_runs=_numbers(one, "between_runs"),
            lab_dm=one.number("lab_dm_pct", unit="%", least=1, most=100, default=None),
            u_assigned=_numbers(one, "u_assigned"),
            history=_series(one, "history"),
        )
        one.finish()


def _scatter(form: Checked) -> dict[str, Scatter]:
    table = form.raw("scatter", default={})
    if not isinstance(table, dict):
        form.refuse("scatter", table, key="files.tables")
        return {}
    out = {}
    for analyte in table:
        one = Checked(table, f"{form.place}: scatter", problems=form.problems).table(analyte)
        given = {name: one.number(name, least=0.0) for name in _SCATTER if one.has(name)}
        out[analyte] = Scatter(**given)  # type: ignore[arg-type]
        one.finish()
    return out


def _voids(form: Checked) -> Iterator[tuple[int, str]]:
    for one in form.tables("void", default=[]):
        yield one.whole("position", least=1), one.text("cause")
        one.finish()


def _positions(
    table: Table, method: Method, path: Path, problems: list[HaywrightError]
) -> tuple[Position, ...]:
    known = (*FIXED, *(one.name for one in method.columns))
    problems += [
        UnknownName(f"{path}: column", name, known) for name in table.columns if name not in known
    ]
    missing = [name for name in _NEEDED if name not in table.columns]
    if missing:
        problems += [
            Refused(f"{path}: column", name, key="bench.file.column_missing") for name in missing
        ]
        return ()
    out = []
    for row in table.rows:
        reader = _Row(row, path, problems)
        position = reader.position([one.name for one in method.columns])
        if position is not None:
            out.append(position)
    return tuple(out)


class _Row:
    """One row of readings; every problem is noted with its row and column."""

    def __init__(
        self, cells: Mapping[str, Cell], path: Path, problems: list[HaywrightError]
    ) -> None:
        self.cells = cells
        self.path = path
        self.problems = problems
        self.number = next(iter(cells.values())).row

    def refuse(self, column: str, key: str, **args: Any) -> None:
        text = self.cells[column].text if column in self.cells else ""
        self.problems.append(Refused(self.where(column), text, key=key, **args))

    def where(self, column: str) -> str:
        return f"{self.path}: row {self.number}, column {column}"

    def position(self, columns: list[str]) -> Position | None:
        before = len(self.problems)
        kind = self.kind()
        sample = self.sample(kind)
        found = {
            "order": self.whole("position", usual=None),
            "replicate": self.whole("replicate", usual=2 if kind is PositionKind.DUPLICATE else 1),
            "attempt": self.whole("attempt", usual=1),
            "read_at": self.moment(),
            "vessel": self.text("vessel"),
            "readings": dict(self.readings(columns)),
        }
        if len(self.problems) > before or kind is None:
            return None
        return Position(kind=kind, sample=sample, row=self.number, **found)  # type: ignore[arg-type]

    def text(self, column: str) -> str:
        return self.cells[column].text.strip() if column in self.cells else ""

    def kind(self) -> PositionKind | None:
        written = self.text("kind").lower().replace(" ", "_")
        if written in set(PositionKind):
            return PositionKind(written)
        self.problems.append(UnknownName(self.where("kind"), written, list(PositionKind)))
        return None

    def sample(self, kind: PositionKind | None) -> str:
        written = self.text("sample")
        if not written:
            self.refuse("sample", "bench.file.cell_missing")
        elif kind in _OF_BAGS:
            try:
                return str(read_code(written))
            except Refused as error:
                args = {k: v for k, v in error.message.args.items() if k not in ("field", "value")}
                self.refuse("sample", error.message.key, **args)
        return written

    def whole(self, column: str, *, usual: int | None) -> int:
        written = self.text(column)
        if not written and usual is not None:
            return usual
        found = whole_number(written)
        if found is None or found < 1:
            self.refuse(column, "bench.file.whole")
            return 1
        return found

    def moment(self) -> datetime | None:
        written = self.text("read_at")
        if not written:
            return None
        try:
            found = datetime.fromisoformat(written)
        except ValueError:
            found = None
        if found is None or found.tzinfo is None:
            self.refuse("read_at", "bench.file.moment")
            return None
        return found

    def readings(self, columns: list[str]) -> Iterator[tuple[str, float]]:
        for name in columns:
            cell = self.cells.get(name)
            if cell is None or not cell.text.strip():
                continue
            if cell.below:
                self.refuse(name, "bench.file.below")
            elif cell.number is None or not abs(cell.number) < float("inf"):
                self.refuse(name, "measure.not_a_number")
            else:
                yield name, cell.number
