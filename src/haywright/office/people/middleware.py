"""Who is asking: one :class:`Actor` per request, worked out once."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils.functional import SimpleLazyObject

from haywright.office.people.actor import actor_of


class WhoMiddleware:
    """Puts ``request.actor`` there."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Put the actor there and go on."""
        request.actor = SimpleLazyObject(  # type: ignore[attr-defined]
            lambda: actor_of(request.user, request.session.get("office", ""))
        )
        return self.get_response(request)
