"""A page once made stands until somebody writes down something it speaks of.

Every write enters the ledger, so the numbers of its last entries say whether anything has changed:
of the whole office, or, for a page that speaks of certain lots, of those lots and of what belongs
to no lot (people, laboratories, batches, the office). A page is kept under that number, for one
person with their roles, reader and hour; the tokens in its forms are made anew each time it is
shown. Where a page is made anew, those parts of it stand that nothing written since speaks of.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable
from functools import wraps
from http import HTTPStatus
from typing import Any
from uuid import NAMESPACE_URL, UUID, uuid4, uuid5

from django.core.cache import caches
from django.db.models import Max, QuerySet
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from haywright.office.ledger.models import Entry
from haywright.office.web.pages import View, actor_in
from haywright.office.web.words import reader_of

KEPT_SECONDS = 60 * 60
_ONCE = re.compile(r'(name="once" value=")[^"]*')
_GUARD = re.compile(r'(name="csrfmiddlewaretoken" value=")[^"]*')


def standing(view: View, *, lots_of: Callable[[UUID], set[UUID]] | None = None) -> View:
    """Keep what a view answers to a reading request until the ledger goes on.

    Parameters
    ----------
    view
        The view.
    lots_of
        From the key in a page's address to the lots the page speaks of; left out, a page speaks
        of the whole office.
    """

    @wraps(view)
    def inner(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        key = _key(request, lots_of and lots_of(kwargs["key"]))
        if not key:
            return view(request, *args, **kwargs)
        held = kept(key)
        if held is None:
            answer = view(request, *args, **kwargs)
            if answer.status_code == HTTPStatus.OK:
                keep(key, answer.content.decode())
            return answer
        return HttpResponse(_anew(held, request))

    return inner


def part(request: HttpRequest, about: Hashable, make: Callable[[], str]) -> SafeString:
    """A part of a page that stands as long as what it is of: a frozen version, a lot as it is.

    Parameters
    ----------
    request
        Whose page it is a part of; a part is kept for their language, units and time zone.
    about
        Everything else it depends on.
    make
        Makes it.
    """
    of = (about, reader_of(request), timezone.get_current_timezone_name())
    key = str(uuid5(NAMESPACE_URL, repr(of)))
    held = kept(key)
    if held is None:
        held = make()
        keep(key, held)
    return mark_safe(_anew(held, request))  # noqa: S308 - a template made it


def kept(key: str) -> str | None:
    """The page, or the part of one, kept under a key."""
    html: str | None = caches["pages"].get(key)
    return html


def keep(key: str, html: str) -> None:
    """Keep a page, or a part of one, under a key."""
    caches["pages"].set(key, html, KEPT_SECONDS)


def _key(request: HttpRequest, lots: set[UUID] | None) -> str:
    """Under what a page is kept; "" for one that is not: a deed, or with something to tell once."""
    actor = actor_in(request)
    told = request.COOKIES.get("messages") or request.session.get("_messages")
    if request.method != "GET" or told or actor.office is None or actor.person is None:
        return ""
    head = _head(Entry.objects.filter(office=actor.office), lots)
    parts = (
        request.get_full_path(), actor.person.pk, actor.office.pk, sorted(actor.roles),
        sorted(map(str, actor.ranches)), reader_of(request), head,
        timezone.now().strftime("%Y%m%d%H"),
    )  # fmt: skip
    return str(uuid5(NAMESPACE_URL, repr(parts)))


def _head(entries: QuerySet[Entry], lots: set[UUID] | None) -> int:
    """Number of the newest entry a page depends on."""
    number = Max("number")
    parts = [entries]
    if lots is not None:
        parts = [entries.filter(lot_id__isnull=True), entries.filter(lot_id__in=lots)]
    return max(one.order_by().aggregate(n=number)["n"] or 0 for one in parts)


def _anew(html: str, request: HttpRequest) -> str:
    """A page with tokens of its own: two tabs of one page are two deeds."""
    html = _ONCE.sub(lambda found: f"{found[1]}{uuid4()}", html)
    return _GUARD.sub(lambda found: f"{found[1]}{get_token(request)}", html)
