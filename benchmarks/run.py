"""Runs the benchmarks and writes RESULTS.md for people and results.json.

    python -m benchmarks.run             all
    python -m benchmarks.run NAME ...    some; the rows of the others are kept as they stand

A module ``benchmarks/NAME.py`` defines ``ROWS``: Rows of :mod:`benchmarks.row`, tables with the
same names, or a function that gives them.
"""

from __future__ import annotations

import importlib
import json
import os
import platform
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.row import Row, measured

HERE = Path(__file__).parent
NOT_BENCHMARKS = {"__init__", "run", "row", "office_load", "office_worker"}


def names() -> list[str]:
    """Every benchmark module."""
    return sorted(path.stem for path in HERE.glob("*.py") if path.stem not in NOT_BENCHMARKS)


def rows_of(name: str) -> Iterator[Row]:
    """The rows a benchmark module defines."""
    rows = importlib.import_module(f"benchmarks.{name}").ROWS
    for one in rows() if callable(rows) else rows:
        yield one if isinstance(one, Row) else Row(**one)


def run(chosen: list[str]) -> list[dict[str, Any]]:
    """Measure the chosen modules, one line each as they come."""
    found = []
    for name in chosen:
        for row in rows_of(name):
            for result in measured(row):
                found.append({**result, "module": name})
                print(
                    f"{result['median_ratio']:8.2f} of {result['limit']:.3g}  {result['name']}",
                    flush=True,
                )
    return found


def kept(chosen: list[str]) -> list[dict[str, Any]]:
    """Earlier results of the modules that are not run now."""
    path = HERE / "results.json"
    if not path.exists():
        return []
    return [
        row
        for row in json.loads(path.read_text(encoding="utf-8"))
        if row["module"] in set(names()) - set(chosen)
    ]


def table(results: list[dict[str, Any]]) -> str:
    """The results for people."""
    machine = (
        f"Python {platform.python_version()}, NumPy {np.__version__}, {os.cpu_count()} cores, "
        f"{platform.system()} {platform.machine()}. `make bench` writes this page."
    )
    lines = [
        "# Speed, as ratios",
        "",
        "Ours divided by a baseline written without Haywright; both give the same to 1e-12.",
        "Runs are interleaved; the ratio is the median of pairs, the spread its middle half.",
        "",
        machine,
        "",
        "| what | against | ratio | limit | held | spread | runs | issue | note |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    for row in results:
        low, high = row["spread"]
        held = "yes" if row["median_ratio"] <= row["limit"] else "**no**"
        lines.append(
            f"| {row['name']} | {row['baseline']} | {row['median_ratio']:.2f} | {row['limit']:.3g} "
            f"| {held} | {low:.2f}-{high:.2f} | {row['runs']} | {row['issue']} | {row['note']} |"
        )
    return "\n".join(lines) + "\n"


def main() -> int:
    """Measure, write, and say by the exit code whether every limit holds."""
    chosen = sys.argv[1:] or names()
    earlier = kept(chosen)
    results = sorted(run(chosen) + earlier, key=lambda row: (row["issue"], row["module"]))
    (HERE / "results.json").write_text(json.dumps(results, indent=2) + "\n", encoding="utf-8")
    (HERE / "RESULTS.md").write_text(table(results), encoding="utf-8")
    over = [row["name"] for row in results if row["median_ratio"] > row["limit"]]
    for name in over:
        print(f"over its limit: {name}")
    return 1 if over else 0


if __name__ == "__main__":
    sys.exit(main())
