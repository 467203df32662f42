"""The demo's scenario brought into an office of pages: invented lots, bags and results.

Everything goes through the same actions as on the pages; the results are those the bench works
out of the demo's readings.
"""

from __future__ import annotations

import json
import tomllib
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from typing import Any

from haywright.bag.codes import read_code
from haywright.bag.custody import Stage
from haywright.bench.panel import run_batches
from haywright.files.office import OfficeFolder, demo_folder, read_office
from haywright.office.bag.actions import pass_on, seal_bag
from haywright.office.bag.models import Bag
from haywright.office.bench.actions import receive_results
from haywright.office.people.actions import describe_ranch
from haywright.office.people.actor import Actor, actor_of
from haywright.office.people.models import Membership, Office, Person, Ranch, Role
from haywright.office.stack.actions import describe_lot
from haywright.office.stack.models import Lot


def bring_demo(office: Office, person: Person) -> None:
    """Fill an office with the demo; the person works in it in every role but the rancher's."""
    for role in (Role.EDUCATOR, Role.TECHNICIAN, Role.LAB_MANAGER, Role.OFFICE_ADMIN):
        Membership.objects.get_or_create(person=person, office=office, role=role)
    actor = actor_of(person, str(office.pk))
    folder, source = read_office(demo_folder()), demo_folder()
    ranches = {
        path.stem: _ranch(actor, path) for path in sorted((source / "ranches").glob("*.toml"))
    }
    lots = {
        path.stem: _lot(actor, path, ranches, folder)
        for path in sorted((source / "lots").glob("*.toml"))
    }
    for path in sorted((source / "bags").glob("*.toml"), key=_number):
        _bag(actor, office, path, lots, folder.batches[0].laboratory)
    reports = run_batches(folder.batches)
    receive_results(actor, [json.loads(json.dumps(one.to_json())) for one in reports])


def _number(path: Path) -> int:
    return read_code(path.stem).number


def _form(path: Path) -> dict[str, Any]:
    """A form as plain JSON values: days and instants as text."""
    held: dict[str, Any] = json.loads(json.dumps(tomllib.loads(path.read_text("utf-8")),
                                                 default=lambda one: one.isoformat()))  # fmt: skip
    return held


def _ranch(actor: Actor, path: Path) -> Ranch:
    form = _form(path)
    return describe_ranch(actor, form.pop("name"), form)


def _lot(actor: Actor, path: Path, ranches: dict[str, Ranch], folder: OfficeFolder) -> Lot:
    form = _form(path)
    ranch = ranches.get(form.pop("ranch", ""))
    form.setdefault("name", path.stem)
    form.pop("id", None)
    baled = folder.lots[path.stem].baled_on
    day = baled or min(one.run_on for one in folder.batches)
    return describe_lot(actor, form, ranch=ranch, today=day)


def _bag(actor: Actor, office: Office, path: Path, lots: dict[str, Lot], laboratory: str) -> Bag:
    form = _form(path)
    journey = form.pop("journey", [])
    lot = lots[form.pop("lot")]
    Office.objects.filter(pk=office.pk).update(next_bag=_number(path))
    mass = form.pop("mass_received_g", None)
    noon = datetime.combine(datetime.fromisoformat(form["cored_on"]).date(), time(12), UTC)
    sealed = datetime.fromisoformat(journey[0]["when"]) if journey else noon
    bag = seal_bag(actor, lot, form, at=sealed)
    for step in journey[1:]:
        weighed = step.get("mass_g") or (mass if step["stage"] == Stage.RECEIVED else None)
        bag = pass_on(
            actor,
            bag,
            Stage(step["stage"]),
            at=datetime.fromisoformat(step["when"]),
            who=step["who"],
            mass_g=None if weighed is None else _decimal(weighed),
            reason=step.get("reason", ""),
        )
    if not journey:
        shipped, received = sealed + timedelta(hours=2), sealed + timedelta(days=2)
        bag = pass_on(actor, bag, Stage.SHIPPED, at=shipped, who=office.name)
        weighed = None if mass is None else _decimal(mass)
        pass_on(actor, bag, Stage.RECEIVED, at=received, who=laboratory, mass_g=weighed)
    return bag


def _decimal(value: float) -> Any:
    from decimal import Decimal

    return Decimal(str(value))
