"""Actions: the only door to a write.

An action asks the policy, keeps the rules, writes, and enters the ledger, all in one transaction.
Pages, the API, imports and commands call the same ones.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django.db import transaction

from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.message import message
from haywright.office.ledger.chain import Deed
from haywright.office.ledger.models import Entry
from haywright.office.people.actor import Actor

Heard = Callable[..., None]
_LISTENERS: dict[str, list[Heard]] = {}


class NotAllowed(HaywrightError):
    """The policy says no."""

    def __init__(self, deed: str) -> None:
        super().__init__(message("office.not_allowed", deed=message(f"office.deed.{deed}")))
        self.deed = deed


class Stale(Refused):
    """Somebody else saved the same thing in between; nothing was overwritten."""

    def __init__(self, version: int, now: int) -> None:
        super().__init__("version", version, str(now), key="office.stale")


class DoneAlready(HaywrightError):
    """The same deed was sent twice; ``entry`` is what the first did."""

    def __init__(self, entry: Entry) -> None:
        super().__init__(message("office.done_already"))
        self.entry = entry


@contextmanager
def acting(actor: Actor, deed: str, *, allowed: bool, once: str = "") -> Iterator[Deed]:
    """One deed of one actor: everything inside is written together or not at all.

    Parameters
    ----------
    actor
        Who acts, in which office.
    deed
        Name of the deed, as the history tells it.
    allowed
        What the policy answered.
    once
        What the form or program sent along, so that the same deed is done once.

    Raises
    ------
    NotAllowed
        The policy said no.
    DoneAlready
        ``once`` was seen before in this office.
    """
    if actor.office is None or not allowed:
        raise NotAllowed(deed)
    with transaction.atomic():
        if once:
            type(actor.office).objects.select_for_update().get(pk=actor.office.pk)
            before = Entry.objects.filter(office=actor.office, once=once).first()
            if before is not None:
                raise DoneAlready(before)
        who = actor.person.pk if actor.person is not None else None
        done = Deed(actor.office, deed, who, once or None)
        yield done
        if done.lots:
            tell("lots.touched", keys=done.lots)


def unchanged(held: Any, version: int | None) -> None:
    """Refuse to save over what somebody else saved since the page was opened."""
    if version is not None and held.version != version:
        raise Stale(version, held.version)


def listen(event: str) -> Callable[[Heard], Heard]:
    """Have a function called, in the same transaction, whenever an event is told."""

    def added(heard: Heard) -> Heard:
        _LISTENERS.setdefault(event, []).append(heard)
        return heard

    return added


def tell(event: str, **facts: Any) -> None:
    """Tell those who listen what happened."""
    for heard in _LISTENERS.get(event, []):
        heard(**facts)
