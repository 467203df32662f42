"""The operations, in the places they belong to: stack, bag, sheet."""

from __future__ import annotations

from contextlib import suppress
from http import HTTPStatus
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest
from django.utils import timezone
from ninja import NinjaAPI, Router, Status
from ninja.throttling import AuthRateThrottle

from haywright.bag.custody import Stage
from haywright.office.action import DoneAlready
from haywright.office.api import shapes
from haywright.office.api.door import Key, answers, once_of
from haywright.office.api.problems import refusals
from haywright.office.bag.actions import pass_on, seal_bag
from haywright.office.bag.queries import bags
from haywright.office.people.models import Ranch
from haywright.office.people.policies import visible
from haywright.office.sheet.queries import sheets
from haywright.office.stack import actions
from haywright.office.stack.queries import Asked, Turn, asked_for, lots, one_page
from haywright.office.web.pages import actor_in, found

MADE = HTTPStatus.CREATED
stack, bag, sheet = Router(tags=["stack"]), Router(tags=["bag"]), Router(tags=["sheet"])
LOTS = Key("stack:read", "lot.see")


def _page(rows: Any, after: UUID | None) -> dict[str, Any]:
    leaf = one_page(rows, Turn(str(after or "")))
    items, further = leaf.rows, leaf.older
    return {"items": items, "after": further}


@stack.get("/lots", response=answers(shapes.LotPage), auth=LOTS)
def lots_list(
    request: HttpRequest,
    q: str = "",
    crop: str = "",
    year: str = "",
    state: str = "here",
    after: UUID | None = None,
) -> Any:
    """Lots, with the filters of their page."""
    given = {"q": q, "crop": crop, "year": year, "state": state}
    return _page(asked_for(lots(actor_in(request)), Asked.of(given)), after)


@stack.get("/lots/{key}", response=answers(shapes.LotOut), auth=LOTS)
def lot_get(request: HttpRequest, key: UUID) -> Any:
    """One lot."""
    return found(lots(actor_in(request)), pk=key)


@stack.post("/lots", response=answers(shapes.LotOut, MADE), auth=Key("stack:write", "lot.describe"))
def lot_describe(request: HttpRequest, sent: shapes.Describe) -> Any:
    """Write down a new lot."""
    actor, today = actor_in(request), timezone.now().date()
    rows = visible(actor, "ranch.see", Ranch.objects.all(), ranch="pk")
    ranch = found(rows, pk=sent.ranch) if sent.ranch else None
    try:
        made = actions.describe_lot(
            actor, sent.facts, ranch=ranch, today=today, once=once_of(request)
        )
    except DoneAlready as done:
        made = found(lots(actor), pk=done.entry.thing_id)
    return Status(int(MADE), made)


@stack.put("/lots/{key}", response=answers(shapes.LotOut), auth=Key("stack:write", "lot.change"))
def lot_change(request: HttpRequest, key: UUID, sent: shapes.Change) -> Any:
    """Correct what is written of a lot, unless somebody else saved it since."""
    actor = actor_in(request)
    lot = found(lots(actor), pk=key)
    try:
        return actions.change_lot(
            actor, lot, sent.facts, version=sent.version, reason=sent.reason, once=once_of(request)
        )
    except DoneAlready:
        return found(lots(actor), pk=key)


@stack.post(
    "/lots/{key}/sold", response=answers(shapes.LotOut), auth=Key("stack:write", "lot.sell")
)
def lot_sell(request: HttpRequest, key: UUID, sent: shapes.Sell) -> Any:
    """Bales of a lot were sold; answers with what is left."""
    actor = actor_in(request)
    lot, once = found(lots(actor), pk=key), once_of(request)
    with suppress(DoneAlready):
        actions.sell_from(
            actor, lot, sent.bales, on=sent.on, buyer=sent.buyer, price=sent.price, once=once
        )
    return found(lots(actor), pk=key)


@stack.post(
    "/lots/{key}/heat", response=answers(shapes.LotOut), auth=Key("stack:write", "lot.heat")
)
def lot_heat(request: HttpRequest, key: UUID, sent: shapes.Heat) -> Any:
    """Write down the heat inside a bale."""
    actor = actor_in(request)
    lot, once = found(lots(actor), pk=key), once_of(request)
    with suppress(DoneAlready):
        actions.take_temperature(actor, lot, sent.celsius, at=sent.at, bale=sent.bale, once=once)
    return lot


@bag.get("/bags", response=answers(shapes.BagPage), auth=Key("bag:read", "bag.see"))
def bags_list(request: HttpRequest, after: UUID | None = None) -> Any:
    """Bags."""
    return _page(bags(actor_in(request)), after)


@bag.get("/bags/{key}", response=answers(shapes.BagOut), auth=Key("bag:read", "bag.see"))
def bag_get(request: HttpRequest, key: UUID) -> Any:
    """One bag."""
    return found(bags(actor_in(request)), pk=key)


@bag.post("/bags", response=answers(shapes.BagOut, MADE), auth=Key("bag:write", "bag.seal"))
def bag_seal(request: HttpRequest, sent: shapes.Seal) -> Any:
    """Seal a bag; it gets the office's next code."""
    actor = actor_in(request)
    lot, once = found(lots(actor), pk=sent.lot), once_of(request)
    try:
        made = seal_bag(actor, lot, sent.facts, at=sent.at, laboratory=sent.laboratory, once=once)
    except DoneAlready as done:
        made = found(bags(actor), pk=done.entry.thing_id)
    return Status(int(MADE), made)


@bag.post(
    "/bags/{key}/passed-on", response=answers(shapes.BagOut), auth=Key("bag:write", "bag.see")
)
def bag_pass_on(request: HttpRequest, key: UUID, sent: shapes.PassOn) -> Any:
    """Ship a bag, or receive or refuse it."""
    actor = actor_in(request)
    held, once = found(bags(actor), pk=key), once_of(request)
    try:
        return pass_on(
            actor,
            held,
            Stage(sent.stage),
            at=sent.at,
            who=sent.who,
            mass_g=sent.mass_g,
            reason=sent.reason,
            once=once,
        )
    except DoneAlready:
        return found(bags(actor), pk=key)


@sheet.get("/sheets", response=answers(shapes.SheetPage), auth=Key("sheet:read", "sheet.see"))
def sheets_list(request: HttpRequest, after: UUID | None = None) -> Any:
    """Test sheets."""
    return _page(sheets(request), after)


@sheet.get(
    "/sheets/{key}/versions/{number}",
    response=answers(shapes.VersionOut),
    auth=Key("sheet:read", "sheet.see"),
)
def sheet_version(request: HttpRequest, key: UUID, number: int) -> Any:
    """One version of a sheet, as it was frozen; 0 for the newest."""
    rows = found(sheets(request), pk=key).versions
    one = rows.filter(number=number).first() if number else rows.last()
    if one is None:
        raise Http404
    return one


def made() -> NinjaAPI:
    """The API; no page of documents, whose scripts the content security policy forbids."""
    api = NinjaAPI(
        title="Haywright",
        version="1",
        docs_url=None,
        urls_namespace="api",
        throttle=[AuthRateThrottle("10/s")],
    )
    for one in (stack, bag, sheet):
        api.add_router("", one)
    refusals(api)
    return api


api = made()
