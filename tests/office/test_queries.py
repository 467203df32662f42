"""What a page asks of the database does not grow with the office; what stands is never stale."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.core.cache import caches
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.office.conftest import CORED, OATS, TYPED

MOST = 25


def more_lots(cast, n):
    from haywright.office.bag.actions import seal_bag
    from haywright.office.bench.actions import type_report
    from haywright.office.stack.actions import describe_lot
    from haywright.sheet.typed import Laboratory

    actor, lab = cast.actor("educator"), Laboratory(name="Plain laboratory")
    for k in range(n):
        lot = describe_lot(actor, {**OATS, "name": f"Oats {k}"}, ranch=cast.ranch,
                           today=date(2026, 8, 2))  # fmt: skip
        facts = {"cored_on": "2026-09-08", "taken": "probe", "tests": ["nitrate"], "bales": "1-20"}
        bag = seal_bag(actor, lot, facts, at=CORED)
        if k % 2:
            type_report(actor, lot, TYPED, profile=lab, bag=bag)


def asked(client, address):
    """How many questions a page asks when it is made anew."""
    client.get(address)
    caches["pages"].clear()
    with CaptureQueriesContext(connection) as held:
        assert client.get(address).status_code == 200
    return len(held)


def test_no_page_asks_more_the_more_there_is(cast, lot, bag, sheet):
    client = cast.client("educator")
    pages = [reverse(one) for one in ("lots", "bags", "today", "season", "batches", "ranches")]
    pages += [reverse("lot", args=[lot.pk]), reverse("sheet", args=[sheet.pk]),
              reverse("feed", args=[sheet.pk]), reverse("bag", args=[bag.pk])]  # fmt: skip
    more_lots(cast, 5)
    few = {one: asked(client, one) for one in pages}
    more_lots(cast, 20)
    many = {one: asked(client, one) for one in pages}
    grown = {one: (few[one], many[one]) for one in pages if many[one] > few[one]}
    assert not grown
    assert max(many.values()) <= MOST, many


def test_a_page_that_stands_is_made_anew_by_any_deed(cast, lot, sheet):
    from haywright.office.stack.actions import change_lot

    client = cast.client("educator")
    address = reverse("lot", args=[lot.pk])
    before = client.get(address).content.decode()
    assert lot.name in before
    change_lot(cast.actor("rancher"), lot, {**lot.facts, "name": "Renamed oats"}, version=1)
    assert "Renamed oats" in client.get(address).content.decode()
    assert "Renamed oats" in client.get(reverse("lots")).content.decode()


@pytest.fixture
def stood(monkeypatch):
    """Of each page somebody looks at, whether it stood, and then whether each part of it did."""
    from haywright.office.web import standing

    asked, kept = [], standing.kept
    monkeypatch.setattr(
        standing, "kept", lambda key: asked[-1].append(key in caches["pages"]) or kept(key)
    )

    def look(client, pages):
        asked.clear()
        for one in pages:
            asked.append([])
            client.get(one)
        return list(asked)

    return look


def test_pages_of_a_lot_stand_through_deeds_on_other_hay_and_go_with_their_own(
    cast, lot, sheet, stood
):
    from haywright.office.people.actions import change_ranch
    from haywright.office.stack.actions import change_lot, describe_lot, split_lot

    client, actor = cast.client("educator"), cast.actor("educator")
    pages = [reverse("lots"), reverse("lot", args=[lot.pk]), reverse("sheet", args=[sheet.pk])]

    def stand():
        return [page for page, *_ in stood(client, pages)]

    day = date(2026, 8, 2)
    other = describe_lot(actor, {**OATS, "name": "Other oats"}, ranch=cast.ranch, today=day)
    stand()
    assert stand() == [True, True, True]
    change_lot(actor, other, {**other.facts, "name": "Far oats"}, version=1)
    assert stand() == [False, True, True]
    change_lot(actor, lot, {**lot.facts, "name": "Near oats"}, version=1)
    assert stand() == [False, False, False]
    change_ranch(cast.actor("office_admin"), cast.ranch, {"name": "Juniper Rim"})
    assert stand() == [False, False, False]
    part, _ = split_lot(actor, lot, [("North half", 32), ("South half", 32)], on=day)
    stand()
    change_lot(actor, part, {**part.facts, "name": "North end"}, version=part.version)
    assert stand() == [False, False, True]


def test_a_page_made_anew_keeps_the_parts_nobody_wrote_of(cast, lot, sheet, stood):
    from haywright.office.sheet.actions import write_note
    from haywright.office.stack.actions import change_lot, take_temperature

    client, actor = cast.client("educator"), cast.actor("educator")
    pages = [reverse("lot", args=[lot.pk]), reverse("sheet", args=[sheet.pk])]
    facts, stack, found = True, True, True
    stood(client, pages)
    assert stood(client, pages) == [[True, facts, stack], [True, found]]
    take_temperature(actor, lot, Decimal(31), at=datetime.now(UTC), bale="7")
    assert stood(client, pages) == [[False, facts, stack], [False, found]]
    write_note(actor, sheet, "Half of the day's feed.", read=1)
    assert stood(client, pages) == [[False, facts, stack], [False, not found]]
    change_lot(actor, lot, {**lot.facts, "name": "Near oats"}, version=1)
    assert stood(client, pages) == [[False, not facts, not stack], [False, found]]


def test_a_page_that_stands_is_one_person_s(cast, lot):
    address = reverse("lot", args=[lot.pk])
    assert cast.client("educator").get(address).status_code == 200
    assert cast.client("neighbour").get(address).status_code == 404
    assert cast.client("technician").get(address).status_code == 403
    rancher = cast.client("rancher").get(address).content.decode()
    assert f'href="{reverse("people")}"' not in rancher


def test_two_tabs_of_one_page_are_two_deeds(cast, lot):
    client = cast.client("educator")
    address = reverse("lot", args=[lot.pk])
    client.get(address)
    tabs = [re.findall(r'name="once" value="([^"]+)', client.get(address).content.decode())
            for _ in range(2)]  # fmt: skip
    assert tabs[0]
    assert len({*tabs[0], *tabs[1]}) == len(tabs[0]) + len(tabs[1])


def test_a_page_that_stands_speaks_the_person_s_units_at_once(cast, lot):
    client = cast.client("educator")
    address = reverse("lot", args=[lot.pk])
    assert "1,120 lb" in client.get(address).content.decode().replace("\xa0", " ")
    cast.people["educator"].units = "si"
    cast.people["educator"].save()
    assert "508 kg" in client.get(address).content.decode().replace("\xa0", " ")


@pytest.mark.parametrize("page", ["lots", "today"])
def test_who_left_the_office_sees_nothing_that_stands(cast, lot, page):
    from haywright.office.people.models import Membership

    client = cast.client("educator")
    client.get(reverse(page))
    Membership.objects.filter(person=cast.people["educator"]).delete()
    assert lot.name not in client.get(reverse(page)).content.decode()
