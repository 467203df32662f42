"""The ledger in words: what changed, when, by whom."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from haywright.measure.message import message
from haywright.office.ledger.models import Entry
from haywright.office.people.models import Person
from haywright.words import Reader, say
from haywright.words.numbers import date_text

MOST = 30
_QUIET = ("facts", "ranch_id", "digest", "taken_at", "ends_at", "by", "lot")


@dataclass(frozen=True)
class Told:
    """One line of the history."""

    day: str
    at: datetime
    says: str
    detail: str


def history(lot: Any, reader: Reader, most: int = MOST) -> list[Told]:
    """What happened to a lot, the newest first."""
    entries = list(Entry.objects.filter(lot_id=lot.pk).order_by("-number")[:most])
    names = dict(
        Person.objects.filter(pk__in={one.who for one in entries}).values_list("pk", "name")
    )
    return [_told(one, names, reader) for one in entries]


def _told(entry: Entry, names: dict[Any, str], reader: Reader) -> Told:
    who = names.get(entry.who, "") or say(message("office.history.nobody"), reader)
    says = say(
        message("office.history.line", deed=message(f"office.deed.{entry.deed}"), who=who),
        reader,
    )
    parts = [
        say(message("office.history.change", name=name, was=_short(entry.before.get(name)),
                    now=_short(now)), reader)
        for name, now in entry.after.items()
        if name not in _QUIET and name in entry.before
    ]  # fmt: skip
    parts += _facts(entry, reader)
    if entry.reason:
        parts.append(say(message("office.history.reason", reason=entry.reason), reader))
    return Told(date_text(entry.at.date(), reader), entry.at, says, "; ".join(parts))


def _facts(entry: Entry, reader: Reader) -> list[str]:
    before, after = entry.before.get("facts"), entry.after.get("facts")
    if not before or not after:
        return []
    return [
        say(message("office.history.change", name=name, was=_short(before.get(name)),
                    now=_short(after.get(name))), reader)
        for name in {**before, **after}
        if before.get(name) != after.get(name)
    ]  # fmt: skip


def _short(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{name} {one}" for name, one in value.items())
    if isinstance(value, list):
        return ", ".join(str(one) for one in value)
    return "–" if value in (None, "") else str(value)
