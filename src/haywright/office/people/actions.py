"""What can happen to people and ranches: invited, joined, ended; a ranch written down."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from haywright.files.ranches import ranch_of
from haywright.files.reading import Checked
from haywright.measure.errors import Refused
from haywright.office.action import NotAllowed, acting, unchanged
from haywright.office.ledger.chain import Deed, changed
from haywright.office.people.actor import Actor
from haywright.office.people.links import digest
from haywright.office.people.models import Invitation, Membership, Person, Ranch, Role
from haywright.office.people.policies import may

INVITED_DAYS = 14


def describe_ranch(
    actor: Actor, name: str, facts: Mapping[str, Any] | None = None, *, once: str = ""
) -> Ranch:
    """Write down a ranch.

    Parameters
    ----------
    actor
        Who does it.
    name
        As people call it.
    facts
        Its form: herd groups and guide, when they are known.
    once
        So that a form sent twice is one ranch.
    """
    with acting(actor, "ranch.describe", allowed=may(actor, "ranch.describe"), once=once) as deed:
        if not name.strip():
            raise Refused("name", name, key="office.ranch.name")
        if Ranch.objects.filter(office=deed.office, name__iexact=name.strip()).exists():
            raise Refused("name", name, key="office.ranch.there")
        held = _checked(name, facts or {})
        ranch = Ranch.objects.create(office=deed.office, name=name.strip(), facts=held)
        deed.enter("ranch", ranch.pk, after={"name": ranch.name, "facts": held})
    return ranch


def change_ranch(
    actor: Actor,
    ranch: Ranch,
    facts: Mapping[str, Any],
    *,
    version: int | None = None,
    once: str = "",
) -> Ranch:
    """Correct what is written of a ranch and its herd groups."""
    allowed = may(actor, "ranch.change", ranch.pk) and ranch.office == actor.office
    with acting(actor, "ranch.change", allowed=allowed, once=once) as deed:
        held = Ranch.objects.select_for_update().get(pk=ranch.pk)
        unchanged(held, version)
        before = held.facts
        held.facts = _checked(held.name, facts)
        held.version += 1
        held.save()
        was, now = changed({"facts": before}, {"facts": held.facts})
        deed.enter("ranch", held.pk, before=was, after=now)
    return held


def invite(
    actor: Actor, name: str, role: Role, *, ranch: Ranch | None = None, email: str = "",
    once: str = "",
) -> str:  # fmt: skip
    """Ask somebody to join; gives the secret of the invitation, which is kept nowhere.

    Parameters
    ----------
    actor
        Who invites: an educator ranchers only, an office admin anybody.
    name, email
        Of whom.
    role
        What they will be.
    ranch
        Of a rancher.
    once
        So that a form sent twice is one invitation.
    """
    allowed = may(actor, "person.invite") and (
        role is Role.RANCHER or actor.is_any(Role.OFFICE_ADMIN)
    )
    with acting(actor, "person.invite", allowed=allowed, once=once) as deed:
        if (role is Role.RANCHER) != (ranch is not None):
            raise Refused("ranch", ranch.name if ranch else "", key="office.person.ranch")
        if ranch is not None and ranch.office_id != deed.office.pk:
            raise Refused("ranch", ranch.name, key="office.another_office")
        secret = secrets.token_urlsafe(24)
        row = Invitation.objects.create(
            office=deed.office,
            ranch=ranch,
            role=role,
            name=name,
            email=email,
            digest=digest(secret),
            made_by=actor.person,
            ends_at=timezone.now() + timedelta(days=INVITED_DAYS),
        )
        after = {"role": role, "ranch": ranch.pk if ranch else None}
        deed.enter("invitation", row.pk, after=after)
    return secret


def join(secret: str, person: Person | None = None) -> Person:
    """Take up an invitation: the person, made where there was none, is a member from now on."""
    with transaction.atomic():
        row = (
            Invitation.objects.select_for_update()
            .select_related("office", "ranch")
            .filter(digest=digest(secret), taken_at__isnull=True, ends_at__gt=timezone.now())
            .first()
        )
        if row is None:
            raise NotAllowed("person.join")
        if person is None and row.email:
            person = Person.objects.filter(email=row.email.lower()).first()
        if person is None:
            person = Person.objects.create_user(
                row.email or None, name=row.name, units=row.office.units
            )
        member, made = Membership.objects.get_or_create(
            person=person, office=row.office, role=row.role, ranch=row.ranch
        )
        if not made and member.until is not None:
            member.until = None
            member.save(update_fields=["until"])
        row.taken_by, row.taken_at = person, timezone.now()
        row.save(update_fields=["taken_by", "taken_at"])
        deed = Deed(row.office, "person.join", person.pk)
        deed.enter("membership", member.pk, after={"role": row.role, "ranch": row.ranch_id})
    return person


def end_membership(actor: Actor, member: Membership, *, reason: str, once: str = "") -> None:
    """Somebody leaves; what they did stays in the history."""
    allowed = may(actor, "person.end") and member.office == actor.office
    with acting(actor, "person.end", allowed=allowed, once=once) as deed:
        if not reason.strip():
            raise Refused("reason", reason, key="office.reason")
        member.until = timezone.now()
        member.save(update_fields=["until"])
        deed.enter("membership", member.pk, after={"until": member.until}, reason=reason)


def _checked(name: str, facts: Mapping[str, Any]) -> dict[str, Any]:
    held = {one: value for one, value in facts.items() if one != "name"}
    if held.get("group"):
        ranch_of(Checked({"name": name, **held}, ""), "new")
    return held
