"""A batch's report put together again from the rows it was kept in."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from haywright.bench.kept_report import read_kept
from haywright.bench.report import BatchReport
from haywright.measure.errors import HaywrightError
from haywright.office.bench.models import Batch, Result


def kept_report(batch: Batch) -> BatchReport:
    """The report as the bench wrote it; what was settled since is not in it.

    Parameters
    ----------
    batch
        The batch.

    Raises
    ------
    Refused
        It was received without something that its report prints.
    """
    held = dict(batch.report)
    return read_kept({**held, "results": _results(batch), "readings": _readings(batch)})


def is_whole(batch: Batch) -> bool:
    """Whether its report can be printed."""
    try:
        kept_report(batch)
    except HaywrightError:
        return False
    return True


def _results(batch: Batch) -> dict[str, list[dict[str, Any]]]:
    """Bag -> its results as they came, those too that were kept beside another."""
    came: dict[str, dict[str, dict[str, Any]]] = defaultdict(dict)
    rows = Result.objects.filter(batch=batch, bag__isnull=False).select_related("bag")
    for row in rows.order_by("id"):
        if row.bag is not None:  # a later one of the same batch is its written release
            came[row.bag.code].setdefault(row.analyte, row.whole)
    for one in batch.report.get("beside", ()):
        came[one["bag"]].setdefault(one["result"]["analyte"], one["result"])
    return {
        bag: [came[bag][name] for name in names if name in came[bag]]
        for bag, names in batch.report.get("gave", {}).items()
    }


def _readings(batch: Batch) -> list[dict[str, Any]]:
    """Every place of the run with its readings, digit for digit as they were written."""
    read: dict[int, dict[str, Any]] = defaultdict(dict)
    for row in batch.readings.filter(corrects__isnull=True).order_by("id"):
        read[row.position][row.name] = row.written if row.value is None else float(row.written)
    return [{**place, **read[place["position"]]} for place in batch.report.get("places", ())]
