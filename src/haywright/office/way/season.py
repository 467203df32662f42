"""Season: what the office saw in one hay year."""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median
from typing import Any

from django.db.models import QuerySet

from haywright.bag.custody import Stage
from haywright.measure.estimate import State as How
from haywright.measure.result import Result as PureResult
from haywright.office.bench.models import Result
from haywright.office.people.actor import Actor
from haywright.office.people.policies import visible
from haywright.office.sheet.models import Version

COLUMNS = ("lot", "crop", "cutting", "form", "ranch", "cored_on", "bag", "analyte", "value",
           "state", "unit", "basis", "kind", "laboratory")  # fmt: skip
KINDS = {"csv": "CSV", "xlsx": "XLSX", "parquet": "Parquet"}  # as each names itself
FIRST_MONTH = 4  # when the next hay begins to grow (common practice)


@dataclass(frozen=True)
class Seen:
    """One crop in one month of coring: lots tested for nitrate, and how many over the line.

    ``month`` is the first day of it; ``None`` for reports without a bag of the office's.
    """

    crop: str
    month: date | None
    tested: int
    over: int


def hay_year(day: date) -> int:
    """The hay year a day lies in: until April the hay of the year before is fed."""
    return day.year if day.month >= FIRST_MONTH else day.year - 1


def results_of(actor: Actor, year: int) -> QuerySet[Result]:
    """Results in force of lots of one hay year that an actor may see."""
    rows = Result.objects.select_related("lot", "lot__ranch", "bag")
    mine = visible(actor, "season.see", rows, ranch="lot__ranch")
    return mine.filter(lot__hay_year=year, replaced_by__isnull=True)


def by_crop(actor: Actor, year: int, line: float) -> list[Seen]:
    """Nitrate by crop and month of coring; a lot with several bags is one lot, by its highest."""
    over: dict[tuple[str, date | None], dict[Any, bool]] = defaultdict(dict)
    rows = results_of(actor, year).filter(analyte="nitrate_n").select_related(None)
    columns = ("lot", "lot__crop", "bag__cored_on", "value")
    for lot, crop, cored_on, value in rows.filter(value__isnull=False).values_list(*columns):
        _count(over, lot, crop, cored_on, past=float(value) >= line)
    open_ones = rows.filter(value__isnull=True).exclude(state=How.HELD)
    for lot, crop, cored_on, whole in open_ones.values_list(*columns[:3], "whole"):
        found = PureResult.from_json(whole).estimate
        past = found.state in (How.ABOVE, How.BETWEEN) and found.high >= line
        _count(over, lot, crop, cored_on, past=past)
    return [
        Seen(crop, month, len(lots), sum(lots.values()))
        for (crop, month), lots in sorted(over.items(), key=lambda one: str(one[0]))
    ]


def _count(
    over: dict[tuple[str, date | None], dict[Any, bool]],
    lot: Any,
    crop: str,
    cored_on: date | None,
    *,
    past: bool,
) -> None:
    lots = over[crop, cored_on.replace(day=1) if cored_on else None]
    lots[lot] = lots.get(lot, False) or past


def turnaround(actor: Actor, year: int) -> float | None:
    """Median days from sealing to the first whole sheet; ``None`` without one."""
    rows = Version.objects.filter(
        sheet__office=actor.office,
        sheet__lot__hay_year=year,
        interim=False,
        sheet__lot__bags__journey__stage=Stage.SEALED,
    )
    columns = ("sheet", "made_at", "sheet__lot__bags__journey__at")
    times: dict[Any, list[tuple[Any, Any]]] = defaultdict(list)
    for sheet, made, sealed in rows.values_list(*columns):
        times[sheet].append((made, sealed))
    took = [
        (min(made for made, _ in held) - min(sealed for _, sealed in held)) / timedelta(days=1)
        for held in times.values()
    ]
    return median(took) if took else None


def rows_of(actor: Actor, year: int, *, owners: bool) -> Iterator[tuple[Any, ...]]:
    """The rows of an export, without the owners where asked."""
    for one in results_of(actor, year).order_by("id").iterator(chunk_size=1000):
        lot, bag = one.lot, one.bag
        yield (
            str(lot.number) if not owners else lot.name,
            lot.crop,
            lot.cutting,
            lot.form,
            (lot.ranch.name if lot.ranch else "") if owners else "",
            bag.cored_on.isoformat() if bag else "",
            bag.code if bag else "",
            one.analyte,
            None if one.value is None else float(one.value),
            one.state,
            one.unit,
            one.basis,
            one.kind,
            one.laboratory,
        )


def export(kind: str, rows: Iterator[tuple[Any, ...]]) -> bytes:
    """The rows as CSV, XLSX or Parquet."""
    return {"csv": _csv, "xlsx": _xlsx, "parquet": _parquet}[kind](rows)


def _csv(rows: Iterator[tuple[Any, ...]]) -> bytes:
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    writer.writerows([_plain(cell) for cell in row] for row in rows)
    return out.getvalue().encode("utf-8-sig")


def _plain(cell: Any) -> Any:
    """A text that a spreadsheet would work out as a formula is kept a text."""
    return f"'{cell}" if isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@") else cell


def _xlsx(rows: Iterator[tuple[Any, ...]]) -> bytes:
    import xlsxwriter

    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False}) as book:
        sheet = book.add_worksheet()
        for n, row in enumerate((COLUMNS, *rows)):
            for m, cell in enumerate(row):
                if isinstance(cell, str):
                    sheet.write_string(n, m, cell)
                else:
                    sheet.write(n, m, cell)
    return out.getvalue()


def _parquet(rows: Iterator[tuple[Any, ...]]) -> bytes:
    import tempfile
    from pathlib import Path

    import duckdb

    held = list(rows)
    kinds = {"cutting": "INTEGER", "value": "DOUBLE"}
    config: dict[str, str | bool | int | float | list[str]] = {
        "autoinstall_known_extensions": "false",
        "autoload_known_extensions": "false",
    }
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "season.parquet"
        with duckdb.connect(config=config) as base:
            columns = ", ".join(f"{name} {kinds.get(name, 'VARCHAR')}" for name in COLUMNS)
            base.execute(f"CREATE TABLE season ({columns})")
            if held:
                places = ", ".join("?" * len(COLUMNS))
                base.executemany(f"INSERT INTO season VALUES ({places})", held)  # noqa: S608
            base.execute(f"COPY season TO '{path}' (FORMAT parquet)")
        return path.read_bytes()
