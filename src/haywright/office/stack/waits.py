"""What each lot waits for, kept on the lot, so that Today finds it among any number of lots.

Every deed that touches a lot has it settled again in the same transaction; the day since when
a lot waits is kept, so that no lot changes by time alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from enum import StrEnum
from typing import Any
from uuid import UUID

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.models import Case, DateField, Exists, OuterRef, Q, Subquery, Value, When
from django.db.models.functions import Coalesce

from haywright.bag.custody import Stage
from haywright.office.action import listen
from haywright.office.stack.models import State

STANDING = "standing_crop"
LONG_AGO = date(1900, 1, 1)  # since when hay lies that nobody knows the day of


class Waits(StrEnum):
    """What a lot that is here waits for."""

    CUTTING = "standing"  # a crop that stands: to be tested before it is cut
    NITRATE = "test"  # hay that may hold nitrate, of which nobody knows it
    CORING = "core"  # hay that was not cored
    AGEING = "age"  # hay in the weather, whose test grows old


def wait(lots: Any, bags: Any, results: Any, *, only: Iterable[UUID] | None = None) -> None:
    """Settle what lots wait for.

    Parameters
    ----------
    lots, bags, results
        The models, as they are or as a migration knows them.
    only
        Keys of the lots to settle; all of them where none are named.
    """
    rows = lots.objects.all() if only is None else lots.objects.filter(pk__in=list(only))
    mine = bags.objects.filter(lot=OuterRef("pk")).exclude(stage=Stage.REFUSED)
    held = results.objects.filter(replaced_by__isnull=True)
    of_lot = held.filter(lot=OuterRef("pk"))
    under_way = mine.filter(~Exists(held.filter(bag=OuterRef("pk"))))
    unknown = ~Exists(of_lot.filter(analyte="nitrate_n")) & ~Exists(under_way)
    baled = Coalesce("baled_on", Value(LONG_AGO), output_field=DateField())
    newest = Subquery(mine.order_by("-cored_on").values("cored_on")[:1])
    here, stands = Q(state=State.HERE), Q(form=STANDING)
    ways = (
        (here & stands & ~Exists(mine), Waits.CUTTING, baled),
        (here & ~stands & Q(suspect=True) & unknown, Waits.NITRATE, baled),
        (here & ~stands & Q(suspect=False) & ~Exists(mine) & ~Exists(of_lot), Waits.CORING, baled),
        (here & Q(outdoors=True) & Exists(mine), Waits.AGEING, newest),
    )
    what = [When(one, then=Value(kind.value)) for one, kind, _ in ways]
    since = [When(one, then=day) for one, _, day in ways]
    rows.update(
        waits=Case(*what, default=Value("")),
        waits_since=Case(*since, default=None, output_field=DateField()),
    )


def all_settled() -> migrations.RunPython:
    """The step of a migration after which every lot says what it waits for."""

    def settled(apps: Apps, _editor: BaseDatabaseSchemaEditor) -> None:
        names = (("stack", "Lot"), ("bag", "Bag"), ("bench", "Result"))
        wait(*(apps.get_model(*one) for one in names))

    return migrations.RunPython(settled, migrations.RunPython.noop)


@listen("lots.touched")
def settle(*, keys: Iterable[UUID]) -> None:
    """Settle what the lots of a deed wait for, before it is over.

    Parameters
    ----------
    keys
        Of the lots.
    """
    from haywright.office.bag.models import Bag
    from haywright.office.bench.models import Result
    from haywright.office.stack.models import Lot

    wait(Lot, Bag, Result, only=keys)
