"""A batch worked from readings to results that quality control has let through.

The order: equipment, readings, calibration and blanks, each portion, portions of a bag together,
dry matter and what else a result leans on, check samples and spikes, decision.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from haywright.bench import control, equipment, powder, readings, tares
from haywright.bench.bags import bag_results, measurand
from haywright.bench.batch import Batch
from haywright.bench.chain import Known
from haywright.bench.decide import decide, with_holds
from haywright.bench.desk import Desk
from haywright.bench.findings import Control, failed
from haywright.bench.judged import check_samples, plausible, spikes
from haywright.bench.pattern import SAMPLES, Method, Prepared, chosen, determination
from haywright.bench.portions import portion
from haywright.bench.report import BatchReport
from haywright.bench.work import Earlier, Portion, Work, dried_on_another_day
from haywright.measure.errors import HaywrightError
from haywright.measure.message import message
from haywright.measure.result import Result


def run_batch(
    batch: Batch, earlier: Earlier | None = None, *, rerun_of: BatchReport | None = None
) -> BatchReport:
    """Work a batch.

    Parameters
    ----------
    batch
        The batch.
    earlier
        Sample -> quantity -> Result of earlier batches that results lean on: laboratory dry
        matter of each bag, ADF for lignin, and so on.
    rerun_of
        Report of the batch that this one reruns. Portions that only their own disagreement held
        count together with the new ones, by the scheme fixed beforehand; never the better ones.

    Raises
    ------
    Refused
        An unknown determination, method or choice, or a choice not made.
    """
    work, controls = laid_out(batch, earlier, rerun_of=rerun_of)
    of, method, prepared = work.of, work.method, work.prepared
    portions = tuple(portion(work, one) for one in work.desk.of(*SAMPLES))
    results, from_bags, members = bag_results(work, portions)
    controls += [*from_bags, *dried_on_another_day(work)]
    from_checks, checks = check_samples(work, portions)
    controls += from_checks
    controls += spikes(work, portions)
    controls += plausible(work, results)
    settled = with_holds(results, controls)
    waiting = {bag: names for bag in batch.bags if (names := work.waits_for(bag))}
    expected = _expected(work, portions)
    decision = decide(settled, controls, waiting, expected=expected)
    return BatchReport(
        batch=batch,
        determination=of,
        method=method,
        results=settled,
        controls=tuple(controls),
        decision=replace(decision, powder=powder.budget(batch, method, decision.again())),
        curves=prepared.curves,
        portions={
            one.position.order: {name: known.value for name, known in one.gave.items()}
            for one in portions
        },
        members=members,
        checks=checks,
        before=_before(batch, rerun_of),
    )


def laid_out(
    batch: Batch, earlier: Earlier | None = None, *, rerun_of: BatchReport | None = None
) -> tuple[Work, list[Control]]:
    """A batch looked at and calibrated, before any sample is worked."""
    of = determination(batch.determination)
    method = of.method(batch.method)
    chosen(batch, method)
    usable, said = readings.checked(batch, method)
    desk = Desk(batch, method, usable)
    controls = [*equipment.judge(batch, method), *said]
    controls += tares.judge(batch)
    controls += control.make_up(method, Counter(one.kind for one in usable))
    prepared, more = _prepared(desk, method)
    controls += [*more, *prepared.controls]
    left_open = _left_open(batch, method, rerun_of)
    return Work(batch, of, method, desk, prepared, earlier or {}, left_open), controls


def _left_open(
    batch: Batch, method: Method, rerun_of: BatchReport | None
) -> dict[tuple[str, str], tuple[Known, ...]]:
    # Another drying or another extractant is another quantity: its portions are never averaged in.
    if rerun_of is None or rerun_of.method.id != method.id:
        return {}
    if measurand(rerun_of.batch) != measurand(batch):
        return {}
    return {
        (bag, lead.portion): rerun_of.left_open(bag, lead)
        for bag in batch.bags
        for lead in method.leads
    }


def _prepared(desk: Desk, method: Method) -> tuple[Prepared, tuple[Control, ...]]:
    """Blanks and calibration; a batch whose calibration cannot be worked is held, not lost."""
    try:
        return method.prepare(desk), ()
    except HaywrightError as error:
        again = message("bench.rerun.batch_cause_first")
        said = tuple(failed("standards", one, rerun=again) for one in error.messages())
        return Prepared(), said


def _before(batch: Batch, rerun_of: BatchReport | None) -> dict[str, tuple[Result, ...]]:
    """What the batch that this one reruns had given of its bags."""
    if rerun_of is None:
        return {}
    return {bag: rerun_of.results[bag] for bag in batch.bags if bag in rerun_of.results}


def _expected(work: Work, portions: Sequence[Portion]) -> dict[str, tuple[str, ...]]:
    """Bag -> results that its positions promise."""
    out = {}
    optional = {name for lead in work.leads for name in lead.analytes}
    for bag in work.batch.bags:
        gave = {name for p in portions if p.position.sample == bag for name in p.gave}
        unread = not gave
        names = [a for lead in work.leads for a in lead.analytes if unread or lead.portion in gave]
        out[bag] = tuple(n for n in dict.fromkeys(names) if n in optional and n != "dm_cored")
    return out
