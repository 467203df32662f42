"""Who belongs to what, as pages ask it."""

from __future__ import annotations

from typing import Any

from haywright.office.people.actions import live
from haywright.office.people.actor import Actor
from haywright.office.people.models import Membership, Person, Ranch


def owners_of(lot: Any) -> list[Person]:
    """The people of the ranch a lot stands on, each once."""
    if lot.ranch_id is None:
        return []
    mine = live(Membership.objects.filter(ranch=lot.ranch_id))
    rows = mine.select_related("person").order_by("person__name", "id")
    return list(dict.fromkeys(one.person for one in rows))


def keeps_own_hay(actor: Actor) -> bool:
    """Whether hay of this office is taken as the actor's own: nobody else is written down.

    With more ranches than one it is other people's hay, whoever works alone for them.

    Parameters
    ----------
    actor
        Who asks.
    """
    if actor.person is None or actor.office is None:
        return False
    others = live(Membership.objects.filter(office=actor.office)).exclude(person=actor.person)
    ranches = Ranch.objects.filter(office=actor.office).values("pk")[:2]
    return not others.exists() and len(ranches) < 2
