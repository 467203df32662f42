"""Every page answers those who may see it, and its numbers are those of the pure functions."""

from __future__ import annotations

import pytest
from django.urls import reverse


def test_the_whole_way_of_a_lot_answers_the_educator(cast, lot, bag, sheet):
    client = cast.client("educator")
    pages = [
        reverse("today"), reverse("lots"), reverse("lot-new"), reverse("bags"), reverse("season"),
        reverse("people"),
        *(reverse(name, args=[lot.pk]) for name in (
            "lot", "lot-change", "lot-plan", "bag-new", "lot-report", "lot-split", "lot-sell",
            "lot-heat", "lot-photo", "lot-merge")),
        reverse("bag", args=[bag.pk]),
        *(reverse(name, args=[sheet.pk]) for name in ("sheet", "feed", "call")),
    ]  # fmt: skip
    found = {address: client.get(address).status_code for address in pages}
    assert set(found.values()) == {200}, found


def test_the_sheet_on_the_page_says_the_numbers_of_the_pure_sheet(cast, lot, sheet):
    from haywright.office.way.pure import known
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader

    pure = known(lot).samples[0].sheet
    page = cast.client("educator").get(reverse("sheet", args=[sheet.pk])).content.decode()
    words = Speaker(Reader())
    for name in ("dm", "cp", "tdn", "nitrate_n", "rfv"):
        one = pure.get(name)
        assert one is not None
        assert words.value(one.estimate, name, unit=False) in page, name


@pytest.mark.parametrize("name", ["nobody", "neighbour", "stranger", "technician"])
def test_a_lot_of_somebody_else_is_not_there(cast, lot, name):
    answer = cast.client(name).get(reverse("lot", args=[lot.pk]))
    assert answer.status_code in (302, 403, 404)
    assert lot.name not in answer.content.decode()


def test_a_technician_sees_bags_without_the_owner_s_name(cast, lot, bag):
    page = cast.client("technician").get(reverse("bag", args=[bag.pk])).content.decode()
    assert bag.code in page
    assert lot.name not in page
    assert cast.ranch.name not in page


def test_the_verdict_counts_the_cleanest_other_hay_of_the_ranch(cast, lot, bag):
    from datetime import date

    from haywright.office.bench.actions import type_report
    from haywright.office.stack.actions import describe_lot
    from haywright.sheet.typed import Laboratory
    from tests.office.conftest import OATS, TYPED

    actor, lab = cast.actor("educator"), Laboratory(name="Plain laboratory")
    clean = describe_lot(
        actor, {**OATS, "name": "Clean hay", "crop": "bromegrass"}, ranch=cast.ranch,
        today=date(2026, 8, 2),
    )  # fmt: skip
    type_report(actor, clean, ["dm=88 %", "nitrate=90 ppm NO3-N dry matter"], profile=lab)
    type_report(actor, lot, TYPED, profile=lab, bag=bag)
    snapshot = lot.sheets.get().versions.get().snapshot
    assert 90 <= snapshot["clean_feed"] < 400  # one bag of unknown coring: a wide range
