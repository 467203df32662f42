"""Swapped bags: one odd in several tests while its neighbor on the tray is odd the other way.

What is expected of a bag comes from its near-infrared predictions, or from the caller. A pair that
would fit if the two had changed places is a question, and holds both until someone has looked.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, NamedTuple

from haywright.bench.pattern import BAG_KINDS
from haywright.bench.report import BatchReport
from haywright.measure.estimate import Estimate
from haywright.measure.message import Message, message
from haywright.measure.result import Kind, Result, Results

ODD_SD = 2.0
LEAST_TESTS = 2


class Expected(NamedTuple):
    """What is expected of one quantity of a bag, and its SD [unit of the quantity]."""

    value: float
    sd: float


Expectations = Mapping[tuple[str, str], Expected]


@dataclass(frozen=True, slots=True)
class Question:
    """Two bags that may have changed places.

    Parameters
    ----------
    first, second
        The bags.
    odd
        Quantities in which they are odd, each the other way.
    """

    first: str
    second: str
    odd: tuple[str, ...]

    def said(self) -> Message:
        """The question in words."""
        return message(
            "bench_more.swap.question",
            first=self.first,
            second=self.second,
            odd=tuple(message("measure.quantity", id=name) for name in self.odd),
        )

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {"bags": [self.first, self.second], "odd": list(self.odd)}


def predictions(reports: Iterable[BatchReport]) -> dict[tuple[str, str], Expected]:
    """What near-infrared predictions of some batches lead one to expect: (bag, quantity) -> it."""
    return {
        (bag, one.analyte): Expected(one.value, one.estimate.u)
        for report in reports
        for bag, results in report.results.items()
        for one in results
        if one.kind is Kind.PREDICTED and one.settled
    }


def questions(
    reports: Sequence[BatchReport],
    expected: Expectations | None = None,
    *,
    same: Iterable[str] = (),
) -> tuple[Question, ...]:
    """Pairs of neighbors that may have changed places in two tests or more.

    Parameters
    ----------
    reports
        Batches of one day.
    expected
        (bag, quantity) -> what is expected [unit of the quantity]; predictions among the batches
        are taken where it says nothing.
    same
        Bags whose identity was looked at and stands.
    """
    known = {**predictions(reports), **(expected or {})}
    odd: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for report in reports:
        if report.method.kind is not Kind.MEASURED:
            continue
        for pair in _neighbors(report):
            names = list(_odd_together(report, pair, known))
            if names:
                odd.setdefault(pair, []).append((report.batch.determination, names[0]))
    looked = set(same)
    return tuple(
        Question(*pair, tuple(name for _, name in tests))
        for pair, tests in odd.items()
        if len({test for test, _ in tests}) >= LEAST_TESTS and not looked & set(pair)
    )


def _neighbors(report: BatchReport) -> Iterator[tuple[str, str]]:
    """Bags that stand next to each other, whichever way round."""
    row = [one.sample for one in sorted(report.batch.of(*BAG_KINDS), key=lambda p: p.order)]
    pairs = {(min(a, b), max(a, b)) for a, b in pairwise(row) if a != b}
    yield from sorted(pairs)


def _odd_together(report: BatchReport, pair: tuple[str, str], known: Expectations) -> Iterator[str]:
    """Quantities odd in both, the other way, and in neither if they had changed places."""
    first, second = ({o.analyte: o for o in report.results.get(bag, ())} for bag in pair)
    here, there = ({n: one for (bag, n), one in known.items() if bag == own} for own in pair)
    yield from odd_together((first, here), (second, there))


Side = tuple[Mapping[str, Result], Mapping[str, Expected]]


def odd_together(one: Side, other: Side) -> Iterator[str]:
    """Quantities odd in two samples, each the other way, and in neither had they changed places.

    Parameters
    ----------
    one, other
        What was found of a sample, and what is expected of it, by quantity.
    """
    (first, here_of), (second, there_of) = one, other
    for name in first.keys() & second.keys():
        here, there = here_of.get(name), there_of.get(name)
        if here is None or there is None:
            continue
        a, b = first[name], second[name]
        as_is = _distance(a, here), _distance(b, there)
        swapped = _distance(b, here), _distance(a, there)
        odd = min(map(abs, as_is)) > ODD_SD and as_is[0] * as_is[1] < 0
        if odd and max(map(abs, swapped)) <= ODD_SD:
            yield name


def _distance(found: Result, expected: Expected) -> float:
    """How far a result lies from what is expected, in SDs of both."""
    return (found.value - expected.value) / math.hypot(found.estimate.u, expected.sd)


def with_holds(merged: Mapping[str, Results], asked: Sequence[Question]) -> dict[str, Results]:
    """The results of all bags, with those measured of bags in question held; raw values kept."""
    reasons = {bag: one.said() for one in asked for bag in (one.first, one.second)}
    return {
        bag: Results(
            (_hold(one, reasons[bag]) if bag in reasons else one for one in results.values()),
            pending=results.pending,
        )
        for bag, results in merged.items()
    }


def _hold(one: Result, reason: Message) -> Result:
    if one.kind is not Kind.MEASURED:
        return one
    return replace(one, estimate=Estimate.held(reason, raw=one.value))
