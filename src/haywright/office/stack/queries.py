"""Which lots an actor sees, and how a list of them is searched and turned over."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet

from haywright.office.bag.models import Bag
from haywright.office.people.actor import Actor
from haywright.office.people.policies import visible
from haywright.office.stack.models import Lot, State
from haywright.sources.crops import crops

PAGE = 25


def lots(actor: Actor) -> QuerySet[Lot]:
    """The lots an actor may see."""
    return visible(actor, "lot.see", Lot.objects.select_related("ranch", "office"))


@dataclass(frozen=True)
class Asked:
    """What a list is asked for; it stands in the address."""

    q: str = ""
    crop: str = ""
    year: str = ""
    state: str = State.HERE
    after: str = ""

    @classmethod
    def of(cls, given: Any) -> Asked:
        """Read from an address; what makes no sense there is left out."""
        state = given.get("state", State.HERE)
        return cls(
            q=given.get("q", "").strip()[:100],
            crop=given.get("crop", "") if given.get("crop", "") in crops() else "",
            year=given.get("year", "") if given.get("year", "").isdigit() else "",
            state=state if state in (*State.values, "all") else State.HERE,
            after=_key(given.get("after", "")),
        )

    def filters(self) -> dict[str, str]:
        """What stays in the address when a page is turned."""
        asked = {"q": self.q, "crop": self.crop, "year": self.year}
        held = {name: one for name, one in asked.items() if one}
        return held if self.state == State.HERE else {**held, "state": self.state}


def asked_for(rows: QuerySet[Lot], asked: Asked) -> QuerySet[Lot]:
    """The lots of a search; by name, field or bag code."""
    if asked.q:
        coded = Bag.objects.filter(lot=OuterRef("pk"), code__istartswith=asked.q)
        rows = rows.filter(Q(name__icontains=asked.q) | Q(field__icontains=asked.q) | Exists(coded))
    if asked.crop:
        rows = rows.filter(crop=asked.crop)
    if asked.year:
        rows = rows.filter(hay_year=int(asked.year))
    if asked.state != "all":
        rows = rows.filter(state=asked.state)
    return rows


def one_page(rows: QuerySet[Any], after: str, size: int = PAGE) -> tuple[list[Any], str]:
    """One page of rows, newest first, and the key after which the next begins; "" at the end."""
    if after:
        rows = rows.filter(id__lt=UUID(after))
    held = list(rows.order_by("-id")[: size + 1])
    return held[:size], str(held[size - 1].pk) if len(held) > size else ""


def _key(text: str) -> str:
    try:
        return str(UUID(text)) if text else ""
    except ValueError:
        return ""
