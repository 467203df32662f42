"""A batch worked from readings to results that quality control has let through.

The order: equipment, readings, calibration and blanks, each portion, portions of a bag together,
dry matter and what else a result leans on, check samples and spikes, decision.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from haywright.bench import control, equipment, readings
from haywright.bench.batch import Batch, CheckMaterial, Position, PositionKind
from haywright.bench.chain import Known, follow, labelled
from haywright.bench.decide import decide, with_holds
from haywright.bench.desk import Desk, evidence_of
from haywright.bench.findings import Control, failed, warned
from haywright.bench.given_limits import usual_limit
from haywright.bench.pattern import (
    BAG_KINDS,
    SAMPLES,
    Beyond,
    Determination,
    Lead,
    Method,
    Prepared,
    chosen,
    determination,
)
from haywright.bench.report import BatchReport
from haywright.bench.scatter import scatter_of, with_scatter
from haywright.measure.analytes import quantity
from haywright.measure.basis import AS_ANALYSED, AS_RECEIVED, DRY_MATTER, Basis
from haywright.measure.errors import HaywrightError
from haywright.measure.estimate import Estimate, State, exact
from haywright.measure.message import Amount, Message, message
from haywright.measure.nitrate import NitrateForm
from haywright.measure.result import Evidence, Kind, Result
from haywright.sources.tables import load_toml

Earlier = Mapping[str, Mapping[str, Result]]
_BASES = {"as received": AS_RECEIVED, "as analysed": AS_ANALYSED, "as cored": AS_RECEIVED}


@dataclass(frozen=True, slots=True)
class Portion:
    """One portion worked: what it gave, by name."""

    position: Position
    gave: Mapping[str, Known]


@dataclass(frozen=True)
class _Work:
    """Everything that is known while a batch is worked."""

    batch: Batch
    of: Determination
    method: Method
    desk: Desk
    prepared: Prepared
    earlier: Earlier

    @property
    def leads(self) -> tuple[Lead, ...]:
        return self.method.leads


def run_batch(batch: Batch, earlier: Earlier | None = None) -> BatchReport:
    """Work a batch.

    Parameters
    ----------
    batch
        The batch.
    earlier
        Sample -> quantity -> Result of earlier batches that results lean on: laboratory dry
        matter of each bag, ADF for lignin, and so on.

    Raises
    ------
    Refused
        An unknown determination, method or choice, or a choice not made.
    """
    of = determination(batch.determination)
    method = of.method(batch.method)
    chosen(batch, method)
    usable, said = readings.checked(batch, method)
    desk = Desk(batch, method, usable)
    controls = [*equipment.judge(batch, method), *said]
    controls += control.make_up(method, Counter(one.kind for one in usable))
    prepared, more = _prepared(desk, method)
    controls += [*more, *prepared.controls]
    work = _Work(batch, of, method, desk, prepared, earlier or {})
    portions = tuple(_portion(work, one) for one in desk.of(*SAMPLES))
    results, from_bags = _bags(work, portions)
    controls += from_bags
    controls += _checks(work, portions)
    controls += _spikes(work, portions)
    controls += _plausible(work, results)
    settled = with_holds(results, controls)
    waiting = {bag: names for bag in batch.bags if (names := _waits_for(work, bag))}
    return BatchReport(
        batch=batch,
        determination=of,
        method=method,
        results=settled,
        controls=tuple(controls),
        decision=decide(settled, controls, waiting, expected=_expected(work, portions)),
        curves=prepared.curves,
        portions={
            one.position.order: {name: known.value for name, known in one.gave.items()}
            for one in portions
        },
    )


def _prepared(desk: Desk, method: Method) -> tuple[Prepared, tuple[Control, ...]]:
    """Blanks and calibration; a batch whose calibration cannot be worked is held, not lost."""
    try:
        return method.prepare(desk), ()
    except HaywrightError as error:
        again = message("bench.rerun.batch_cause_first")
        said = tuple(failed("standards", one, rerun=again) for one in error.messages())
        return Prepared(), said


def _portion(work: _Work, position: Position) -> Portion:
    known = {
        **work.prepared.values,
        **work.desk.readings(position),
        **work.prepared.at(position),
    }
    names = [lead.portion for lead in work.leads]
    found = follow(work.method.portion, known)
    gave = {name: found[name] for name in names if name in found}
    for reading, beyond in work.prepared.beyond(position).items():
        at_edge = labelled(reading, exact(beyond.limit))
        edge = follow(work.method.portion, {**known, reading: at_edge})
        for name in gave:
            if edge[name].value != gave[name].value:
                gave[name] = _censored(gave[name], edge[name].value, beyond)
    return Portion(position, gave)


def _censored(known: Known, limit: float, beyond: Beyond) -> Known:
    raw = known.value
    if beyond.above:
        return Known(Estimate.above(limit, beyond.definition, raw=raw), known.evidence)
    parts = known.estimate.parts
    return Known(Estimate.below(limit, beyond.definition, raw=raw, parts=parts), known.evidence)


def _valid(portions: Iterable[Portion], lead: Lead) -> list[Portion]:
    """Portions that count: an attempt above the range is replaced by a later one within it."""
    by_replicate: dict[int, list[Portion]] = {}
    for one in sorted(portions, key=lambda p: (p.position.replicate, p.position.attempt)):
        if lead.portion in one.gave:
            by_replicate.setdefault(one.position.replicate, []).append(one)
    kept: list[Portion] = []
    for tries in by_replicate.values():
        inside = [t for t in tries if t.gave[lead.portion].estimate.state is not State.ABOVE]
        kept += inside or tries[-1:]
    return kept


def _bags(
    work: _Work, portions: Sequence[Portion]
) -> tuple[dict[str, tuple[Result, ...]], list[Control]]:
    results, controls = {}, []
    for bag in work.batch.bags:
        own = [p for p in portions if p.position.sample == bag and p.position.kind in BAG_KINDS]
        known, said = _leans(work, bag)
        controls += said
        for lead in work.leads:
            mean, said = _mean(work, bag, lead, _valid(own, lead), known)
            controls += said
            if mean is not None:
                known[lead.portion] = mean
        for one in own:
            known |= {
                column.name: work.desk.reading(one.position, column.name)
                for column in work.method.columns
                if column.of_bag and one.position.has(column.name)
            }
        results[bag] = _results(work, bag, _followed(work, known))
    return results, controls


def _leans(work: _Work, sample: str) -> tuple[dict[str, Known], list[Control]]:
    """What a sample's results lean on; a held parent holds its children."""
    known: dict[str, Known] = dict(work.prepared.values)
    controls: list[Control] = []
    for name in work.of.leans_on:
        one = work.earlier.get(sample, {}).get(name)
        if one is None:
            continue
        known[name] = Known(one.estimate, one.evidence or labelled(name, one.estimate).evidence)
        if one.estimate.state is State.HELD:
            said = message("bench.leans.held", quantity=message("measure.quantity", id=name))
            controls.append(failed("leans", said, bags=(sample,)))
        elif name == "lab_dm" and (day := _day_of(one)) is not None:
            apart = abs((work.batch.run_on - day).days)
            if apart > usual_limit(work.batch, "lab_dm_days").value:
                said = message("bench.leans.other_day", sample=sample, day=day, n=apart)
                controls.append(warned("leans", said, bags=(sample,)))
    return known, controls


