"""Which bags an actor sees, and whether two of them were mixed up."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import timedelta
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet

from haywright.measure.result import Result as PureResult
from haywright.measure.result import Results
from haywright.office.bag.models import Bag
from haywright.office.bench.models import Result
from haywright.office.people.actor import Actor
from haywright.office.people.models import Membership
from haywright.office.people.policies import visible
from haywright.office.stack.models import State
from haywright.office.way.pure import current, pure_lot
from haywright.way.swapped import BagFound, exchanged

# Labels are mixed up on a tray or in the yard: among bags cored within these days, the nearest.
NEAR_DAYS = 30
NEAREST = 24


def bags(actor: Actor) -> QuerySet[Bag]:
    """The bags an actor may see."""
    rows = Bag.objects.select_related("lot", "lot__ranch")
    rows = rows.prefetch_related("office", "lot__office")  # joined, they would come first
    return visible(actor, "bag.see", rows, ranch="lot__ranch")


def swapped_with(bag: Bag) -> Bag | None:
    """The open bag whose results fit this bag's lot better, and the other way round."""
    near = timedelta(days=NEAR_DAYS)
    candidates = Bag.objects.filter(
        Exists(Result.objects.filter(bag=OuterRef("pk"))),
        office=bag.office_id,
        lot__state=State.HERE,
        cored_on__range=(bag.cored_on - near, bag.cored_on + near),
    ).exclude(lot=bag.lot_id)
    others = list(candidates.select_related("lot").order_by("-id")[: 8 * NEAREST])
    others.sort(key=lambda one: abs(one.number - bag.number))
    others = others[:NEAREST]
    found = _results({bag.lot_id, *(one.lot_id for one in others)})
    mine = _tested(bag, found)
    if mine is None:
        return None
    for one in others:
        other = _tested(one, found)
        if other is not None and exchanged(mine, other):
            return one
    return None


def _results(lots: set[Any]) -> dict[Any, dict[Any, Results]]:
    """Lot key -> bag key -> what was found in it."""
    rows = Result.objects.filter(bag__lot__in=lots).select_related("bag").order_by("id")
    found: dict[Any, dict[Any, list[PureResult]]] = defaultdict(lambda: defaultdict(list))
    for row in current(rows):
        bag = row.bag
        if bag is not None:
            found[bag.lot_id][bag.pk].append(PureResult.from_json(row.whole))
    return {lot: {k: Results(v) for k, v in held.items()} for lot, held in found.items()}


def _tested(bag: Bag, found: dict[Any, dict[Any, Results]]) -> BagFound | None:
    held = found.get(bag.lot_id, {})
    if bag.pk not in held:
        return None
    others = [one for key, one in held.items() if key != bag.pk]
    return BagFound(pure_lot(bag.lot), held[bag.pk], others)


def owner_blind(bag: Bag, names: Iterable[str]) -> list[str]:
    """Names as a laboratory may read them: "" for one that is, or holds, an owner's name."""
    if bag.lot.ranch is None:
        return list(names)
    people = Membership.objects.filter(ranch=bag.lot.ranch_id).select_related("person")
    owners = {one.casefold() for one in (bag.lot.ranch.name, *(m.person.name for m in people))}
    return ["" if any(one in name.casefold() for one in owners) else name for name in names]
