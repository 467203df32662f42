"""Operations of the stack: lots, what becomes of them, their heat and their history."""

from __future__ import annotations

from http import HTTPStatus
from typing import Annotated, Any

from django.http import Http404, HttpRequest
from django.utils import timezone
from ninja import Query, Router, Status

from haywright.measure.errors import Refused
from haywright.measure.units import convert
from haywright.office.api import stack_shapes as shapes
from haywright.office.api.door import asked, done, once_in
from haywright.office.api.kinds import Key, Priced, day, places, when
from haywright.office.api.problems import reader_for
from haywright.office.ledger.history import told
from haywright.office.ledger.models import Entry
from haywright.office.people.models import Office, Ranch
from haywright.office.people.policies import may_with, visible
from haywright.office.stack import actions
from haywright.office.stack.models import Lot
from haywright.office.stack.queries import PAGE, Asked, Turn, asked_for, lots, one_page
from haywright.office.web.pages import actor_in, found

MADE = int(HTTPStatus.CREATED)
stack = Router(tags=["stack"])
READ, WRITE = "stack:read", "stack:write"


def paged(rows: Any, after: Any) -> dict[str, Any]:
    """One page of rows, found by key.

    Parameters
    ----------
    rows
        All of them.
    after
        Key the page follows; ``None`` for the first.
    """
    leaf = one_page(rows, Turn(str(after or "")))
    return {"items": leaf.rows, "after": leaf.older}


def _lots(request: HttpRequest) -> Any:
    return lots(actor_in(request)).prefetch_related("came", "went", "sheets")


def lot_of(request: HttpRequest, key: Any) -> Lot:
    """The lot of a key, if it is the person's to see."""
    return found(_lots(request), pk=key)  # type: ignore[no-any-return]


@asked(stack, "/lots", shapes.LotPage, READ, "lot.see")
def lots_list(
    request: HttpRequest,
    q: Annotated[str, Query(max_length=100)] = "",
    crop: Annotated[str, Query(max_length=60)] = "",
    year: Annotated[int | None, Query(ge=1900, le=2200)] = None,
    state: Annotated[str, Query(max_length=10)] = "here",
    after: Key | None = None,
) -> Any:
    """Lots, newest first, with the filters of their page; ``state`` "all" for those gone too."""
    given = {"q": q, "crop": crop, "year": str(year or ""), "state": state}
    return paged(asked_for(_lots(request), Asked.of(given)), after)


@done(stack, "/lots/merge", shapes.LotOut, WRITE, "lot.merge", made=True)
def lot_merge(request: HttpRequest, sent: shapes.Merge) -> Any:
    """Stack several lots as one."""
    held = [lot_of(request, key) for key in dict.fromkeys(sent.lots)]
    if not held:
        raise Refused("lots", 0, key="office.lot.merge")
    on, once = day("on", sent.on), once_in(request)
    return Status(MADE, actions.merge_lots(actor_in(request), held, sent.name, on=on, once=once))


@asked(stack, "/lots/{key}", shapes.LotOut, READ, "lot.see")
def lot_get(request: HttpRequest, key: Key) -> Any:
    """One lot."""
    return lot_of(request, key)


@done(stack, "/lots", shapes.LotOut, WRITE, "lot.describe", made=True)
def lot_describe(request: HttpRequest, sent: shapes.Describe) -> Any:
    """Write down a new lot."""
    actor = actor_in(request)
    rows = visible(actor, "ranch.see", Ranch.objects.all(), ranch="pk")
    made = actions.describe_lot(
        actor,
        sent.facts.told(),
        ranch=found(rows, pk=sent.ranch) if sent.ranch else None,
        today=timezone.localdate(),
        seller=sent.seller,
        seller_paper=sent.seller_paper,
        once=once_in(request),
    )
    return Status(MADE, made)


@done(stack, "/lots/{key}", shapes.LotOut, WRITE, "lot.change", method="put")
def lot_replace(request: HttpRequest, key: Key, sent: shapes.Replace) -> Any:
    """Write a lot's form anew, unless somebody else saved it since."""
    lot = lot_of(request, key)
    return _changed(request, lot, sent.facts.told(), sent.version, sent.reason)


@done(stack, "/lots/{key}", shapes.LotOut, WRITE, "lot.change", method="patch")
def lot_change(request: HttpRequest, key: Key, sent: shapes.Change) -> Any:
    """Correct some facts of a lot, unless somebody else saved it since."""
    lot = lot_of(request, key)
    facts = {**lot.facts, **sent.facts.told()}
    kept = {name: one for name, one in facts.items() if one is not None}
    return _changed(request, lot, kept, sent.version, sent.reason)


def _changed(
    request: HttpRequest, lot: Lot, facts: dict[str, Any], version: int, reason: str
) -> Lot:
    return actions.change_lot(
        actor_in(request),
        lot,
        facts,
        today=timezone.localdate(),
        version=version,
        reason=reason,
        once=once_in(request),
    )


