"""The test sheet in its versions, on page and paper."""

from __future__ import annotations

from functools import lru_cache, partial
from http import HTTPStatus
from typing import Any
from urllib.parse import urlencode
from uuid import UUID, uuid4

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from haywright.measure.message import message
from haywright.office.people.policies import may_with
from haywright.office.sheet.energy_choice import energy_choices, energy_wanting
from haywright.office.sheet.models import ReadLink, Sheet, Version
from haywright.office.sheet.queries import lot_of, sheets, version_of
from haywright.office.sheet.shown import Shown, newest_of, shown, tdn_asked, why_of
from haywright.office.stack.views import pdf, stand_of
from haywright.office.stack.way import steps
from haywright.office.web.pages import actor_in, found, page
from haywright.office.web.standing import part, standing
from haywright.office.web.words import reader_of
from haywright.paper.issue import change_lines
from haywright.paper.speaker import Speaker
from haywright.paper.tokens import PAGE
from haywright.words import Reader, say
from haywright.words.numbers import date_text

LINKS_SHOWN = 20
# What a version's page goes by: its key, the newest's number, the latest words to the rancher and
# whose they are, the TDN equation asked for.
Of = tuple[UUID, int, tuple[UUID, str] | None, str]


@page("sheet.see")
@partial(standing, lots_of=lot_of)
def sheet_page(request: HttpRequest, key: str) -> HttpResponse:
    """The test sheet: verdict, five numbers, then the rest folded."""
    sheet = found(sheets(request), pk=key)
    return sheet_answer(request, sheet, version_of(sheet, request.GET.get("version", "")))


def sheet_answer(
    request: HttpRequest,
    sheet: Sheet,
    version: Version,
    *,
    refused: str = "",
    typed: str = "",
    status: int = HTTPStatus.OK,
) -> HttpResponse:
    """The page of a version for those of its office.

    Parameters
    ----------
    request, sheet, version
        Who asks for which version.
    refused, typed
        Why words to the rancher were not kept, and the words.
    status
        Of the answer.
    """
    reader, actor = reader_of(request), actor_in(request)
    held = sheet_matter(request, version)
    newest = version.number == held["newest"]
    may_link = newest and may_with(actor, "sheet.link", sheet)
    held |= {
        "steps": steps(stand_of(sheet.lot, part=sheet.part), reader, on="sheet"),
        "versions": _versions(sheet, version, reader),
        "pdf": f"{reverse('sheet-pdf', args=[sheet.pk])}?{held['asked']}",
        "once": str(uuid4()),
        "may_note": newest and may_with(actor, "sheet.note", sheet),
        "may_link": may_link,
        "links": _links(sheet) if may_link else [],
        "refused": refused,
        "typed": typed,
    }
    return render(request, "haywright/sheet.html", held, status=status)


def sheet_matter(request: HttpRequest, version: Version, *, public: bool = False) -> dict[str, Any]:
    """What everybody reads of a version, whoever they are.

    Parameters
    ----------
    request, version
        Who asks for which version.
    public
        Whether by a link for reading: nothing leads further then.
    """
    reader, sheet = reader_of(request), version.sheet
    tdn, newest = tdn_asked(request.GET), newest_of(sheet)
    held: dict[str, Any] = {
        "sheet": sheet,
        "version": version,
        "newest": newest,
        "public": public,
        "tdn": tdn,
        "asked": urlencode({"version": version.number, **({"tdn": tdn} if tdn else {})}),
    }
    note = sheet.notes.select_related("by").first()
    of = (version.pk, newest, (note.pk, note.by.name) if note else None, tdn)
    held["paper"] = _paper(version, of, reader, timezone.get_current_timezone_name())

    def found() -> str:
        seen = shown(version, tdn=tdn)
        more = {
            "energy": energy_choices(seen, reader),
            "wanting": energy_wanting(seen, reader),
            "energy_head": Speaker(reader)("paper.energy.head"),
            "numbers": [] if public else _numbers(seen, sheet, held["asked"], reader),
        }
        return render_to_string("haywright/parts/found.html", held | more, request)

    return held | {"found": part(request, ("sheet", of, public), found)}


@lru_cache(maxsize=64)
def _paper(version: Version, of: Of, reader: Reader, _zone: str) -> dict[str, Any]:
    """A frozen version as a page has it, the same as long as what it is of, and who reads it."""
    return shown(version, tdn=of[-1]).sheet(reader, PAGE)


def _numbers(seen: Shown, sheet: Sheet, asked: str, reader: Reader) -> list[dict[str, str]]:
    """Every number of the sheet, with the address that tells how it came about."""
    words, whole = Speaker(reader), seen.sample.sheet
    return [
        {
            "name": words.name(name),
            "value": words.value(one.estimate, name),
            "address": f"{reverse('number', args=[sheet.pk, name])}?{asked}",
        }
        for name, one in {**whole.measured, **whole.derived}.items()
    ]


def _links(sheet: Sheet) -> list[ReadLink]:
    """Links given out for the sheet, the latest first; each says whether it still opens."""
    rows = list(sheet.links.select_related("by").order_by("-id")[:LINKS_SHOWN])
    for one in rows:
        one.open = one.withdrawn_at is None and one.ends_at > timezone.now()  # type: ignore[attr-defined]
    return rows


def _versions(sheet: Sheet, now: Version, reader: Reader) -> list[dict[str, Any]]:
    words, out = Speaker(reader), []
    for one in sheet.versions.defer("snapshot").select_related("by").order_by("-number"):
        kind = "interim" if one.interim else "amended" if one.amended else "whole"
        why = why_of(one)
        out.append(
            {
                "number": one.number,
                "shown": one.number == now.number,
                "address": f"{reverse('sheet', args=[sheet.pk])}?version={one.number}",
                "kind": say(message(f"office.sheet.kind.{kind}"), reader),
                "day": date_text(timezone.localdate(one.made_at), reader),
                "by": one.by.name if one.by else "",
                "changes": change_lines(tuple(one.changes), words),
                "reason": why if isinstance(why, str) else words.said(why),
            }
        )
    return out


@page("sheet.see")
def sheet_pdf(request: HttpRequest, key: str) -> HttpResponse:
    """The same sheet on paper."""
    from haywright.paper.typeset import set_pdf

    sheet = found(sheets(request), pk=key)
    version = version_of(sheet, request.GET.get("version", ""))
    data = shown(version, tdn=tdn_asked(request.GET)).sheet(reader_of(request))
    return pdf(set_pdf("test_sheet", data), f"test-sheet-{sheet.number}-{version.number}")
