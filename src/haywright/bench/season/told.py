"""What came of a season, as tables and in words."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from haywright.bench.decide import Verdict
from haywright.bench.pattern import determination
from haywright.bench.season.judge import VERDICTS, Came, JudgedSeason
from haywright.bench.season.reasons import Reason, kinds_of
from haywright.measure.message import Message, message

RESULT_COLUMNS = (
    "batch", "run_on", "sample", "came", "nitrate_n_mg_per_kg", "u_mg_per_kg", "df",
    "beyond", "limit_mg_per_kg", "raw_mg_per_kg", "portions", "held_by",
)  # fmt: skip
BATCH_COLUMNS = (
    "batch", "run_on", "verdict", "bags", "released", "held", "beyond", "waiting",
    "residual_sd", "blank_mg_per_l", "held_by",
)  # fmt: skip
_CAME = {
    Came.RELEASED: "released",
    Came.HELD: "held",
    Came.BEYOND: "above range",
    Came.WAITING: "waiting",
    Came.NOTHING: "not read",
}
_MOST_BATCHES = 12
# Rows made at a time, so that they stay near the processor.
_SOME = 4000


def _named(bits: Any) -> list[str]:
    """The reasons in words of a table, worked once for each different set."""
    texts = {one: " ".join(kinds_of(one)) for one in np.unique(bits).tolist()}
    return [texts[one] for one in bits.tolist()]


def _or_nothing(values: Any, where: Any) -> list[float | None]:
    """Numbers of some rows; the others, and what is not a number, stay empty."""
    kept = np.where(where, values, np.nan).tolist()
    return [None if math.isnan(one) else one for one in kept]


def result_rows(judged: JudgedSeason) -> Iterator[tuple[Any, ...]]:
    """One row for each bag of each batch, in the order of ``RESULT_COLUMNS``."""
    heads = [(one.id, str(one.run_on)) for one in judged.season.heads]
    for start in range(0, len(judged.came), _SOME):
        yield from _some_results(judged, heads, slice(start, start + _SOME))


def _some_results(
    judged: JudgedSeason, heads: list[tuple[str, str]], some: slice
) -> Iterator[tuple[Any, ...]]:
    season, bags = judged.season, judged.season.bags
    came, above, below = judged.came[some], judged.above[some], judged.below[some]
    value, df = judged.value[some], judged.df[some]
    open_one = came != Came.HELD
    plain = open_one & ~above & ~below
    batch = bags.batch[some].tolist()
    return zip(
        [heads[b][0] for b in batch],
        [heads[b][1] for b in batch],
        [season.names[s] for s in bags.sample[some].tolist()],
        [_CAME[c] for c in came.tolist()],
        _or_nothing(value, plain),
        _or_nothing(judged.u[some], open_one),
        _or_nothing(np.where(np.isinf(df), np.nan, df), plain),
        np.where(above, "above", np.where(below, "below", "")).tolist(),
        _or_nothing(judged.limit[some], open_one),
        _or_nothing(value, ~plain),
        judged.portions[some].astype(int).tolist(),
        _named(judged.reasons[some]),
        strict=True,
    )


def batch_rows(judged: JudgedSeason) -> Iterator[tuple[Any, ...]]:
    """One row for each batch, in the order of ``BATCH_COLUMNS``."""
    heads = judged.season.heads
    every = np.ones(len(heads), dtype=bool)
    return zip(
        [one.id for one in heads],
        [str(one.run_on) for one in heads],
        [VERDICTS[v].value for v in judged.verdict.tolist()],
        *(_counted(judged, which).tolist() for which in _by_came(judged)),
        _or_nothing(judged.curves.s, every),
        _or_nothing(judged.blank, every),
        _named(judged.batch_reasons),
        strict=True,
    )


def _by_came(judged: JudgedSeason) -> Iterator[Any]:
    yield np.ones(len(judged.came), dtype=bool)
    for came in (Came.RELEASED, Came.HELD, Came.BEYOND, Came.WAITING):
        yield judged.came == came


def _counted(judged: JudgedSeason, which: Any) -> Any:
    return np.bincount(judged.season.bags.batch[which], minlength=len(judged.season.heads))


def to_json(judged: JudgedSeason) -> dict[str, Any]:
    """The season in short, as plain JSON values."""
    return {
        "determination": judged.season.common.determination,
        "method": judged.season.method.id,
        "batches": len(judged.season.heads),
        "rows": len(judged.season.batch),
        "bags": len(judged.came),
        "verdicts": {v.value: _many(judged.verdict == k) for k, v in enumerate(VERDICTS)},
        "came": {_CAME[one]: _many(judged.came == one) for one in Came},
        "held_by": {one.kind: _many((judged.reasons & one) != 0) for one in Reason},
        "not_released": [
            {"batch": one[0], "verdict": one[2], "held_by": one[-1].split()}
            for one in batch_rows(judged)
            if one[2] != Verdict.RELEASE.value
        ],
    }


def _many(which: Any) -> int:
    return int(np.count_nonzero(which))


def all_released(judged: JudgedSeason) -> bool:
    """Whether every batch may go out whole."""
    return bool((judged.verdict == VERDICTS.index(Verdict.RELEASE)).all())


def lines(judged: JudgedSeason) -> Iterator[Message]:
    """The season in words: how many may go out, what holds the others, what was not looked at."""
    season = judged.season
    of = determination(season.common.determination)
    yield message(
        "bench_arrays.season.head",
        determination=of.name,
        method=season.method.label,
        n=len(season.heads),
        rows=len(season.batch),
        bags=len(judged.came),
    )
    for number, verdict in enumerate(VERDICTS):
        count = _many(judged.verdict == number)
        if count:
            yield message(f"bench_arrays.season.verdict.{verdict.name.lower()}", n=count)
    for came in Came:
        count = _many(judged.came == came)
        if count:
            yield message(f"bench_arrays.season.came.{came.name.lower()}", n=count)
    for reason in Reason:
        count = _many((judged.reasons & reason) != 0)
        if count:
            yield message(f"bench_arrays.season.held_by.{reason.kind}", n=count)
    yield from _whole_batches(judged)
    yield message("bench_arrays.season.not_looked_at")


def _whole_batches(judged: JudgedSeason) -> Iterator[Message]:
    held = np.flatnonzero(judged.verdict == VERDICTS.index(Verdict.HOLD)).tolist()
    if held:
        ids = [judged.season.heads[number].id for number in held[:_MOST_BATCHES]]
        yield message("bench_arrays.season.batches_held", ids=tuple(ids), n=len(held))
