"""Everything that is a person's: what is written of them, and of the ranches they own."""

from __future__ import annotations

from typing import Any

from haywright.office.bag.models import Bag
from haywright.office.ledger.chain import plain
from haywright.office.ledger.models import Entry
from haywright.office.people.actor import Actor
from haywright.office.people.models import Ranch
from haywright.office.sheet.models import Version
from haywright.office.stack.models import Lot


def all_my_data(actor: Actor) -> dict[str, Any]:
    """The person, their ranches with every lot, bag and sheet, and what they did."""
    person = actor.person
    if person is None:
        return {}
    mine = list(actor.ranches)
    lots = list(Lot.objects.filter(ranch__in=mine).values())
    found: dict[str, Any] = plain(
        {
            "person": {n: getattr(person, n) for n in ("name", "email", "phone", "language",
                                                       "units", "made_at")},
            "roles": sorted(actor.roles),
            "ranches": list(Ranch.objects.filter(pk__in=mine).values()),
            "lots": lots,
            "bags": list(Bag.objects.filter(lot__ranch__in=mine).values()),
            "sheets": list(
                Version.objects.filter(sheet__lot__ranch__in=mine).values(
                    "sheet__number", "number", "made_at", "interim", "snapshot"
                )
            ),
            "done": list(
                Entry.objects.filter(who=person.pk).values("at", "deed", "thing", "after")
            ),
        }
    )  # fmt: skip
    return found
