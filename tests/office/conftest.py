"""A shared cast: one office with its people and one lot, another office, and a stranger."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from difflib import unified_diff
from typing import Any

import pytest
from django.core.cache import caches

CORED = datetime(2026, 9, 8, 15, tzinfo=UTC)
TYPED = (
    "dm=88.4 %",
    "cp=9.6 % dry matter",
    "adf=38.2 % dry matter",
    "ndf=61.5 % dry matter",
    "nitrate=1120 ppm NO3-N dry matter",
)
OATS = {
    "name": "Lower oats",
    "crop": "oats",
    "field": "lower field",
    "baled_on": "2026-08-02",
    "events": ["hail"],
    "storage": "outside on the ground",
    "bales": {"count": 64, "package": "5x4", "weight": "1,120 lb"},
    "faces": [{"name": "South", "tiers": 4, "columns": 16}],
}


@dataclass
class Cast:
    """Who is there."""

    office: Any
    ranch: Any
    other_ranch: Any
    people: dict[str, Any] = field(default_factory=dict)

    def actor(self, name: str) -> Any:
        from haywright.office.people.actor import actor_of

        return actor_of(self.people[name])

    def client(self, name: str) -> Any:
        """A browser in which this person is signed in; "nobody" is not."""
        from django.test import Client

        client = Client()
        if name != "nobody":
            client.force_login(
                self.people[name], backend="django.contrib.auth.backends.ModelBackend"
            )
        return client


ROLES = ("rancher", "educator", "technician", "lab_manager", "office_admin")


_TOKENS = re.compile(r'(name="(?:once|csrfmiddlewaretoken)" value=")[^"]*')


@pytest.fixture(autouse=True)
def what_stands_is_what_would_be_made_anew(monkeypatch):
    """In every test each page that would be shown again is made anew, and must be the same."""
    from haywright.office.sheet import views
    from haywright.office.web import standing

    kept, stands, stale, paper = standing.kept, {}, [], views._paper

    def made_anew(key):
        if (html := kept(key)) is not None:
            stands[key] = html

    def compared(key, html):
        old, new = (_TOKENS.sub(r"\1", one) for one in (stands.pop(key, html), html))
        if old != new:
            stale.append("\n".join(unified_diff(old.split("<"), new.split("<"), lineterm="")))
        caches["pages"].set(key, html, standing.KEPT_SECONDS)

    def written_anew(*of):
        if paper(*of) != (now := paper.__wrapped__(*of)):
            stale.append(f"{paper(*of)}\n{now}")
        return now

    monkeypatch.setattr(views, "_paper", written_anew)
    monkeypatch.setattr(standing, "kept", made_anew)
    monkeypatch.setattr(standing, "keep", compared)
    yield
    assert not stale, "a page stood that speaks of something changed since:\n" + stale[0]


@pytest.fixture
def cast(db: None) -> Cast:
    from haywright.office.people.models import Membership, Office, Person, Ranch

    office = Office.objects.create(
        name="Sedge County hay office", code="SDG", phone="555 0100",
        call_name="Sedge veterinary practice", call_phone="555 0101",
    )  # fmt: skip
    far = Office.objects.create(name="Far County hay office", code="FAR")
    made = Cast(
        office,
        Ranch.objects.create(office=office, name="Juniper Flat"),
        Ranch.objects.create(office=office, name="Stone Corral"),
    )
    for role in ROLES:
        person = Person.objects.create_user(f"{role}@example.org", name=role.title())
        ranch = made.ranch if role == "rancher" else None
        Membership.objects.create(person=person, office=office, role=role, ranch=ranch)
        made.people[role] = person
    neighbour = Person.objects.create_user("neighbour@example.org", name="Neighbour")
    Membership.objects.create(
        person=neighbour, office=office, role="rancher", ranch=made.other_ranch
    )
    stranger = Person.objects.create_user("stranger@example.org", name="Stranger")
    Membership.objects.create(person=stranger, office=far, role="office_admin")
    Membership.objects.create(person=stranger, office=far, role="educator")
    made.people |= {"neighbour": neighbour, "stranger": stranger}
    return made


@pytest.fixture
def lot(cast: Cast) -> Any:
    from haywright.office.stack.actions import describe_lot

    return describe_lot(cast.actor("educator"), OATS, ranch=cast.ranch, today=date(2026, 8, 2))


@pytest.fixture
def bag(cast: Cast, lot: Any) -> Any:
    from haywright.office.bag.actions import seal_bag

    facts = {
        "cored_on": "2026-09-08",
        "taken": "probe",
        "tests": ["dry matter", "crude protein", "adf", "ndf", "nitrate"],
        "bales": "1-20",
        "mass_sealed_g": 210.0,
    }
    return seal_bag(cast.actor("educator"), lot, facts, at=CORED)


@pytest.fixture
def sheet(cast: Cast, lot: Any, bag: Any) -> Any:
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory

    type_report(
        cast.actor("educator"), lot, TYPED, profile=Laboratory(name="Plain laboratory"), bag=bag
    )
    return lot.sheets.get()
