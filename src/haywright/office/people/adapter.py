"""What the library of accounts asks us: who may come in, and in which words it says no."""

from __future__ import annotations

import time
from typing import Any

from allauth.account import app_settings
from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.authentication import get_authentication_records
from allauth.core import context
from allauth.mfa.adapter import DefaultMFAAdapter
from allauth.mfa.models import Authenticator
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.urls import reverse

from haywright.measure.message import message
from haywright.office.people.actor import actor_of
from haywright.office.web.words import reader_of
from haywright.words import say

_JUST = "just_set_up"
OURS = frozenset(
    {
        "account_inactive", "email_password_mismatch", "email_taken", "enter_current_password",
        "incorrect_code", "incorrect_password", "invalid_password_reset", "rate_limited",
        "same_as_current", "too_many_login_attempts", "cannot_delete_authenticator",
    }
)  # fmt: skip
_KEPT = ("account/messages/password_set.txt", "account/messages/password_changed.txt")


def after_setting_up(request: HttpRequest, **_: Any) -> None:
    """Called when somebody has chosen a password, or typed their phone's number the first time.

    They have just shown that they hold it: what comes next does not ask for it again.
    """
    request.session[_JUST] = time.time()


class _OurWords:
    """Refusals in our own words where we have them."""

    def validation_error(self, code: str, *args: Any) -> ValidationError:
        """A refusal by its code."""
        if code not in OURS:
            return super().validation_error(code, *args)  # type: ignore[misc,no-any-return]
        said = say(message(f"people.account.wrong.{code}"), reader_of(context.request))
        return ValidationError(said, code=code)


class InvitedOnly(_OurWords, DefaultAccountAdapter):  # type: ignore[misc]
    """Nobody signs up unasked."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:  # noqa: ARG002
        """No."""
        return False

    def get_password_change_redirect_url(self, request: HttpRequest) -> str:  # noqa: ARG002
        """One's own page, once a password is kept."""
        return reverse("me")

    def is_reauthentication_required(self, *, app: str = "") -> bool:  # noqa: ARG002
        """Not within minutes of having typed the password, or set up the phone."""
        since = time.time() - app_settings.REAUTHENTICATION_TIMEOUT
        if context.request.session.get(_JUST, 0) > since:
            return False
        return not any(
            one["method"] == "password" and one["at"] > since
            for one in get_authentication_records(context.request, context.request.user)
        )

    def add_message(
        self, request: HttpRequest, level: int, message_template: str = "", *_: Any, **__: Any
    ) -> None:
        """Most pages say themselves what happened; where one lands on one's own page, this does."""
        if message_template in _KEPT:
            messages.add_message(request, level, say(message("people.me.kept"), reader_of(request)))


class SecondFactor(_OurWords, DefaultMFAAdapter):  # type: ignore[misc]
    """A second factor, with the square drawn as our labels' is."""

    def get_totp_issuer(self) -> str:
        """Name the phone shows beside the numbers."""
        return say(message("office.name"))

    def can_delete_authenticator(self, authenticator: Authenticator) -> bool:
        """Whoever works for an office with a password keeps their second factor."""
        person = authenticator.user
        return not (person.has_usable_password() and actor_of(person).staff)

    def build_totp_svg(self, url: str) -> str:
        """The square a phone takes the key from."""
        from haywright.paper.drawings import code_square

        reader = reader_of(context.request)
        said = say(message("people.account.totp.square"), reader)
        return code_square(url, title=said, description=said, head=(said,), level="M").svg
