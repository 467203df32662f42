"""Ways in without a password: a link by letter, used once; a printed square, until withdrawn."""

from __future__ import annotations

import hashlib
import secrets
from datetime import timedelta

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from haywright.office.people.models import Person, SignInLink

MINUTES = 20
PRINTED_DAYS = 400


def digest(secret: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode()).hexdigest()


def make_link(person: Person, *, printed: bool = False) -> str:
    """A new way in for a person; gives its secret, which is kept nowhere."""
    secret = secrets.token_urlsafe(24)
    lasts = timedelta(days=PRINTED_DAYS) if printed else timedelta(minutes=MINUTES)
    SignInLink.objects.create(
        person=person, digest=digest(secret), printed=printed, ends_at=timezone.now() + lasts
    )
    return secret


def take_link(secret: str) -> Person | None:
    """Whose way in a secret is; a link by letter is spent by it. ``None`` for any other."""
    now = timezone.now()
    with transaction.atomic():
        link = (
            SignInLink.objects.select_for_update()
            .filter(Q(printed=True) | Q(used_at__isnull=True), digest=digest(secret),
                    withdrawn_at__isnull=True, ends_at__gt=now, person__is_active=True)
            .first()
        )  # fmt: skip
        if link is None:
            return None
        link.used_at = now
        link.save(update_fields=["used_at"])
        return link.person
