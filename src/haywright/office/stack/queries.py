"""Which lots an actor sees, and how a list of them is searched and turned over."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.db import connection
from django.db.models import Exists, OuterRef, Q, QuerySet

from haywright.office.bag.models import Bag
from haywright.office.people.actor import Actor
from haywright.office.people.policies import visible
from haywright.office.stack.models import Kinship, Lot, State
from haywright.office.stack.sought import Sought
from haywright.office.stack.text_index import FEW, with_text
from haywright.sources.crops import crops

PAGE = 25


def lots(actor: Actor) -> QuerySet[Lot]:
    """The lots an actor may see.

    The office is fetched apart: joined, it would come first, and every lot be sorted after it.
    """
    rows = Lot.objects.select_related("ranch").prefetch_related("office")
    return visible(actor, "lot.see", rows)


def with_kin(key: UUID) -> set[UUID]:
    """A lot and those its bales came from or went to: what its page speaks of."""
    return {key}.union(*of_kin(key).values_list("of", "into")) - {None}


def of_kin(key: UUID) -> QuerySet[Kinship]:
    """How bales came to a lot and went from it."""
    return Kinship.objects.filter(Q(of=key) | Q(into=key))


# The beginning of a bag's code: the office's letters, its number, two check digits.
_CODE = re.compile(r"[A-Z]{1,3}|[A-Z]{3}-[0-9]*(-[0-9]{0,2})?", re.ASCII)
_NUMBERED = re.compile(r"[A-Z]{3}-[0-9]{4}")
_AFTER = "~"  # stands after every letter, figure and hyphen


@dataclass(frozen=True)
class Asked:
    """What a list is asked for; it stands in the address."""

    q: str = ""
    crop: str = ""
    year: str = ""
    state: str = State.HERE

    @classmethod
    def of(cls, given: Any) -> Asked:
        """Read from an address; what makes no sense there is left out."""
        state, year = given.get("state", State.HERE), given.get("year", "")[:4]
        return cls(
            q=searched(given, 100),
            crop=given.get("crop", "") if given.get("crop", "") in crops() else "",
            year=year if year.isascii() and year.isdigit() else "",
            state=state if state in (*State.values, "all") else State.HERE,
        )

    def filters(self) -> dict[str, str]:
        """What stays in the address when a page is turned."""
        asked = {"q": self.q, "crop": self.crop, "year": self.year}
        held = {name: one for name, one in asked.items() if one}
        return held if self.state == State.HERE else {**held, "state": self.state}


def searched(given: Any, longest: int) -> str:
    """The text searched for; a character no database takes is left out."""
    return str(given.get("q", "")).replace("\x00", "").strip()[:longest]


def asked_for(rows: QuerySet[Lot], asked: Asked) -> Sought:
    """The lots of a search; by name, field or bag code."""
    if asked.crop:
        rows = rows.filter(crop=asked.crop)
    if asked.year:
        rows = rows.filter(hay_year=int(asked.year))
    if asked.state != "all":
        rows = rows.filter(state=asked.state)
    if not asked.q:
        return Sought(rows)
    said: Any = Q(name__icontains=asked.q) | Q(field__icontains=asked.q)
    found, few = with_text(asked.q)
    ways: tuple[Any, ...] = found
    if _CODE.fullmatch(asked.q.upper()):
        coded = Bag.objects.filter(code_begins(asked.q)).order_by()
        said |= Exists(coded.filter(lot=OuterRef("pk")))
        keys = list(coded.values_list("lot", flat=True)[: FEW + 1])
        few = few and len(keys) <= FEW
        ways += (Q(pk__in=keys if len(keys) <= FEW else coded.values("lot")),)
    return Sought(rows, said, ways, rare=few or bool(_NUMBERED.match(asked.q.upper())))


def code_begins(text: str) -> Q:
    """Bags whose code begins with a text, as the index of codes can find them."""
    code = text.upper()
    if connection.vendor == "postgresql":
        return Q(code__startswith=code)
    return Q(code__gte=code, code__lt=code + _AFTER)


@dataclass(frozen=True)
class Turn:
    """Which page of a list is looked at: what follows a key, or what stands before one."""

    after: str = ""
    before: str = ""

    @classmethod
    def of(cls, given: Any) -> Turn:
        """Read from an address; what is no key is left out."""
        return cls(_key(given.get("after", "")), _key(given.get("before", "")))


@dataclass(frozen=True)
class Leaf:
    """One page of rows, newest first, and the keys that lead on; "" at the ends."""

    rows: list[Any]
    older: str = ""
    newer: str = ""

    def addresses(self, filters: dict[str, str]) -> dict[str, str]:
        """Addresses of the pages before and after, the filters kept; "" where there is none."""
        return {
            "older": urlencode({**filters, "after": self.older}) if self.older else "",
            "newer": urlencode({**filters, "before": self.newer}) if self.newer else "",
        }


def one_page(rows: QuerySet[Any] | Sought, turn: Turn, size: int = PAGE) -> Leaf:
    """One page of rows, newest first, found by key so that no page costs more than the first."""
    sought = rows if isinstance(rows, Sought) else Sought(rows)
    if turn.before:
        found = sought.filter(id__gt=UUID(turn.before)).first("id", size + 1)
        held = found[:size][::-1]
        newer = str(held[0].pk) if len(found) > size else ""
        return Leaf(held, str(held[-1].pk) if held else "", newer)
    if turn.after:
        sought = sought.filter(id__lt=UUID(turn.after))
    held = sought.first("-id", size + 1)
    more, held = len(held) > size, held[:size]
    newer = str(held[0].pk) if turn.after and held else ""
    return Leaf(held, str(held[-1].pk) if more else "", newer)


def _key(text: str) -> str:
    try:
        return str(UUID(text)) if text else ""
    except ValueError:
        return ""
