"""What each role may do, and which rows it may see: one table for pages, API and exports.

A rancher sees their own ranch, an educator every ranch of the office, a technician bags without
the owner's name, an admin the office and its people. A buyer has no account.
"""

from __future__ import annotations

from typing import Any, TypeVar

from django.db.models import Model, Q, QuerySet

from haywright.office.people.actor import Actor
from haywright.office.people.models import Role

M = TypeVar("M", bound=Model)

R, E, T, L, A = (
    Role.RANCHER,
    Role.EDUCATOR,
    Role.TECHNICIAN,
    Role.LAB_MANAGER,
    Role.OFFICE_ADMIN,
)

# deed -> the roles that may do it; a rancher only with what is theirs.
MAY: dict[str, frozenset[Role]] = {
    "lot.see": frozenset({R, E, L, A}),
    "lot.describe": frozenset({R, E, A}),
    "lot.change": frozenset({R, E, A}),
    "lot.split": frozenset({R, E, A}),
    "lot.merge": frozenset({R, E, A}),
    "lot.sell": frozenset({R, E, A}),
    "lot.photo": frozenset({R, E, A}),
    "lot.heat": frozenset({R, E, A}),
    "owner.see": frozenset({R, E, L, A}),
    "plan.print": frozenset({R, E, A}),
    "bag.see": frozenset({R, E, T, L, A}),
    "bag.seal": frozenset({R, E, A}),
    "bag.ship": frozenset({R, E, A}),
    "bag.receive": frozenset({T, L}),
    "bag.swap": frozenset({E, L}),
    "result.see": frozenset({R, E, T, L, A}),
    "result.type": frozenset({R, E, A}),
    "result.receive": frozenset({L}),
    "result.correct": frozenset({E, L}),
    "batch.see": frozenset({E, T, L, A}),
    "batch.release": frozenset({L}),
    "sheet.see": frozenset({R, E, L, A}),
    "sheet.write": frozenset({E, L, A}),
    "sheet.note": frozenset({E}),
    "sheet.link": frozenset({R, E, A}),
    "sheet.call": frozenset({E, A}),
    "season.see": frozenset({E, L, A}),
    "season.export": frozenset({E, A}),
    "history.see": frozenset({R, E, L, A}),
    "person.invite": frozenset({E, A}),
    "person.end": frozenset({A}),
    "person.print_way_in": frozenset({E, A}),
    "person.change": frozenset({R, E, T, L, A}),
    "person.telephone": frozenset({E, A}),
    "ranch.see": frozenset({R, E, A}),
    "ranch.describe": frozenset({E, A}),
    "ranch.change": frozenset({R, E, A}),
    "office.change": frozenset({A}),
    "laboratory.change": frozenset({E, L, A}),
    "token.make": frozenset({R, E, L, A}),
    "data.take": frozenset({R, E, T, L, A}),
}


def may(actor: Actor, deed: str, ranch: Any = ...) -> bool:
    """Whether an actor may do a deed; with a ranch (or ``None``), to what belongs to it.

    Parameters
    ----------
    actor
        Who asks.
    deed
        A key of ``MAY``.
    ranch
        Key of the ranch the thing belongs to; left out for a thing of the whole office.
    """
    allowed = MAY[deed] & actor.roles
    if not allowed:
        return False
    if allowed == {R}:
        return ranch is ... or ranch in actor.ranches
    return True


def may_with(actor: Actor, deed: str, thing: Any) -> bool:
    """Whether an actor may do a deed to one thing of their own office."""
    if actor.office is None or thing.office_id != actor.office.pk:
        return False
    return may(actor, deed, ranch_of(thing))


def ranch_of(thing: Any) -> Any:
    """Key of the ranch a thing belongs to, through its lot where it has one."""
    if hasattr(thing, "ranch_id"):
        return thing.ranch_id
    return thing.lot.ranch_id if hasattr(thing, "lot_id") else getattr(thing, "pk", None)


def visible(actor: Actor, deed: str, rows: QuerySet[M], *, ranch: str = "ranch") -> QuerySet[M]:
    """The rows an actor may see: the same answer as ``may_with``, for a list.

    Parameters
    ----------
    actor, deed
        As in ``may``.
    rows
        Rows with an ``office``.
    ranch
        Lookup of the ranch they belong to.
    """
    allowed = MAY[deed] & actor.roles
    if actor.office is None or not allowed:
        return rows.none()
    mine = rows.filter(office_id=actor.office.pk)
    if allowed == {R}:
        return mine.filter(Q(**{f"{ranch}__in": actor.ranches}))
    return mine
