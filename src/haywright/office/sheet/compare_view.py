"""Two versions of a sheet beside each other, what changed marked."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from haywright.measure.result import Result
from haywright.office.sheet.models import Version
from haywright.office.sheet.queries import sheets, version_of
from haywright.office.sheet.shown import shown, why_of
from haywright.office.stack.views import stand_of
from haywright.office.stack.way import steps
from haywright.office.web.pages import found, page
from haywright.office.web.words import reader_of
from haywright.paper.speaker import Speaker
from haywright.words import Reader
from haywright.words.numbers import date_text


@page("sheet.see")
def compare_page(request: HttpRequest, key: str) -> HttpResponse:
    """Two versions, the older left."""
    sheet = found(sheets(request), pk=key)
    last = version_of(sheet, "").number
    asked = [
        version_of(sheet, request.GET.get("one") or str(max(last - 1, 1))),
        version_of(sheet, request.GET.get("other") or str(last)),
    ]
    asked.sort(key=lambda one: one.number)
    reader = reader_of(request)
    sides = [_side(one, reader) for one in asked]
    held = {
        "sheet": sheet,
        "steps": steps(stand_of(sheet.lot, part=sheet.part), reader, on="sheet"),
        "numbers": list(range(1, last + 1)),
        "sides": sides,
        "rows": _rows(sides, Speaker(reader)),
    }
    return render(request, "haywright/compare.html", held)


def _side(version: Version, reader: Reader) -> dict[str, Any]:
    seen = shown(version)
    words = Speaker(reader)
    whole, why = seen.sample.sheet, why_of(version)
    values = {**whole.measured, **whole.derived}
    return {
        "version": version,
        "day": date_text(timezone.localdate(version.made_at), reader),
        "verdict": " ".join(words.every(seen.opening(reader).sentence)),
        "why": why if isinstance(why, str) else words.said(why),
        "values": values,
    }


def _rows(sides: list[dict[str, Any]], words: Speaker) -> list[dict[str, Any]]:
    names = dict.fromkeys(name for side in sides for name in side["values"])
    rows = []
    for name in names:
        said = [_said(side["values"].get(name), words) for side in sides]
        rows.append({"name": words.name(name), "said": said, "changed": len(set(said)) > 1})
    return sorted(rows, key=lambda row: not row["changed"])


def _said(one: Result | None, words: Speaker) -> str:
    return "–" if one is None else words.value(one.estimate, one.analyte)
