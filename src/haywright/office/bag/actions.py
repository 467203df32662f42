"""What can happen to a bag: sealed, shipped, received or refused, and two of them exchanged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from haywright.bag.codes import BagCode
from haywright.bag.custody import HandOver as Step
from haywright.bag.custody import Stage, hand_over
from haywright.measure.errors import Refused
from haywright.office.action import acting, tell
from haywright.office.bag.models import Bag, HandOver
from haywright.office.ledger.chain import Deed, changed
from haywright.office.people.actor import Actor
from haywright.office.people.models import Office
from haywright.office.people.policies import may_with
from haywright.office.stack.models import Lot, State
from haywright.office.way.pure import bag_from_facts, pure_bag

_DEEDS = {
    Stage.SHIPPED: "bag.ship",
    Stage.RECEIVED: "bag.receive",
    Stage.REFUSED: "bag.receive",
}


def seal_bag(
    actor: Actor,
    lot: Lot,
    facts: Mapping[str, Any],
    *,
    at: datetime,
    laboratory: str = "",
    once: str = "",
) -> Bag:
    """Seal a bag of a lot: it gets the office's next code.

    Parameters
    ----------
    actor
        Who sealed it.
    lot
        What is in it.
    facts
        The bag's form: ``cored_on``, ``taken``, ``tests``, bales, mass.
    at
        When it was sealed.
    laboratory
        Where it is to go.
    once
        So that a form sent twice is one bag.
    """
    with acting(actor, "bag.seal", allowed=may_with(actor, "bag.seal", lot), once=once) as deed:
        if lot.state != State.HERE:
            raise Refused("lot", lot.name, key="office.lot.closed")
        office = Office.objects.select_for_update().get(pk=deed.office.pk)
        code = BagCode(office.code, office.next_bag)
        who = facts.get("sampler") or (actor.person.name if actor.person else office.name)
        held = {name: one for name, one in facts.items() if name not in ("lot", "journey", "code")}
        pure = bag_from_facts(str(code), {**held, "lot": str(lot.number)})
        if pure.cored_on > office.day_of(at):
            raise Refused("cored_on", pure.cored_on, key="office.bag.not_yet")
        if lot.bales is not None and any(n > lot.bales for n in pure.bales):
            beyond = ", ".join(str(n) for n in sorted(pure.bales) if n > lot.bales)
            raise Refused("bales", beyond, key="office.bag.no_such_bale", bales=lot.bales)
        office.next_bag += 1
        office.save(update_fields=["next_bag"])
        bag = Bag.objects.create(
            office=office,
            lot=lot,
            code=str(code),
            number=code.number,
            cored_on=pure.cored_on,
            taken=pure.taken,
            part=pure.part,
            tests=list(pure.tests),
            bales_cored=pure.bales_cored,
            mass_sealed_g=_grams(pure.mass_sealed_g),
            sampler=pure.sampler,
            laboratory=laboratory,
            stage=Stage.SEALED,
            stage_at=at,
            facts=held,
        )
        HandOver.objects.create(
            bag=bag,
            stage=Stage.SEALED,
            at=at,
            who=who,
            person=actor.person,
            mass_g=bag.mass_sealed_g,
        )
        after = {"code": bag.code, "stage": bag.stage, "facts": held}
        deed.enter("bag", bag.pk, after=after, lot=lot.pk)
    return bag


def pass_on(
    actor: Actor,
    bag: Bag,
    stage: Stage,
    *,
    at: datetime,
    who: str,
    mass_g: Decimal | None = None,
    reason: str = "",
    once: str = "",
) -> Bag:
    """Ship a bag, or receive or refuse it.

    Parameters
    ----------
    actor, bag
        Who does it to which bag.
    stage
        What happens.
    at
        When.
    who
        Who has the bag from then on.
    mass_g
        What it weighed without its wrapping [g].
    reason
        Why it was refused.
    once
        So that a form sent twice is one hand-over.
    """
    allowed = stage in _DEEDS and may_with(actor, _DEEDS[stage], bag)
    with acting(actor, _DEEDS.get(stage, "bag.ship"), allowed=allowed, once=once) as deed:
        held = Bag.objects.select_for_update().get(pk=bag.pk)
        step = Step(stage, at, who, None if mass_g is None else float(mass_g), reason)
        _handed(deed, actor, held, step)
    return held


def ship_bags(
    actor: Actor, bags: Sequence[Bag], *, at: datetime, who: str, once: str = ""
) -> list[Bag]:
    """Ship several sealed bags together: all of them, or none.

    Parameters
    ----------
    actor, bags
        Who ships which bags.
    at
        When.
    who
        Who has them from then on.
    once
        So that a form sent twice is one shipment.
    """
    allowed = all(may_with(actor, "bag.ship", bag) for bag in bags)
    with acting(actor, "bag.ship", allowed=allowed, once=once) as deed:
        if not bags:
            raise Refused("bag", "", key="office.bag.none_chosen")
        keys = [bag.pk for bag in bags]
        held = list(Bag.objects.select_for_update().filter(pk__in=keys).order_by("id"))
        for one in held:
            _handed(deed, actor, one, Step(Stage.SHIPPED, at, who))
    return held


def _handed(deed: Deed, actor: Actor, bag: Bag, step: Step) -> None:
    hand_over(pure_bag(bag, bag.journey.all(), bag.lot).journey, step)
    mass = _grams(step.mass_g)
    HandOver.objects.create(
        bag=bag,
        stage=step.stage,
        at=step.when,
        who=step.who,
        person=actor.person,
        mass_g=mass,
        reason=step.reason,
    )
    was = {"stage": bag.stage}
    bag.stage, bag.stage_at = step.stage, step.when
    if step.stage is Stage.RECEIVED and mass is not None:
        bag.mass_received_g = mass
        bag.facts = {**bag.facts, "mass_received_g": float(mass)}
    bag.version += 1
    bag.save()
    after = {"stage": step.stage, "who": step.who, "mass_g": mass}
    deed.enter("bag", bag.pk, before=was, after=after, lot=bag.lot_id, reason=step.reason)


def swap_bags(actor: Actor, one: Bag, other: Bag, *, reason: str, once: str = "") -> None:
    """Exchange the lots of two bags whose labels were mixed up.

    Parameters
    ----------
    actor
        Who decides it.
    one, other
        The bags; what each holds belongs to the other's lot.
    reason
        How it came out; kept with both.
    once
        So that a form sent twice is one exchange.
    """
    allowed = all(may_with(actor, "bag.swap", bag) for bag in (one, other))
    with acting(actor, "bag.swap", allowed=allowed, once=once) as deed:
        if not reason.strip():
            raise Refused("reason", reason, key="office.reason")
        if one.lot_id == other.lot_id:
            raise Refused("bag", other.code, key="office.bag.same_lot")
        bags = [Bag.objects.select_for_update().get(pk=bag.pk) for bag in (one, other)]
        lots = [bags[1].lot, bags[0].lot]
        for bag, lot in zip(bags, lots, strict=True):
            _moved(deed, bag, lot, reason)
        for lot in lots:
            tell("results.changed", lot=lot, deed=deed, actor=actor, reason=reason)


def _moved(deed: Deed, bag: Bag, lot: Lot, reason: str) -> None:
    before = {"lot": bag.lot_id}
    bag.lot = lot
    bag.version += 1
    bag.save()
    was, now = changed(before, {"lot": lot.pk})
    deed.enter("bag", bag.pk, before=was, after=now, lot=lot.pk, reason=reason)


def _grams(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(repr(value))
