"""Where a lot stands on its way, and the one next step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.urls import reverse

from haywright.bag.custody import Stage
from haywright.measure.message import Message, message
from haywright.office.bag.models import Bag
from haywright.office.people.actor import Actor
from haywright.office.people.policies import may_with
from haywright.office.sheet.models import Sheet
from haywright.office.stack.models import Lot, State
from haywright.office.stack.waits import STANDING
from haywright.office.way.today import AGED_DAYS
from haywright.words import Reader, say

PLACES = ("stack", "bag", "bench", "sheet", "bunk", "gate")


@dataclass(frozen=True)
class Stand:
    """What is there of a lot.

    Parameters
    ----------
    lot
        The lot.
    bags
        Its bags, newest first.
    tested
        Whether results are there.
    sheet
        Key of the sheet that stands for it; "" without one.
    parts
        Every sheet of it, the one with the most nitrate first.
    """

    lot: Lot
    bags: Sequence[Bag]
    tested: bool
    sheet: str = ""
    parts: Sequence[Sheet] = ()

    @property
    def here(self) -> str:
        """The place it stands at."""
        if self.sheet:
            return "sheet"
        if any(bag.stage == Stage.RECEIVED for bag in self.bags):
            return "bench"
        return "bag" if self.bags else "stack"


@dataclass(frozen=True)
class Next:
    """The one next step: what the button says, where it leads, what it brings."""

    does: Message
    address: str
    brings: Message


def steps(stand: Stand, reader: Reader, *, on: str = "") -> list[dict[str, Any]]:
    """The six places for the footpath.

    Parameters
    ----------
    stand
        What is there.
    reader
        Whose words.
    on
        The place of the page, where it is another than the lot stands at.
    """
    at = PLACES.index(stand.here)
    here = on or stand.here
    lot = stand.lot
    addresses = {
        "stack": reverse("lot", args=[lot.pk]),
        "bag": reverse("lot-bags", args=[lot.pk]),
        "sheet": reverse("sheet", args=[stand.sheet]) if stand.sheet else "",
        "bunk": reverse("feed", args=[stand.sheet]) if stand.sheet else "",
    }
    out = []
    for n, place in enumerate(PLACES):
        walked = n <= at
        state = "here" if place == here else "walked" if walked else "ahead"
        out.append(
            {
                "name": say(message(f"office.place.{place}"), reader),
                "under": say(message(f"office.place_under.{place}"), reader),
                "said": say(message(f"office.step.{state}"), reader),
                "state": state,
                "address": addresses.get(place, ""),
            }
        )
    return out


def next_step(stand: Stand, actor: Actor, today: date) -> Next | None:
    """The next step that this person can take; none for hay that is no longer there.

    Parameters
    ----------
    stand, actor
        What is there, and who asks.
    today
        Day it is asked; a test of hay that stands outdoors ages.
    """
    lot, bag = stand.lot, stand.bags[0] if stand.bags else None
    if lot.state != State.HERE:
        return None
    asked = _coring(lot, bag, today) if may_with(actor, "plan.print", lot) else ""
    if asked and not (stand.sheet and bag is None):
        return _step(asked, reverse("lot-plan", args=[lot.pk]))
    if stand.sheet:
        return _step("feed", reverse("feed", args=[stand.sheet]))
    if bag is None:
        return None
    if bag.stage == Stage.SEALED and may_with(actor, "bag.ship", bag):
        return _step("ship", reverse("bag", args=[bag.pk]))
    if may_with(actor, "result.type", lot):
        return _step("type", reverse("lot-report", args=[lot.pk]))
    return None


def _coring(lot: Lot, bag: Bag | None, today: date) -> str:
    """Why bales are to be cored next; "" where they are not."""
    if bag is None:
        return "cut" if lot.form == STANDING else "plan"
    if bag.stage == Stage.REFUSED:
        return "refused"
    return "aged" if lot.outdoors and (today - bag.cored_on).days > AGED_DAYS else ""


def _step(name: str, address: str) -> Next:
    does, brings = message(f"office.next.{name}"), message(f"office.brings.{name}")
    return Next(does, address, brings)
