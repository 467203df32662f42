"""Who is asking, by whose clock, and whether they still owe a second factor."""

from __future__ import annotations

from collections.abc import Callable

from allauth.mfa.models import Authenticator
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from haywright.office.people.actor import Actor, actor_of

# What is open before the second factor stands: setting it up, and going out again.
_OPEN = ("/account/", "/sign-out/", "/static/", "/api/", "/read/", "/in/", "/join/")


class WhoMiddleware:
    """Puts ``request.actor`` there, one per request, worked out once."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Put the actor there and go on."""
        request.actor = SimpleLazyObject(  # type: ignore[attr-defined]
            lambda: actor_of(request.user, request.session.get("office", ""))
        )
        if request.path.startswith(_OPEN):
            with timezone.override(None):
                return self.get_response(request)
        actor: Actor = request.actor  # type: ignore[attr-defined]
        if owes_second_factor(actor):
            return redirect("mfa_activate_totp")
        with timezone.override(actor.office.zone if actor.office else None):
            return self.get_response(request)


def owes_second_factor(actor: Actor) -> bool:
    """Whether somebody works for an office with a password alone; at the desk nobody owes it."""
    person = actor.person
    if settings.DESK or person is None or not actor.staff or not person.has_usable_password():
        return False
    totp = Authenticator.objects.filter(user_id=person.pk, type=Authenticator.Type.TOTP)
    return not totp.exists()
