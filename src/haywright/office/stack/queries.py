"""Which lots an actor sees, and how a list of them is searched and turned over."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.db.models import Q, QuerySet

from haywright.office.bag.models import Bag
from haywright.office.people.actor import Actor
from haywright.office.people.policies import visible
from haywright.office.stack.models import Lot, State
from haywright.sources.crops import crops

PAGE = 25
MOST_CODED = 500  # lots a part of a code leads to; whoever means fewer types more of it


def lots(actor: Actor) -> QuerySet[Lot]:
    """The lots an actor may see.

    The office is fetched apart: joined, it would come first, and every lot be sorted after it.
    """
    rows = Lot.objects.select_related("ranch").prefetch_related("office")
    return visible(actor, "lot.see", rows)


# How the code of a bag begins: the office's letters, a hyphen, a figure.
_CODE = re.compile(r"[A-Za-z]{3}-\d")
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


def asked_for(rows: QuerySet[Lot], asked: Asked) -> QuerySet[Lot]:
    """The lots of a search; by name, field or bag code."""
    if _CODE.match(asked.q):
        code = asked.q.upper()
        coded = Bag.objects.filter(code__gte=code, code__lt=code + _AFTER).order_by("-code")
        # looked up first: within the search, every lot would be asked whether it is among them
        rows = rows.filter(pk__in=list(coded.values_list("lot", flat=True)[:MOST_CODED]))
    elif asked.q:
        rows = rows.filter(Q(name__icontains=asked.q) | Q(field__icontains=asked.q))
    if asked.crop:
        rows = rows.filter(crop=asked.crop)
    if asked.year:
        rows = rows.filter(hay_year=int(asked.year))
    if asked.state != "all":
        rows = rows.filter(state=asked.state)
    return rows


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


def one_page(rows: QuerySet[Any], turn: Turn, size: int = PAGE) -> Leaf:
    """One page of rows, newest first, found by key so that no page costs more than the first."""
    if turn.before:
        found = list(rows.filter(id__gt=UUID(turn.before)).order_by("id")[: size + 1])
        held = found[:size][::-1]
        newer = str(held[0].pk) if len(found) > size else ""
        return Leaf(held, str(held[-1].pk) if held else "", newer)
    if turn.after:
        rows = rows.filter(id__lt=UUID(turn.after))
    held = list(rows.order_by("-id")[: size + 1])
    more, held = len(held) > size, held[:size]
    newer = str(held[0].pk) if turn.after and held else ""
    return Leaf(held, str(held[-1].pk) if more else "", newer)


def _key(text: str) -> str:
    try:
        return str(UUID(text)) if text else ""
    except ValueError:
        return ""
