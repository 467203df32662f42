"""One row of the benchmark table, and how it is measured."""

from __future__ import annotations

import gc
import inspect
import subprocess
import time
import tracemalloc
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from statistics import median, quantiles
from typing import Any

import numpy as np

EQUAL_WITHIN = 1e-12
LEAST_RUNS = 9
LEAST_SECONDS = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One comparison.

    Parameters
    ----------
    name
        What is done, as a person would say it.
    issue
        Number of the issue that set the limit.
    baseline
        What it is held against.
    limit
        Largest median ratio of our time to theirs.
    ours, theirs
        What is timed: a callable without arguments, or a command as a list of words.
    equal
        Says whether both give the same: called with both results, or with nothing. Left out,
        the results of two callables are compared member by member to 1e-12, relative.
    note
        What a reader of the table should know.
    runs
        Timed runs of each, interleaved; 9 or more, fewer only where one takes many seconds.
    peak_bytes
        Largest memory ours may take at any moment beyond what it was given [bytes]; adds a row
        of its own.
    peak_note
        How that number came about.
    own_clock
        Whether both give the seconds they took: what makes them ready is not timed.
    environment
        Environment of the commands; ours when left out.
    """

    name: str
    issue: int
    baseline: str
    limit: float
    ours: Callable[[], Any] | Sequence[str]
    theirs: Callable[[], Any] | Sequence[str]
    equal: Callable[..., bool] | None = None
    note: str = ""
    runs: int = LEAST_RUNS
    peak_bytes: float | None = None
    peak_note: str = ""
    own_clock: bool = False
    environment: Mapping[str, str] | None = field(default=None, repr=False)


def measured(row: Row) -> Iterator[dict[str, Any]]:
    """Measure a row: first that both give the same, then how long each takes, interleaved."""
    ours, theirs = (_callable(one, row.environment) for one in (row.ours, row.theirs))
    check_equal(row, ours(), theirs())
    times = max(1, round(LEAST_SECONDS / max(_seconds(theirs, 1, row), 1e-9)))
    pairs = []
    for n in range(row.runs):
        first, second = (ours, theirs) if n % 2 == 0 else (theirs, ours)
        one, other = _seconds(first, times, row), _seconds(second, times, row)
        pairs.append((one, other) if first is ours else (other, one))
    ratios = [mine / its for mine, its in pairs]
    low, _, high = quantiles(ratios, n=4)
    yield {
        "name": row.name,
        "issue": row.issue,
        "baseline": row.baseline,
        "median_ratio": round(median(ratios), 3),
        "limit": row.limit,
        "runs": len(pairs),
        "spread": [round(low, 3), round(high, 3)],
        "seconds": [round(median(side) / times, 6) for side in zip(*pairs, strict=True)],
        "note": row.note,
    }
    if row.peak_bytes is not None:
        yield _memory(row, ours)


def check_equal(row: Row, mine: Any, its: Any) -> None:
    """Refuse to time two things that do not give the same."""
    if row.equal is not None:
        wanted = len(inspect.signature(row.equal).parameters)
        same = row.equal(mine, its) if wanted else row.equal()
        # a check that asserts for itself returns nothing
        if same is not None and not same:
            message = f"{row.name}: ours and the baseline do not give the same"
            raise ValueError(message)
        return
    for a, b in zip(_members(mine), _members(its), strict=True):
        np.testing.assert_allclose(a, b, rtol=EQUAL_WITHIN, atol=EQUAL_WITHIN, err_msg=row.name)


def _members(result: Any) -> list[Any]:
    if isinstance(result, Mapping):
        return [result[key] for key in sorted(result)]
    return list(result) if isinstance(result, tuple | list) else [result]


def _callable(
    what: Callable[[], Any] | Sequence[str], environment: Mapping[str, str] | None
) -> Callable[[], Any]:
    if callable(what):
        return what
    words = list(what)

    def run() -> str:
        return subprocess.run(
            words, check=True, capture_output=True, text=True, env=environment
        ).stdout

    return run


def _seconds(work: Callable[[], Any], times: int, row: Row) -> float:
    gc.collect()
    gc.disable()
    try:
        if row.own_clock:
            return float(sum(work() for _ in range(times)))
        start = time.perf_counter()
        for _ in range(times):
            work()
        return time.perf_counter() - start
    finally:
        gc.enable()


def _memory(row: Row, ours: Callable[[], Any]) -> dict[str, Any]:
    gc.collect()
    tracemalloc.start()
    try:
        kept = ours()
        _, peak = tracemalloc.get_traced_memory()
        del kept
    finally:
        tracemalloc.stop()
    return {
        "name": f"{row.name}: memory at its peak",
        "issue": row.issue,
        "baseline": row.peak_note or "bytes allowed",
        "median_ratio": round(peak / row.peak_bytes, 3),
        "limit": 1.0,
        "runs": 1,
        "spread": [0.0, 0.0],
        "note": f"{peak / 1e6:.0f} MB of {row.peak_bytes / 1e6:.0f} MB",
    }