def _day_of(one: Result) -> date | None:
    """The day a result's readings were taken."""
    found = _first_when(one.evidence)
    return date.fromisoformat(found[:10]) if found else None


def _first_when(evidence: Evidence | None) -> str:
    if evidence is None:
        return ""
    return evidence.when or next(filter(None, map(_first_when, evidence.children)), "")


def _mean(
    work: _Work, bag: str, lead: Lead, valid: Sequence[Portion], known: Mapping[str, Known]
) -> tuple[Known | None, list[Control]]:
    """The portions of a bag put together by the scheme fixed beforehand."""
    if not valid:
        return None, []
    members = [one.gave[lead.portion] for one in valid]
    places = tuple(one.position.order for one in valid)
    above = [m for m in members if m.estimate.state is State.ABOVE]
    if above:
        return above[-1], [_over_range(work, bag, lead, places)]
    to = _to_judged(lead, known)
    level = sum(m.value for m in members) / len(members)
    scatter = scatter_of(
        work.batch, lead.judged_as, level=abs(level * to), unit=quantity(lead.judged_as).unit
    )
    found = control.agreement([m.value * to for m in members], scatter.repeat_at(abs(level * to)))
    said = []
    if len(members) > 1:
        said.append(
            control.duplicates(
                found, bag=bag, analyte=lead.judged_as, analytes=lead.analytes, places=places
            )
        )
    mean = _put_together(lead, members, median=found.kept == "median")
    mean = with_scatter(
        work.batch, lead, mean, portions=len(members), sample=bag, scatter=scatter, to=to
    )
    return mean, said


