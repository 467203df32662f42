"""The ledger in words: what changed, when, by whom."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby, islice
from typing import Any

from django.utils import timezone

from haywright.measure.analytes import dictionary
from haywright.measure.message import Amount, message
from haywright.office.ledger.models import Entry
from haywright.office.people.models import Person
from haywright.sources.crops import crop, event, weed
from haywright.stack.lot import storage
from haywright.words import Reader, say
from haywright.words.numbers import date_text

MOST = 30
MOST_NAMED = 6  # numbers that came with one deed; of more it is said how many
# What is told with before and after; what a form's fields are called on its page.
_SHOWN = ("name", "state", "stage", "bales")
_FORM = ("name", "crop", "form", "field", "cutting", "baled_on", "storage", "purpose", "events",
         "bales", "weathered_outside", "weeds", "faces", "field_parts", "unreached")  # fmt: skip
# Fields whose value is a word of a list -> where its words stand.
_WORDS = {"state": "state", "stage": "stage", "form": "form_of_hay", "purpose": "purpose"}
_BALES = ("count", "package", "weight", "total")
_NAMED: dict[str, Callable[[str], Any]] = {
    "crop": crop,
    "events": event,
    "storage": storage,
    "weeds": weed,
}


@dataclass(frozen=True)
class Told:
    """One line of the history."""

    day: str
    at: datetime
    says: str
    detail: str


def history(lot: Any, reader: Reader, most: int = MOST) -> list[Told]:
    """What happened to a lot, the newest first; what one deed wrote stands in one line."""
    entries = list(Entry.objects.filter(lot_id=lot.pk).order_by("-number")[: 4 * most])
    names = _names(entries)
    deeds = groupby(entries, key=lambda one: (one.at, one.deed, one.who))
    return [_told(list(together), names, reader) for _, together in islice(deeds, most)]


def told(entries: list[Entry], reader: Reader) -> list[str]:
    """Entries in words, each for itself.

    Parameters
    ----------
    entries
        Of one office.
    reader
        Whose words.
    """
    names = _names(entries)
    lines = [_told([one], names, reader) for one in entries]
    return [f"{one.says}: {one.detail}" if one.detail else one.says for one in lines]


def _names(entries: list[Entry]) -> dict[Any, str]:
    who = {one.who for one in entries if one.who is not None}
    return dict(Person.objects.filter(pk__in=who).values_list("pk", "name"))


def _told(entries: list[Entry], names: dict[Any, str], reader: Reader) -> Told:
    first = entries[0]
    who = names.get(first.who, "") or say(message("office.history.nobody"), reader)
    deed = message(f"office.deed.{first.deed}")
    says = say(message("office.history.line", deed=deed, who=who), reader)
    parts = [part for one in reversed(entries) for part in _parts(one, reader)]
    detail = dict.fromkeys([*_came(entries, reader), *parts])
    return Told(date_text(timezone.localdate(first.at), reader), first.at, says, "; ".join(detail))


def _came(entries: list[Entry], reader: Reader) -> list[str]:
    """The numbers that came where there were none: by name while they are few."""
    names = dict.fromkeys(
        name
        for one in reversed(entries)
        if one.thing == "result"
        for name in one.after
        if name in dictionary() and name not in one.before
    )
    if len(names) > MOST_NAMED:
        return [say(message("office.history.came", n=len(names)), reader)]
    return [say(message("measure.quantity", id=name), reader) for name in names]


def _parts(entry: Entry, reader: Reader) -> Iterator[str]:
    """What one entry says beside its deed."""
    if entry.thing == "result":
        took = (name for name in entry.after if name in entry.before and name in dictionary())
        yield from (_number(name, entry, reader) for name in took)
        yield from _kept_beside(entry, reader)
    for name, now in entry.after.items():
        if name in _SHOWN and name in entry.before:
            was, then = (_worded(name, one, reader) for one in (entry.before[name], now))
            yield _change(_field(name, entry), was, then, reader)
    yield from _facts(entry, reader)
    if entry.reason:
        because = "batch" if entry.deed == "result.receive" else "reason"
        yield say(message(f"office.history.{because}", reason=entry.reason), reader)


def _number(name: str, entry: Entry, reader: Reader) -> str:
    """A number that took the place of another: both, as the dictionary rounds."""
    called = message("measure.quantity", id=name)
    was, now = (_figure(name, one, reader) for one in (entry.before[name], entry.after[name]))
    return say(message("office.history.change", name=called, was=was, now=now), reader)


def _figure(name: str, value: Any, reader: Reader) -> str:
    """A number with its unit; one without a value is held."""
    if value is None:
        return say(message("paper.held"), reader)
    amount = Amount(float(value), dictionary()[name].unit, analyte=name)
    return say(message("paper.amount", amount=amount), reader)


def _kept_beside(entry: Entry, reader: Reader) -> Iterator[str]:
    """A number of a later batch that took no place."""
    one = entry.after.get("beside")
    if one and one["analyte"] in dictionary():
        called = message("measure.quantity", id=one["analyte"])
        value = _figure(one["analyte"], one["value"], reader)
        said = {"name": called, "value": value, "batch": one["batch"]}
        yield say(message("office.history.beside", **said), reader)


def _change(key: str, was: Any, now: Any, reader: Reader) -> str:
    said = message("office.history.change", name=message(key), was=_short(was), now=_short(now))
    return say(said, reader)


def _facts(entry: Entry, reader: Reader) -> Iterator[str]:
    before, after = entry.before.get("facts"), entry.after.get("facts")
    if not before or not after:
        return
    for name in {**before, **after}:
        if before.get(name) != after.get(name):
            key = _field(name, entry) if name in _FORM else "office.history.something"
            was, now = (_called(name, one, reader) for one in (before, after))
            yield _change(key, was, now, reader)


def _field(name: str, entry: Entry) -> str:
    """What a field is called: a lot's bales are counted, a bag's are numbers of those cored."""
    counted = name == "bales" and entry.thing == "lot"
    return "office.field.bales_left" if counted else f"office.field.{name}"


def _worded(name: str, value: Any, reader: Reader) -> Any:
    """A value of a fixed list in words."""
    key = _WORDS.get(name)
    return say(message(f"office.{key}.{value}"), reader) if key and value else value


def _called(name: str, facts: dict[str, Any], reader: Reader) -> Any:
    """A value of a form, its crops, weeds and events by name."""
    value, find = facts.get(name), _NAMED.get(name)
    if name == "bales" and isinstance(value, dict):
        return ", ".join(str(value[one]) for one in _BALES if one in value)
    if find is None or not value:
        return _worded(name, value, reader)
    if isinstance(value, dict):
        return {find(one).name: share for one, share in value.items()}
    return [find(one).name for one in (value if isinstance(value, list) else [value])]


def _short(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{name} {one}" for name, one in value.items())
    if isinstance(value, list):
        return ", ".join(_short(one) for one in value)
    return "–" if value in (None, "") else str(value)
