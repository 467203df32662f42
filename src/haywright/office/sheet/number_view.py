"""One number of a sheet: what it is worth, how it came about, who kept it when."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.db.models import Q, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from haywright.measure.analytes import dictionary
from haywright.measure.result import Result as PureResult
from haywright.office.bench.models import Reading, Result
from haywright.office.people.policies import MAY, may_with
from haywright.office.sheet.models import Sheet
from haywright.office.sheet.queries import sheets, version_of
from haywright.office.sheet.shown import Shown, newest_of, shown, tdn_asked
from haywright.office.stack.views import stand_of
from haywright.office.stack.way import steps
from haywright.office.web.pages import actor_in, found, page
from haywright.office.web.words import reader_of
from haywright.paper.number_matter import goes_into, made_from, number_sections, whole_value
from haywright.paper.speaker import Speaker
from haywright.paper.tokens import PAGE
from haywright.words.numbers import date_text

MOST_READINGS = 200
# Keeps a chemical form in one line of the title, which hyphens would part.
UNBROKEN = "\N{WORD JOINER}-\N{WORD JOINER}N"


@page("sheet.see")
def number_page(request: HttpRequest, key: str, name: str) -> HttpResponse:
    """How one number of a sheet came about."""
    sheet = found(sheets(request), pk=key)
    version = version_of(sheet, request.GET.get("version", ""))
    tdn = tdn_asked(request.GET)
    asked = urlencode({"version": version.number, **({"tdn": tdn} if tdn else {})})
    seen = shown(version, tdn=tdn)
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
        "head": f"{words.name(name)}: {whole_value(one, words)}".replace("-N", UNBROKEN),
        "steps": steps(stand_of(sheet.lot, part=sheet.part), reader, on="sheet"),
        "sections": number_sections(seen.sample.sheet, one, ranges, words),
        "kept": [_row(row, words, reader) for row in kept],
        "may_correct": may_with(actor, "result.correct", sheet),
        "may_batch": bool(MAY["batch.see"] & actor.roles),
        "readings": [_reading(row, words) for row in _readings(kept)],
        "from": _others(seen, made_from(seen.sample.sheet, one), sheet, asked, words),
        "into": _others(seen, goes_into(seen.sample.sheet, name), sheet, asked, words),
        "newest": newest_of(sheet),
        "asked": asked,
        "back": f"{reverse('sheet', args=[sheet.pk])}?{asked}",
    }
    return render(request, "haywright/number.html", held)


def _others(
    seen: Shown, names: list[str], sheet: Sheet, asked: str, words: Speaker
) -> list[dict[str, str]]:
    """Other numbers of the same version, each with the address that tells how it came about."""
    found = {name: seen.sample.sheet.get(name) for name in names}
    return [
        {
            "name": words.name(name),
            "value": whole_value(one, words),
            "address": f"{reverse('number', args=[sheet.pk, name])}?{asked}",
        }
        for name, one in found.items()
        if one is not None
    ]


def _kept(sheet: Sheet, codes: list[Any], name: str) -> list[Result]:
    """Every result of a quantity that was ever kept for this hay, replaced ones too."""
    mine: QuerySet[Result] = Result.objects.filter(office=sheet.office_id, analyte=name)
    of_bag = Q(bag__code__in=[str(one) for one in codes])
    rows = mine.filter(of_bag | Q(bag__isnull=True, lot=sheet.lot_id))
    return list(
        rows.select_related("bag", "batch__released_by", "by", "replaced_by").order_by("id")
    )


def _row(one: Result, words: Speaker, reader: Any) -> dict[str, Any]:
    pure = PureResult.from_json(one.whole)
    return {
        "key": one.pk,
        "value": whole_value(pure, words),
        "bag": one.bag.code if one.bag else "",
        "batch": one.batch.name if one.batch else one.reported,
        "batch_key": one.batch_id,
        "released_by": one.batch.released_by.name if one.batch and one.batch.released_by else "",
        "released_why": one.batch.released_why if one.batch else "",
        "by": one.by.name if one.by else "",
        "day": date_text(timezone.localdate(one.made_at), reader),
        "reason": one.reason,
        "gone": getattr(one, "replaced_by", None) is not None,
    }


def _reading(one: Reading, words: Speaker) -> dict[str, Any]:
    """A raw reading by the name the bench has for it, as it was written, with its unit."""
    entry = dictionary().get(one.name)
    return {
        "name": words.said(one.name),
        "sample": one.sample,
        "written": f"{one.written} {entry.unit if entry else ''}".strip(),
        "batch": one.batch.name,
        "position": one.position,
        "read_at": one.read_at,
        "by": one.by.name if one.by else "",
        "reason": one.reason,
        "gone": getattr(one, "corrected_by", None) is not None,
    }


def _readings(kept: list[Result]) -> list[Reading]:
    """The raw readings of the bags in the batches the results came from."""
    batches = {one.batch_id for one in kept if one.batch_id}
    codes = {one.bag.code for one in kept if one.bag}
    rows = Reading.objects.filter(batch__in=batches, sample__in=codes)
    rows = rows.select_related("batch", "by", "corrected_by")
    return list(rows.order_by("batch", "position", "id")[:MOST_READINGS])
