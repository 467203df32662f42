"""Readings looked at before anything is worked: what is missing, impossible or out of order."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from haywright.bench.batch import Batch, Position
from haywright.bench.findings import Control, failed, warned
from haywright.bench.pattern import BAG_KINDS, Method
from haywright.measure.message import Message, MessageValue, message


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
        wrong = list(_wrong(one, method))
        said += [_control(one, what) for what in wrong]
        if not wrong:
            usable.append(one)
    return tuple(usable), (*said, *_order_in_time(batch))


def _void(batch: Batch, one: Position) -> Control:
    cause = batch.voids[one.order]
    said = message("bench.reading.void", place=one.order, sample=one.sample, cause=cause)
    return warned("reading", said, positions=(one.order,))


def _control(one: Position, said: Message) -> Control:
    if one.kind in BAG_KINDS:
        again = message("bench.rerun.portion", sample=one.sample)
        return failed("reading", said, bags=(one.sample,), positions=(one.order,), rerun=again)
    return warned("reading", said, positions=(one.order,))


def _wrong(one: Position, method: Method) -> Iterator[Message]:
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
    for rule in method.rules:
        if one.kind in rule.kinds and one.has(rule.low, rule.high):
            low, high = one.readings[rule.low], one.readings[rule.high]
            if not low < high:
                other = message("measure.quantity", id=rule.low)
                yield _say(one, rule.says, rule.high, value=high, other=other, other_value=low)


def _say(one: Position, key: str, column: str, **args: MessageValue) -> Message:
    return message(
        key,
        place=one.order,
        row=one.row,
        sample=one.sample,
        column=column,
        quantity=message("measure.quantity", id=column),
        **args,
    )


def _order_in_time(batch: Batch) -> Iterator[Control]:
    """Instants must rise with the place in the run; a batch may run across midnight."""
    timed = [one for one in sorted(batch.positions, key=lambda p: p.order) if one.read_at]
    for before, after in pairwise(timed):
        if after.read_at < before.read_at:  # type: ignore[operator]
            said = message("bench.reading.time", place=after.order, before=before.order)
            yield failed("reading", said, positions=(before.order, after.order))
