"""Readings looked at before anything is worked: what is missing, impossible or out of order."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from haywright.bench.batch import Batch, Position
from haywright.bench.findings import Control, failed, warned
from haywright.bench.given_limits import usual_limit
from haywright.bench.pattern import BAG_KINDS, SAMPLES, Method, Rising
from haywright.measure.message import Amount, Message, MessageValue, message


def checked(batch: Batch, method: Method) -> tuple[tuple[Position, ...], tuple[Control, ...]]:
    """The positions whose readings can be used, and what is wrong with the others.

    A bad reading holds its bag until it is made void with a cause; a bad blank, standard or check
    is left out and told, and whether enough are left is judged apart.
    """
    usable: list[Position] = []
    said: list[Control] = []
    for one in batch.positions:
        if one.order in batch.voids:
            said.append(_void(batch, one))
            continue
        wrong = list(_wrong(batch, one, method))
        said += [_control(one, what) for what in wrong]
        if not wrong:
            usable.append(one)
    return tuple(usable), (*said, *_gaps(batch), *_order_in_time(batch))


def _void(batch: Batch, one: Position) -> Control:
    cause = batch.voids[one.order]
    said = message("bench.reading.void", place=one.order, sample=one.sample, cause=cause)
    return warned("reading", said, positions=(one.order,))


def _control(one: Position, said: Message) -> Control:
    if one.kind in BAG_KINDS:
        again = message("bench.rerun.portion", sample=one.sample)
        return failed("reading", said, bags=(one.sample,), positions=(one.order,), rerun=again)
    return warned("reading", said, positions=(one.order,))


def _wrong(batch: Batch, one: Position, method: Method) -> Iterator[Message]:
    for column in method.columns:
        if one.kind in column.kinds and not one.has(column.name):
            yield _say(one, "bench.reading.missing", column.name)
        elif one.has(column.name) and one.kind in (*column.kinds, *column.may):
            value = one.readings[column.name]
            if not column.least <= value <= column.most:
                yield _say(
                    one,
                    "bench.reading.impossible",
                    column.name,
                    value=value,
                    least=column.least,
                    most=column.most,
                )
            elif column.signal and one.kind in SAMPLES and value < signal_least(batch):
                yield _say(one, "bench_more.reading.negative", column.name, value=value)
    for rule in method.rules:
        if one.kind in rule.kinds and one.has(rule.low, rule.high):
            low, high = one.readings[rule.low], one.readings[rule.high]
            if not low < high:
                other = message("measure.quantity", id=rule.low)
                yield _say(one, rule.says, rule.high, value=high, other=other, other_value=low)
            elif rule.least and one.kind in SAMPLES:
                yield from _as_good_as_empty(batch, one, rule)


def signal_least(batch: Batch) -> float:
    """The least a sample's signal may be [its own unit]: 0, or what the laboratory wrote."""
    return batch.limits.get("signal_least", 0.0)


def _as_good_as_empty(batch: Batch, one: Position, rule: Rising) -> Iterator[Message]:
    """A vessel that gained no more than an empty one may: nothing was in it, or it was lost."""
    gained_mg = 1000.0 * (one.readings[rule.high] - one.readings[rule.low])
    most = usual_limit(batch, rule.least).value
    if gained_mg <= most:
        gained = Amount(gained_mg, "mg", digits=1)
        yield _say(one, "bench_more.reading.empty", rule.high, gained=gained, most=most)


def _say(one: Position, key: str, column: str, **args: MessageValue) -> Message:
    return message(
        key,
        place=one.order,
        row=one.row,
        where=where(one),
        sample=one.sample,
        column=column,
        quantity=message("measure.quantity", id=column),
        **args,
    )


def where(one: Position) -> Message:
    """Where a reading stands: its place in the run, and its row when it came from a table."""
    key = "row" if one.row else "place"
    return message(f"bench_more.where.{key}", place=one.order, row=one.row, sample=one.sample)


def _gaps(batch: Batch) -> Iterator[Control]:
    """Places are counted without a gap; one that is missing is a row that was lost."""
    have = {one.order for one in batch.positions}
    lost = tuple(place for place in range(1, max(have)) if place not in have)
    if lost:
        said = message("bench_more.reading.gap", places=lost)
        yield failed("reading", said, positions=tuple(p for p in (lost[0] - 1,) if p))


def _order_in_time(batch: Batch) -> Iterator[Control]:
    """Instants must rise with the place in the run; a batch may run across midnight."""
    timed = [one for one in sorted(batch.positions, key=lambda p: p.order) if one.read_at]
    for before, after in pairwise(timed):
        if after.read_at < before.read_at:  # type: ignore[operator]
            said = message(
                "bench.reading.time",
                place=after.order,
                before=before.order,
                where=where(after),
                ahead=where(before),
            )
            yield failed("reading", said, positions=(before.order, after.order))
