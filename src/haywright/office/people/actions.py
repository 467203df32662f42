"""What can happen to people and ranches: invited, joined, ended; a ranch written down."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone

from haywright.files.ranches import ranch_of
from haywright.files.reading import Checked
from haywright.measure.errors import Refused
from haywright.office.action import NotAllowed, acting, unchanged
from haywright.office.ledger.chain import Deed, changed
from haywright.office.people.actor import Actor
from haywright.office.people.links import digest, make_link
from haywright.office.people.models import (
    Invitation,
    Membership,
    Person,
    Ranch,
    Role,
    SignInLink,
    Token,
)
from haywright.office.people.policies import may
from haywright.office.people.telephone import no_telephone

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
        Of whom; whoever works for the office needs an address, because a way in is printed for
        ranchers alone.
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
        if role is not Role.RANCHER and not email.strip():
            raise Refused("email", email, key="people.invite.email")
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


def invitation_of(secret: str) -> Invitation | None:
    """The invitation of a secret, taken up and ended ones too."""
    rows = Invitation.objects.select_related("office", "ranch", "made_by")
    return rows.filter(digest=digest(secret)).first()


class SignInFirst(NotAllowed):
    """The invitation names somebody who is known here: they sign in before they take it up."""


def join_as(secret: str, person: Person | None = None) -> Person:
    """Take up an invitation: the person, made where there was none, is a member from now on.

    Raises
    ------
    SignInFirst
        Nobody is signed in, and the invitation's address is that of somebody known here; whoever
        holds an invitation would otherwise come in as them.
    NotAllowed
        No such invitation, or it is over.
    """
    with transaction.atomic():
        row = (
            Invitation.objects.select_for_update(of=("self",))
            .select_related("office", "ranch")
            .filter(digest=digest(secret), taken_at__isnull=True, ends_at__gt=timezone.now())
            .first()
        )
        if row is None:
            raise NotAllowed("person.join")
        email = row.email.lower() or None
        if person is None and email and Person.objects.filter(email=email).exists():
            raise SignInFirst("person.join")
        if person is None:
            person = Person.objects.create_user(email, name=row.name, units=row.office.units)
        member, made = Membership.objects.get_or_create(
            person=person, office=row.office, role=row.role, ranch=row.ranch
        )
        if not made and member.until is not None:
            member.until = None
            member.save(update_fields=["until"])
        # A square printed for a rancher must not open what the same person may see from now on.
        SignInLink.objects.filter(person=person, printed=True, withdrawn_at__isnull=True).update(
            withdrawn_at=timezone.now()
        )
        row.taken_by, row.taken_at = person, timezone.now()
        row.save(update_fields=["taken_by", "taken_at"])
        deed = Deed(row.office, "person.join", person.pk)
        deed.enter("membership", member.pk, after={"role": row.role, "ranch": row.ranch_id})
    return person


def end_membership(actor: Actor, member: Membership, *, reason: str, once: str = "") -> None:
    """Somebody leaves; what they did stays in the history, their keys and squares open nothing.

    Raises
    ------
    Refused
        No reason is given, it is one's own, or nobody would be left to look after the office.
    """
    allowed = may(actor, "person.end") and member.office == actor.office
    with acting(actor, "person.end", allowed=allowed, once=once) as deed:
        if not reason.strip():
            raise Refused("reason", reason, key="office.reason")
        now = timezone.now()
        here = live(Membership.objects.filter(office=deed.office))
        admins = here.filter(role=Role.OFFICE_ADMIN)
        if member.role == Role.OFFICE_ADMIN and not admins.exclude(pk=member.pk).exists():
            raise Refused("reason", member.person.name, key="office.person.last_admin")
        if actor.person is not None and member.person_id == actor.person.pk:
            raise Refused("reason", member.person.name, key="office.person.own_end")
        member.until = now
        member.save(update_fields=["until"])
        SignInLink.objects.filter(
            person=member.person_id, printed=True, withdrawn_at__isnull=True
        ).update(withdrawn_at=now)
        if not here.filter(person=member.person_id).exists():
            Token.objects.filter(
                person=member.person_id, office=deed.office, withdrawn_at__isnull=True
            ).update(withdrawn_at=now)
        deed.enter("membership", member.pk, after={"until": now}, reason=reason)


def print_way_in(actor: Actor, member: Membership, *, once: str = "") -> str:
    """A printed way in for a rancher of the office; those printed before open nothing any more.

    Parameters
    ----------
    actor
        Who prints it.
    member
        As whom the rancher belongs here.
    once
        So that a form sent twice prints one.

    Raises
    ------
    Refused
        The person is more than a rancher of this one office: whoever prints would hold a way
        into what they may not see.
    """
    allowed = may(actor, "person.print_way_in") and member.office == actor.office
    with acting(actor, "person.print_way_in", allowed=allowed, once=once) as deed:
        person = member.person
        held = live(Membership.objects.filter(person=person))
        more = held.exclude(office=deed.office, role=Role.RANCHER)
        if more.exists() or not held.filter(pk=member.pk).exists() or not person.is_active:
            raise Refused("person", person.name, key="people.way_in.more")
        SignInLink.objects.filter(person=person, printed=True, withdrawn_at__isnull=True).update(
            withdrawn_at=timezone.now()
        )
        secret = make_link(person, printed=True)
        link = SignInLink.objects.get(digest=digest(secret))
        deed.enter("link", link.pk, after={"person": person.pk, "until": link.ends_at})
    return secret


OWN = ("name", "phone", "language", "units")


def change_me(actor: Actor, told: Mapping[str, str], *, once: str = "") -> Person:
    """Correct what is written of oneself; the history says which fields, never their words.

    Parameters
    ----------
    actor
        Who they are.
    told
        Some of ``OWN``.
    once
        So that a form sent twice is one change.
    """
    me = _myself(actor)
    with acting(actor, "person.change", allowed=may(actor, "person.change"), once=once) as deed:
        person = Person.objects.select_for_update().get(pk=me.pk)
        if not told.get("name", person.name).strip():
            raise Refused("name", told.get("name"), key="office.person.name")
        after = {name: " ".join(told[name].split()) for name in OWN if name in told}
        wrong = no_telephone("phone", after.get("phone", ""))
        if wrong is not None:
            raise wrong
        fields = sorted(name for name, value in after.items() if getattr(person, name) != value)
        for name in fields:
            setattr(person, name, after[name])
        person.save(update_fields=fields)
        deed.enter("person", person.pk, after={"fields": fields})
    return person


def write_telephone(actor: Actor, person: Person, number: str) -> None:
    """Write down the telephone of somebody of a ranch who has none; theirs nobody else changes.

    Parameters
    ----------
    actor
        Who found it.
    person
        Whose it is.
    number
        As it is dialled.

    Raises
    ------
    Refused
        It is no telephone number, or they have one.
    """
    here = live(Membership.objects.filter(person=person, role=Role.RANCHER, office=actor.office))
    allowed = may(actor, "person.telephone") and here.exists()
    with acting(actor, "person.telephone", allowed=allowed) as deed:
        held = Person.objects.select_for_update().get(pk=person.pk)
        wrong = no_telephone("telephone", number)
        if wrong is not None:
            raise wrong
        if held.phone:
            raise Refused("telephone", number, key="people.telephone.there")
        held.phone = number
        held.save(update_fields=["phone"])
        deed.enter("person", held.pk, after={"fields": ["phone"]})


def sign_out_everywhere(actor: Actor, *, once: str = "") -> None:
    """End every session of one's own, this one too."""
    me = _myself(actor)
    with acting(actor, "person.sign_out", allowed=may(actor, "person.change"), once=once) as deed:
        Person.objects.filter(pk=me.pk).update(times_signed_out=F("times_signed_out") + 1)
        deed.enter("person", me.pk)


def _myself(actor: Actor) -> Person:
    if actor.person is None:
        raise NotAllowed("person.change")
    return actor.person


def live(rows: QuerySet[Membership]) -> QuerySet[Membership]:
    """Memberships that hold today."""
    return rows.filter(Q(until__isnull=True) | Q(until__gt=timezone.now()))


def _checked(name: str, facts: Mapping[str, Any]) -> dict[str, Any]:
    held = {one: value for one, value in facts.items() if one != "name"}
    ranch_of(Checked({"group": [], **held, "name": name}, name), "new")
    return held
