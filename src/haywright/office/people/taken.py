"""Everything that is a person's: what is written of them, and of the ranches they own.

One archive (ZIP): ``my-data.json`` and a folder ``photos``. The JSON is one object.

person        name, email, phone, language, units, since when
belongs       one for each office: office, role, ranch, from and until when
ranches       each ranch of theirs: name and its form (herd groups, winter), as it was written
lots          each lot of these ranches, as described
kin           what of these lots was divided, stacked together or sold
temperatures  of bales of these lots, in degrees Celsius
photos        of these lots: name of the file in the folder, and what it shows
bags          of these lots: code, tests, weights in grams
journey       who had these bags when
results       of these lots: analyte, value, unit, basis, laboratory, as reported
sheets        every version of these lots' sheets, whole
notes         the educator's notes on these sheets
history       what happened to these lots: when, which deed, before and after, the reason
done          what the person did here: when and which deed

Keys that would name another person are left out. Instants are ISO 8601 in UTC, decimals are text.
"""

from __future__ import annotations

import io
import json
import zipfile
from datetime import datetime
from pathlib import Path
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db.models import Model, QuerySet

from haywright.office.bag.models import Bag, HandOver
from haywright.office.bench.models import Result
from haywright.office.ledger.chain import plain
from haywright.office.ledger.models import Entry
from haywright.office.people.actions import live
from haywright.office.people.actor import Actor
from haywright.office.people.models import Membership, Person, Ranch
from haywright.office.sheet.models import Note, Version
from haywright.office.stack.models import Kinship, Lot, Photo, Temperature

_OTHERS = {"by_id", "person_id", "released_by_id", "batch_id", "whole"}


def all_my_data_file(actor: Actor, *, at: datetime) -> bytes:
    """The archive of ``all_my_data`` with the photos beside it.

    Parameters
    ----------
    actor
        Whose data.
    at
        When it is taken.
    """
    found = all_my_data(actor)
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        stamp = at.timetuple()[:6]
        text = json.dumps(found, indent=1, ensure_ascii=False)
        archive.writestr(zipfile.ZipInfo("my-data.json", stamp), text)
        for one in found.get("photos", []):
            path = Path(settings.MEDIA_ROOT) / str(one["file"]).rpartition("/")[2]
            if path.is_file():
                archive.writestr(zipfile.ZipInfo(one["file"], stamp), path.read_bytes())
    return made.getvalue()


def all_my_data(actor: Actor) -> dict[str, Any]:
    """The person, and their ranches with every lot, bag, result and sheet, in every office."""
    person = actor.person
    if person is None:
        return {}
    memberships = Membership.objects.filter(person=person)
    ranches = list(live(memberships).exclude(ranch=None).values_list("ranch", flat=True))
    lots = list(Lot.objects.filter(ranch__in=ranches).values_list("pk", flat=True))
    found: dict[str, Any] = plain(
        {**_of_person(person, memberships), **_of_ranches(ranches, lots), **_of_lots(lots)}
    )
    return found


def _of_person(person: Person, memberships: QuerySet[Membership]) -> dict[str, Any]:
    own = ("name", "email", "phone", "language", "units", "made_at")
    return {
        "person": {name: getattr(person, name) for name in own},
        "belongs": list(
            memberships.order_by("made_at").values(
                "office__name", "role", "ranch__name", "made_at", "until"
            )
        ),
        "done": list(Entry.objects.filter(who=person.pk).order_by("at").values("at", "deed")),
    }


def _of_ranches(ranches: list[UUID], lots: list[UUID]) -> dict[str, Any]:
    return {
        "ranches": _rows(Ranch.objects.filter(pk__in=ranches)),
        "lots": _rows(Lot.objects.filter(pk__in=lots)),
        "kin": _rows(Kinship.objects.filter(of__in=lots)),
        "temperatures": _rows(Temperature.objects.filter(lot__in=lots)),
        "photos": [
            {"lot": one.lot_id, "file": f"photos/{one.pk}.{one.kind}", "shows": one.says}
            for one in Photo.objects.filter(lot__in=lots).order_by("pk")
        ],
    }


def _of_lots(lots: list[UUID]) -> dict[str, Any]:
    history = Entry.objects.filter(lot_id__in=lots).order_by("at", "number")
    return {
        "bags": _rows(Bag.objects.filter(lot__in=lots)),
        "journey": _rows(HandOver.objects.filter(bag__lot__in=lots)),
        "results": _rows(Result.objects.filter(lot__in=lots)),
        "sheets": list(
            Version.objects.filter(sheet__lot__in=lots)
            .order_by("pk")
            .values("sheet__number", "number", "made_at", "interim", "reason", "snapshot")
        ),
        "notes": _rows(Note.objects.filter(sheet__lot__in=lots)),
        "history": list(
            history.values("at", "deed", "thing", "lot_id", "before", "after", "reason")
        ),
    }


def _rows(rows: QuerySet[Any, Any]) -> list[dict[str, Any]]:
    model: type[Model] = rows.model
    fields = model._meta.concrete_fields  # noqa: SLF001 - Django's documented way to a model's fields
    names = [one.attname for one in fields if one.attname not in _OTHERS]
    return list(rows.order_by("pk").values(*names))
