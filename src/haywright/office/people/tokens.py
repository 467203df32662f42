"""Keys for programs: made, withdrawn, and whom a program speaks for."""

from __future__ import annotations

import secrets
from collections.abc import Iterable

from django.db.models import Q
from django.utils import timezone

from haywright.measure.errors import Refused, UnknownName
from haywright.office.action import NotAllowed, acting
from haywright.office.people.actor import Actor
from haywright.office.people.links import digest
from haywright.office.people.models import Token
from haywright.office.people.policies import may

SCOPES = (
    "stack:read", "stack:write", "bag:read", "bag:write", "bench:read", "bench:write",
    "sheet:read", "sheet:write", "season:read", "office:read", "office:write",
)  # fmt: skip


def make_token(actor: Actor, name: str, scopes: Iterable[str], *, once: str = "") -> str:
    """Make a key for a program; gives its secret, which is kept nowhere.

    Parameters
    ----------
    actor
        Whom the program will speak for.
    name
        What the key is for.
    scopes
        Names of ``SCOPES``.
    once
        So that a form sent twice is one key.
    """
    if actor.person is None:
        raise NotAllowed("token.make")
    with acting(actor, "token.make", allowed=may(actor, "token.make"), once=once) as deed:
        held = sorted(set(scopes))
        if not name.strip():
            raise Refused("name", name)
        for one in held:
            if one not in SCOPES:
                raise UnknownName("scopes", one, SCOPES)
        secret = secrets.token_urlsafe(32)
        token = Token.objects.create(
            person=actor.person,
            office=deed.office,
            name=name.strip(),
            scopes=held,
            digest=digest(secret),
        )
        deed.enter("token", token.pk, after={"name": token.name, "scopes": held})
    return secret


def withdraw_token(actor: Actor, token: Token, *, once: str = "") -> None:
    """Withdraw a key of one's own; programs that hold it are turned away from then on."""
    own = actor.person is not None and token.person_id == actor.person.pk
    allowed = own and actor.office is not None and token.office_id == actor.office.pk
    with acting(actor, "token.make", allowed=allowed, once=once) as deed:
        token.withdrawn_at = timezone.now()
        token.save(update_fields=["withdrawn_at"])
        deed.enter("token", token.pk, after={"withdrawn_at": token.withdrawn_at})


def token_of(secret: str) -> Token | None:
    """The key a secret opens, while it lasts; ``None`` for any other."""
    now = timezone.now()
    return (
        Token.objects.select_related("person", "office")
        .filter(
            Q(ends_at__isnull=True) | Q(ends_at__gt=now),
            digest=digest(secret),
            withdrawn_at__isnull=True,
            person__is_active=True,
        )
        .first()
    )
