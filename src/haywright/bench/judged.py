"""What else is judged of a worked batch: check samples, spikes, numbers that cannot be."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from haywright.bench import charts, control
from haywright.bench.batch import Batch, CheckMaterial, Position, PositionKind
from haywright.bench.chain import Known
from haywright.bench.findings import Control, failed, warned
from haywright.bench.given_limits import usual_limit
from haywright.bench.pattern import BAG_KINDS
from haywright.bench.portions import followed, put_together
from haywright.bench.readings import where
from haywright.bench.scatter import scatter_of
from haywright.bench.work import Portion, Work, leans
from haywright.measure.analytes import quantity
from haywright.measure.estimate import State
from haywright.measure.message import Amount, Message, message
from haywright.measure.result import Result


@dataclass(frozen=True, slots=True)
class CheckFound:
    """What a check sample gave in one run [unit of the quantity]."""

    name: str
    analyte: str
    found: float


def check_samples(
    work: Work, portions: Sequence[Portion]
) -> tuple[list[Control], tuple[CheckFound, ...]]:
    """Every check sample against its assigned values and its own history, and what it gave."""
    controls: list[Control] = []
    given: list[CheckFound] = []
    by_name: dict[str, list[Portion]] = {}
    for one in portions:
        if one.position.kind is PositionKind.CHECK:
            by_name.setdefault(one.position.sample, []).append(one)
    for name, own in by_name.items():
        material = work.batch.checks.get(name)
        if material is None:
            controls.append(failed("check", message("bench.check.no_value", name=name)))
            continue
        found = _check_values(work, material, own)
        for analyte in material.assigned:
            if analyte not in found:
                what = message("measure.quantity", id=analyte)
                said = message("bench.check.not_worked", name=name, quantity=what)
                controls.append(failed("check", said))
                continue
            value = found[analyte].value
            if math.isnan(value):
                what = message("measure.quantity", id=analyte)
                said = message("bench.check.out_of_reach", name=name, quantity=what)
                controls.append(failed("check", said))
                continue
            given.append(CheckFound(name, analyte, value))
            controls += _check(work, material, analyte, value)
    return controls, tuple(given)


def _check_values(
    work: Work, material: CheckMaterial, own: Sequence[Portion]
) -> Mapping[str, Known]:
    known, _ = leans(work, material.name)
    if material.lab_dm is not None and "lab_dm" not in {lead.portion for lead in work.leads}:
        known["lab_dm"] = work.desk.given("lab_dm", material.lab_dm)
    for lead in work.leads:
        members = [p.gave[lead.portion] for p in own if lead.portion in p.gave]
        if members:
            known[lead.portion] = put_together(lead, members, median=False)
    return followed(work, known)


def _check(work: Work, material: CheckMaterial, analyte: str, found: float) -> Iterator[Control]:
    history = material.history.get(analyte, ())
    if len(history) >= charts.LEAST_RUNS:
        chart = charts.chart(history)
        fired = charts.judged([*history, found], chart, charts.rule_set(work.batch.rules))
        yield from control.charted(material, analyte, found, chart=chart, fired=fired)
        return
    sd, own = scatter_between_runs(work.batch, material, analyte)
    yield control.check_sample(work.batch, material, analyte, found, sd=sd, own=own)


def scatter_between_runs(batch: Batch, material: CheckMaterial, analyte: str) -> tuple[float, bool]:
    """SD between runs, and whether it is the laboratory's own and not a planning figure.

    Parameters
    ----------
    batch, material, analyte
        Which check sample, and what of it.
    """
    own = material.between_runs.get(analyte)
    if own is not None:
        return own, True
    assigned = abs(material.assigned[analyte])
    scatter = scatter_of(batch, analyte, level=assigned, unit=quantity(analyte).unit)
    if scatter.has_history:
        return scatter.between_runs_at(assigned), True
    return math.hypot(scatter.repeat_at(assigned), scatter.bias_at(assigned)), False


def spikes(work: Work, portions: Sequence[Portion]) -> Iterator[Control]:
    """Every spike against the unspiked portions of its bag."""
    for one in portions:
        if one.position.kind is not PositionKind.SPIKE:
            continue
        if not one.position.has("spike_ml", "spike_mg_per_l", "sample_g"):
            continue
        amounts = one.position.readings
        added = float(
            control.added_by_spike(
                amounts["spike_mg_per_l"], amounts["spike_ml"], amounts["sample_g"]
            )
        )
        for lead in work.leads:
            native = [
                p.gave[lead.portion].value
                for p in portions
                if p.position.sample == one.position.sample
                and p.position.kind in BAG_KINDS
                and lead.portion in p.gave
            ]
            if native and lead.portion in one.gave and added > 0:
                found = control.spike_recovery(
                    one.gave[lead.portion].value, sum(native) / len(native), added
                )
                yield control.spike(
                    work.batch,
                    lead.judged_as,
                    float(found),
                    bag=one.position.sample,
                    place=one.position.order,
                )


def plausible(work: Work, results: Mapping[str, tuple[Result, ...]]) -> Iterator[Control]:
    """Nothing is above 100 %, and nothing that is a share of hay is below 0."""
    for bag, of_bag in results.items():
        for one in of_bag:
            most = 100.0 if one.unit == "%" else 1e6
            if one.estimate.state in (State.MEASURED, State.BELOW) and not 0 <= one.value <= most:
                yield failed(
                    "range",
                    _impossible(work.batch, bag, one, most),
                    bags=(bag,),
                    analytes=(one.analyte,),
                    positions=tuple(p.order for p in _portions(work.batch, bag)),
                    rerun=message("bench.rerun.portion", sample=bag),
                )
            if one.analyte == "lab_dm" and one.settled:
                yield from _unusual_lab_dm(work.batch, bag, one)


def _portions(batch: Batch, bag: str) -> Iterator[Position]:
    return (one for one in batch.of(*BAG_KINDS) if one.sample == bag)


def _impossible(batch: Batch, bag: str, one: Result, most: float) -> Message:
    return message(
        "bench.range.impossible",
        sample=bag,
        where=tuple(where(position) for position in _portions(batch, bag)),
        quantity=message("measure.quantity", id=one.analyte),
        value=Amount(one.value, one.unit, analyte=one.analyte),
        most=Amount(most, one.unit, digits=0),
    )


def _unusual_lab_dm(batch: Batch, bag: str, one: Result) -> Iterator[Control]:
    least, most = usual_limit(batch, "lab_dm_usual_least"), usual_limit(batch, "lab_dm_usual_most")
    if not least.value <= one.value <= most.value:
        yield warned(
            "range",
            message(
                "bench.range.unusual_lab_dm",
                sample=bag,
                value=Amount(one.value, "%", analyte="lab_dm"),
                least=least.value,
                most=most.value,
            ),
            bags=(bag,),
        )
