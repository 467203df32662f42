"""A page once made stands until somebody writes something down.

Every write enters the ledger, so the number of an office's last entry says whether anything has
changed. A page is kept under that number, for one person with their roles, reader and hour; the
tokens in its forms are made anew each time it is shown.
"""

from __future__ import annotations

import re
from functools import wraps
from http import HTTPStatus
from typing import Any
from uuid import NAMESPACE_URL, uuid4, uuid5

from django.core.cache import caches
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.utils import timezone

from haywright.office.ledger.models import Entry
from haywright.office.web.pages import View, actor_in
from haywright.office.web.words import reader_of

KEPT_SECONDS = 60 * 60
_ONCE = re.compile(r'(name="once" value=")[^"]*')
_GUARD = re.compile(r'(name="csrfmiddlewaretoken" value=")[^"]*')


def standing(view: View) -> View:
    """Keep what a view answers to a reading request until the office's ledger goes on."""

    @wraps(view)
    def inner(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        key = _key(request)
        if not key:
            return view(request, *args, **kwargs)
        held = caches["pages"].get(key)
        if held is None:
            answer = view(request, *args, **kwargs)
            if answer.status_code == HTTPStatus.OK:
                caches["pages"].set(key, answer.content.decode(), KEPT_SECONDS)
            return answer
        return HttpResponse(_anew(held, get_token(request)))

    return inner


def _key(request: HttpRequest) -> str:
    """Under what a page is kept; "" for one that is not: a deed, or with something to tell once."""
    actor = actor_in(request)
    told = request.COOKIES.get("messages") or request.session.get("_messages")
    if request.method != "GET" or told or actor.office is None or actor.person is None:
        return ""
    last = Entry.objects.filter(office=actor.office).order_by("-number")
    head = last.values_list("number", flat=True).first()
    parts = (
        request.get_full_path(), actor.person.pk, actor.office.pk, sorted(actor.roles),
        sorted(map(str, actor.ranches)), reader_of(request), head,
        timezone.now().strftime("%Y%m%d%H"),
    )  # fmt: skip
    return str(uuid5(NAMESPACE_URL, repr(parts)))


def _anew(html: str, token: str) -> str:
    """A page with tokens of its own: two tabs of one page are two deeds."""
    html = _ONCE.sub(lambda found: f"{found[1]}{uuid4()}", html)
    return _GUARD.sub(lambda found: f"{found[1]}{token}", html)
