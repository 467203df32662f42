"""A nitrate above what the laboratory could read is never shown as the number it is above."""

from __future__ import annotations

from django.urls import reverse

from tests.office.conftest import OATS, TYPED
from tests.office.test_parts import split_in_parts
from tests.office.test_sheet_pages import text

LINE = 1000  # of the office, mg/kg NO3-N of dry matter


def found(cast, lot, nitrate, bag=None):
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory

    rows = [one for one in TYPED if not one.startswith("nitrate")]
    rows.append(f"nitrate={nitrate} ppm NO3-N dry matter")
    profile = Laboratory(name="Plain laboratory")
    type_report(cast.actor("educator"), lot, rows, profile=profile, bag=bag)
    return lot.sheets.get()


def test_hay_above_the_range_is_above_on_lists_and_on_the_call_and_over_the_line(cast, lot, bag):
    sheet = found(cast, lot, ">900", bag)
    client = cast.client("educator")
    for page in ("lots", "today"):
        said = text(client.get(reverse(page)))
        assert "above 900 mg/kg NO3-N of dry matter, sheet of" in said
        assert "Over the office’s line" in said
    said = text(client.get(reverse("call", args=[sheet.pk])))
    assert (
        f"The bag says above 900 mg/kg NO3-N of dry matter; the office calls from {LINE:,}" in said
    )


def test_hay_under_the_least_that_can_be_read_is_under_it_and_nobody_is_called(cast, lot, bag):
    found(cast, lot, "<50", bag)
    said = text(cast.client("educator").get(reverse("lots")))
    assert "under 50.0 mg/kg NO3-N of dry matter, sheet of" in said
    assert "Over the office" not in said
    assert not lot.sheets.filter(to_call=True).exists()


def test_hay_under_a_limit_above_the_line_is_not_over_it(cast, lot, bag):
    sheet = found(cast, lot, "<1500", bag)
    said = text(cast.client("educator").get(reverse("lots")))
    assert "under 1,500 mg/kg NO3-N of dry matter" in said
    assert ("Over the office" in said) == sheet.to_call


def test_the_worst_of_several_parts_is_above_where_its_number_is_a_lower_end(cast):
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory

    lot = split_in_parts(cast, OATS["name"])
    worst = lot.sheets.order_by("nitrate").last()
    bag = lot.bags.get(part=worst.part)
    rows = ["nitrate=>4000 ppm NO3-N dry matter"]
    profile = Laboratory(name="Plain laboratory")
    type_report(cast.actor("educator"), lot, rows, profile=profile, bag=bag, reason="read again")
    worst.refresh_from_db()
    assert float(worst.nitrate) == 4000
    client = cast.client("educator")
    lead = text(client.get(reverse("lots")))
    assert "above 4,000 mg/kg NO3-N of dry matter in the highest of 3 parts" in lead
    assert "above 4,000 mg/kg NO3-N of dry matter" in text(
        client.get(reverse("lot", args=[lot.pk]))
    )
