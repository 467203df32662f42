"""The panel: what all batches together say of each bag, reruns and pending tests included.

The rule for a rerun is fixed before its numbers are seen: it takes the place of a result that was
held or above the range, and of no other. Never the better of two. A prediction or another
laboratory's result stands beside what was measured here, never in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from haywright.bag.bag import Bag
from haywright.bag.tests import lab_test
from haywright.bench import dry_matter, powder
from haywright.bench.batch import Batch
from haywright.bench.pattern import determination
from haywright.bench.report import BatchReport
from haywright.bench.run import run_batch
from haywright.measure.basis import AS_RECEIVED
from haywright.measure.errors import Refused
from haywright.measure.estimate import State
from haywright.measure.message import Amount, message
from haywright.measure.register import apply, declared
from haywright.measure.result import Evidence, Kind, Result, Results

_GIVES_WAY = (State.HELD, State.ABOVE)
# What was measured here stands before all else, even held; nothing takes its place unsaid.
_FIRST = (Kind.MEASURED, Kind.CALCULATED, Kind.OTHER_LABORATORY, Kind.TYPED, Kind.PREDICTED)


def run_batches(batches: Iterable[Batch]) -> tuple[BatchReport, ...]:
    """Work several batches, each after those whose results its own lean on.

    Parameters
    ----------
    batches
        In any order.

    Returns
    -------
    tuple
        One report for each, in the order worked.

    Raises
    ------
    Refused
        A batch id twice, two batches that replace each other, or a rerun dated before what it
        replaces.
    """
    waiting = sorted(batches, key=lambda one: (one.run_on, one.id))
    ids = [one.id for one in waiting]
    for name in ids:
        if ids.count(name) > 1:
            raise Refused("batch", name, key="bench.panel.batch_twice")
    done: list[BatchReport] = []
    left: dict[str, float] = {}
    while waiting:
        ready = next((one for one in waiting if not _must_wait(one, waiting)), None)
        if ready is None:
            raise Refused("rerun_of", ", ".join(ids), key="bench.panel.circle")
        waiting.remove(ready)
        before = next((one for one in done if one.batch.id == ready.rerun_of), None)
        if before is not None and ready.run_on < before.batch.run_on:
            raise Refused(
                "run_on", ready.run_on, key="bench_more.panel.rerun_earlier",
                batch=ready.id, first=before.batch.id, day=before.batch.run_on,
            )  # fmt: skip
        ready = replace(ready, powder={**left, **ready.powder})
        done.append(run_batch(ready, merge_results(done), rerun_of=before))
        left |= powder.left(ready, done[-1].method)
    return tuple(done)


def _must_wait(one: Batch, others: Sequence[Batch]) -> bool:
    """Whether another batch, still to be worked, gives what this one leans on or replaces."""
    leans_on = set(determination(one.determination).leans_on)
    for other in others:
        if other is one:
            continue
        if other.id == one.rerun_of:
            return True
        gives = set(determination(other.determination).method(other.method).analytes())
        samples = {position.sample for position in one.positions}
        shared = samples & {position.sample for position in other.positions}
        if shared and leans_on & gives and other.determination != one.determination:
            return True
    return False


def merge_results(reports: Iterable[BatchReport]) -> dict[str, Results]:
    """Bag -> its results over all batches.

    Parameters
    ----------
    reports
        Reports in the order the batches were worked: a rerun after what it replaces.

    Raises
    ------
    Refused
        Two batches give the same result of a bag and neither says that it replaces the other.
    """
    found: dict[str, dict[str, Result]] = {}
    causes: dict[str, Batch] = {}
    for report in reports:
        causes[report.batch.id] = report.batch
        for bag, results in report.results.items():
            kept = found.setdefault(bag, {})
            for one in results:
                before = kept.get(one.analyte, one)
                again = before is not one
                kept[one.analyte] = (
                    _settle(bag, before, one, report.batch, causes) if again else one
                )
    return {bag: Results(results.values()) for bag, results in found.items()}


def _settle(
    bag: str, before: Result, after: Result, batch: Batch, known: Mapping[str, Batch]
) -> Result:
    """Which of two results of one bag stands."""
    if before.kind is not after.kind and not batch.rerun_of:
        own, other = (after, before) if takes_place(before, after) else (before, after)
        return beside(own, other)
    if before.report not in _replaced(batch, known):
        raise Refused(
            "batch",
            batch.id,
            key="bench.panel.result_twice",
            bag=bag,
            quantity=message("measure.quantity", id=after.analyte),
            other=before.report,
        )
    if before.kind is not after.kind:
        raise Refused("rerun_of", batch.rerun_of, key="bench_more.panel.other_kind", bag=bag)
    said = {"batch": batch.id, "first": before.report, "cause": batch.rerun_cause}
    if takes_place(before, after):
        return after.with_notes(message("bench.note.rerun", **said))
    return before.with_notes(message("bench.note.first_stands", **said))


def takes_place(before: Result, after: Result) -> bool:
    """Whether a result of a later batch takes the place of one that is there.

    Of one kind, only where the first is held or above the range. Of two kinds what was measured
    here stands, whichever came first.

    Parameters
    ----------
    before
        The result that stands so far.
    after
        The same quantity of the same bag by a later batch.
    """
    if before.kind is not after.kind:
        return _FIRST.index(after.kind) < _FIRST.index(before.kind)
    return before.estimate.state in _GIVES_WAY


def beside(own: Result, other: Result) -> Result:
    """A result with another of the same quantity told beside it; the two are never mixed.

    Parameters
    ----------
    own
        The one that stands, held or not.
    other
        A prediction, or another laboratory's result.
    """
    if other.estimate.state is State.HELD:
        return own
    kind = message(f"bench_more.kind.{other.kind.name.lower()}")
    amount = Amount(other.value, other.unit, basis=str(other.basis), analyte=other.analyte)
    whose = other.laboratory or other.report or other.method
    return own.with_notes(message("bench_more.note.beside", kind=kind, amount=amount, whose=whose))


def _replaced(batch: Batch, known: Mapping[str, Batch]) -> set[str]:
    """The batches a rerun goes back to, step by step."""
    back: set[str] = set()
    name = batch.rerun_of
    while name and name not in back:
        back.add(name)
        name = known[name].rerun_of if name in known else ""
    return back


def panel(bag: Bag, merged: Mapping[str, Results], *, elsewhere: Iterable[Result] = ()) -> Results:
    """The results of one bag, dry matter when cored added, and which ordered tests are pending.

    Parameters
    ----------
    bag
        The bag, with the tests ordered and its masses.
    merged
        What :func:`merge_results` gave.
    elsewhere
        Results of another laboratory, typed in or predicted; each enters as what it is, and only
        where the bench has none of its own.

    Raises
    ------
    Refused
        A result from elsewhere that says it was measured here.
    """
    own = merged.get(str(bag.code), Results())
    results = list(_with_others(own, elsewhere).values())
    if "dm_cored" not in own and (cored := _when_cored(bag, own)) is not None:
        results.append(cored)
    have = {one.analyte for one in results}
    have |= {nitrogen for nitrogen, of in _TOLD_BY.items() if of in have}
    gives = (lab_test(test).gives for test in bag.tests)
    pending = [name for names in gives for name in names if name not in have]
    return Results(results, pending=dict.fromkeys(pending))


# A paper with the crude protein has told the nitrogen it was worked from.
_TOLD_BY = {"n": "cp"}


def _with_others(own: Results, others: Iterable[Result]) -> dict[str, Result]:
    found = dict(own)
    for one in others:
        if one.kind in (Kind.MEASURED, Kind.CALCULATED):
            raise Refused("kind", one.kind.value, key="bench_more.panel.not_elsewhere")
        here = found.get(one.analyte)
        found[one.analyte] = one if here is None else beside(here, one)
    return found


def _when_cored(bag: Bag, own: Results) -> Result | None:
    """Dry matter when the bag was sealed, from its two net masses."""
    if bag.mass_sealed_g is None or bag.mass_received_g is None or "dm" not in own:
        return None
    masses = {"net_sealed_g": bag.mass_sealed_g, "net_received_g": bag.mass_received_g}
    total = own["dm"]
    equation = declared(dry_matter.dm_cored)
    estimate = apply(equation, {"dm": total.estimate, **masses})
    quantity = message("measure.quantity", id="dm_cored")
    weighed = tuple(
        Evidence(message("measure.quantity", id=name), value, "g") for name, value in masses.items()
    )
    evidence = Evidence(
        quantity,
        estimate.value,
        "%",
        "as cored",
        equation=equation.id,
        source=equation.source,
        children=(*((total.evidence,) if total.evidence else ()), *weighed),
    )
    return Result(
        "dm_cored",
        estimate,
        "%",
        AS_RECEIVED,
        Kind.CALCULATED,
        equation=equation.id,
        laboratory=total.laboratory,
        report=total.report,
        evidence=evidence,
    )
