"""The office with 200,000 lots: its pages beside a plain view, and beside an office of 200.

Making the large office takes minutes and some gigabytes in a folder that goes afterwards. A
folder named by HAYWRIGHT_BENCH_OFFICES is used again where its offices are there already.
"""

from __future__ import annotations

import atexit
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

from benchmarks.row import Row
from tests.office.postgres import cluster

FEW, MANY = 200, 200_000
RUNS = 15
OF_ONE_LOT = ("lot", "sheet")
PAGES = ("lot list", "lot list, further on", "lots by name", "lots by a rare name",
         "lots by bag code", "lot", "sheet", "Today")  # fmt: skip


class Office:
    """An office of a size in a process of its own, asked for pages."""

    def __init__(self, folder: Path, lots: int, database: str = "") -> None:
        env = {**os.environ, "HAYWRIGHT_DATA": str(folder)}
        if database:
            env |= {"DATABASE_URL": database, "HAYWRIGHT_SECRET": "only-for-benchmarks-" + "0" * 64,
                    "HAYWRIGHT_HOSTS": "testserver", "HAYWRIGHT_HTTPS": "no"}  # fmt: skip
        if not (folder / "loaded").is_file():
            folder.mkdir(parents=True, exist_ok=True)
            load = [sys.executable, "-m", "benchmarks.office_load", str(lots)]
            subprocess.run(load, env=env, check=True)
            if not database:
                (folder / "loaded").touch()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "benchmarks.office_worker"],
            env=env, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        atexit.register(self.process.kill)
        self.queries: dict[str, int] = json.loads(self._line())

    def _line(self) -> str:
        return self.process.stdout.readline()  # type: ignore[union-attr]

    def ask(self, what: str) -> float:
        """Have a page made; gives the seconds it took inside."""
        self.process.stdin.write(what + "\n")  # type: ignore[union-attr]
        self.process.stdin.flush()  # type: ignore[union-attr]
        return float(self._line())


def rows() -> Iterator[Row]:
    """The rows of SQLite, then those of PostgreSQL."""
    with ExitStack() as stack:
        kept = os.environ.get("HAYWRIGHT_BENCH_OFFICES")
        folder = Path(kept or stack.enter_context(tempfile.TemporaryDirectory()))
        for kind in ("SQLite", "PostgreSQL"):
            few, many = (
                Office(
                    folder / f"{kind}-{lots}",
                    lots,
                    stack.enter_context(cluster()) if kind == "PostgreSQL" else "",
                )
                for lots in (FEW, MANY)
            )
            yield from _rows(kind, few, many)


def _rows(kind: str, few: Office, many: Office) -> Iterator[Row]:
    size = f"{kind}, {MANY:,} lots"
    for page in PAGES:
        asks = f"{many.queries[page]} queries"
        yield _beside_plain(many, "page", f"{page}: {size}", page, f"standing, {asks}")
        yield Row(
            name=f"{page}, made anew: {size}",
            issue=5,
            baseline="the same page of an office with 200 lots",
            limit=1.2,
            ours=lambda p=page: many.ask(f"first {p}"),
            theirs=lambda p=page: few.ask(f"first {p}"),
            equal=lambda *_: many.queries == few.queries,
            note="nothing stands",
            runs=RUNS,
            own_clock=True,
        )
        name = f"{page}, after a deed on other hay: {size}"
        said = "lists are made anew then, pages of one lot stand"
        yield _beside_plain(many, "other", name, page, said)
        if page in OF_ONE_LOT:
            name = f"{page}, after a deed on the same hay: {size}"
            said = "made anew; the parts the deed does not speak of stand"
            yield _beside_plain(many, "same", name, page, said)
            name = f"{page}, made anew, beside a plain view: {size}"
            said = "nothing stands, as right after new numbers"
            yield _beside_plain(many, "first", name, page, said)


def _beside_plain(many: Office, kind: str, name: str, page: str, note: str) -> Row:
    """A page asked for in one way, beside a plain view of the same size."""
    return Row(
        name=name,
        issue=5,
        baseline="a plain view: five reads by key and a page of the same size",
        limit=3,
        ours=lambda: many.ask(f"{kind} {page}"),
        theirs=lambda: many.ask(f"plain {page}"),
        equal=lambda *_: True,
        note=note,
        runs=RUNS,
        own_clock=True,
    )


ROWS = rows
