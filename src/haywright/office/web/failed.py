"""What is said when a page is not there, a form has gone stale, or something broke here."""

from __future__ import annotations

from collections.abc import Callable
from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from haywright.measure.message import message
from haywright.office.bench.reports import MOST_BYTES
from haywright.office.web.words import reader_of
from haywright.words import say

MOST_SENT = MOST_BYTES + 5_000_000  # the largest file a page takes, and the form around it


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:  # noqa: ARG001
    """Nothing is there, or nothing this person may see."""
    return _said(request, "not_there", HTTPStatus.NOT_FOUND)


def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:  # noqa: ARG001
    """A form of another session, or one that did not come from here."""
    return _said(request, "stale_form", HTTPStatus.FORBIDDEN)


def broken(request: HttpRequest) -> HttpResponse:
    """Something broke here; nothing was kept, as every deed is written whole or not at all."""
    return _said(request, "broken", HTTPStatus.INTERNAL_SERVER_ERROR)


def _said(request: HttpRequest, name: str, status: int) -> HttpResponse:
    said = [say(message(f"office.failed.{name}"), reader_of(request))]
    return render(request, "haywright/refused.html", {"said": said}, status=status)


class LengthMiddleware:
    """Refuses what is too large by the length it says, before a byte of it is read."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Refuse it, or go on."""
        length = request.headers.get("Content-Length") or "0"
        if length.isdecimal() and int(length) <= MOST_SENT:
            return self.get_response(request)
        said = say(message("office.failed.too_large", most=MOST_BYTES // 1_000_000))
        return HttpResponse(
            said, status=HTTPStatus.REQUEST_ENTITY_TOO_LARGE, content_type="text/plain"
        )
