"""What every page knows: who reads it, in which office, and the rooms open to them."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone

from haywright.measure.message import message
from haywright.office.people.actor import Actor
from haywright.office.people.models import Membership
from haywright.office.people.policies import MAY
from haywright.office.web.words import reader_of
from haywright.words import Reader, say
from haywright.words.numbers import date_text

# Room -> the deed that opens it, and the beginning of its addresses.
ROOMS = {
    "today": ("", "today"),
    "lots": ("lot.see", "lots"),
    "bags": ("bag.see", "bags"),
    "bench": ("batch.see", "batches"),
    "ranches": ("ranch.see", "ranches"),
    "season": ("season.see", "season"),
    "people": ("person.invite", "people"),
    "office": ("office.change", "office"),
    "me": ("", "me"),
}


# What stands in a room without beginning with its address.
_WITHIN = {
    "/sheets/": "lots",
    "/yard/": "lots",
    "/results/": "lots",
    "/laboratories/": "bench",
    "/people/me/": "me",
    "/account/": "me",
}


def _room(path: str, starts: dict[str, str]) -> str:
    """The room a page stands in; "" for none."""
    within = {**{start: name for name, start in starts.items() if name != "today"}, **_WITHIN}
    found = max((one for one in within if path.startswith(one)), key=len, default="")
    return within.get(found, "today" if path == starts["today"] else "")


def _left(request: HttpRequest, actor: Actor | None, reader: Reader) -> list[str]:
    """To somebody who belongs nowhere any more: which office it was, and how to reach it."""
    if actor is None or actor.person is None or actor.office or request.path.startswith("/read/"):
        return []
    held = Membership.objects.filter(person=actor.person, until__isnull=False)
    last = held.select_related("office").order_by("-until").first()
    if last is None or last.until is None:
        return []
    office, day = last.office, date_text(timezone.localdate(last.until), reader)
    said = [message("office.left", office=office.name, day=day)]
    if office.phone:
        said.append(message("office.left.ask", phone=office.phone))
    return [say(one, reader) for one in said]


def page(request: HttpRequest) -> dict[str, Any]:
    """The actor, their office, and the running head's rooms."""
    actor = getattr(request, "actor", None)
    reader = reader_of(request)
    starts = {name: reverse(start) for name, (_, start) in ROOMS.items()}
    here = starts.get(_room(request.path, starts), "")
    rooms = [
        {
            "name": say(message(f"office.room.{name}"), reader),
            "address": starts[name],
            "here": starts[name] == here,
        }
        for name, (deed, _) in ROOMS.items()
        if actor is not None and actor.office and (not deed or MAY[deed] & actor.roles)
    ]
    return {
        "actor": actor,
        "office": getattr(actor, "office", None),
        "reader": reader,
        "rooms": rooms,
        "left": _left(request, actor, reader),
        "yard": actor is not None and bool(MAY["bag.seal"] & actor.roles),
    }
