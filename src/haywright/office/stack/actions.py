"""What can happen to a lot: each deed with its permission, its rule, its write and its entry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

from haywright.measure.errors import Refused
from haywright.office.action import acting, unchanged
from haywright.office.ledger.chain import changed
from haywright.office.people.actor import Actor
from haywright.office.people.models import Office, Ranch
from haywright.office.people.policies import may, may_with
from haywright.office.stack.models import Kinship, Lot, State, Temperature
from haywright.office.way.pure import lot_from_facts
from haywright.sources.crops import crop
from haywright.stack.lot import storage

HEATS = (-60, 400)  # [degC] what a thermometer in a bale can read, frost and fire counted
_SHOWN = ("name", "ranch_id", "state", "bales", "facts")


def describe_lot(
    actor: Actor,
    facts: Mapping[str, Any],
    *,
    ranch: Ranch | None,
    today: date,
    seller: str = "",
    seller_paper: str = "",
    once: str = "",
) -> Lot:
    """Write down a new lot.

    Parameters
    ----------
    actor
        Who describes it.
    facts
        The lot's form, every amount with its unit.
    ranch
        Whose hay it is.
    today
        Day it is written down; the hay year where no day of baling is known.
    seller, seller_paper
        Of a lot bought in: who sold it, and the paper that came with it.
    once
        So that a form sent twice is one lot.
    """
    owner = ranch.pk if ranch else None
    with acting(
        actor, "lot.describe", allowed=may(actor, "lot.describe", owner), once=once
    ) as deed:
        _same_office(actor, ranch)
        columns = _columns(facts, today)
        _not_to_come(columns["baled_on"], today)
        lot = Lot.objects.create(
            office=deed.office,
            number=_next_number(deed.office.pk),
            ranch=ranch,
            facts=dict(facts),
            seller=seller,
            seller_paper=seller_paper,
            **columns,
        )
        deed.enter("lot", lot.pk, after=_held(lot), lot=lot.pk)
    return lot


def change_lot(
    actor: Actor,
    lot: Lot,
    facts: Mapping[str, Any],
    *,
    today: date | None = None,
    version: int | None = None,
    reason: str = "",
    once: str = "",
) -> Lot:
    """Correct what is written of a lot.

    Parameters
    ----------
    actor, lot, facts, once
        As in ``describe_lot``.
    today
        Day it is corrected; no day of baling after it is taken.
    version
        Of the page it was changed on; a lot somebody saved since is not overwritten.
    reason
        Why, for the history.
    """
    with acting(actor, "lot.change", allowed=may_with(actor, "lot.change", lot), once=once) as deed:
        held = Lot.objects.select_for_update().get(pk=lot.pk)
        unchanged(held, version)
        before = _held(held)
        columns = _columns(facts, held.made_at.date())
        if today is not None:
            _not_to_come(columns["baled_on"], today)
        if held.came.filter(kind=Kinship.Kind.CARRIED).exists():
            columns["hay_year"] = held.hay_year
        for name, value in columns.items():
            setattr(held, name, value)
        held.facts = dict(facts)
        held.version += 1
        held.save()
        was, now = changed(before, _held(held))
        deed.enter("lot", held.pk, before=was, after=now, lot=held.pk, reason=reason)
    return held


def split_lot(
    actor: Actor, lot: Lot, parts: Sequence[tuple[str, int]], *, on: date, once: str = ""
) -> list[Lot]:
    """Divide a lot into named lots that together hold all its bales.

    Parameters
    ----------
    actor, lot, once
        As in ``describe_lot``.
    parts
        Names and bales of the new lots.
    on
        Day it was done; results stay with the bales as they stood when they were cored.
    """
    with acting(actor, "lot.split", allowed=may_with(actor, "lot.split", lot), once=once) as deed:
        held = _here(lot)
        total = sum(bales for _, bales in parts)
        if len(parts) < 2 or any(bales < 1 for _, bales in parts) or total != held.bales:
            raise Refused("parts", total, str(held.bales), key="office.lot.parts")
        made = []
        for name, bales in parts:
            child = _copy(held, name, bales)
            Kinship.objects.create(kind="split", of=held, into=child, bales=bales, on=on)
            deed.enter("lot", child.pk, after=_held(child), lot=child.pk)
            made.append(child)
        _close(deed, held, State.SPLIT)
    return made


def merge_lots(actor: Actor, lots: Sequence[Lot], name: str, *, on: date, once: str = "") -> Lot:
    """Stack several lots as one; the first one's description is kept.

    Parameters
    ----------
    actor, once
        As in ``describe_lot``.
    lots
        At least two lots of one ranch and one crop.
    name
        Of the new lot.
    on
        Day it was done.
    """
    allowed = bool(lots) and all(may_with(actor, "lot.merge", one) for one in lots)
    with acting(actor, "lot.merge", allowed=allowed, once=once) as deed:
        held = [_here(one) for one in lots]
        if len({one.pk for one in held}) < 2 or len({(h.ranch_id, h.crop) for h in held}) > 1:
            raise Refused("lots", len(held), key="office.lot.merge")
        counted = [one.bales for one in held]
        total = sum(n for n in counted if n) if all(counted) else None
        merged = _copy(held[0], name, total)
        deed.enter("lot", merged.pk, after=_held(merged), lot=merged.pk)
        for one in held:
            Kinship.objects.create(kind="merged", of=one, into=merged, bales=one.bales, on=on)
            _close(deed, one, State.MERGED)
    return merged


def sell_from(
    actor: Actor,
    lot: Lot,
    bales: int,
    *,
    on: date,
    buyer: str = "",
    price: Decimal | None = None,
    once: str = "",
) -> Kinship:
    """Bales of a lot were sold; a lot sold out is closed.

    Parameters
    ----------
    actor, lot, once
        As in ``describe_lot``.
    bales
        How many went [count].
    on
        Day they went.
    buyer
        Who took them.
    price
        Price of a short ton as it stands [in the office's currency].
    """
    with acting(actor, "lot.sell", allowed=may_with(actor, "lot.sell", lot), once=once) as deed:
        held = _here(lot)
        if held.bales is None or not 1 <= bales <= held.bales:
            raise Refused("bales", bales, str(held.bales or ""), key="office.lot.sold")
        gone = Kinship.objects.create(
            kind="sold", of=held, bales=bales, on=on, buyer=buyer, price=price
        )
        before = _held(held)
        if bales == held.bales:
            held.state = State.SOLD
        else:
            held.bales -= bales
            held.facts = _restacked(held, held.bales)
        held.version += 1
        held.save()
        was, now = changed(before, _held(held))
        after = {**now, "sold": bales, "buyer": buyer, "price": price}
        deed.enter("lot", held.pk, before=was, after=after, lot=held.pk)
    return gone


def carry_lot(actor: Actor, lot: Lot, bales: int, *, year: int, on: date, once: str = "") -> Lot:
    """What is left of a lot goes into another hay year, as a lot that is not tested yet.

    Its bags and results stay with the lot they were taken from: they speak for the bales as they
    stood on the coring day.

    Parameters
    ----------
    actor, lot, once
        As in ``describe_lot``.
    bales
        How many are left [count].
    year
        The hay year they go into.
    on
        Day it was done.
    """
    with acting(actor, "lot.carry", allowed=may_with(actor, "lot.change", lot), once=once) as deed:
        held = _here(lot)
        if not held.hay_year < year <= on.year + 1:
            accepted = f"{held.hay_year + 1} – {on.year + 1}"
            raise Refused("year", year, accepted, key="office.lot.carry.year")
        if held.bales is None or not 1 <= bales <= held.bales:
            raise Refused("bales", bales, str(held.bales or ""), key="office.lot.carry.bales")
        carried = _copy(held, held.name, bales, stack=bales == held.bales, hay_year=year)
        Kinship.objects.create(kind=Kinship.Kind.CARRIED, of=held, into=carried, bales=bales, on=on)
        deed.enter("lot", carried.pk, after=_held(carried), lot=carried.pk)
        _close(deed, held, State.CARRIED)
    return carried


def feed_up(actor: Actor, lot: Lot, *, once: str = "") -> Lot:
    """Nothing is left of a lot: it was fed."""
    with acting(actor, "lot.fed", allowed=may_with(actor, "lot.change", lot), once=once) as deed:
        held = _here(lot)
        _close(deed, held, State.FED)
    return held


def take_temperature(
    actor: Actor, lot: Lot, celsius: Decimal, *, at: datetime, bale: str = "", once: str = ""
) -> Temperature:
    """The heat inside a bale.

    Parameters
    ----------
    actor, lot, once
        As in ``describe_lot``.
    celsius
        Temperature [degC].
    at
        When it was read.
    bale
        Which bale, in the words of who read it.
    """
    with acting(actor, "lot.heat", allowed=may_with(actor, "lot.heat", lot), once=once) as deed:
        least, most = HEATS
        if not least <= celsius <= most:
            accepted = f"{least} to {most}"
            raise Refused("celsius", celsius, accepted, key="office.lot.heat.range")
        row = Temperature.objects.create(
            lot=lot, celsius=celsius, taken_at=at, bale=bale, by=actor.person
        )
        after = {"celsius": celsius, "bale": bale, "taken_at": at}
        deed.enter("temperature", row.pk, after=after, lot=lot.pk)
    return row


def _columns(facts: Mapping[str, Any], today: date) -> dict[str, Any]:
    """What lists and rules need of a form; a form that is wrong is refused whole."""
    pure = lot_from_facts(facts)
    if not pure.name.strip():
        raise Refused("name", "", key="office.lot.name")
    packages = pure.packages
    weight = None if packages is None or packages.weight is None else packages.weight
    return {
        "name": pure.name.strip(),
        "field": pure.field,
        "form": pure.form,
        "crop": crop(pure.crops[0]).id,
        "cutting": pure.cutting,
        "hay_year": (pure.baled_on or pure.cut_on or today).year,
        "baled_on": pure.baled_on,
        "storage": pure.storage,
        "outdoors": bool(pure.storage) and storage(pure.storage).group == "outdoors",
        "purpose": pure.purpose,
        "bales": None if packages is None else packages.count,
        "mean_bale_kg": None if weight is None else Decimal(repr(round(weight, 3))),
        "suspect": bool(pure.suspects_nitrate()),
    }


def _not_to_come(baled_on: date | None, today: date) -> None:
    """Hay is baled before it is written down; a day's grace, for it is tomorrow somewhere."""
    if baled_on is not None and baled_on > today + timedelta(days=1):
        raise Refused("baled_on", baled_on, key="office.lot.to_come")


def _held(lot: Lot) -> dict[str, Any]:
    return {name: getattr(lot, name) for name in _SHOWN}


def _here(lot: Lot) -> Lot:
    held = Lot.objects.select_for_update().get(pk=lot.pk)
    if held.state != State.HERE:
        raise Refused("lot", held.name, key="office.lot.closed")
    return held


def _copy(lot: Lot, name: str, bales: int | None, *, stack: bool = False, **more: Any) -> Lot:
    facts = {**(lot.facts if stack else _restacked(lot, bales)), "name": name}
    return Lot.objects.create(
        office_id=lot.office_id,
        number=_next_number(lot.office_id),
        ranch_id=lot.ranch_id,
        facts=facts,
        seller=lot.seller,
        seller_paper=lot.seller_paper,
        **{**_columns(facts, lot.made_at.date()), **more},
    )


def _next_number(office: UUID) -> int:
    held = Office.objects.select_for_update().get(pk=office)
    held.next_lot += 1
    held.save(update_fields=["next_lot"])
    return held.next_lot - 1


def _restacked(lot: Lot, bales: int | None) -> dict[str, Any]:
    """A lot's form with another number of bales; the faces number bales of the old stack."""
    gone = ("faces", "field_parts", "unreached")
    held = {name: one for name, one in lot.facts.items() if name not in gone}
    if bales is not None and isinstance(held.get("bales"), dict):
        inside = {name: one for name, one in held["bales"].items() if name != "total"}
        if "total" in held["bales"] and lot.mean_bale_kg is not None:
            inside["weight"] = f"{lot.mean_bale_kg} kg"
        held["bales"] = {**inside, "count": bales}
    return held


def _close(deed: Any, lot: Lot, state: State) -> None:
    before = _held(lot)
    lot.state = state
    lot.version += 1
    lot.save()
    was, now = changed(before, _held(lot))
    deed.enter("lot", lot.pk, before=was, after=now, lot=lot.pk)


def _same_office(actor: Actor, ranch: Ranch | None) -> None:
    if ranch is not None and actor.office is not None and ranch.office_id != actor.office.pk:
        raise Refused("ranch", ranch.name, key="office.another_office")


def lot_key(text: str) -> UUID:
    """A key as it stands in an address, refused when it is none."""
    try:
        return UUID(text)
    except ValueError:
        raise Refused("lot", text, key="office.key") from None
