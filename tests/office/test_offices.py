"""Somebody who belongs to two offices is in one of them at a time, everywhere."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

import pytest
from django.urls import reverse

from tests.office.test_rights import address_of, addresses, keys  # noqa: F401 - a fixture

# Pages of a thing of the office one is not in.
OF_A_THING = ("lot", "bag", "sheet", "ranch", "photo", "feed", "call", "member")
OPEN_TO_ALL = ("read", "way-in", "join", "yard-worker")


@pytest.fixture
def of_both(cast: Any) -> Any:
    """The educator, who also looks after the other office, in a browser."""
    from haywright.office.people.models import Membership, Office

    far = Office.objects.get(code="FAR")
    for role in ("educator", "office_admin"):
        Membership.objects.create(person=cast.people["educator"], office=far, role=role)
    return cast.client("educator")


def go_into(client: Any, code: str) -> None:
    from haywright.office.people.models import Office

    chosen = {"office": str(Office.objects.get(code=code).pk)}
    assert client.post(reverse("choose-office"), chosen)["Location"] == reverse("today")


def test_both_offices_are_offered_on_one_s_own_page_and_the_one_chosen_is_named(of_both):
    page = of_both.get(reverse("me")).content.decode()
    assert "Sedge County hay office" in page
    assert "Far County hay office" in page
    go_into(of_both, "FAR")
    page = of_both.get(reverse("today")).content.decode()
    assert '<span class="whose">Far County hay office</span>' in page


def test_what_is_the_other_office_s_is_not_there_while_one_is_in_this_one(of_both, keys):  # noqa: F811
    things = [
        (name, address_of(name, held, keys))
        for name, held in addresses().items()
        if held and name not in OPEN_TO_ALL and name.startswith(OF_A_THING)
    ]
    assert len(things) > 20
    here = {name: of_both.get(address).status_code for name, address in things}
    go_into(of_both, "FAR")
    for method in ("get", "post"):
        there = {name: getattr(of_both, method)(address).status_code for name, address in things}
        shown = {
            name: status
            for name, status in there.items()
            if status not in (HTTPStatus.NOT_FOUND, HTTPStatus.METHOD_NOT_ALLOWED)
        }
        assert not shown, shown
    go_into(of_both, "SDG")
    assert {name: of_both.get(address).status_code for name, address in things} == here


def test_lists_hold_this_office_s_things_alone(of_both, lot, bag, sheet):
    pages = [reverse(one) for one in ("today", "lots", "bags", "season", "ranches", "people")]
    assert any(lot.name in of_both.get(one).content.decode() for one in pages)
    go_into(of_both, "FAR")
    for one in pages:
        page = of_both.get(one).content.decode()
        for name in (lot.name, bag.code, "Juniper Flat", "Lab_Manager"):
            assert name not in page, (one, name)


def test_a_lot_described_in_the_other_office_is_the_other_office_s(of_both):
    from haywright.office.stack.models import Lot

    go_into(of_both, "FAR")
    told = {"name": "Far hay", "crop": "oats", "form": "cured_hay", "purpose": "feed"}
    told |= {"count": "10"}
    answer = of_both.post(reverse("lot-new"), told)
    assert answer.status_code == HTTPStatus.FOUND
    made = Lot.objects.get(name="Far hay")
    assert made.office.code == "FAR"
    assert of_both.get(reverse("lot", args=[made.pk])).status_code == HTTPStatus.OK
    go_into(of_both, "SDG")
    assert of_both.get(reverse("lot", args=[made.pk])).status_code == HTTPStatus.NOT_FOUND


def test_an_office_one_does_not_belong_to_cannot_be_chosen(cast, of_both):
    from haywright.office.people.models import Office

    other = Office.objects.create(name="Third County hay office", code="THI")
    for asked in (str(other.pk), "no key", ""):
        answer = of_both.post(reverse("choose-office"), {"office": asked})
        assert answer.status_code == HTTPStatus.NOT_FOUND
    assert "Third County" not in of_both.get(reverse("me")).content.decode()


def test_who_leaves_the_office_they_are_in_finds_themselves_in_the_other(cast, of_both):
    from django.utils import timezone

    from haywright.office.people.models import Membership

    go_into(of_both, "FAR")
    Membership.objects.filter(office__code="FAR", person=cast.people["educator"]).update(
        until=timezone.now()
    )
    page = of_both.get(reverse("today")).content.decode()
    assert '<span class="whose">Sedge County hay office</span>' in page


def test_a_program_s_key_opens_the_office_it_was_made_in_alone(cast, of_both, lot):
    from haywright.office.people.actor import actor_of
    from haywright.office.people.models import Office
    from haywright.office.people.tokens import make_token

    far = Office.objects.get(code="FAR")
    secret = make_token(actor_of(cast.people["educator"], str(far.pk)), "program", ["stack:read"])
    held = {"Authorization": f"Bearer {secret}"}
    assert of_both.get("/api/lots", headers=held).json()["items"] == []
    assert of_both.get(f"/api/lots/{lot.pk}", headers=held).status_code == HTTPStatus.NOT_FOUND
