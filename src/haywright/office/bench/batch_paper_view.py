"""The report of a batch on paper, as the bench prints it."""

from __future__ import annotations

from http import HTTPStatus

from django.http import HttpRequest, HttpResponse

from haywright.measure.errors import HaywrightError
from haywright.office.bench import batch_told as told
from haywright.office.bench.batch_views import batches
from haywright.office.bench.kept import kept_report
from haywright.office.bench.models import Batch
from haywright.office.stack.views import pdf
from haywright.office.web.pages import found, page, refused
from haywright.office.web.words import reader_of
from haywright.paper.speaker import Speaker


@page("batch.see")
def batch_report(request: HttpRequest, key: str) -> HttpResponse:
    """The report of a batch, on paper; where it was not kept whole, none."""
    from haywright.paper.batch_paper import batch_pdf

    batch, reader = found(batches(request).select_related("office"), pk=key), reader_of(request)
    try:
        report = kept_report(batch)
    except HaywrightError as error:
        return refused(request, error, HTTPStatus.CONFLICT)
    since = _since(batch, Speaker(reader))
    own = batch.office
    made = batch_pdf(report, reader, paper=own.paper, office=own.name, since=since)
    return pdf(made, f"batch-{batch.pk}")


def _since(batch: Batch, words: Speaker) -> list[str]:
    """What became of a batch since: the bench's own words on it say what was held then."""
    how = told.standing_of(batch, holds=told.holding(Batch.objects.filter(pk=batch.pk)).exists())
    if how == "released" and batch.released_by is not None:
        return [words("office.batch.released_by", who=batch.released_by.name,
                      why=batch.released_why)]  # fmt: skip
    return [words("office.batch.nothing_still")] if how == "rerun" else []
