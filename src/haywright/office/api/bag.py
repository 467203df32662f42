"""Operations of the bag: sealed, passed on, shipped together, exchanged, and its papers."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any, Literal

from django.http import Http404, HttpRequest
from ninja import Field, Query, Router, Schema, Status

from haywright.bag.bag import TAKEN
from haywright.bag.codes import read_code
from haywright.bag.custody import Stage
from haywright.measure.errors import HaywrightError, Refused
from haywright.office.api.door import asked, done, once_in
from haywright.office.api.kinds import (
    Day,
    Instant,
    Key,
    Number,
    Quantity,
    Sent,
    Whole,
    places,
    when,
)
from haywright.office.api.stack import MADE, lot_of, paged
from haywright.office.bag import actions
from haywright.office.bag.models import Bag
from haywright.office.bag.queries import bags, owner_blind
from haywright.office.bag.ship_view import bag_slip
from haywright.office.bag.views import bag_label
from haywright.office.people.policies import MAY
from haywright.office.stack.queries import searched
from haywright.office.web.pages import actor_in, found

bag = Router(tags=["bag"])
READ, WRITE = "bag:read", "bag:write"
_MOST_GRAMS = 10_000
Text = Annotated[str, Field(max_length=120)]
Name = Annotated[str, Field(min_length=1, max_length=100)]


class Step(Schema):
    """Who had the bag, from when."""

    stage: str
    at: datetime
    who: str
    mass: Quantity | None
    reason: str


class BagOut(Schema):
    """A bag; a laboratory is not told whose it is."""

    id: Key
    code: str
    lot: Key | None = Field(description="Null for who is not told whose hay it is.")
    cored_on: Day
    taken: str
    part: str = Field(description='Part of the field; "" for the whole lot.')
    tests: list[str]
    bales_cored: int | None
    mass_sealed: Quantity | None
    mass_received: Quantity | None
    sampler: str
    laboratory: str
    stage: str
    stage_at: datetime
    journey: list[Step]
    version: int


class BagPage(Schema):
    """Bags, newest first; ``after`` begins the next page and is "" at the end."""

    items: list[BagOut]
    after: str


class BagList(Schema):
    """Bags that went together."""

    items: list[BagOut]


class BagFacts(Sent):
    """The form of a bag."""

    cored_on: Day
    taken: Text = Field("probe", json_schema_extra={"enum": [*TAKEN]})
    tests: list[Text] = Field(max_length=60, description="Names of tests: nitrate, crude protein.")
    bales: Annotated[str, Field(max_length=400)] | None = Field(
        None, description='Numbers of the bales cored: "1-20, 31".'
    )
    bale_count: Whole | None = Field(None, description="How many, where nobody wrote which.")
    cores_per_bale: Whole | None = None
    part: Text | None = None
    sampler: Name | None = None
    condition: list[Text] | None = None
    mass_sealed_g: Number | None = Field(None, description="Without its wrapping [g].")

    def told(self) -> dict[str, Any]:
        """What was sent, as the form has it."""
        held = self.model_dump(mode="json", exclude_none=True)
        if self.mass_sealed_g is not None:
            held["mass_sealed_g"] = float(_grams("mass_sealed_g", self.mass_sealed_g))
        return held


class Seal(Sent):
    """A new bag of a lot."""

    lot: Key
    facts: BagFacts
    at: Instant
    laboratory: Text = ""


class PassOn(Sent):
    """A bag goes on."""

    stage: Literal["shipped", "received", "refused"]
    at: Instant
    who: str = Field("", max_length=100, description="Who has it then; left out: the key's person.")
    mass_g: Number | None = Field(None, description="Without its wrapping [g].")
    reason: str = Field("", max_length=300)


class Ship(Sent):
    """Bags that go on their way together: all of them, or none."""

    bags: list[Key] = Field(max_length=200)
    at: Instant
    who: Name


class Swap(Sent):
    """The bag whose label was mixed up with this one's."""

    other_code: str = Field(min_length=1, max_length=20)
    reason: str = Field(min_length=1, max_length=300)


def _grams(field: str, value: Any) -> Any:
    kept = places(field, value, 2)
    if not 0 < kept <= _MOST_GRAMS:
        raise Refused(field, kept, f"0 to {_MOST_GRAMS} g", key="office.api.range")
    return kept


def _mass(value: Any) -> dict[str, Any] | None:
    if value is None:
        return None
    return {"value": float(value), "unit": "g", "basis": "as it stands, without its wrapping"}


def shown(request: HttpRequest, one: Bag) -> dict[str, Any]:
    """A bag as its person may see it."""
    owner = bool(MAY["owner.see"] & actor_in(request).roles)
    steps = list(one.journey.all())
    said = [one.sampler, *(step.who for step in steps)]
    names = said if owner else owner_blind(one, said)
    plain = ("id", "code", "cored_on", "taken", "part", "tests", "bales_cored", "laboratory",
             "stage", "stage_at", "version")  # fmt: skip
    return {
        **{name: getattr(one, name) for name in plain},
        "lot": one.lot_id if owner else None,
        "sampler": names[0],
        "mass_sealed": _mass(one.mass_sealed_g),
        "mass_received": _mass(one.mass_received_g),
        "journey": [
            {"stage": step.stage, "at": step.at, "who": who, "mass": _mass(step.mass_g),
             "reason": step.reason}
            for step, who in zip(steps, names[1:], strict=True)
        ],
    }  # fmt: skip


