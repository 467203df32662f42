"""Pages of the sheet: the test sheet in its versions, how it may be fed, notes and links."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from haywright.measure.errors import HaywrightError
from haywright.measure.message import message
from haywright.office.action import DoneAlready
from haywright.office.people.policies import may_with
from haywright.office.sheet import actions
from haywright.office.sheet.models import ReadLink, Sheet, Version
from haywright.office.sheet.queries import sheets, version_of
from haywright.office.sheet.shown import Shown, shown, tdn_asked
from haywright.office.stack.views import pdf, stand_of
from haywright.office.stack.way import steps
from haywright.office.web.pages import actor_in, found, page
from haywright.office.web.standing import standing
from haywright.office.web.words import reader_of
from haywright.paper.speaker import Speaker
from haywright.paper.tokens import PAGE
from haywright.words import say
from haywright.words.numbers import date_text


@page("sheet.see")
@standing
def sheet_page(request: HttpRequest, key: str) -> HttpResponse:
    """The test sheet: verdict, five numbers, then the rest folded."""
    sheet = found(sheets(request), pk=key)
    return _sheet(request, sheet, version_of(sheet, request.GET.get("version", "")))


def _sheet(
    request: HttpRequest, sheet: Sheet, version: Version, *, public: bool = False
) -> HttpResponse:
    reader, actor = reader_of(request), actor_in(request)
    tdn = tdn_asked(request.GET)
    seen = shown(version, tdn=tdn)
    data = seen.sheet(reader, PAGE)
    asked = urlencode({"version": version.number, **({"tdn": tdn} if tdn else {})})
    may_link = not public and may_with(actor, "sheet.link", sheet)
    held = {
        "sheet": sheet,
        "version": version,
        "newest": sheet.versions.latest("number").number,
        "paper": data,
        "folded": data["rest"],
        "steps": None if public else steps(stand_of(sheet.lot), reader, on="sheet"),
        "notes": sheet.notes.select_related("by")[:1],
        "versions": [] if public else _versions(sheet, version, reader),
        "pdf": f"{reverse('sheet-pdf', args=[sheet.pk])}?{asked}",
        "public": public,
        "once": str(uuid4()),
        "numbers": [] if public else _numbers(seen, sheet, asked, reader),
        "energy": _energy(seen, tdn, reader),
        "tdn": tdn,
        "asked": asked,
        "may_note": not public and may_with(actor, "sheet.note", sheet),
        "may_link": may_link,
        "links": _links(sheet) if may_link else [],
    }
    return render(request, "haywright/sheet.html", held)


def _numbers(seen: Shown, sheet: Sheet, asked: str, reader: Any) -> list[dict[str, str]]:
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


def _energy(seen: Shown, tdn: str, reader: Any) -> list[dict[str, Any]]:
    """The TDN equations this hay can be worked by, the one shown marked."""
    words = Speaker(reader)
    whole = seen.sample.sheet
    now = whole.get("tdn")
    return [
        {
            "name": one.method.name,
            "said": words.equation(one.method.equation.id),
            "shown": one.method.name == tdn
            if tdn
            else now is not None and now.equation == one.method.equation.id,
        }
        for one in whole.energy
        if one.energy
    ]


def _links(sheet: Sheet) -> list[ReadLink]:
    """Links by which the sheet can be read still."""
    rows = sheet.links.filter(withdrawn_at__isnull=True, ends_at__gt=timezone.now())
    return list(rows.select_related("by").order_by("-id"))


def _versions(sheet: Sheet, now: Version, reader: Any) -> list[dict[str, Any]]:
    out = []
    for one in sheet.versions.defer("snapshot").order_by("-number"):
        kind = "interim" if one.interim else "amended" if one.amended else "whole"
        out.append(
            {
                "number": one.number,
                "shown": one.number == now.number,
                "address": f"{reverse('sheet', args=[sheet.pk])}?version={one.number}",
                "kind": say(message(f"office.sheet.kind.{kind}"), reader),
                "day": date_text(one.made_at.date(), reader),
                "changes": [_change(c, reader) for c in one.changes[:12]],
                "reason": one.reason,
            }
        )
    return out


def _change(change: dict[str, Any], reader: Any) -> str:
    name = message("measure.quantity", id=change["quantity"])
    return say(
        message(
            "office.history.change",
            name=name,
            was=_figure(change["was"]),
            now=_figure(change["now"]),
        ),
        reader,
    )


def _figure(value: Any) -> str:
    return f"{value:.4g}" if isinstance(value, int | float) else "–"


@page("sheet.see")
def sheet_pdf(request: HttpRequest, key: str) -> HttpResponse:
    """The same sheet on paper."""
    from haywright.paper.typeset import set_pdf

    sheet = found(sheets(request), pk=key)
    version = version_of(sheet, request.GET.get("version", ""))
    data = shown(version, tdn=tdn_asked(request.GET)).sheet(reader_of(request))
    return pdf(set_pdf("test_sheet", data), f"test-sheet-{sheet.number}-{version.number}")


@require_POST
@page("sheet.note")
def sheet_note(request: HttpRequest, key: str) -> HttpResponse:
    """Keep the educator's words to this rancher."""
    sheet = found(sheets(request), pk=key)
    try:
        actions.write_note(
            actor_in(request),
            sheet,
            request.POST.get("note", "")[:4000],
            once=request.POST.get("once", ""),
        )
    except DoneAlready:
        pass
    except HaywrightError as error:
        messages.error(request, " ".join(say(m, reader_of(request)) for m in error.messages()))
    return redirect("sheet", sheet.pk)


@require_POST
@page("sheet.link")
def sheet_link(request: HttpRequest, key: str) -> HttpResponse:
    """Make a link by which anyone may read this sheet for a while."""
    sheet = found(sheets(request), pk=key)
    secret = actions.make_link(actor_in(request), sheet)
    address = request.build_absolute_uri(reverse("read", args=[secret]))
    said = message("office.sheet.link_made", address=address, days=actions.READ_DAYS)
    messages.success(request, say(said, reader_of(request)))
    return redirect("sheet", sheet.pk)


@require_POST
@page("sheet.link")
def link_withdraw(request: HttpRequest, key: str, link: str) -> HttpResponse:
    """End a link by which the sheet was read."""
    sheet = found(sheets(request), pk=key)
    actions.withdraw_link(actor_in(request), found(sheet.links.all(), pk=link))
    return redirect("sheet", sheet.pk)


def read(request: HttpRequest, secret: str) -> HttpResponse:
    """A sheet by its link, for anyone who holds it."""
    link = (
        ReadLink.objects.select_related("sheet__lot__office", "sheet__lot__ranch")
        .filter(
            digest=actions.digest(secret), withdrawn_at__isnull=True, ends_at__gt=timezone.now()
        )
        .first()
    )
    if link is None:
        held = {"said": [say(message("office.read.ended"), reader_of(request))]}
        return render(request, "haywright/refused.html", held, status=HTTPStatus.NOT_FOUND)
    answer = _sheet(request, link.sheet, version_of(link.sheet, ""), public=True)
    answer["Referrer-Policy"] = "no-referrer"
    answer["X-Robots-Tag"] = "noindex"
    return answer
