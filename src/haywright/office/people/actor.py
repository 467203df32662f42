"""A person as one office sees them: which roles, which ranches."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Q
from django.utils import timezone

from haywright.office.people.models import Membership, Office, Person, Role


@dataclass(frozen=True)
class Actor:
    """Somebody in an office; nobody when ``person`` is ``None``."""

    person: Person | None
    office: Office | None
    roles: frozenset[Role]
    ranches: frozenset[UUID] = frozenset()

    def is_any(self, *roles: Role) -> bool:
        """Whether one of these roles is theirs."""
        return not self.roles.isdisjoint(roles)

    @property
    def staff(self) -> bool:
        """Whether they work for the office, rather than own hay it tests."""
        return self.is_any(Role.EDUCATOR, Role.LAB_MANAGER, Role.OFFICE_ADMIN, Role.TECHNICIAN)


NOBODY = Actor(None, None, frozenset())


def actor_of(person: Any, office: str = "") -> Actor:
    """The actor a signed-in person is, in the office they chose or else their first."""
    if not isinstance(person, Person) and not getattr(person, "is_authenticated", False):
        return NOBODY
    now = timezone.now()
    mine = list(
        Membership.objects.filter(Q(until__isnull=True) | Q(until__gt=now), person_id=person.pk)
        .select_related("office", "person")
        .order_by("made_at", "id")
    )
    if not mine or not person.is_active:
        return Actor(person, None, frozenset())
    offices = {str(one.office_id): one.office for one in mine}
    here = offices.get(str(office)) or mine[0].office
    inside = [one for one in mine if one.office_id == here.pk]
    return Actor(
        mine[0].person,
        here,
        frozenset(Role(one.role) for one in inside),
        frozenset(one.ranch_id for one in inside if one.ranch_id is not None),
    )
