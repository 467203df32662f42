"""Operations of the office: who asks, the office itself, its ranches and laboratories' clients."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from ninja import Field, Router, Schema, Status

from haywright.office.api.door import asked, done, once_in
from haywright.office.api.kinds import Key, Quantity, Sent, Whole
from haywright.office.api.stack import MADE, paged
from haywright.office.people import actions
from haywright.office.people.models import Ranch
from haywright.office.people.policies import visible
from haywright.office.web.pages import actor_in, found

people = Router(tags=["office"])
READ, WRITE = "office:read", "office:write"


class Me(Schema):
    """Whom the key speaks for, and what it may."""

    id: Key
    name: str
    email: str
    language: str
    units: str
    roles: list[str]
    ranches: list[Key] = Field(description="Ranches of a rancher; empty for who works here.")
    office: Key
    key: str = Field(description="What the key was named.")
    scopes: list[str]


class Call(Schema):
    """Whom to call about a sick animal, day and night."""

    office: str
    office_phone: str
    name: str
    phone: str


class OfficeOut(Schema):
    """The office the key belongs to."""

    id: Key
    name: str
    code: str
    phone: str
    call: Call
    guide: str = Field(description='Nitrate guide it has chosen; "" for the usual one.')
    tdn_method: str
    units: str
    currency: str
    time_zone: str
    call_line: Quantity = Field(description="Nitrate over which somebody is called.")
    version: int


class RanchOut(Schema):
    """A ranch with its herd groups."""

    id: Key
    name: str
    facts: dict[str, Any] = Field(description="Its form; every amount with its unit.")
    version: int


class RanchPage(Schema):
    """Ranches, newest first; ``after`` begins the next page and is "" at the end."""

    items: list[RanchOut]
    after: str


class NewRanch(Sent):
    """A ranch and, when they are known, its herd groups."""

    name: str = Field(min_length=1, max_length=120)
    facts: dict[str, Any] = Field({}, description="guide, and group: name, animals, head, fed ...")


class ChangedRanch(Sent):
    """A ranch's whole form, and the version it was read at."""

    facts: dict[str, Any]
    version: Whole


@asked(people, "/me", Me, READ, "")
def me(request: HttpRequest) -> Any:
    """Whom the key speaks for."""
    actor, held = actor_in(request), request.auth  # type: ignore[attr-defined]
    person = held.person
    return {
        "id": person.pk,
        "name": person.name,
        "email": person.email or "",
        "language": person.language,
        "units": person.units,
        "roles": sorted(actor.roles),
        "ranches": sorted(actor.ranches),
        "office": held.office_id,
        "key": held.name,
        "scopes": held.scopes,
    }


@asked(people, "/office", OfficeOut, READ, "")
def office(request: HttpRequest) -> Any:
    """The office the key belongs to."""
    one = actor_in(request).office
    if one is None:
        raise TypeError
    plain = ("name", "code", "phone", "guide", "tdn_method", "units", "currency", "time_zone",
             "version")  # fmt: skip
    return {
        **{name: getattr(one, name) for name in plain},
        "id": one.pk,
        "call": called(one),
        "call_line": {"value": float(one.call_line), "unit": "mg/kg NO3-N", "basis": "dry matter"},
    }


def called(one: Any) -> dict[str, str]:
    """Whom to call, by the office or by what was frozen of it."""
    return {
        "office": one.name,
        "office_phone": one.phone,
        "name": one.call_name,
        "phone": one.call_phone,
    }


def _ranches(request: HttpRequest) -> Any:
    return visible(actor_in(request), "ranch.see", Ranch.objects.all(), ranch="pk")


@asked(people, "/ranches", RanchPage, READ, "ranch.see")
def ranches_list(request: HttpRequest, after: Key | None = None) -> Any:
    """Ranches of the office; a rancher's own."""
    return paged(_ranches(request), after)


@asked(people, "/ranches/{key}", RanchOut, READ, "ranch.see")
def ranch_get(request: HttpRequest, key: Key) -> Any:
    """One ranch."""
    return found(_ranches(request), pk=key)


@done(people, "/ranches", RanchOut, WRITE, "ranch.describe", made=True)
def ranch_describe(request: HttpRequest, sent: NewRanch) -> Any:
    """Write down a ranch."""
    once = once_in(request)
    return Status(MADE, actions.describe_ranch(actor_in(request), sent.name, sent.facts, once=once))


@done(people, "/ranches/{key}", RanchOut, WRITE, "ranch.change", method="put")
def ranch_change(request: HttpRequest, key: Key, sent: ChangedRanch) -> Any:
    """Correct what is written of a ranch, unless somebody else saved it since."""
    ranch = found(_ranches(request), pk=key)
    return actions.change_ranch(
        actor_in(request), ranch, sent.facts, version=sent.version, once=once_in(request)
    )
