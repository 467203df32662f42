"""A search finds what reading every lot would find, wherever in the list it stands."""

from __future__ import annotations

from datetime import date
from urllib.parse import parse_qs

import pytest
from django.db.models import Exists, OuterRef, Q
from django.urls import reverse

from tests.office.conftest import CORED, OATS

NAMES = ("Lower oats", "Upper OATS", "Brome, 100% clean", "O_ats", "Zacate é Ñandú", 'Say "hay"',
         "A'B -- barley", "Oat")  # fmt: skip
TEXTS = ("oats", "OATS", "at", "o", "%", "100%", "_", 'say "hay"', "'b --", "Ñandú", "lower",
         "field", "SDG", "sdg-", "SDG-0001", "sdg-00", "sdg-0002-", "nothing like it", "SD", "*",
         "name:oat", "oats OR brome")  # fmt: skip


@pytest.fixture(params=[1, 500], ids=["by index", "among the newest"])
def near(request, monkeypatch):
    """Both ways a search goes: an index asked after one row, or all rows read."""
    from haywright.office.stack import sought

    monkeypatch.setattr(sought, "NEAR", request.param)


@pytest.fixture
def many(cast):
    from haywright.office.bag.actions import seal_bag
    from haywright.office.stack.actions import describe_lot

    actor = cast.actor("educator")
    for n in range(64):
        facts = {**OATS, "name": f"{NAMES[n % len(NAMES)]} {n}", "field": f"Field {n % 5}"}
        lot = describe_lot(actor, facts, ranch=cast.ranch, today=date(2026, 8, 2))
        if n % 3 == 0:
            told = {"cored_on": "2026-09-08", "taken": "probe", "tests": ["nitrate"]}
            seal_bag(actor, lot, told, at=CORED)


def read_through(actor, text):
    """What a search found by reading every lot: part of a name or field, or how a code begins."""
    from haywright.office.bag.models import Bag
    from haywright.office.stack.queries import lots

    coded = Bag.objects.filter(lot=OuterRef("pk"), code__istartswith=text)
    rows = lots(actor).filter(Q(name__icontains=text) | Q(field__icontains=text) | Exists(coded))
    return list(rows.order_by("-id"))


def found_by(actor, text):
    """What a search finds, page by page; each page turned back shows the one before it."""
    from haywright.office.stack.queries import Asked, Turn, asked_for, lots, one_page

    found, turn = [], Turn()
    while True:
        leaf = one_page(asked_for(lots(actor), Asked(q=text)), turn, 10)
        found += leaf.rows
        if not leaf.older:
            break
        turn = Turn(after=leaf.older)
    if leaf.newer:
        back = one_page(asked_for(lots(actor), Asked(q=text)), Turn(before=leaf.newer), 10)
        at = found.index(leaf.rows[0])
        assert back.rows == found[at - 10 : at], text
    return found


def test_a_search_finds_what_reading_every_lot_finds_page_by_page(cast, many, near):
    actor = cast.actor("educator")
    found = {text: found_by(actor, text) for text in TEXTS}
    assert found == {text: read_through(actor, text) for text in TEXTS}


def test_a_search_shows_nobody_a_lot_that_is_not_theirs(cast, many, near):
    page = cast.client("neighbour").get(reverse("lots"), {"q": "oats"}).content.decode()
    assert "oats" not in page.split("<table")[-1].lower() or "<table" not in page


def test_a_renamed_lot_is_found_by_its_new_name_only(cast, many, near):
    from haywright.office.stack.actions import change_lot
    from haywright.office.stack.models import Lot
    from haywright.office.stack.queries import Asked, Turn, asked_for, lots, one_page

    actor, lot = cast.actor("educator"), Lot.objects.order_by("id").first()
    change_lot(actor, lot, {**lot.facts, "name": "Quarry triticale"})
    for text, there in (("triticale", [lot]), (lot.name, [])):
        leaf = one_page(asked_for(lots(actor), Asked(q=text)), Turn())
        assert leaf.rows == there, text


def test_bags_are_found_by_the_beginning_of_their_code(cast, many, near):
    from haywright.office.bag.models import Bag

    client = cast.client("technician")
    for text in ("SDG", "sdg-0001", "sdg-00", "1", "%", "_"):
        answer = client.get(reverse("bags"), {"q": text})
        wanted = list(Bag.objects.filter(code__istartswith=text).order_by("-id"))
        assert answer.context["bags"] == wanted[:25], text
        assert parse_qs(answer.context["turn"]["older"]).get("q", [text]) == [text]
