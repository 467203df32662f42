"""Accounts come by invitation only."""

from __future__ import annotations

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class InvitedOnly(DefaultAccountAdapter):  # type: ignore[misc]
    """Nobody signs up unasked."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:  # noqa: ARG002
        """No."""
        return False
