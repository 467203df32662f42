"""What a batch's page says of it: results, controls, what is held, what took whose place."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from haywright.bench.findings import Outcome
from haywright.measure.estimate import State
from haywright.measure.message import Message
from haywright.measure.result import Result as PureResult
from haywright.office.bench.models import Batch, Result
from haywright.paper.speaker import Speaker, capital

_TO_RERUN = (State.HELD.value, State.ABOVE.value, State.BETWEEN.value)
_FAILED_FIRST = (Outcome.FAILED, Outcome.WARNED, Outcome.NOT_JUDGED, Outcome.PASSED)


def holding(rows: QuerySet[Batch]) -> QuerySet[Batch]:
    """Of these batches, those that hold something back still: no rerun or release since."""
    held = Result.objects.filter(
        batch=OuterRef("pk"), state=State.HELD.value, replaced_by__isnull=True
    )
    return rows.filter(Exists(held), held=True, released_why="")


def standing_of(batch: Batch, *, holds: bool) -> str:
    """How a batch stands: passed, held, rerun or released.

    Parameters
    ----------
    batch
        The batch.
    holds
        Whether something of it is held still.
    """
    if batch.released_why:
        return "released"
    if not batch.held:
        return "passed"
    return "held" if holds else "rerun"


def reasons_of(batch: Batch, words: Speaker) -> list[str]:
    """Why a batch is held, each rule and limit once."""
    held = batch.report.get("decision", {}).get("held", ())
    return list(dict.fromkeys(said for one in held for said in _reasons(one, words)))


def held_of(batch: Batch, words: Speaker) -> list[dict[str, Any]]:
    """What was held back, with its reasons."""
    held = batch.report.get("decision", {}).get("held", ())
    return [
        {"bag": one["bag"], "name": words.name(one["analyte"]), "why": _reasons(one, words)}
        for one in held
    ]


def reruns_of(batch: Batch, words: Speaker) -> list[str]:
    """What is to be rerun still: what stands in its place, or was released, is done with."""
    asked = batch.report.get("decision", {}).get("reruns", ())
    if not asked:
        return []
    rows = batch.results.filter(state__in=_TO_RERUN)
    bags = {row.bag.code: False for row in rows.select_related("bag") if row.bag}
    left = rows.filter(replaced_by__isnull=True).select_related("bag")
    bags |= {row.bag.code: True for row in left if row.bag}
    return [said(one, words) for one in asked if _to_do(one, bags)]


def _to_do(asked: Any, bags: dict[str, bool]) -> bool:
    """Whether a rerun is to be done still.

    Parameters
    ----------
    asked
        The rerun as the report has it: of one bag, or of the whole batch.
    bags
        Code of a bag with a result that is held or out of range -> whether it is so still.
    """
    sample = asked.get("args", {}).get("sample", "") if isinstance(asked, dict) else ""
    return bags[sample] if sample in bags else not bags or any(bags.values())


def controls_of(batch: Batch, words: Speaker) -> list[dict[str, Any]]:
    """The controls, those that failed first; of a batch of several quantities, which one each."""
    controls = sorted(
        batch.report.get("controls", ()), key=lambda one: _FAILED_FIRST.index(one["outcome"])
    )
    many = len({name for one in controls for name in one.get("analytes", ())}) > 1
    return [
        {
            "outcome": words(f"bench_paper.outcome.{Outcome(one['outcome']).name.lower()}"),
            "failed": one["outcome"] == Outcome.FAILED,
            "of": ", ".join(map(words.name, one.get("analytes", ()))) if many else "",
            "said": said(one.get("said"), words),
        }
        for one in controls
    ]


def said(held: Any, words: Speaker) -> str:
    """A message of the report in words."""
    return words.said(Message.from_json(held)) if isinstance(held, dict) else str(held or "")


def _reasons(one: Any, words: Speaker) -> list[str]:
    return [said(reason, words) for reason in one.get("reasons", ())]


def results_of(batch: Batch, words: Speaker) -> list[dict[str, Any]]:
    """The batch's own results by bag: the number, and how it stands today."""
    rows = batch.results.select_related("bag", "replaced_by__batch")
    found = [*(_result(one, words) for one in rows), *_beside(batch, words)]
    return sorted(found, key=lambda one: (one["bag"], one["name"]))


def _result(row: Result, words: Speaker) -> dict[str, Any]:
    after = getattr(row, "replaced_by", None)
    if after is None:
        how = words(f"office.batch.{'held_still' if row.state == State.HELD else 'in_force'}")
    elif after.batch_id == row.batch_id:
        how = words("office.batch.released_since")
    else:
        how = words("office.batch.replaced", by=after.batch.name if after.batch else after.reason)
    return {
        "bag": row.bag.code if row.bag else "",
        "key": row.bag_id,
        "name": capital(words.name(row.analyte)),
        "value": words.value(PureResult.from_json(row.whole).estimate, row.analyte),
        "state": how,
    }


def _beside(batch: Batch, words: Speaker) -> Iterator[dict[str, Any]]:
    """What took no place, and beside which number it is kept."""
    kept = batch.report.get("beside", ())
    there = Result.objects.filter(pk__in=[one["stands"] for one in kept]).select_related("bag")
    by_key = {str(one.pk): one for one in there}
    for one in kept:
        pure, stands = PureResult.from_json(one["result"]), by_key[one["stands"]]
        first = PureResult.from_json(stands.whole)
        told = words(
            "office.batch.beside",
            kind=words(f"bench_more.kind.{first.kind.name.lower()}"),
            value=words.value(first.estimate, first.analyte),
        )
        yield {
            "bag": one["bag"],
            "key": stands.bag_id,
            "name": capital(words.name(pure.analyte)),
            "value": words.value(pure.estimate, pure.analyte),
            "state": told,
        }


def before_and_after(batch: Batch, words: Speaker) -> list[dict[str, str]]:
    """What another batch, or a release, put in the place of what was there before."""
    mine = Q(batch=batch) | Q(replaces__batch=batch)
    rows = Result.objects.filter(mine, replaces__isnull=False).order_by("id")
    return [
        {
            "bag": row.bag.code if row.bag else "",
            "name": words.name(row.analyte),
            "before": _worth(row.replaces, words),
            "before_of": row.replaces.batch.name if row.replaces and row.replaces.batch else "",
            "after": _worth(row, words),
            "after_of": _whence(row, words),
        }
        for row in rows.select_related("bag", "batch", "replaces__batch")
    ]


def _whence(row: Result, words: Speaker) -> str:
    """Where the number that stands now comes from: a rerun, another batch, a written release."""
    if row.batch is None:
        return row.reason
    if row.replaces is not None and row.replaces.batch_id == row.batch_id:
        return words("office.batch.by_release", why=row.reason)
    rerun = row.batch.report.get("rerun_of")
    return words("office.batch.by_rerun", batch=row.batch.name) if rerun else row.batch.name


def _worth(row: Result | None, words: Speaker) -> str:
    """What a result is worth; what a held one would have been stands beside it."""
    if row is None:
        return ""
    pure = PureResult.from_json(row.whole)
    told = words.value(pure.estimate, row.analyte)
    if pure.estimate.state is State.HELD and math.isfinite(pure.estimate.value):
        return f"{told} ({words.figure(pure.estimate.value, row.analyte)})"
    return told
