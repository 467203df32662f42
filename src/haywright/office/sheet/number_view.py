"""One number of a sheet: what it is worth, how it came about, who kept it when."""

from __future__ import annotations

from typing import Any

from django.db.models import Q, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from haywright.measure.result import Result as PureResult
from haywright.office.bench.models import Reading, Result
from haywright.office.people.policies import may_with
from haywright.office.sheet.models import Sheet
from haywright.office.sheet.queries import sheets, version_of
from haywright.office.sheet.shown import shown, tdn_asked
from haywright.office.stack.views import stand_of
from haywright.office.stack.way import steps
from haywright.office.web.pages import actor_in, found, page
from haywright.office.web.words import reader_of
from haywright.paper.number_matter import number_sections
from haywright.paper.speaker import Speaker
from haywright.paper.tokens import PAGE
from haywright.words.numbers import date_text

MOST_READINGS = 200


@page("sheet.see")
def number_page(request: HttpRequest, key: str, name: str) -> HttpResponse:
    """How one number of a sheet came about."""
    sheet = found(sheets(request), pk=key)
    version = version_of(sheet, request.GET.get("version", ""))
    seen = shown(version, tdn=tdn_asked(request.GET))
    one = seen.sample.sheet.get(name)
    if one is None:
        raise Http404
    reader, actor = reader_of(request), actor_in(request)
    words = Speaker(reader, PAGE)
    ranges = seen.opening(reader).likely
    kept = _kept(sheet, [bag.code for bag in seen.sample.bags], name)
    held = {
        "sheet": sheet,
        "version": version,
        "name": words.name(name),
        "value": words.value(one.estimate, name),
        "steps": steps(stand_of(sheet.lot), reader, on="sheet"),
        "sections": number_sections(seen.sample.sheet, one, ranges, words),
        "kept": [_row(row, words, reader) for row in kept],
        "may_correct": may_with(actor, "result.correct", sheet),
        "readings": _readings(kept),
        "back": f"{reverse('sheet', args=[sheet.pk])}?version={version.number}",
    }
    return render(request, "haywright/number.html", held)


def _kept(sheet: Sheet, codes: list[Any], name: str) -> list[Result]:
    """Every result of a quantity that was ever kept for this hay, replaced ones too."""
    mine: QuerySet[Result] = Result.objects.filter(office=sheet.office_id, analyte=name)
    of_bag = Q(bag__code__in=[str(one) for one in codes])
    rows = mine.filter(of_bag | Q(bag__isnull=True, lot=sheet.lot_id))
    return list(rows.select_related("bag", "batch", "by", "replaced_by").order_by("id"))


def _row(one: Result, words: Speaker, reader: Any) -> dict[str, Any]:
    pure = PureResult.from_json(one.whole)
    return {
        "key": one.pk,
        "value": words.value(pure.estimate, one.analyte),
        "bag": one.bag.code if one.bag else "",
        "batch": one.batch.name if one.batch else one.reported,
        "by": one.by.name if one.by else "",
        "day": date_text(one.made_at.date(), reader),
        "reason": one.reason,
        "gone": getattr(one, "replaced_by", None) is not None,
    }


def _readings(kept: list[Result]) -> list[Reading]:
    """The raw readings of the bags in the batches the results came from."""
    batches = {one.batch_id for one in kept if one.batch_id}
    codes = {one.bag.code for one in kept if one.bag}
    rows = Reading.objects.filter(batch__in=batches, sample__in=codes).select_related("batch", "by")
    return list(rows.order_by("batch", "position", "id")[:MOST_READINGS])
