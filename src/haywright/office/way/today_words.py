"""What Today says of each thing, and the one step that is next for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from django.urls import reverse
from django.utils import timezone

from haywright.bag.custody import Stage
from haywright.measure.message import message
from haywright.office.bag.models import Bag
from haywright.office.bench.models import Batch
from haywright.office.people.models import Office
from haywright.office.sheet.models import Call, Sheet, Version
from haywright.office.sheet.queries import nitrate_of
from haywright.office.stack.models import Lot
from haywright.words import Reader, say
from haywright.words.numbers import date_text

# Part of Today -> the page of a lot on which its step is taken.
_LOT_STEPS = {"heat": "lot-heat"}
# Quantities named of a sheet that waits for many.
_FEW = 3


@dataclass(frozen=True)
class Item:
    """One thing to see to: its name and page, what is known of it, and its one step."""

    name: str
    address: str
    says: str
    does: str
    step: str


@dataclass(frozen=True)
class TodayWords:
    """The words of Today for one reader; ``owner`` is whether they may read whose hay it is."""

    reader: Reader
    owner: bool
    office: Office | None
    newest: dict[Any, str] = field(default_factory=dict)  # a sheet stands in several parts

    def __call__(self, key: str, **args: Any) -> str:
        """The text of a key for this reader."""
        return say(message(key, **args), self.reader)

    def head(self, name: str) -> str:
        """The side-head of a part."""
        return self(f"office.today.{name}")

    def note(self, name: str) -> str:
        """Why a part is there."""
        return self(f"office.today.{name}_why")

    def lots(self, rows: list[Lot], name: str) -> list[Item]:
        """Lots to see to."""
        page = _LOT_STEPS.get(name, "lot-plan")
        return [
            self._item(
                name,
                lot.name,
                reverse("lot", args=[lot.pk]),
                self._lot_says(lot),
                reverse(page, args=[lot.pk]),
            )
            for lot in rows
        ]

    def _lot_says(self, lot: Lot) -> str:
        said = [lot.ranch.name] if lot.ranch else []
        said += [self("office.lot.baled", day=lot.baled_on)] if lot.baled_on else []
        return ", ".join(said)

    def bags(self, rows: list[Bag], name: str) -> list[Item]:
        """Bags to see to."""
        return [self._bag(name, bag) for bag in rows]

    def _bag(self, name: str, bag: Bag) -> Item:
        page = reverse("bag", args=[bag.pk])
        step = f"{reverse('bags-ship')}?bag={bag.pk}" if name == "ship" else page
        if name == "arriving":
            step = f"{page}#next"
        stage = say(message(f"office.stage.{Stage(bag.stage).value}"), self.reader)
        said = [bag.lot.name] if self.owner else []
        said.append(f"{stage}, {self._day(bag.stage_at)}")
        return self._item(name, bag.code, page, ", ".join(said), step)

    def batches(self, rows: list[Batch], name: str) -> list[Item]:
        """Batches their controls held."""
        return [
            self._item(name, one.name, at := reverse("batch", args=[one.pk]),
                       date_text(one.run_on, self.reader), at)
            for one in rows
        ]  # fmt: skip

    def sheets(self, rows: list[Sheet], name: str) -> list[Item]:
        """Sheets to explain or to read, each with the nitrate of its newest version."""
        newest = self._newest(rows)
        return [
            self._item(name, _named(one), at := reverse("sheet", args=[one.pk]),
                       newest.get(one.pk, ""), at)
            for one in rows
        ]  # fmt: skip

    def interim(self, rows: list[Sheet], name: str) -> list[Item]:
        """Sheets that wait for something still, each with what that is."""
        waits = self._waits(rows)
        return [
            self._item(name, _named(one), at := reverse("sheet", args=[one.pk]), waits[one.pk], at)
            for one in rows
        ]

    def _waits(self, rows: Sequence[Sheet]) -> dict[Any, str]:
        """What is missing on the newest version of each sheet, and what a control holds back."""
        held = Version.objects.filter(sheet__in=rows).order_by("number")
        columns = ("sheet", "snapshot__sheet__pending", "snapshot__sheet__held")
        return {
            sheet: " ".join(
                self(f"office.today.interim_{how}", names=self._few(names))
                for how, names in (("missing", missing), ("held", back))
                if names
            )
            for sheet, missing, back in held.values_list(*columns)
        }

    def _few(self, names: Sequence[str]) -> tuple[str, ...]:
        """The first quantities by name, and how many more."""
        shown = names if len(names) <= _FEW + 1 else names[:_FEW]
        said = [self("measure.quantity", id=one) for one in shown]
        if more := len(names) - len(shown):
            said.append(self("office.today.interim_more", n=more))
        return tuple(said)

    def calls(self, rows: list[Sheet], name: str) -> list[Item]:
        """Sheets to call about, with who was tried already."""
        newest, tried = self._newest(rows), self._tried(rows)
        return [
            self._item(
                name,
                _named(one),
                reverse("sheet", args=[one.pk]),
                " ".join(p for p in (newest.get(one.pk, ""), tried.get(one.pk, "")) if p),
                reverse("call", args=[one.pk]),
            )
            for one in rows
        ]

    def called(self, rows: list[Call], name: str) -> list[Item]:
        """Who was reached about a nitrate, when, by whom."""
        return [
            self._item(
                name,
                _named(one.version.sheet),
                at := reverse("sheet", args=[one.version.sheet_id]),
                self.call(one),
                at,
            )
            for one in rows
        ]

    def call(self, one: Call) -> str:
        """One call in a sentence."""
        at = one.at.astimezone(self.office.zone if self.office else UTC)
        key = "office.today.reached" if one.reached else "office.today.tried"
        return self(key, who=one.called, day=at.date(), time=f"{at:%H:%M}", by=one.by.name)

    def _tried(self, rows: Sequence[Sheet]) -> dict[Any, str]:
        """The last call about each sheet that nobody answered."""
        held = Call.objects.filter(version__sheet__in=rows).select_related("version", "by")
        return {one.version.sheet_id: self.call(one) for one in held.order_by("at")}

    def _newest(self, rows: Sequence[Sheet]) -> dict[Any, str]:
        """The nitrate of the newest version of each sheet, its day, and whether it is high."""
        said = self.newest
        asked = [one for one in rows if one.pk not in said]
        if not asked:
            return said
        held = Version.objects.filter(sheet__in=asked).order_by("number")
        found = {one.pk: nitrate_of(one) for one in asked}
        for sheet, call, made_at in held.values_list("sheet", "call", "made_at"):
            day = self._day(made_at)
            if found[sheet] is not None:
                day = self("office.today.nitrate", amount=found[sheet], day=day)
            said[sheet] = f"{day}. {self('office.lots.over')}" if call else day
        return said

    def _item(self, part: str, name: str, address: str, says: str, step: str) -> Item:
        return Item(name, address, says, self(f"office.today.{part}_step"), step)

    def _day(self, at: datetime) -> str:
        return date_text(timezone.localdate(at), self.reader)


def _named(sheet: Sheet) -> str:
    return ", ".join(one for one in (sheet.lot.name, sheet.part) if one)
