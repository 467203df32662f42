"""Today: what there is to do, by role and by the hay year."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet
from django.urls import reverse

from haywright.bag.custody import Stage
from haywright.measure.message import Amount, Message, message
from haywright.office.bag.models import Bag
from haywright.office.people.actor import Actor
from haywright.office.people.policies import MAY, visible
from haywright.office.sheet.models import Sheet, Version
from haywright.office.stack.models import Lot, State, Temperature
from haywright.words import Reader, say
from haywright.words.numbers import date_text

MOST, MOST_COUNTED = 8, 1000
OVERDUE_DAYS = 10  # common practice: a bag shipped should be at the laboratory within the week
HEAT_DAYS = 42
AGED_DAYS = 180
EXPLAIN_DAYS = 30
_WHY = ("call_now", "ship", "overdue", "explain", "not_tested", "heat", "aged")


@dataclass(frozen=True)
class Part:
    """One list of Today."""

    head: str
    items: list[dict[str, Any]]
    more: int = 0
    urgent: bool = False
    note: str = ""


def today(actor: Actor, now: datetime, reader: Reader) -> list[Part]:
    """What there is to do, the most urgent first; empty lists are left out."""
    return [part for part in _parts(actor, now, reader) if part.items]


def _parts(actor: Actor, now: datetime, reader: Reader) -> Iterator[Part]:
    words = _Words(reader)
    lots = visible(actor, "lot.see", Lot.objects.select_related("ranch")).filter(state=State.HERE)
    bags = visible(actor, "bag.see", Bag.objects.select_related("lot"), ranch="lot__ranch")
    sheets = visible(actor, "sheet.see", Sheet.objects.select_related("lot"), ranch="lot__ranch")
    owner = bool(MAY["owner.see"] & actor.roles)
    if MAY["sheet.call"] & actor.roles:
        yield words.sheets("call_now", sheets.filter(to_call=True), urgent=True)
    if MAY["bag.receive"] & actor.roles:
        yield words.bags("arriving", bags.filter(stage=Stage.SHIPPED), owner=owner)
    if MAY["bag.ship"] & actor.roles:
        yield words.bags("ship", bags.filter(stage=Stage.SEALED), owner=owner)
    overdue = bags.filter(stage=Stage.SHIPPED, stage_at__lt=now - timedelta(days=OVERDUE_DAYS))
    yield words.bags("overdue", overdue, owner=owner)
    if MAY["sheet.note"] & actor.roles:
        fresh = now - timedelta(days=EXPLAIN_DAYS)
        yield words.sheets("explain", sheets.filter(to_explain=True, written_at__gt=fresh))
    bagged = Exists(Bag.objects.filter(lot=OuterRef("pk")))
    if MAY["plan.print"] & actor.roles:
        day = now.date()
        standing = lots.filter(~bagged, form="standing_crop")
        yield words.lots("standing", standing)
        yield words.lots("not_tested", lots.filter(~bagged, suspect=True).exclude(
            form="standing_crop"))  # fmt: skip
        yield words.lots("to_core", lots.filter(~bagged, suspect=False).exclude(
            form="standing_crop"))  # fmt: skip
        heated = Exists(
            Temperature.objects.filter(lot=OuterRef("pk"), taken_at__gt=now - timedelta(days=3))
        )
        fresh_hay = lots.filter(
            ~heated, baled_on__gt=day - timedelta(days=HEAT_DAYS), baled_on__lte=day
        )
        yield words.lots("heat", fresh_hay.exclude(form="standing_crop"))
        recent = Exists(
            Bag.objects.filter(lot=OuterRef("pk"), cored_on__gt=day - timedelta(days=AGED_DAYS))
        )
        yield words.lots("aged", lots.filter(bagged, ~recent, outdoors=True))


class _Words:
    def __init__(self, reader: Reader) -> None:
        self.reader = reader

    def __call__(self, one: Message) -> str:
        return say(one, self.reader)

    def _part(self, name: str, rows: QuerySet[Any], made: Any, *, urgent: bool = False) -> Part:
        items = [made(one) for one in rows.order_by("-id")[:MOST]]
        # counted however few there are, so that a long list asks no more than a short one
        more = max(rows.order_by()[:MOST_COUNTED].count() - MOST, 0)
        head = self(message(f"office.today.{name}"))
        return Part(
            head,
            items,
            more,
            urgent,
            self(message(f"office.today.{name}_why")) if name in _WHY else "",
        )

    def lots(self, name: str, rows: QuerySet[Lot]) -> Part:
        """Lots to see to."""
        return self._part(
            name,
            rows,
            lambda lot: {
                "name": lot.name,
                "address": reverse("lot", args=[lot.pk]),
                "says": lot.ranch.name if lot.ranch else "",
            },
        )

    def bags(self, name: str, rows: QuerySet[Bag], *, owner: bool) -> Part:
        """Bags to see to."""
        return self._part(
            name,
            rows,
            lambda bag: {
                "name": bag.code,
                "address": reverse("bag", args=[bag.pk]),
                "says": " ".join(
                    [*([bag.lot.name] if owner else []),
                     date_text(bag.stage_at.date(), self.reader)]
                ),
            },
        )  # fmt: skip

    def sheets(self, name: str, rows: QuerySet[Sheet], *, urgent: bool = False) -> Part:
        """Sheets to see to, each with the nitrate of its newest version."""
        address = "call" if urgent else "sheet"
        found = self._part(
            name,
            rows,
            lambda one: {
                "key": one.pk,
                "name": ", ".join(p for p in (one.lot.name, one.part) if p),
                "address": reverse(address, args=[one.pk]),
                "says": "",
            },
            urgent=urgent,
        )
        newest = self._newest([one["key"] for one in found.items])
        for one in found.items:
            one["says"] = newest.get(one["key"], "")
        return found

    def _newest(self, keys: list[Any]) -> dict[Any, str]:
        """The nitrate of the newest version of each sheet where it has one, and its day."""
        rows = Version.objects.filter(sheet__in=keys).order_by("number")
        said = {}
        for sheet, nitrate, made_at in rows.values_list("sheet", "nitrate", "made_at"):
            day = date_text(made_at.date(), self.reader)
            found = (
                None if nitrate is None else Amount(float(nitrate), "mg/kg", analyte="nitrate_n")
            )
            said[sheet] = (
                day
                if found is None
                else self(message("office.today.nitrate", amount=found, day=day))
            )
        return said
