"""The day a paper report bears: hay somebody else had tested is as old as its paper."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from django.urls import reverse

from tests.office.conftest import CORED, TYPED
from tests.office.test_reports import PAPER

LABORATORY = "Plain laboratory"
SELLERS = date(2026, 8, 20)


def plain(answer) -> str:
    return answer.content.decode().replace("\N{NO-BREAK SPACE}", " ")


def kept(cast, lot, bag=None, *, dated: date | None, report: str = "") -> None:
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory

    type_report(cast.actor("educator"), lot, TYPED, profile=Laboratory(name=LABORATORY),
                bag=bag, dated=dated, report=report)  # fmt: skip


def test_hay_bought_with_a_paper_is_as_old_as_the_paper_and_not_as_its_typing(cast, lot):
    kept(cast, lot, dated=SELLERS, report="4471")
    since = (cast.office.day_of(datetime.now(UTC)) - SELLERS).days
    client = cast.client("educator")
    assert f"a report of 20 August 2026, {since} days ago" in plain(
        client.get(reverse("lot", args=[lot.pk]))
    )
    sheet = lot.sheets.get()
    assert f"{LABORATORY}, 4471 of 20 August 2026" in plain(
        client.get(reverse("sheet", args=[sheet.pk]))
    )
    assert "4471 of 20 August 2026" in plain(client.get(reverse("number", args=[sheet.pk, "cp"])))


def test_a_bag_that_waits_for_its_test_makes_the_seller_s_numbers_no_younger(cast, lot):
    from haywright.office.bag.actions import seal_bag

    kept(cast, lot, dated=SELLERS)
    facts = {"cored_on": "2026-09-08", "taken": "probe", "tests": ["dry matter", "nitrate"]}
    seal_bag(cast.actor("educator"), lot, facts, at=CORED)
    page = plain(cast.client("educator").get(reverse("lot", args=[lot.pk])))
    assert "One bag, cored 8 September 2026" in page
    assert "Its numbers are from a report of 20 August 2026" in page


def test_a_paper_without_a_day_is_said_to_have_none(cast, lot):
    kept(cast, lot, dated=None)
    page = plain(cast.client("educator").get(reverse("lot", args=[lot.pk])))
    assert "a report whose day nobody wrote down" in page


@pytest.mark.parametrize(
    ("of_bag", "days", "says"),
    [
        (True, -1, "is before bag"),
        (False, None, "is before the hay was baled, on 2 August 2026"),
        (False, 1, "is still to come"),
    ],
)
def test_a_day_no_report_of_this_hay_can_bear_is_refused_beside_its_field(
    cast, lot, bag, of_bag, days, says
):
    today = cast.office.day_of(datetime.now(UTC))
    never = {-1: bag.cored_on - timedelta(days=1), None: date(2026, 8, 1),
             1: today + timedelta(days=1)}[days]  # fmt: skip
    form = {**PAPER, "dated": str(never), "bag": str(bag.pk) if of_bag else "", "sure": "on"}
    answer = cast.client("educator").post(reverse("lot-report", args=[lot.pk]), form)
    assert answer.status_code == 422
    assert says in plain(answer)
    assert f'value="{never}"' in plain(answer)
    assert not lot.results.exists()


def test_what_is_no_day_is_refused_with_how_a_day_is_written(cast, lot, bag):
    form = {**PAPER, "dated": "14th of September", "bag": str(bag.pk), "sure": "on"}
    answer = cast.client("educator").post(reverse("lot-report", args=[lot.pk]), form)
    assert answer.status_code == 422
    assert "This is no day. Write year, month and day, such as 2026-09-14." in plain(answer)
    assert 'value="14th of September"' in plain(answer)
    assert not lot.results.exists()


def test_a_count_and_a_weight_that_are_none_are_refused_with_what_is_one(cast, lot):
    client = cast.client("educator")
    split = client.post(reverse("lot-split", args=[lot.pk]),
                        {"name_1": "North", "bales_1": "half", "name_2": "South"})  # fmt: skip
    assert "This is no whole number. Write figures alone, such as 64." in plain(split)
    weighed = {"cored_on": "2026-09-08", "taken": "probe", "mass_sealed_g": "heavy"}
    sealed = client.post(reverse("bag-new", args=[lot.pk]), weighed)
    assert "This is no number. Write figures alone, such as 210.5." in plain(sealed)
    assert not lot.bags.exists()


def test_a_corrected_number_is_still_of_the_day_its_report_bears(cast, lot, bag):
    from haywright.office.bench.actions import correct_result

    kept(cast, lot, bag, dated=date(2026, 9, 15))
    wrong = lot.results.get(analyte="cp")
    correct_result(cast.actor("educator"), wrong, "10.8 %", reason="two digits exchanged")
    right = lot.results.get(analyte="cp", replaced_by__isnull=True)
    assert right.whole["dated"] == "2026-09-15"


def test_a_program_types_the_day_and_reads_it_back(cast, lot, bag):
    from tests.office.programs import Program

    numbers = [{"quantity": "cp", "value": "9.6", "unit": "%", "basis": "dry matter"}]
    sent = {"laboratory": LABORATORY, "dated": "2026-09-15", "bag": str(bag.pk), "numbers": numbers}
    program = Program(cast, "educator")
    answer = program.ask("POST", f"/lots/{lot.pk}/reports", sent)
    assert answer.status_code == 201
    assert {one["dated"] for one in answer.json()["numbers"]} == {"2026-09-15"}
    assert [one["measured"]["dated"] for one in program.ask("GET", "/results").json()["items"]] == [
        "2026-09-15"
    ]
