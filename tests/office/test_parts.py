"""Hay judged in parts, and how a plan becomes bags: nobody reads the good part for the whole."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from tests.office.conftest import CORED, OATS
from tests.office.programs import Program

PARTS = (("ridge", "1-20", 600), ("swale", "21-40", 5200), ("flat", "41-64", 2400))


def text(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


@pytest.fixture
def parted(cast):
    return split_in_parts(cast, OATS["name"])


def split_in_parts(cast, name):
    """A lot of three field parts, each with a bag and a nitrate of its own; the ridge last."""
    from haywright.office.bag.actions import seal_bag
    from haywright.office.bench.actions import type_report
    from haywright.office.stack.actions import describe_lot
    from haywright.sheet.typed import Laboratory

    actor = cast.actor("educator")
    parts = [{"name": one, "bales": bales} for one, bales, _ in PARTS]
    facts = {**OATS, "name": name, "field_parts": parts}
    lot = describe_lot(actor, facts, ranch=cast.ranch, today=date(2026, 8, 2))
    for part, bales, nitrate in reversed(PARTS):
        held = {"cored_on": "2026-09-08", "tests": ["dm", "nitrate"], "part": part,
                "bales": bales.split("-")[0]}  # fmt: skip
        bag = seal_bag(actor, lot, held, at=CORED)
        rows = ["dm=88 %", f"nitrate={nitrate} ppm NO3-N dry matter"]
        type_report(actor, lot, rows, profile=Laboratory(name="Plain laboratory"), bag=bag)
    return lot


def test_the_part_with_the_most_nitrate_stands_for_the_lot_and_every_part_has_its_sheet(
    cast, parted
):
    client = cast.client("rancher")
    page = client.get(reverse("lot", args=[parted.pk]))
    said = text(page)
    assert "3 parts are judged apart. Most nitrate: swale. Bred cows: do not feed" in said
    worst = parted.sheets.get(part="swale")
    html = page.content.decode()
    assert reverse("feed", args=[worst.pk]) in html
    for name, _, _ in PARTS:
        assert reverse("sheet", args=[parted.sheets.get(part=name).pk]) in html
    assert said.index("5,200 mg/kg") < said.index("2,400 mg/kg") < said.index("600 mg/kg")
    listed = text(client.get(reverse("lots")))
    assert "5,200 mg/kg NO3-N of dry matter in the highest of 3 parts" in listed
    assert "Over the office’s line." in listed


def test_a_bag_s_page_leads_to_the_sheet_of_its_own_part(cast, parted):
    for bag in parted.bags.all():
        own = parted.sheets.get(part=bag.part)
        page = cast.client("educator").get(reverse("bag", args=[bag.pk])).content.decode()
        assert reverse("sheet", args=[own.pk]) in page


def test_who_is_to_be_called_about_the_most_nitrate_stands_first(cast, parted):
    page = text(cast.client("educator").get(reverse("today")))
    first = page[page.index("CALL NOW") :]
    assert first.index("swale") < first.index("flat")


def test_hay_that_was_divided_says_so_and_its_parts_say_what_it_held(cast, lot, bag, sheet):
    from haywright.office.stack.actions import split_lot

    made = split_lot(cast.actor("educator"), lot, [("North", 30), ("South", 34)],
                     on=date(2026, 10, 1))  # fmt: skip
    client = cast.client("educator")
    old = client.get(reverse("lot", args=[lot.pk]))
    assert "This lot was divided. Its bales are in other lots now." in text(old)
    for one in made:
        assert reverse("lot", args=[one.pk]) in old.content.decode()
        new = client.get(reverse("lot", args=[one.pk]))
        assert reverse("lot", args=[lot.pk]) in new.content.decode()
        assert "1,120 mg/kg NO3-N" in text(new)


def test_a_number_amended_on_an_interim_sheet_is_called_amended(cast, lot):
    from haywright.office.bag.actions import seal_bag
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory

    actor, profile = cast.actor("educator"), Laboratory(name="Plain laboratory")
    facts = {"cored_on": "2026-09-08", "tests": ["dm", "cp", "nitrate"], "bales": "1-20"}
    bag = seal_bag(actor, lot, facts, at=CORED)
    rows = ["dm=88 %", "nitrate=1120 ppm NO3-N dry matter"]
    type_report(actor, lot, rows, profile=profile, bag=bag)
    first = lot.sheets.get().versions.get()
    assert first.interim
    assert not first.amended
    rows[1] = "nitrate=2120 ppm NO3-N dry matter"
    type_report(actor, lot, rows, profile=profile, bag=bag, reason="typed wrongly")
    second = lot.sheets.get().versions.get(number=2)
    assert second.amended
    page = text(cast.client("rancher").get(reverse("sheet", args=[lot.sheets.get().pk])))
    assert page.index("AMENDED") < page.index("do not feed")


def test_a_bag_is_sealed_with_the_bales_its_plan_drew(cast, lot):
    from haywright.office.stack.plan_view import Choices, make_plan
    from haywright.office.way.pure import pure_lot

    plan = make_plan(pure_lot(lot), Choices(), today=timezone.now().date())
    client = cast.client("educator")
    address = reverse("bag-new", args=[lot.pk])
    for n, planned in enumerate(plan.bags, 1):
        page = client.get(address).content.decode()
        assert f'value="{", ".join(map(str, planned.bales))}"' in page
        assert f"Bag {n} of {len(plan.bags)} by the plan." in page
        bales = re.search(r'name="bales" value="([^"]*)"', page)[1]
        sent = {"cored_on": "2026-09-08", "taken": "probe", "tests": ["nitrate"], "bales": bales}
        answer = client.post(address, {**sent, "once": str(n)}, follow=True)
        assert lot.bags.count() == n
        further = f"Seal bag {n + 1} of {len(plan.bags)}"
        assert (further in text(answer)) == (n < len(plan.bags))
        assert (f'href="{address}?"' in answer.content.decode()) == (n < len(plan.bags))
    assert "by the plan" not in client.get(address).content.decode()
    lot.bags.update(made_at=timezone.now() - timedelta(days=200))
    assert f"Bag 1 of {len(plan.bags)} by the plan." in client.get(address).content.decode()


def test_other_animals_are_asked_for_by_name_and_fed_as_much_as_they_want(cast, sheet):
    client = cast.client("rancher")
    address = reverse("feed", args=[sheet.pk])
    answer = client.get(address, {"group": "other"})
    assert answer.status_code == 422
    assert 'id="id_animals_error"' in answer.content.decode()
    assert "Say which animals." in text(answer)
    free = client.get(address, {"group": "other", "animals": "ewes"})
    assert free.status_code == 200
    assert "as much as they want" in text(free)


def test_a_program_is_told_which_part_stands_for_the_lot_and_what_nitrate_it_has(cast, parted):
    program = Program(cast, "rancher")
    worst = parted.sheets.get(part="swale")
    leading = {"sheet": str(worst.pk), "part": "swale", "parts": 3}
    assert program.get(f"/lots/{parted.pk}")["leading"] == leading
    (listed,) = program.get("/lots")["items"]
    assert listed["leading"] == leading
    told = program.get(f"/sheets/{worst.pk}")
    assert told["part"] == "swale"
    assert told["nitrate"] == {"value": 5200.0, "unit": "mg/kg NO3-N", "basis": "dry matter"}
    sheets = program.get(f"/sheets?lot={parted.pk}")["items"]
    found = {one["part"]: one["nitrate"]["value"] for one in sheets}
    assert found == {name: nitrate for name, _, nitrate in PARTS}
    assert {one["part"] for one in program.get("/bags")["items"]} == set(found)


def test_a_program_is_told_no_number_for_a_nitrate_beyond_the_range_of_the_method(cast, lot, bag):
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory

    program = Program(cast, "rancher")
    assert program.get(f"/lots/{lot.pk}")["leading"] is None
    rows = ["dm=88 %", "nitrate=>3180 ppm NO3-N dry matter"]
    type_report(cast.actor("educator"), lot, rows, profile=Laboratory(name="Plain"), bag=bag)
    leading = program.get(f"/lots/{lot.pk}")["leading"]
    assert (leading["part"], leading["parts"]) == ("", 1)
    assert program.get(f"/sheets/{leading['sheet']}")["nitrate"]["value"] is None


def test_a_list_of_lots_asks_a_program_s_office_no_more_the_more_parts_there_are(cast, parted):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    program = Program(cast, "educator")
    program.get("/lots")
    with CaptureQueriesContext(connection) as few:
        program.get("/lots")
    for k in range(3):
        split_in_parts(cast, f"More {k}")
    with CaptureQueriesContext(connection) as many:
        program.get("/lots")
    assert len(many) == len(few)
