"""Portions: each worked from its readings, then those of one bag put together by rule."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from haywright.bench.batch import Position
from haywright.bench.chain import Known, follow, follow_numbers, labelled
from haywright.bench.desk import evidence_of
from haywright.bench.findings import Control, warned
from haywright.bench.pattern import Beyond, Lead
from haywright.bench.work import Portion, Work
from haywright.measure.estimate import Estimate, State, exact
from haywright.measure.message import message


def portion(work: Work, position: Position) -> Portion:
    """Work one portion; a reading beyond the range gives a number beyond its limit."""
    known = inputs_of(work, position)
    names = [lead.portion for lead in work.leads]
    found = follow(work.method.portion, known)
    gave = {name: found[name] for name in names if name in found}
    for reading, beyond in work.prepared.beyond(position).items():
        at_edge = labelled(reading, exact(beyond.limit))
        edge = follow(work.method.portion, {**known, reading: at_edge})
        for name, one in tuple(gave.items()):
            if edge[name].value != one.value:
                gave[name] = censored(one, edge[name].value, beyond)
    return Portion(position, gave)


def inputs_of(work: Work, position: Position) -> dict[str, Known]:
    """What goes into the chain of one portion."""
    return {
        **work.prepared.values,
        **work.desk.readings(position),
        **work.prepared.at(position),
    }


def censored(known: Known, limit: float, beyond: Beyond) -> Known:
    """A number that lies beyond a limit [unit of the number]; the raw one is kept."""
    raw = known.value
    if beyond.above:
        return Known(Estimate.above(limit, beyond.definition, raw=raw), known.evidence)
    parts = known.estimate.parts
    return Known(Estimate.below(limit, beyond.definition, raw=raw, parts=parts), known.evidence)


def valid(portions: Iterable[Portion], lead: Lead) -> list[Portion]:
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


def replaced(portions: Iterable[Portion], kept: Sequence[Portion], lead: Lead) -> list[Control]:
    """Attempts above the range that a later one within it has replaced."""
    return [
        warned(
            "range",
            message(
                "bench.range.replaced",
                sample=one.position.sample,
                place=one.position.order,
                quantity=message("measure.quantity", id=lead.judged_as),
            ),
            bags=(one.position.sample,),
            analytes=lead.analytes,
            positions=(one.position.order,),
        )
        for one in portions
        if lead.portion in one.gave and one not in kept
    ]


def to_judged(work: Work, lead: Lead, known: Mapping[str, Known]) -> float:
    """What a portion is multiplied by to stand in the judged quantity's unit and basis."""
    if lead.judged_as == lead.portion:
        return 1.0
    values = {name: one.value for name, one in known.items()}
    values = {"lab_dm": 100.0, **values, lead.portion: 1.0}
    return float(follow_numbers(work.method.bag, values).get(lead.judged_as, 1.0))


def put_together(lead: Lead, members: Sequence[Known], *, median: bool) -> Known:
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


def followed(work: Work, known: Mapping[str, Known]) -> dict[str, Known]:
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
                found[out] = censored(found[out], edge[out].value, beyond)
        found[name] = one
    return found
