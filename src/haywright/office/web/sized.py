"""What is too large to take is refused by its length alone, in words, before it is read."""

from __future__ import annotations

from collections.abc import Callable
from http import HTTPStatus

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

_MEGA = 1_000_000


class SizedMiddleware:
    """Stands behind everything that knows who asks, and before everything that reads a body."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Refuse, or go on; programs are told in their own way."""
        told = request.META.get("CONTENT_LENGTH") or "0"
        sent = int(told) if told.isdecimal() else 0
        if sent <= settings.MOST_SENT or request.path.startswith("/api/"):
            return self.get_response(request)
        held = {
            "sent": round(sent / _MEGA),
            "most": settings.MOST_SENT // _MEGA,
            "back": request.path,
        }
        # nothing may ask for the body from here on
        request._read_started = True  # type: ignore[attr-defined]  # noqa: SLF001
        answer = render(
            request,
            "haywright/too_large.html",
            held,
            status=HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
        )
        answer["Connection"] = "close"
        return answer
