"""A season laid out as arrays: one row for each position, the rows of a batch together.

What the batches share (method, choices, check materials, limits) stands once; what belongs to a
batch (its day, the equipment it was run on) stands once for each.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from haywright.bench.batch import Batch, CheckMaterial, Equipment, Position, PositionKind, Scatter
from haywright.bench.pattern import BAG_KINDS, Method, determination
from haywright.bench.season.doubt import Doubtful
from haywright.bench.work import Earlier
from haywright.measure.errors import Refused
from haywright.measure.estimate import State

Numbers = NDArray[np.float64]
Places = NDArray[np.intp]
Yes = NDArray[np.bool_]
KINDS = tuple(PositionKind)
_CODE = {kind: code for code, kind in enumerate(KINDS)}


@dataclass(frozen=True, slots=True)
class Common:
    """What every batch of a season shares; the fields are those of a Batch."""

    determination: str
    method: str
    laboratory: str = ""
    choices: Mapping[str, str | float] = field(default_factory=dict)
    checks: Mapping[str, CheckMaterial] = field(default_factory=dict)
    scatter: Mapping[str, Scatter] = field(default_factory=dict)
    limits: Mapping[str, float] = field(default_factory=dict)
    rules: str = "action_limits"


@dataclass(frozen=True, slots=True)
class Head:
    """What belongs to one batch: its name, its day and the equipment it was run on."""

    id: str
    run_on: date
    equipment: tuple[Equipment, ...] = ()


@dataclass(frozen=True)
class Season:
    """Many batches of one method as arrays, sorted by batch and then by place in the run.

    Parameters
    ----------
    common
        What the batches share.
    heads
        What belongs to each batch.
    names
        Names of samples; ``sample`` counts into them.
    batch, kind, sample
        Batch, kind (place in ``KINDS``) and sample of each row [count from 0].
    order, replicate, attempt
        Place in the run, portion and try of each row [count from 1].
    readings
        Column -> number of each row, nan where there is none [unit that ends the column's name].
    void
        Rows that do not count.
    lab_dm, u_lab_dm
        Laboratory dry matter of the row's sample and its standard uncertainty [% as analysed];
        nan where it is not known.
    read_at
        Instant of the reading [seconds]; nan where it was not written down.
    line
        Line of the file each row was read from [count].
    """

    common: Common
    heads: tuple[Head, ...]
    names: tuple[str, ...]
    batch: Places
    kind: NDArray[np.int8]
    sample: Places
    order: Places
    replicate: Places
    attempt: Places
    readings: Mapping[str, Numbers]
    void: Yes
    lab_dm: Numbers
    u_lab_dm: Numbers
    read_at: Numbers
    line: Places

    @property
    def method(self) -> Method:
        """The method all batches were run by."""
        return determination(self.common.determination).method(self.common.method)

    def of(self, *kinds: PositionKind) -> Yes:
        """Rows of these kinds."""
        found = self.kind == _CODE[kinds[0]]
        for kind in kinds[1:]:
            found |= self.kind == _CODE[kind]
        return np.asarray(found)

    @cached_property
    def bags(self) -> Groups:
        """The bags of each batch, in the order of the runs."""
        return grouped(self, self.of(*BAG_KINDS))

    def shell(self, number: int) -> Batch:
        """One batch with its first position alone, for what is judged of its head."""
        head, common = self.heads[number], self.common
        first = int(np.searchsorted(self.batch, number))
        kind, name = KINDS[self.kind[first]], self.names[self.sample[first]]
        return Batch(
            id=head.id,
            run_on=head.run_on,
            equipment=head.equipment,
            positions=(Position(int(self.order[first]), kind, name, {}),),
            **{name: getattr(common, name) for name in Common.__slots__},
        )

    def refuse(self, row: int, key: str, **args: Any) -> Refused:
        """The error for one row."""
        where = f"row {self.line[row]}" if self.line[row] else self.heads[self.batch[row]].id
        return Refused(where, self.names[self.sample[row]], key=key, **args)


@dataclass(frozen=True, slots=True)
class Groups:
    """Rows of one sample in one batch put together.

    Parameters
    ----------
    rows
        Rows that belong to a group.
    group
        The group of each of them [count from 0].
    batch, sample
        Batch and sample of each group [count from 0].
    """

    rows: Places
    group: Places
    batch: Places
    sample: Places

    def __len__(self) -> int:
        return len(self.batch)

    def total(self, values: Any) -> Numbers:
        """Sum over the rows of each group [unit of the values]."""
        return np.bincount(self.group, values, minlength=len(self)).astype(float)

    def any(self, where: Yes) -> Yes:
        """Whether it holds of any row of each group."""
        return np.bincount(self.group[where], minlength=len(self)) > 0


def grouped(season: Season, which: Yes) -> Groups:
    """The rows of some kinds put together by batch and sample, in order of first appearance."""
    rows = np.flatnonzero(which)
    key = season.batch[rows] * len(season.names) + season.sample[rows]
    _, first, inverse = np.unique(key, return_index=True, return_inverse=True)
    order = np.argsort(first, kind="stable")
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    starts = rows[first[order]]
    return Groups(rows, rank[inverse], season.batch[starts], season.sample[starts])


def dried(season: Season, groups: Groups) -> Doubtful:
    """Laboratory dry matter of each group [% as analysed]; nan where it is not known."""
    value, u = np.full(len(groups), np.nan), np.zeros(len(groups))
    known = ~np.isnan(season.lab_dm[groups.rows])
    group, rows = groups.group[known], groups.rows[known]
    value[group] = season.lab_dm[rows]
    u[group] = np.nan_to_num(season.u_lab_dm[rows])
    differs = season.lab_dm[rows] != value[group]
    if differs.any():
        raise season.refuse(int(rows[differs][0]), "bench_arrays.season.lab_dm_differs")
    return Doubtful(value, {"dried": u})


def season_of(batches: Sequence[Batch], earlier: Earlier | None = None) -> Season:
    """Batches of one method laid out as a season.

    Parameters
    ----------
    batches
        Batches that share determination, method, choices, check materials, scatter, limits and
        rules.
    earlier
        Sample -> quantity -> Result: the laboratory dry matter of each bag.

    Raises
    ------
    Refused
        No batch, batches that do not share what they must, or a laboratory dry matter that is
        not an ordinary number.
    """
    if not batches:
        raise Refused("batches", 0, key="bench_arrays.season.empty")
    common = _shared(batches)
    rows = [(b, p) for b, batch in enumerate(batches)
            for p in sorted(batch.positions, key=lambda one: one.order)]  # fmt: skip
    names = tuple(dict.fromkeys(p.sample for _, p in rows))
    numbers = {name: n for n, name in enumerate(names)}
    dried = [_dried(p.sample, earlier or {}) for _, p in rows]
    method = determination(common.determination).method(common.method)
    return Season(
        common=common,
        heads=tuple(Head(one.id, one.run_on, one.equipment) for one in batches),
        names=names,
        batch=_whole(b for b, _ in rows),
        kind=np.array([_CODE[p.kind] for _, p in rows], dtype=np.int8),
        sample=_whole(numbers[p.sample] for _, p in rows),
        order=_whole(p.order for _, p in rows),
        replicate=_whole(p.replicate for _, p in rows),
        attempt=_whole(p.attempt for _, p in rows),
        readings={
            column.name: np.array([p.readings.get(column.name, np.nan) for _, p in rows])
            for column in method.columns
        },
        void=np.array([p.order in batches[b].voids for b, p in rows]),
        lab_dm=np.array([value for value, _ in dried]),
        u_lab_dm=np.array([u for _, u in dried]),
        read_at=np.array([p.read_at.timestamp() if p.read_at else np.nan for _, p in rows]),
        line=_whole(p.row for _, p in rows),
    )


def used_on(log: Sequence[Equipment], day: date) -> tuple[Equipment, ...]:
    """Of each thing the entry of its last check on or before a day; its first where there is none.

    Parameters
    ----------
    log
        Equipment with its checks, an entry for each check.
    day
        Day of a run.
    """
    found: dict[tuple[str, str], Equipment] = {}
    for one in log:
        key = (one.kind, one.name)
        before = found.get(key)
        if before is None or _later(one, before, day):
            found[key] = one
    return tuple(found.values())


def _later(one: Equipment, before: Equipment, day: date) -> bool:
    """Whether an entry takes the place of another for a day."""
    new, old = one.checked_on or date.min, before.checked_on or date.min
    if old > day:
        return new < old
    return old <= new <= day


def _whole(values: Iterable[int]) -> Places:
    return np.fromiter(values, dtype=np.intp)


def _shared(batches: Sequence[Batch]) -> Common:
    for name in Common.__slots__:
        first = getattr(batches[0], name)
        for other in batches[1:]:
            if getattr(other, name) != first:
                raise Refused("batch", other.id, key="bench_arrays.season.not_shared", what=name)
    return Common(**{name: getattr(batches[0], name) for name in Common.__slots__})


def _dried(sample: str, earlier: Earlier) -> tuple[float, float]:
    one = earlier.get(sample, {}).get("lab_dm")
    if one is None:
        return np.nan, np.nan
    if one.estimate.state is not State.MEASURED:
        raise Refused("lab_dm", sample, key="bench_arrays.season.lab_dm")
    return one.value, one.estimate.u