def _bags(request: HttpRequest) -> Any:
    return bags(actor_in(request)).prefetch_related("journey")


def bag_of(request: HttpRequest, key: Any) -> Bag:
    """The bag of a key, if it is the person's to see."""
    return found(_bags(request), pk=key)  # type: ignore[no-any-return]


@asked(bag, "/bags", BagPage, READ, "bag.see")
def bags_list(
    request: HttpRequest,
    q: Annotated[str, Query(max_length=20)] = "",
    stage: Literal["", "sealed", "shipped", "received", "refused"] = "",
    lot: Key | None = None,
    after: Key | None = None,
) -> Any:
    """Bags, newest first; ``q`` is the beginning of a code."""
    rows, code = _bags(request), searched({"q": q}, 20)
    rows = rows.filter(code__istartswith=code) if code else rows
    rows = rows.filter(stage=stage) if stage else rows
    rows = rows.filter(lot=lot_of(request, lot)) if lot else rows
    leaf = paged(rows, after)
    return {**leaf, "items": [shown(request, one) for one in leaf["items"]]}


@done(bag, "/bags", BagOut, WRITE, "bag.seal", made=True)
def bag_seal(request: HttpRequest, sent: Seal) -> Any:
    """Seal a bag; it gets the office's next code."""
    lot, at = lot_of(request, sent.lot), when("at", sent.at)
    made = actions.seal_bag(
        actor_in(request),
        lot,
        sent.facts.told(),
        at=at,
        laboratory=sent.laboratory,
        once=once_in(request),
    )
    return Status(MADE, shown(request, made))


@done(bag, "/bags/ship", BagList, WRITE, "bag.ship")
def bags_ship(request: HttpRequest, sent: Ship) -> Any:
    """Ship several sealed bags together: all of them, or none."""
    keys = list(dict.fromkeys(sent.bags))
    held = list(_bags(request).filter(pk__in=keys).order_by("number"))
    if len(held) != len(keys):
        raise Http404
    at, once = when("at", sent.at), once_in(request)
    actions.ship_bags(actor_in(request), held, at=at, who=sent.who, once=once)
    gone = _bags(request).filter(pk__in=keys).order_by("number")
    return {"items": [shown(request, one) for one in gone]}


@asked(bag, "/bags/{key}", BagOut, READ, "bag.see")
def bag_get(request: HttpRequest, key: Key) -> Any:
    """One bag, with who had it when."""
    return shown(request, bag_of(request, key))


@done(bag, "/bags/{key}/passed-on", BagOut, WRITE, "bag.see")
def bag_pass_on(request: HttpRequest, key: Key, sent: PassOn) -> Any:
    """Ship a bag, or receive or refuse it."""
    actions.pass_on(
        actor_in(request),
        bag_of(request, key),
        Stage(sent.stage),
        at=when("at", sent.at),
        who=sent.who.strip() or str(actor_in(request).person),
        mass_g=None if sent.mass_g is None else _grams("mass_g", sent.mass_g),
        reason=sent.reason,
        once=once_in(request),
    )
    return shown(request, bag_of(request, key))


@done(bag, "/bags/{key}/swap", BagList, WRITE, "bag.swap")
def bag_swap(request: HttpRequest, key: Key, sent: Swap) -> Any:
    """Two bags whose labels were mixed up exchange their lots."""
    one, other = bag_of(request, key), _coded(request, sent.other_code)
    actions.swap_bags(actor_in(request), one, other, reason=sent.reason, once=once_in(request))
    return {"items": [shown(request, bag_of(request, held.pk)) for held in (one, other)]}


def _coded(request: HttpRequest, typed: str) -> Bag:
    try:
        code = str(read_code(typed))
    except HaywrightError:
        raise Refused("other_code", typed, key="office.bag.not_ours") from None
    held = _bags(request).filter(code=code).first()
    if held is None:
        raise Refused("other_code", code, key="office.bag.not_ours")
    return held  # type: ignore[no-any-return]


@asked(bag, "/bags/{key}/label.pdf", "application/pdf", READ, "bag.see", pdf=True)
def bag_label_pdf(request: HttpRequest, key: Key) -> Any:
    """The label of a bag, on paper."""
    return bag_label(request, str(key))


@asked(bag, "/bags/{key}/slip.pdf", "application/pdf", READ, "bag.see", pdf=True)
def bag_slip_pdf(request: HttpRequest, key: Key) -> Any:
    """The submission slip of a bag, on paper."""
    return bag_slip(request, str(key))
