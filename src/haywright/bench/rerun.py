"""What reruns changed: every result that came out anew, as it was before and as it is after.

A rerun of a parent, such as laboratory dry matter, is worked before its children; each of them is
recomputed, and the change is shown with both numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from haywright.bench.batch import Batch
from haywright.bench.panel import merge_results, run_batches
from haywright.bench.report import BatchReport
from haywright.measure.estimate import State
from haywright.measure.message import Amount, Message, message
from haywright.measure.result import Result


@dataclass(frozen=True, slots=True)
class Changed:
    """One result that a rerun changed.

    Parameters
    ----------
    bag
        Whose.
    before, after
        The result without the rerun and with it; ``before`` is ``None`` when there was none.
    parent
        Whether it is the rerun's own result, and not one that leans on it.
    """

    bag: str
    before: Result | None
    after: Result
    parent: bool

    def said(self) -> Message:
        """The change in words."""
        key = "rerun" if self.parent else "recomputed"
        return message(
            f"bench_more.changed.{key}",
            bag=self.bag,
            quantity=message("measure.quantity", id=self.after.analyte),
            before=_shown(self.before),
            after=_shown(self.after),
        )

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "bag": self.bag,
            "analyte": self.after.analyte,
            "before": None if self.before is None else self.before.to_json(),
            "after": self.after.to_json(),
            "rerun_itself": self.parent,
        }


def _shown(one: Result | None) -> Message:
    if one is None:
        return message("bench_more.changed.none")
    state = one.estimate.state
    if state is State.HELD:
        return message("bench_more.changed.held")
    if state is State.ABOVE and one.estimate.limit is not None:
        edge = Amount(one.estimate.limit.value, one.unit, analyte=one.analyte)
        return message("bench_more.changed.above", limit=edge)
    amount = Amount(one.value, one.unit, basis=str(one.basis), analyte=one.analyte)
    return message("bench_more.changed.amount", amount=amount)


def changed(batches: Iterable[Batch], reports: Sequence[BatchReport]) -> tuple[Changed, ...]:
    """Every result that the reruns among some batches changed.

    Parameters
    ----------
    batches
        All batches, in any order.
    reports
        What :func:`haywright.bench.panel.run_batches` gave for them.
    """
    first = [one for one in batches if not one.rerun_of]
    if len(first) == len(reports):
        return ()
    return tuple(_differences(merge_results(run_batches(first)), reports))


def _differences(before: Any, reports: Sequence[BatchReport]) -> Iterator[Changed]:
    reruns = {one.batch.id for one in reports if one.batch.rerun_of}
    for bag, results in merge_results(reports).items():
        old = before.get(bag, {})
        for analyte, after in results.items():
            was = old.get(analyte)
            if was is None or _differ(was, after):
                yield Changed(bag, was, after, parent=after.report in reruns)


def _differ(before: Result, after: Result) -> bool:
    if before.estimate.state is not after.estimate.state:
        return True
    # Held numbers may be nan, which equals nothing.
    return repr(before.value) != repr(after.value)
