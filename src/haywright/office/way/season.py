"""Season: what the office saw in one hay year."""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from statistics import median
from typing import Any

from django.db.models import QuerySet

from haywright.office.bench.models import Result
from haywright.office.people.actor import Actor
from haywright.office.people.policies import visible
from haywright.office.sheet.models import Version

COLUMNS = ("lot", "crop", "cutting", "form", "ranch", "cored_on", "bag", "analyte", "value",
           "state", "unit", "basis", "kind", "laboratory")  # fmt: skip
KINDS = ("csv", "xlsx", "parquet")


@dataclass(frozen=True)
class Seen:
    """One crop in one month: how many lots were tested for nitrate, how many over the line."""

    crop: str
    month: str
    tested: int
    over: int


def results_of(actor: Actor, year: int) -> QuerySet[Result]:
    """Results in force of lots of one hay year that an actor may see."""
    rows = Result.objects.select_related("lot", "lot__ranch", "bag")
    mine = visible(actor, "season.see", rows, ranch="lot__ranch")
    return mine.filter(lot__hay_year=year, replaced_by__isnull=True)


def by_crop(actor: Actor, year: int, line: float) -> list[Seen]:
    """Nitrate by crop and month of coring."""
    found: dict[tuple[str, str], list[float]] = defaultdict(list)
    rows = results_of(actor, year).filter(analyte="nitrate_n", value__isnull=False)
    for one in rows:
        month = one.bag.cored_on.strftime("%Y-%m") if one.bag else ""
        found[one.lot.crop, month].append(float(one.value or 0))
    return [
        Seen(crop, month, len(values), sum(one >= line for one in values))
        for (crop, month), values in sorted(found.items())
    ]


def turnaround(actor: Actor, year: int) -> float | None:
    """Median days from sealing to the first whole sheet; ``None`` without one."""
    rows = Version.objects.filter(
        sheet__office=actor.office, sheet__lot__hay_year=year, interim=False
    )
    first: dict[Any, float] = {}
    made = rows.order_by("-made_at").values_list("sheet", "made_at", "sheet__lot__bags__made_at")
    for sheet, when, sealed in made:
        if sealed is not None:
            first[sheet] = (when - sealed) / timedelta(days=1)
    return median(first.values()) if first else None


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
