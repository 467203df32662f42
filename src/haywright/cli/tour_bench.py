"""The bench of a tour, batch by batch: controls, what was held and why, what a rerun changed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from haywright.measure.message import Message, message

if TYPE_CHECKING:
    from haywright.bench.report import BatchReport
    from haywright.bench.rerun import Changed


def bench_lines(reports: Sequence[BatchReport], changes: Sequence[Changed]) -> Iterator[Message]:
    """Every batch in the order it was worked, then all of them in a sentence.

    Parameters
    ----------
    reports
        The batches as run.
    changes
        What the reruns among them changed.
    """
    for report in reports:
        yield from _batch(report)
        for one in changes:
            if one.after.report == report.batch.id:
                yield message("cli.tour.said", said=one.said())
    yield from _together(reports)


def _batch(report: BatchReport) -> Iterator[Message]:
    batch = report.batch
    yield message("cli.tour.batch", id=batch.id, what=report.determination.name, n=len(batch.bags))
    if batch.rerun_of:
        yield message("cli.tour.rerun", before=batch.rerun_of, cause=batch.rerun_cause)
    yield from _controls(report)
    said = message(f"bench.decide.{report.decision.verdict.name.lower()}")
    yield message("cli.tour.said", said=said)
    for why in dict.fromkeys(why for one in report.decision.held for why in one.reasons):
        yield message("cli.tour.held", why=why)
    for step in (*report.decision.reruns, *report.decision.powder):
        yield message("cli.tour.said", said=step)


def _controls(report: BatchReport) -> Iterator[Message]:
    """The kinds of control by the worst any of the kind came to, and what every warning says."""
    from haywright.bench.findings import Outcome

    rising = (Outcome.PASSED, Outcome.NOT_JUDGED, Outcome.WARNED, Outcome.FAILED)
    worst: dict[str, Outcome] = {}
    for one in report.controls:
        worst[one.kind] = max(worst.get(one.kind, Outcome.PASSED), one.outcome, key=rising.index)
    for outcome in (Outcome.PASSED, Outcome.NOT_JUDGED, Outcome.FAILED):
        kinds = tuple(
            message(f"cli.tour.control.{kind}") for kind, came in worst.items() if came is outcome
        )
        if kinds:
            yield message(f"cli.tour.controls_{outcome.name.lower()}", kinds=kinds)
    for said in dict.fromkeys(c.said for c in report.controls if c.outcome is Outcome.WARNED):
        yield message("cli.tour.warned", said=said)


def _together(reports: Sequence[BatchReport]) -> Iterator[Message]:
    from haywright.bench.decide import Verdict

    if not reports:
        return
    came = [one.decision.verdict for one in reports]
    yield message(
        "cli.tour.bench_together",
        n=len(reports),
        whole=came.count(Verdict.RELEASE),
        part=came.count(Verdict.IN_PART),
        held=came.count(Verdict.HOLD),
        again=sum(bool(one.batch.rerun_of) for one in reports),
    )
    if waiting := came.count(Verdict.WAIT):
        yield message("cli.tour.bench_waiting", n=waiting)
    still = held_still(reports)
    yield (
        message("cli.tour.bench_held", batches=still) if still else message("cli.tour.bench_clear")
    )


def held_still(reports: Sequence[BatchReport]) -> tuple[str, ...]:
    """Batches of which something is held and no rerun has settled it, a batch without results too.

    Parameters
    ----------
    reports
        The batches as run, a rerun after what it replaces.
    """
    from haywright.bench.decide import Verdict
    from haywright.bench.panel import merge_results
    from haywright.measure.estimate import State

    again = {one.batch.rerun_of for one in reports}
    held = {
        one.report
        for results in merge_results(reports).values()
        for one in results.values()
        if one.estimate.state is State.HELD
    }
    return tuple(
        one.batch.id
        for one in reports
        if one.batch.id in held
        or (one.decision.verdict is Verdict.HOLD and one.batch.id not in again)
    )
