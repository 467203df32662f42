"""The season: lots counted once, by crop and month of coring, over a line; taken along as files."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta

import duckdb
import openpyxl
import pytest
from django.urls import reverse

from tests.office.conftest import CORED, OATS

LINE = 1000


def lot_tested(cast, name, *nitrates, crop="oats", cored="2026-09-08"):
    """A lot with a bag for each nitrate [ppm NO3-N of dry matter]."""
    from haywright.office.bag.actions import seal_bag
    from haywright.office.bench.actions import type_report
    from haywright.office.stack.actions import describe_lot
    from haywright.sheet.typed import Laboratory

    actor = cast.actor("educator")
    lot = describe_lot(actor, {**OATS, "name": name, "crop": crop}, ranch=cast.ranch,
                       today=date(2026, 8, 2))  # fmt: skip
    for one in nitrates:
        facts = {"cored_on": cored, "tests": ["dm", "nitrate"], "bales": "1-20"}
        bag = seal_bag(actor, lot, facts, at=CORED)
        rows = ["dm=88 %", f"nitrate={one} ppm NO3-N dry matter"]
        type_report(actor, lot, rows, profile=Laboratory(name="Plain laboratory"), bag=bag)
    return lot


def seen(cast, line=LINE):
    from haywright.office.way.season import by_crop

    rows = by_crop(cast.actor("educator"), 2026, line)
    return {(one.crop, one.month): (one.tested, one.over) for one in rows}


def test_a_lot_of_three_bags_is_one_lot_and_its_highest_bag_counts(cast):
    lot_tested(cast, "Three bags", 200, 1400, 300)
    assert seen(cast) == {("oats", date(2026, 9, 1)): (1, 1)}


def test_lots_stand_by_crop_and_month_of_coring(cast):
    lot_tested(cast, "A", 200)
    lot_tested(cast, "B", 1000)
    lot_tested(cast, "C", 300, crop="triticale", cored="2026-08-30")
    assert seen(cast) == {
        ("oats", date(2026, 9, 1)): (2, 1),
        ("triticale", date(2026, 8, 1)): (1, 0),
    }
    assert seen(cast, 250)["oats", date(2026, 9, 1)] == (2, 1)
    assert seen(cast, 200)["oats", date(2026, 9, 1)] == (2, 2)


def test_a_result_below_its_limit_is_tested_and_not_over(cast):
    lot_tested(cast, "Clean", "<50")
    assert seen(cast) == {("oats", date(2026, 9, 1)): (1, 0)}


def test_a_result_beyond_the_range_may_be_over_and_counts_as_over(cast):
    lot_tested(cast, "High", ">900")
    assert seen(cast) == {("oats", date(2026, 9, 1)): (1, 1)}


def test_the_page_says_the_share_in_words_and_draws_the_crops(cast):
    lot_tested(cast, "A", 200)
    lot_tested(cast, "B", 1400)
    page = cast.client("educator").get(reverse("season"), {"year": "2026"}).content.decode()
    assert "2 lots tested for nitrate in 2026; 1 over the line." in page
    assert "50\xa0%" in page
    assert "September 2026" in page
    assert "<title>Lots tested for nitrate, by crop</title>" in page


@pytest.mark.parametrize(
    ("day", "year"), [("2026-09-01", 2026), ("2027-02-01", 2026), ("2027-04-01", 2027)]
)
def test_in_the_winter_the_season_is_that_of_the_hay_being_fed(day, year):
    from haywright.office.way.season import hay_year

    assert hay_year(date.fromisoformat(day)) == year


def test_turnaround_runs_from_sealing_to_the_first_whole_sheet(cast, sheet):
    from haywright.office.way.season import turnaround

    took = sheet.versions.first().made_at - CORED
    assert turnaround(cast.actor("educator"), 2026) == pytest.approx(took / timedelta(days=1))


def cells(kind, data, tmp_path):
    if kind == "csv":
        return [row[:2] for row in csv.reader(io.StringIO(data.decode("utf-8-sig")))]
    if kind == "xlsx":
        held = openpyxl.load_workbook(io.BytesIO(data)).active
        return [[str(one) for one in row[:2]] for row in held.iter_rows(values_only=True)]
    path = tmp_path / "season.parquet"
    path.write_bytes(data)
    found = duckdb.read_parquet(str(path))
    return [found.columns[:2], *([str(one) for one in row[:2]] for row in found.fetchall())]


@pytest.mark.parametrize("kind", ["csv", "xlsx", "parquet"])
@pytest.mark.parametrize("owners", ["yes", "no"])
def test_every_kind_of_file_holds_the_same_rows_and_owners_stay_out_on_request(
    cast, tmp_path, kind, owners
):
    lot = lot_tested(cast, "=1+1", 200)
    address = reverse("season-export", args=[kind])
    asked = {"year": "2026", "owners": owners}
    answer = cast.client("educator").get(address, asked)
    rows = cells(kind, answer.content, tmp_path)
    assert rows[0] == ["lot", "crop"]
    assert {row[1] for row in rows[1:]} == {"oats"}
    named = {row[0] for row in rows[1:]}
    assert named == (
        {str(lot.number)} if owners == "no" else {"'=1+1" if kind == "csv" else "=1+1"}
    )
    assert owners == "yes" or cast.ranch.name.encode() not in answer.content
