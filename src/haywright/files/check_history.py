"""The history of a check sample: from the results of earlier batches, or from a table."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from haywright.files.reading import decode, missing_folder, read_bytes, read_csv
from haywright.measure.errors import Refused

RESULTS = "results.json"
RESULT_BYTES = 50_000_000


@dataclass(frozen=True, slots=True)
class Entry:
    """One run of a check sample: its day and what was found [unit of the quantity]."""

    day: date
    found: float


def history_of(where: Path, check: str, analyte: str) -> tuple[Entry, ...]:
    """The history of a check sample in one quantity, oldest first.

    Parameters
    ----------
    where
        A folder of batches with their results, or a table with the columns day and value.
    check, analyte
        Name of the check sample and of the quantity; not looked at in a table.

    Raises
    ------
    Refused
        Not there, not readable, without a single run of that check, or by several methods.
    """
    entries = _from_table(where) if where.is_file() else _from_batches(where, check, analyte)
    if not entries:
        raise Refused("check", check, key="bench.file.no_history", where=str(where))
    return tuple(sorted(entries, key=lambda one: one.day))


def _from_batches(folder: Path, check: str, analyte: str) -> list[Entry]:
    if not folder.is_dir():
        raise missing_folder(folder)
    found, methods = [], set()
    for path in sorted(folder.glob(f"*/{RESULTS}")):
        report = _report(path)
        for one in report.get("checks", ()):
            if one["name"] == check and one["analyte"] == analyte:
                found.append(Entry(date.fromisoformat(str(report["run_on"])), float(one["found"])))
                methods.add(str(one.get("method", report.get("method", ""))))
    # Another drying or extractant is another quantity; one chart of both would mean nothing.
    if len(methods) > 1:
        named = " / ".join(sorted(methods))
        raise Refused("check", check, named, key="bench_more.file.methods_mixed")
    return found


def _report(path: Path) -> dict[str, Any]:
    try:
        read = json.loads(decode(read_bytes(path, RESULT_BYTES), path))
        date.fromisoformat(str(read["run_on"]))
    except (json.JSONDecodeError, KeyError, TypeError, ValueError) as error:
        raise Refused("file", path, str(error), key="bench.file.not_results") from None
    return dict(read)


def _from_table(path: Path) -> list[Entry]:
    table = read_csv(path)
    for name in ("day", "value"):
        if name not in table.columns:
            raise Refused(f"{path}: column", name, key="bench.file.history_column")
    found = []
    for row in table.rows:
        day, value = row["day"], row["value"]
        where = f"{path}: row {day.row}"
        try:
            when = date.fromisoformat(day.text)
        except ValueError:
            raise Refused(f"{where}, column day", day.text, key="files.day") from None
        if value.number is None or value.below or not abs(value.number) < float("inf"):
            raise Refused(f"{where}, column value", value.text, key="measure.not_a_number")
        found.append(Entry(when, value.number))
    return found