def _to_judged(lead: Lead, known: Mapping[str, Known]) -> float:
    """What a portion is multiplied by to stand in the judged quantity's unit and basis."""
    dry = quantity(lead.judged_as).basis == "dry matter"
    lab = known["lab_dm"].value if "lab_dm" in known else 100.0
    return lead.per * (100.0 / lab if dry and lab > 0 else 1.0)


def _put_together(lead: Lead, members: Sequence[Known], *, median: bool) -> Known:
    """Mean, or median of four and more; below a limit only when that is where it comes out."""
    ordered = sorted(members, key=lambda m: m.value)
    if median:
        n = len(ordered)
        ordered = ordered[(n - 1) // 2 : n // 2 + 1]
    if len(members) == 1:
        return members[0]
    total = Estimate.of(0.0)
    for one in ordered:
        total = total + Estimate.of(one.value, one.estimate.parts)
    mean = total / float(len(ordered))
    limits = [m.estimate.limit for m in members if m.estimate.limit is not None]
    if limits and mean.value < max(limit.value for limit in limits):
        top = max(limits, key=lambda limit: limit.value)
        mean = Estimate.below(top.value, top.definition, raw=mean.value, parts=mean.parts)
    return labelled(lead.portion, mean, source="iso-5725-6", children=evidence_of(members))


def _over_range(work: _Work, bag: str, lead: Lead, places: tuple[int, ...]) -> Control:
    del work
    said = message(
        "bench.range.above",
        sample=bag,
        places=places,
        quantity=message("measure.quantity", id=lead.judged_as),
    )
    again = message("bench.rerun.dilute", sample=bag)
    # Told and rerun, not held: "above so much" is worth knowing and settles nothing.
    return replace(warned("range", said, bags=(bag,), positions=places), rerun=again)


def _followed(work: _Work, known: Mapping[str, Known]) -> dict[str, Known]:
    """The bag's chain; a number beyond a limit stays so, with its limit carried along."""
    plain = {
        name: Known(Estimate.of(one.value, one.estimate.parts), one.evidence)
        if one.estimate.limit is not None
        else one
        for name, one in known.items()
    }
    found = follow(work.method.bag, plain)
    for name, one in known.items():
        limit = one.estimate.limit
        if limit is None:
            continue
        edge = follow(work.method.bag, {**plain, name: labelled(name, exact(limit.value))})
        beyond = Beyond(one.estimate.state is State.ABOVE, limit.value, limit.definition)
        for step in work.method.bag:
            out = step.output
            if out in found and edge[out].value != found[out].value:
                found[out] = _censored(found[out], edge[out].value, beyond)
        found[name] = one
    return found


def _results(work: _Work, bag: str, found: Mapping[str, Known]) -> tuple[Result, ...]:
    del bag
    return tuple(
        Result(
            analyte=name,
            estimate=found[name].estimate,
            unit=quantity(name).unit,
            basis=_basis_of(name),
            kind=Kind.MEASURED,
            form=NitrateForm.NO3_N if name == "nitrate_n" else None,
            method=_method_name(work),
            laboratory=work.batch.laboratory,
            report=work.batch.id,
            evidence=found[name].evidence,
        )
        for name in work.method.analytes()
        if name in found
    )


def _basis_of(analyte: str) -> Basis:
    return _BASES.get(quantity(analyte).basis, DRY_MATTER)


def _method_name(work: _Work) -> str:
    """The method's label with what else makes it another measurand, such as how it was dried."""
    drying = [load_toml("drying")[str(v)]["name"] for n, v in work.desk.choices.items()
              if n.startswith("drying")]  # fmt: skip
    return "; ".join([work.method.label, *drying])


def _expected(work: _Work, portions: Sequence[Portion]) -> dict[str, tuple[str, ...]]:
    """Bag -> results that its positions promise."""
    out = {}
    optional = {name for lead in work.leads for name in lead.analytes}
    for bag in work.batch.bags:
        gave = {
            name for p in portions if p.position.sample == bag for name in p.gave
        }
        unread = not gave
        names = [
            a for lead in work.leads for a in lead.analytes if unread or lead.portion in gave
        ]
        out[bag] = tuple(n for n in dict.fromkeys(names) if n in optional and n != "dm_cored")
    return out


def _waits_for(work: _Work, sample: str) -> tuple[str, ...]:
    return tuple(n for n in work.of.leans_on if n not in work.earlier.get(sample, {}))


def _checks(work: _Work, portions: Sequence[Portion]) -> Iterator[Control]:
    """Every check sample against its assigned values."""
    by_name: dict[str, list[Portion]] = {}
    for one in portions:
        if one.position.kind is PositionKind.CHECK:
            by_name.setdefault(one.position.sample, []).append(one)
    for name, own in by_name.items():
        material = work.batch.checks.get(name)
        if material is None:
            yield failed("check", message("bench.check.no_value", name=name))
            continue
        found = _check_values(work, material, own)
        for analyte in material.assigned:
            if analyte not in found:
                said = message("bench.check.not_worked", name=name,
                               quantity=message("measure.quantity", id=analyte))  # fmt: skip
                yield failed("check", said)
                continue
            yield _check(work, material, analyte, found[analyte].value)


def _check_values(
    work: _Work, material: CheckMaterial, own: Sequence[Portion]
) -> Mapping[str, Known]:
    known, _ = _leans(work, material.name)
    if material.lab_dm is not None and "lab_dm" not in {lead.portion for lead in work.leads}:
        known["lab_dm"] = work.desk.given("lab_dm", material.lab_dm)
    for lead in work.leads:
        members = [p.gave[lead.portion] for p in own if lead.portion in p.gave]
        if members:
            known[lead.portion] = _put_together(lead, members, median=False)
    return _followed(work, known)


def _check(work: _Work, material: CheckMaterial, analyte: str, found: float) -> Control:
    own = material.between_runs.get(analyte)
    if own is not None:
        return control.check_sample(work.batch, material, analyte, found, sd=own, own=True)
    assigned = abs(material.assigned[analyte])
    scatter = scatter_of(work.batch, analyte, level=assigned, unit=quantity(analyte).unit)
    if scatter.has_history:
        sd = scatter.between_runs_at(assigned)
        return control.check_sample(work.batch, material, analyte, found, sd=sd, own=True)
    sd = (scatter.repeat_at(assigned) ** 2 + scatter.bias_at(assigned) ** 2) ** 0.5
    return control.check_sample(work.batch, material, analyte, found, sd=sd, own=False)


def _spikes(work: _Work, portions: Sequence[Portion]) -> Iterator[Control]:
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


def _plausible(work: _Work, results: Mapping[str, tuple[Result, ...]]) -> Iterator[Control]:
    """Nothing is above 100 %, and nothing that is a share of hay is below 0."""
    for bag, of_bag in results.items():
        for one in of_bag:
            most = 100.0 if one.unit == "%" else 1e6
            if one.estimate.state in (State.MEASURED, State.BELOW) and not 0 <= one.value <= most:
                yield failed(
                    "range",
                    _impossible(bag, one, most),
                    bags=(bag,),
                    analytes=(one.analyte,),
                    rerun=message("bench.rerun.portion", sample=bag),
                )
            if one.analyte == "lab_dm" and one.settled:
                yield from _unusual_lab_dm(work.batch, bag, one)


def _impossible(bag: str, one: Result, most: float) -> Message:
    return message(
        "bench.range.impossible",
        sample=bag,
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
