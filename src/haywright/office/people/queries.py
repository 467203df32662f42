"""Who belongs to what, as pages ask it."""

from __future__ import annotations

from typing import Any

from haywright.office.people.actions import live
from haywright.office.people.models import Membership, Person


def owners_of(lot: Any) -> list[Person]:
    """The people of the ranch a lot stands on, each once."""
    if lot.ranch_id is None:
        return []
    mine = live(Membership.objects.filter(ranch=lot.ranch_id))
    rows = mine.select_related("person").order_by("person__name", "id")
    return list(dict.fromkeys(one.person for one in rows))
