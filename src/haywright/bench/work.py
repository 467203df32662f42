"""What is known while a batch is worked, and what its results lean on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from haywright.bench.batch import Batch, Position
from haywright.bench.chain import Known, labelled
from haywright.bench.desk import Desk
from haywright.bench.findings import Control, failed, warned
from haywright.bench.given_limits import usual_limit
from haywright.bench.pattern import Determination, Lead, Method, Prepared
from haywright.measure.estimate import State
from haywright.measure.message import message
from haywright.measure.result import Evidence, Kind, Result

Earlier = Mapping[str, Mapping[str, Result]]


@dataclass(frozen=True, slots=True)
class Portion:
    """One portion worked: what it gave, by name."""

    position: Position
    gave: Mapping[str, Known]


@dataclass(frozen=True)
class Work:
    """Everything that is known while a batch is worked.

    Parameters
    ----------
    batch, of, method
        What is run.
    desk, prepared
        Its readings, and what they gave before any sample.
    earlier
        Sample -> quantity -> Result of earlier batches.
    left_open
        (bag, name of what a portion gives) -> portions of the batch this one reruns, where only
        their own disagreement held them.
    """

    batch: Batch
    of: Determination
    method: Method
    desk: Desk
    prepared: Prepared
    earlier: Earlier
    left_open: Mapping[tuple[str, str], tuple[Known, ...]] = field(default_factory=dict)

    @property
    def leads(self) -> tuple[Lead, ...]:
        """What one portion gives."""
        return self.method.leads

    def waits_for(self, sample: str) -> tuple[str, ...]:
        """Results of earlier batches that a sample's own lean on and that are missing."""
        return tuple(n for n in self.of.leans_on if n not in self.earlier.get(sample, {}))


def leans(work: Work, sample: str) -> tuple[dict[str, Known], list[Control]]:
    """What a sample's results lean on; a held parent holds its children, a foreign one too."""
    known: dict[str, Known] = dict(work.prepared.values)
    controls: list[Control] = []
    for name in work.of.leans_on:
        one = work.earlier.get(sample, {}).get(name)
        if one is None:
            continue
        known[name] = Known(one.estimate, one.evidence or labelled(name, one.estimate).evidence)
        quantity = message("measure.quantity", id=name)
        if one.estimate.state is State.HELD:
            said = message("bench.leans.held", quantity=quantity)
            controls.append(failed("leans", said, bags=(sample,)))
        if one.kind not in (Kind.MEASURED, Kind.CALCULATED):
            kind = message(f"bench_more.kind.{one.kind.name.lower()}")
            said = message("bench_more.leans.not_ours", quantity=quantity, kind=kind)
            controls.append(failed("leans", said, bags=(sample,)))
    return known, controls


def dried_on_another_day(work: Work) -> Iterator[Control]:
    """Bags whose laboratory dry matter was weighed on another day than these portions."""
    days: dict[date, list[str]] = {}
    for bag in work.batch.bags if "lab_dm" in work.of.leans_on else ():
        one = work.earlier.get(bag, {}).get("lab_dm")
        if one is not None and (day := _day_of(one)) is not None:
            days.setdefault(day, []).append(bag)
    most = usual_limit(work.batch, "lab_dm_days")
    for day, bags in days.items():
        apart = abs((work.batch.run_on - day).days)
        if apart > most.value:
            said = message("bench.leans.other_day", sample=tuple(bags), day=day, n=apart)
            yield warned("leans", said, bags=tuple(bags), source=most.source, mark=most.mark)


def _day_of(one: Result) -> date | None:
    """The day a result's readings were taken."""
    found = _first_when(one.evidence)
    return date.fromisoformat(found[:10]) if found else None


def _first_when(evidence: Evidence | None) -> str:
    if evidence is None:
        return ""
    return evidence.when or next(filter(None, map(_first_when, evidence.children)), "")
