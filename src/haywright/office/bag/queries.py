"""Which bags an actor sees."""

from __future__ import annotations

from django.db.models import QuerySet

from haywright.office.bag.models import Bag
from haywright.office.people.actor import Actor
from haywright.office.people.policies import visible


def bags(actor: Actor) -> QuerySet[Bag]:
    """The bags an actor may see."""
    rows = Bag.objects.select_related("lot", "lot__ranch", "office", "lot__office")
    return visible(actor, "bag.see", rows, ranch="lot__ranch")
