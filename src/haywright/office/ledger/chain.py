"""Writing the chain and checking it.

An entry's digest is SHA-256 over the digest before it and the entry's own fields in one canonical
text (JSON, keys sorted, no spaces, RFC 8259), so that no entry can be changed, left out or put in
between without every later digest giving it away.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from haywright.measure.message import Message, message
from haywright.office.ledger.models import Entry
from haywright.office.people.models import Office

FIRST = "0" * 64
_FIELDS = (
    "office_id",
    "number",
    "at",
    "who",
    "deed",
    "thing",
    "thing_id",
    "lot_id",
    "before",
    "after",
    "reason",
    "once",
    "form",
    "previous",
)


def plain(value: Any) -> Any:
    """A value as the ledger writes it: text for keys, days, instants and decimals."""
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(one) for one in value]
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, date | UUID):
        return str(value)
    if isinstance(value, Decimal):
        return format(value.normalize(), "f")
    return value


def digest_of(entry: Entry) -> str:
    """The digest an entry must have."""
    body = {name: plain(getattr(entry, name)) for name in _FIELDS}
    text = json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


@dataclass
class Deed:
    """What one action writes down, filled in while it acts; ``lots`` are those it touched."""

    office: Office
    name: str
    who: UUID | None = None
    once: str | None = None
    at: datetime = field(default_factory=timezone.now)
    lots: set[UUID] = field(default_factory=set)

    def enter(
        self,
        thing: str,
        thing_id: UUID,
        *,
        before: Mapping[str, Any] | None = None,
        after: Mapping[str, Any] | None = None,
        lot: UUID | None = None,
        reason: str = "",
    ) -> Entry:
        """Write one entry at the end of the office's chain, inside the action's transaction."""
        if not transaction.get_connection().in_atomic_block:
            raise transaction.TransactionManagementError("ledger")
        Office.objects.select_for_update().get(pk=self.office.pk)
        last = Entry.objects.filter(office=self.office).order_by("-number").first()
        entry = Entry(
            office=self.office,
            number=last.number + 1 if last else 1,
            at=self.at,
            who=self.who,
            deed=self.name,
            thing=thing,
            thing_id=thing_id,
            lot_id=lot,
            before=plain(before or {}),
            after=plain(after or {}),
            reason=reason,
            once=self.once,
            previous=last.digest if last else FIRST,
        )
        self.once = None  # the first entry of a deed carries it
        self.lots |= {lot} if lot else set()
        entry.digest = digest_of(entry)
        entry.save(force_insert=True)
        return entry


def changed(
    before: Mapping[str, Any], after: Mapping[str, Any]
) -> tuple[dict[str, Any], dict[str, Any]]:
    """The fields that differ, as they were and as they are."""
    names = [name for name in {**before, **after} if before.get(name) != after.get(name)]
    return (
        {name: before[name] for name in names if name in before},
        {name: after[name] for name in names if name in after},
    )


def check(office: Office) -> Iterator[Message]:
    """Every place where an office's chain does not hold; nothing when it does."""
    previous, number = FIRST, 0
    for entry in Entry.objects.filter(office=office).order_by("number").iterator():
        number += 1
        if entry.number != number:
            yield message("office.ledger.gap", number=entry.number, expected=number)
            number = entry.number
        if entry.previous != previous:
            yield message("office.ledger.broken", number=entry.number)
        if digest_of(entry) != entry.digest:
            yield message("office.ledger.changed", number=entry.number)
        previous = entry.digest
