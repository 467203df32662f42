"""Bags: portions put together, brought to dry matter, and made into results."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from haywright.bench import control
from haywright.bench.batch import Batch
from haywright.bench.chain import Known
from haywright.bench.findings import Control, warned
from haywright.bench.pattern import BAG_KINDS, Lead, Method
from haywright.bench.portions import followed, put_together, replaced, to_judged, valid
from haywright.bench.scatter import scatter_of, with_scatter
from haywright.bench.work import Portion, Work, leans
from haywright.measure.analytes import quantity
from haywright.measure.basis import AS_ANALYSED, AS_RECEIVED, DRY_MATTER, Basis
from haywright.measure.estimate import State
from haywright.measure.message import message
from haywright.measure.nitrate import NitrateForm
from haywright.measure.result import Result
from haywright.sources.tables import load_toml

Members = dict[tuple[str, str], tuple[Known, ...]]
_BASES = {"as received": AS_RECEIVED, "as analysed": AS_ANALYSED, "as cored": AS_RECEIVED}


def bag_results(
    work: Work, portions: Sequence[Portion]
) -> tuple[dict[str, tuple[Result, ...]], list[Control], Members]:
    """Results of each bag, what was found while putting its portions together, and the portions.

    A bag that still waits for an earlier result gives none.
    """
    results: dict[str, tuple[Result, ...]] = {}
    controls: list[Control] = []
    members: Members = {}
    for bag in work.batch.bags:
        own = [p for p in portions if p.position.sample == bag and p.position.kind in BAG_KINDS]
        known, said = leans(work, bag)
        controls += said
        for lead in work.leads:
            kept = valid(own, lead)
            before = work.left_open.get((bag, lead.portion), ()) if kept else ()
            counted = (*before, *(one.gave[lead.portion] for one in kept))
            members[bag, lead.portion] = counted
            places = tuple(one.position.order for one in kept)
            mean, said = _mean(work, bag, lead, counted, places, known)
            controls += [*replaced(own, kept, lead), *said]
            if mean is not None:
                known[lead.portion] = mean
        for one in own:
            known |= {
                column.name: work.desk.reading(one.position, column.name)
                for column in work.method.columns
                if column.of_bag and one.position.has(column.name)
            }
        waits = work.waits_for(bag)
        results[bag] = () if waits else _results(work, followed(work, known))
    return results, controls, members


def _mean(
    work: Work,
    bag: str,
    lead: Lead,
    members: Sequence[Known],
    places: tuple[int, ...],
    known: Mapping[str, Known],
) -> tuple[Known | None, list[Control]]:
    """The portions of a bag put together by the scheme fixed beforehand."""
    if not members:
        return None, []
    above = [m for m in members if m.estimate.state is State.ABOVE]
    if above:
        return above[-1], [_over_range(bag, lead, places)]
    to = to_judged(work, lead, known)
    level = sum(m.value for m in members) / len(members)
    scatter = scatter_of(
        work.batch, lead.judged_as, level=abs(level * to), unit=quantity(lead.judged_as).unit
    )
    found = control.agreement([m.value * to for m in members], scatter.repeat_at(abs(level * to)))
    said = []
    if len(members) > 1:
        said.append(
            control.duplicates(
                found,
                bag=bag,
                analyte=lead.judged_as,
                analytes=lead.analytes,
                places=places,
                portions=len(members),
            )
        )
    mean = put_together(lead, members, median=found.kept == "median")
    mean = with_scatter(
        work.batch, lead, mean, portions=len(members), sample=bag, scatter=scatter, to=to
    )
    return mean, said


def _over_range(bag: str, lead: Lead, places: tuple[int, ...]) -> Control:
    said = message(
        "bench.range.above",
        sample=bag,
        places=places,
        quantity=message("measure.quantity", id=lead.judged_as),
    )
    again = message("bench.rerun.dilute", sample=bag)
    # Told and rerun, not held: "above so much" is worth knowing and settles nothing.
    return replace(warned("range", said, bags=(bag,), positions=places), rerun=again)


def _results(work: Work, found: Mapping[str, Known]) -> tuple[Result, ...]:
    return tuple(
        Result(
            analyte=name,
            estimate=found[name].estimate,
            unit=quantity(name).unit,
            basis=_basis_of(name),
            kind=work.method.kind,
            form=NitrateForm.NO3_N if name == "nitrate_n" else None,
            method=method_name(work.method, work.batch),
            laboratory=work.batch.laboratory,
            report=work.batch.id,
            evidence=found[name].evidence,
        )
        for name in work.method.analytes()
        if name in found
    )


def _basis_of(analyte: str) -> Basis:
    return _BASES.get(quantity(analyte).basis, DRY_MATTER)


def method_name(method: Method, batch: Batch) -> str:
    """The method's label with what else makes it another measurand: drying, extractant."""
    return "; ".join([method.label, *measurand(batch)])


def measurand(batch: Batch) -> tuple[str, ...]:
    """Names of the choices that make results of one method another quantity."""
    drying = [load_toml("drying")[str(v)]["name"] for n, v in batch.choices.items()
              if n.startswith("drying")]  # fmt: skip
    taken = batch.choices.get("extractant")
    named = batch.choices.get("calibration")
    return (
        *drying,
        *([load_toml("extractants")[str(taken)]["name"]] if taken else ()),
        *([str(named)] if named else ()),
    )
