"""An instrument's list of cups held against the run order, place by place.

A result that stands beside the wrong bag is worse than none: every difference is told, and one is
enough for the table not to be used.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from haywright.bag.codes import read_code
from haywright.measure.errors import Refused
from haywright.measure.message import Message, message


class Difference(StrEnum):
    """How a table and a run order can differ."""

    SWAPPED = "swapped"
    IDENTITY = "identity"
    REPLICATE = "replicate"
    MISSING = "missing"
    EXTRA = "extra"
    REPEATED = "repeated"
    ORDER = "order"


@dataclass(frozen=True, slots=True)
class Place:
    """One place of a run.

    Parameters
    ----------
    order
        Place in the run, from 1.
    sample
        What stands there; "" where not told.
    replicate
        Which portion; 0 where not told.
    row
        Row of the file, from 1; 0 where there is none.
    needed
        Whether a reading must come from this place.
    """

    order: int
    sample: str = ""
    replicate: int = 0
    row: int = 0
    needed: bool = True


@dataclass(frozen=True, slots=True)
class Mismatch:
    """One difference between a table and the run order, with the places it is about."""

    difference: Difference
    positions: tuple[int, ...]
    said: Message


def same_identity(one: str, other: str) -> bool:
    """Whether two ways of writing name one sample; a bag's code may be written loosely."""
    return _identity(one) == _identity(other)


def _identity(written: str) -> str:
    try:
        return str(read_code(written))
    except Refused:
        return " ".join(written.split()).casefold()


def mismatches(planned: Sequence[Place], read: Sequence[Place]) -> tuple[Mismatch, ...]:
    """Every difference between a run order and what a table says stood where.

    Parameters
    ----------
    planned
        The run order.
    read
        The table's places, in the order of its rows.
    """
    found = {one.order: one for one in reversed(read)}
    wanted = {one.order: one for one in planned}
    return (
        *_repeated(read),
        *_identities(wanted, found),
        *_missing(wanted, found),
        *_extra(wanted, read),
        *_out_of_order(read),
    )


def _repeated(read: Sequence[Place]) -> Iterator[Mismatch]:
    counts = Counter(one.order for one in read)
    for order in sorted(order for order, times in counts.items() if times > 1):
        rows = tuple(str(one.row) for one in read if one.order == order)
        said = message("bench_tables.order.repeated", place=order, rows=rows)
        yield Mismatch(Difference.REPEATED, (order,), said)


def _identities(wanted: Mapping[int, Place], found: Mapping[int, Place]) -> Iterator[Mismatch]:
    planned = {order: _identity(one.sample) for order, one in wanted.items()}
    told = {order: _identity(one.sample) for order, one in found.items() if one.sample}
    wrong = {n for n in sorted(told) if n in planned and told[n] != planned[n]}
    swapped: set[int] = set()
    for n in sorted(wrong):
        with_ = [m for m in wrong if m != n and told[m] == planned[n] and told[n] == planned[m]]
        if n in swapped:
            continue
        other = min((m for m in with_ if m not in swapped), key=lambda m: abs(m - n), default=None)
        if other is not None:
            swapped |= {n, other}
            yield _swap(wanted[n], wanted[other], found[n])
            continue
        stands = tuple(str(m) for m, name in planned.items() if name == told[n])
        key = "bench_tables.order.elsewhere" if stands else "bench_tables.order.unknown"
        said = message(
            key, place=n, row=found[n].row, planned=wanted[n].sample, told=found[n].sample,
            stands=stands,
        )  # fmt: skip
        yield Mismatch(Difference.IDENTITY, (n,), said)
    yield from _replicates(wanted, found, wrong)


def _swap(one: Place, other: Place, found: Place) -> Mismatch:
    said = message(
        "bench_tables.order.swapped", place=one.order, other=other.order, row=found.row,
        planned=one.sample, told=other.sample,
    )  # fmt: skip
    return Mismatch(Difference.SWAPPED, (one.order, other.order), said)


def _replicates(
    wanted: Mapping[int, Place], found: Mapping[int, Place], wrong: set[int]
) -> Iterator[Mismatch]:
    for order, one in sorted(found.items()):
        planned = wanted.get(order)
        if planned is None or order in wrong or not (one.replicate and planned.replicate):
            continue
        if one.replicate != planned.replicate:
            said = message(
                "bench_tables.order.replicate", place=order, row=one.row, sample=planned.sample,
                planned=planned.replicate, told=one.replicate,
            )  # fmt: skip
            yield Mismatch(Difference.REPLICATE, (order,), said)


def _missing(wanted: Mapping[int, Place], found: Mapping[int, Place]) -> Iterator[Mismatch]:
    for order, one in sorted(wanted.items()):
        if one.needed and order not in found:
            said = message("bench_tables.order.missing", place=order, sample=one.sample)
            yield Mismatch(Difference.MISSING, (order,), said)


def _extra(wanted: Mapping[int, Place], read: Sequence[Place]) -> Iterator[Mismatch]:
    for one in read:
        if one.order not in wanted:
            said = message(
                "bench_tables.order.extra", place=one.order, row=one.row, sample=one.sample or "-"
            )
            yield Mismatch(Difference.EXTRA, (one.order,), said)


def _out_of_order(read: Sequence[Place]) -> Iterator[Mismatch]:
    """Rows that do not rise, where no identity vouches for them."""
    for before, after in pairwise(read):
        if after.order < before.order and not after.sample:
            said = message(
                "bench_tables.order.falls", place=after.order, row=after.row, before=before.order
            )
            yield Mismatch(Difference.ORDER, (before.order, after.order), said)