@done(stack, "/lots/{key}/split", shapes.LotList, WRITE, "lot.split")
def lot_split(request: HttpRequest, key: Key, sent: shapes.Split) -> Any:
    """Divide a lot into named lots that together hold all its bales."""
    parts = [(one.name, one.bales) for one in sent.parts]
    lot, on = lot_of(request, key), day("on", sent.on)
    return {"items": actions.split_lot(actor_in(request), lot, parts, on=on, once=once_in(request))}


@done(stack, "/lots/{key}/sold", shapes.LotOut, WRITE, "lot.sell")
def lot_sell(request: HttpRequest, key: Key, sent: shapes.Sell) -> Any:
    """Bales of a lot were sold; answers with what is left."""
    actor, lot, price = actor_in(request), lot_of(request, key), None
    if sent.price_per_short_ton is not None:
        price = paid("price_per_short_ton", sent.price_per_short_ton, lot.office)
    on, once = day("on", sent.on), once_in(request)
    actions.sell_from(actor, lot, sent.bales, on=on, buyer=sent.buyer, price=price, once=once)
    return lot_of(request, key)


def paid(field: str, price: Priced, office: Office) -> Any:
    """An amount of money in the office's currency.

    Parameters
    ----------
    field
        Where it was sent.
    price
        The amount, with its currency.
    office
        Whose currency counts.
    """
    if price.currency != office.currency:
        where = f"{field}.currency"
        raise Refused(where, price.currency, office.currency, key="office.api.currency")
    held = places(f"{field}.amount", price.amount, 2)
    most = 10_000_000
    if not 0 <= held < most:
        raise Refused(f"{field}.amount", held, f"0 to {most}", key="office.api.range")
    return held


@done(stack, "/lots/{key}/carried-over", shapes.LotOut, WRITE, "lot.change", made=True)
def lot_carry(request: HttpRequest, key: Key, sent: shapes.Carry) -> Any:
    """What is left of a lot goes into another hay year, as a lot that is not tested yet."""
    lot, on, once = lot_of(request, key), day("on", sent.on), once_in(request)
    carried = actions.carry_lot(
        actor_in(request), lot, sent.bales, year=sent.year, on=on, once=once
    )
    return Status(MADE, carried)


@done(stack, "/lots/{key}/fed-up", shapes.LotOut, WRITE, "lot.change", body=False)
def lot_fed(request: HttpRequest, key: Key) -> Any:
    """A lot was fed to the last bale."""
    return actions.feed_up(actor_in(request), lot_of(request, key), once=once_in(request))


@done(stack, "/lots/{key}/heat", shapes.HeatOut, WRITE, "lot.heat", made=True)
def lot_heat(request: HttpRequest, key: Key, sent: shapes.Heat) -> Any:
    """Write down the heat inside a bale."""
    given = sent.temperature
    value = given.value
    if given.unit == "degF":
        value = type(value)(repr(round(convert(float(value), "degF", "degC"), 1)))
    elif given.unit != "degC":
        accepted = "degC, degF"
        raise Refused("temperature.unit", given.unit, accepted, key="office.api.unit")
    celsius = places("temperature.value", value, 1)
    row = actions.take_temperature(
        actor_in(request),
        lot_of(request, key),
        celsius,
        at=when("at", sent.at),
        bale=sent.bale,
        once=once_in(request),
    )
    return Status(MADE, row)


@asked(stack, "/lots/{key}/heat", shapes.HeatPage, READ, "lot.see")
def heat_list(request: HttpRequest, key: Key, after: Key | None = None) -> Any:
    """Temperatures of a lot, as they were read."""
    return paged(lot_of(request, key).temperatures.all(), after)


@asked(stack, "/lots/{key}/history", shapes.EntryPage, READ, "history.see")
def lot_history(
    request: HttpRequest,
    key: Key,
    after: Annotated[int | None, Query(ge=1, le=2_000_000_000)] = None,
) -> Any:
    """What happened to a lot, when, by whom; ``after`` is the number a page follows."""
    lot = lot_of(request, key)
    if not may_with(actor_in(request), "history.see", lot):
        raise Http404
    rows = Entry.objects.filter(lot_id=lot.pk).order_by("-number")
    rows = rows.filter(number__lt=after) if after else rows
    held = list(rows[: PAGE + 1])
    more, held = len(held) > PAGE, held[:PAGE]
    says = told(held, reader_for(request))
    items = [{**_entry(one), "says": said} for one, said in zip(held, says, strict=True)]
    return {"items": items, "after": str(held[-1].number) if more else ""}


def _entry(one: Entry) -> dict[str, Any]:
    names = ("number", "at", "deed", "thing", "thing_id", "before", "after", "reason", "digest")
    return {name: getattr(one, name) for name in names}
