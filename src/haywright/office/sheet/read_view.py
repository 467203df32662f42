"""A sheet by a link for reading: for anyone who holds it, as long as it was given out."""

from __future__ import annotations

from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from haywright.measure.message import message
from haywright.office.sheet.actions import digest
from haywright.office.sheet.models import ReadLink
from haywright.office.sheet.queries import version_of
from haywright.office.sheet.views import sheet_matter
from haywright.office.web.words import reader_of
from haywright.words import say
from haywright.words.numbers import date_text


def read(request: HttpRequest, secret: str) -> HttpResponse:
    """The newest version by its link; one that has ended says so, and whom to ask."""
    rows = ReadLink.objects.select_related(
        "sheet__lot__office", "sheet__lot__ranch", "sheet__office"
    )
    link = rows.filter(digest=digest(secret)).first()
    with timezone.override(link.sheet.office.zone if link else None):
        answer = _answer(request, link)
    answer["Referrer-Policy"] = "no-referrer"
    answer["X-Robots-Tag"] = "noindex"
    return answer


def _answer(request: HttpRequest, link: ReadLink | None) -> HttpResponse:
    if link is None or link.withdrawn_at is not None or link.ends_at <= timezone.now():
        return _ended(request, link)
    held = sheet_matter(request, version_of(link.sheet, ""), public=True)
    held |= {"office": link.sheet.office}
    return render(request, "haywright/sheet.html", held)


def _ended(request: HttpRequest, link: ReadLink | None) -> HttpResponse:
    """In words, with the telephone of the office that gave it out, where there is one."""
    reader = reader_of(request)
    if link is None:
        said = [say(message("office.read.never"), reader)]
        return render(
            request, "haywright/refused.html", {"said": said}, status=HTTPStatus.NOT_FOUND
        )
    office = link.sheet.office
    key = "office.read.expired" if link.withdrawn_at is None else "office.read.withdrawn"
    day = date_text(timezone.localdate(link.withdrawn_at or link.ends_at), reader)
    ask = "office.read.ask_phone" if office.phone else "office.read.ask"
    said = [
        say(message(key, day=day), reader),
        say(message(ask, office=office.name, phone=office.phone), reader),
    ]
    held = {"said": said, "office": office}
    return render(request, "haywright/refused.html", held, status=HTTPStatus.GONE)
