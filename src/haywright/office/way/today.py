"""Today: what there is to do, by role; the season of the hay year says what comes first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Any

from django.db import connection
from django.db.models import Exists, F, OuterRef, QuerySet
from django.utils import timezone

from haywright.bag.custody import Stage
from haywright.office.bag.models import Bag
from haywright.office.bench.batch_told import holding
from haywright.office.bench.models import Batch, Result
from haywright.office.people.actor import Actor
from haywright.office.people.models import Role
from haywright.office.people.policies import MAY, visible
from haywright.office.people.queries import keeps_own_hay
from haywright.office.sheet.models import Call, Sheet, Version
from haywright.office.stack.models import Lot, State, Temperature
from haywright.office.stack.waits import STANDING, Waits
from haywright.office.way.today_words import Item, TodayWords
from haywright.words import Reader

MOST, MOST_COUNTED = 8, 100
OVERDUE_DAYS = 10  # common practice: a bag shipped should be at the laboratory within the week
HEAT_DAYS, HEAT_EVERY = 42, 3
CORE_DAYS = 28  # cured and settled: four weeks after baling
AGED_DAYS = 180
EXPLAIN_DAYS = 30
CALLED_DAYS = 7

# What comes first in which part of the hay year (common practice, north of the equator); a call
# about nitrate always does.
SEASONS = {
    "growing": (4, 5, 6),
    "haymaking": (7, 8, 9),
    "feeding": (10, 11, 12, 1, 2, 3),
}
ORDER = {
    "growing": ("standing", "heat", "held", "arriving", "ship", "overdue", "explain", "read",
                "interim", "not_tested", "plans", "due", "aged", "called"),
    "haymaking": ("heat", "standing", "held", "arriving", "ship", "overdue", "plans",
                  "not_tested", "due", "explain", "read", "interim", "aged", "called"),
    "feeding": ("not_tested", "heat", "explain", "read", "interim", "held", "arriving", "overdue",
                "ship", "due", "aged", "plans", "standing", "called"),
}  # fmt: skip


@dataclass(frozen=True)
class Part:
    """One list of Today."""

    name: str
    head: str
    note: str
    items: list[Item]
    n: int

    @property
    def more(self) -> int:
        """How many are not shown."""
        return max(min(self.n, MOST_COUNTED) - MOST, 0)

    @property
    def many(self) -> bool:
        """Whether there are more than anybody counts."""
        return self.n > MOST_COUNTED

    @property
    def urgent(self) -> bool:
        """Whether somebody is to be called now."""
        return self.name == "call_now"


@dataclass(frozen=True)
class _Asked:
    rows: QuerySet[Any]
    told: Callable[[TodayWords, list[Any], str], list[Item]]
    order: tuple[Any, ...] = ("-id",)


def season_of(now: datetime) -> str:
    """The part of the hay year a day lies in."""
    return next(name for name, months in SEASONS.items() if now.month in months)


def today(actor: Actor, now: datetime, reader: Reader) -> list[Part]:
    """What there is to do, the most urgent first; empty lists are left out."""
    words = TodayWords(reader, owner=bool(MAY["owner.see"] & actor.roles), office=actor.office)
    asked, counting = _asked(actor, now.replace(minute=0, second=0, microsecond=0))
    with connection.cursor() as cursor:
        cursor.execute(*counting)
        counted = [int(one) for one in cursor.fetchone()]
    parts = []
    for (name, one), n in zip(asked.items(), counted, strict=True):
        if n:
            rows = list(one.rows.order_by(*one.order)[:MOST])
            items = one.told(words, rows, name)
            own = name == "call_now" and keeps_own_hay(actor)
            note = words.note("call_own" if own else name)
            parts.append(Part(name, words.head(name), note, items, n))
    return parts


@lru_cache(maxsize=256)
def _asked(actor: Actor, hour: datetime) -> tuple[dict[str, _Asked], tuple[str, list[Any]]]:
    """The lists of somebody in their order, and the question how many each has.

    Made once an hour: to put the questions together takes longer than to answer them.
    """
    every = {**dict(_sheets(actor, hour)), **dict(_bags(actor, hour)), **dict(_lots(actor, hour))}
    order = ("call_now", *ORDER[season_of(hour)])
    asked = {name: every[name] for name in order if name in every}
    return asked, _counting(asked.values())


def _counting(asked: Iterable[_Asked]) -> tuple[str, list[Any]]:
    """How many each list has, in one question; of more than anybody counts, one more than that.

    Counted however few there are, so that a long list asks no more than a short one; and in the
    order of the list, which leads SQLite into the index of that list and not of the whole office.
    """
    few = [one.rows.order_by(*one.order).values("pk")[: MOST_COUNTED + 1] for one in asked]
    parts = [one.query.sql_with_params() for one in few]
    counts = (f"(SELECT COUNT(*) FROM ({sql}) AS n{k})" for k, (sql, _) in enumerate(parts))  # noqa: S608
    return f"SELECT {', '.join(counts)}", [one for _, held in parts for one in held]


def _sheets(actor: Actor, now: datetime) -> Iterator[tuple[str, _Asked]]:
    rows = Sheet.objects.select_related("lot")
    sheets = visible(actor, "sheet.see", rows, ranch="lot__ranch")
    fresh = now - timedelta(days=EXPLAIN_DAYS)
    if MAY["sheet.call"] & actor.roles:
        yield "call_now", _Asked(sheets.filter(to_call=True), TodayWords.calls, ("-nitrate", "-id"))
        # the few calls of these days first, then whose they are: not every sheet of the office
        ours = Version.objects.filter(pk=OuterRef("version"), sheet__office=actor.office)
        called = Call.objects.select_related("version__sheet__lot", "by").filter(
            Exists(ours), reached=True, at__gt=now - timedelta(days=CALLED_DAYS)
        )
        yield "called", _Asked(called, TodayWords.called, ("-at", "-id"))
    if MAY["sheet.note"] & actor.roles:
        waiting = sheets.filter(to_explain=True, written_at__gt=fresh)
        yield "explain", _Asked(waiting, TodayWords.sheets)
    if MAY["result.correct"] & actor.roles:
        # the few interim sheets first, then their lots: not every lot that is here
        here = Lot.objects.filter(pk=OuterRef("lot"), state=State.HERE)
        waiting = sheets.filter(Exists(here), interim=True)
        yield "interim", _Asked(waiting, TodayWords.interim, ("written_at", "id"))
    if Role.RANCHER in actor.roles:
        new = sheets.filter(written_at__gt=fresh)
        highest = F("nitrate").desc(nulls_last=True)
        yield "read", _Asked(new, TodayWords.sheets, (highest, "-id"))


def _bags(actor: Actor, now: datetime) -> Iterator[tuple[str, _Asked]]:
    bags = visible(actor, "bag.see", Bag.objects.select_related("lot"), ranch="lot__ranch")
    late = now - timedelta(days=OVERDUE_DAYS)
    # what has results is at the bench, whatever was written down of its way
    untested = bags.filter(~Exists(Result.objects.filter(bag=OuterRef("pk"))))
    if MAY["bag.receive"] & actor.roles:
        arriving = untested.filter(stage=Stage.SHIPPED)
        yield "arriving", _Asked(arriving, TodayWords.bags)
    if MAY["bag.ship"] & actor.roles:
        sealed = untested.filter(stage=Stage.SEALED)
        yield "ship", _Asked(sealed, TodayWords.bags)
    overdue = untested.filter(stage=Stage.SHIPPED, stage_at__lt=late)
    yield "overdue", _Asked(overdue, TodayWords.bags)
    if MAY["batch.release"] & actor.roles:
        yield "held", _Asked(holding(Batch.objects.filter(office=actor.office)), TodayWords.batches)


def _lots(actor: Actor, now: datetime) -> Iterator[tuple[str, _Asked]]:
    if not MAY["plan.print"] & actor.roles:
        return
    day = timezone.localdate(now)
    every = visible(actor, "lot.see", Lot.objects.select_related("ranch"))
    settled, aged = day - timedelta(days=CORE_DAYS), day - timedelta(days=AGED_DAYS)
    uncored = every.filter(waits=Waits.CORING)
    taken = Temperature.objects.filter(
        lot=OuterRef("pk"), taken_at__gt=now - timedelta(days=HEAT_EVERY)
    )
    fresh = every.filter(
        ~Exists(taken),
        state=State.HERE,
        baled_on__gt=day - timedelta(days=HEAT_DAYS),
        baled_on__lte=day,
    ).exclude(form=STANDING)
    lists = {
        "standing": every.filter(waits=Waits.CUTTING),
        "not_tested": every.filter(waits=Waits.NITRATE),
        "due": uncored.filter(waits_since__lte=settled),
        "plans": uncored.filter(waits_since__gt=settled),
        "aged": every.filter(waits=Waits.AGEING, waits_since__lte=aged),
    }
    for name, rows in lists.items():
        yield name, _Asked(rows, TodayWords.lots, ("waits_since", "id"))
    yield "heat", _Asked(fresh, TodayWords.lots, ("-baled_on", "-id"))
