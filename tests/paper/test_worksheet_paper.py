"""The printed worksheet can be worked from: the run in order, a box for every reading, cautions."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone

import pytest
from typer.testing import CliRunner

from haywright.bag.codes import BagCode
from haywright.bench.batch import Batch, PositionKind
from haywright.bench.pattern import determination, determinations
from haywright.bench.worksheet import Asked, run_order
from haywright.cli.bench import app
from haywright.paper.worksheet_paper import boxed, worksheet_data, worksheet_pdf
from haywright.words import Reader, say
from tests.paper.reading import reader, text_of

K = PositionKind
BAGS = [str(BagCode("HRN", n)) for n in range(1, 8)]


def laid_out(of="nitrate", by="", bags=BAGS, **asked):
    one = determination(of)
    by = by or next(iter(one.methods))
    order = run_order(one.method(by), bags, Asked(seed="night run", **asked))
    return Batch("2026-09-22-night", of, by, date(2026, 9, 22), order.positions,
                 ordered_by="complete", seed="night run")  # fmt: skip


def flat(text):
    return re.sub(r"\s+", " ", text.replace("\u00a0", " "))


def printed(batch, **more):
    return flat(text_of(worksheet_pdf(batch, Reader(), **more)))


def test_the_bags_stand_on_paper_in_the_order_of_the_run():
    batch = laid_out()
    text = printed(batch)
    found = re.findall(r"HRN-\d{4}-\d{2}", text)
    assert found == [p.sample for p in batch.positions if p.kind in (K.BAG, K.DUPLICATE)]
    assert "Nitrate: 7 bags, 17 places." in text
    assert "Seed “night run”" in text


@pytest.mark.parametrize("of", determinations())
def test_every_worksheet_carries_the_cautions_of_its_determination(of):
    text = printed(laid_out(of))
    for caution in determination(of).said_cautions():
        assert flat(say(caution)) in text
    assert "hygiene plan and the local rules for waste come first" in text


def test_a_nitrate_worksheet_minds_the_cadmium():
    assert "never for the drain" in printed(laid_out())


@pytest.mark.parametrize("of", determinations())
def test_every_reading_a_place_must_have_has_its_box_there(of):
    for by, method in determination(of).methods.items():
        batch = laid_out(of, by)
        columns = boxed(batch, method)
        rows = worksheet_data(batch, Reader())["run"]["table"]["rows"]
        for position, row in zip(batch.positions, rows, strict=True):
            for column, cell in zip(columns, row[4:-1], strict=True):
                wanted = position.kind in (*column.kinds, *column.may)
                assert ("box" in cell, "off" in cell) == (wanted, not wanted)
            assert "box" in row[3]
            assert "box" in row[-1]
        must = {c.name for c in method.columns if {p.kind for p in batch.positions} & {*c.kinds}}
        assert must <= {c.name for c in columns}


def test_a_box_says_what_goes_in_and_in_which_unit():
    text = printed(laid_out("ash"))
    for said in ("Empty crucible, g", "Portion weighed in, g", "Vessel no.", "Read at"):
        assert said in text


def test_signals_of_many_elements_are_left_to_the_instruments_own_table():
    text = printed(laid_out("minerals"))
    assert "Read by the instrument into its own table, not here: " in text
    assert "Selenium read" in text
    assert "Portion weighed in, g" in text


def test_equipment_stands_there_to_be_ticked():
    text = printed(laid_out("lignin"))
    for said in ("balance", "oven", "furnace", "Checked on", "Should be", "Was", "Run by"):
        assert said in text


def test_readings_that_are_there_already_are_printed_in_their_boxes():
    batch = laid_out("ash")
    first = next(one for one in batch.positions if one.kind is K.BAG)
    read = replace(
        first,
        readings={"crucible_g": 22.2487},
        read_at=datetime(2026, 9, 22, 23, 58, tzinfo=timezone(timedelta(hours=-6))),
    )
    known = replace(batch, positions=tuple(read if p is first else p for p in batch.positions))
    text = printed(known)
    assert "22.2487" in text
    assert "23:58" in text


def test_the_worksheet_fits_the_offices_paper():
    for paper, width in (("letter", 612), ("a4", 595)):
        (first, *_) = reader(worksheet_pdf(laid_out(), Reader(), paper=paper)).pages
        assert round(float(first.mediabox.width)) == width


def test_a_wide_table_is_printed_with_the_page_on_its_side():
    (first, *_) = reader(worksheet_pdf(laid_out("dry_matter", "two_stage"), Reader())).pages
    assert first.mediabox.width > first.mediabox.height


def test_nothing_on_the_worksheet_is_smaller_than_eight_and_a_half_points():
    sizes = []

    def seen(text, _, matrix, __, size):
        if text.strip():
            sizes.append(round(size * abs(matrix[0] or matrix[1]), 2))

    for page in reader(worksheet_pdf(laid_out("minerals"), Reader())).pages:
        page.extract_text(visitor_text=seen)
    assert min(sizes) >= 8.5


def test_the_same_run_gives_the_same_bytes_and_markup_in_a_name_stays_a_name():
    batch = replace(laid_out(), seed="#set page(width: 1cm) <x>", laboratory="*Bench* & [co]")
    assert worksheet_pdf(batch, Reader()) == worksheet_pdf(batch, Reader())
    text = printed(batch)
    assert "#set page(width: 1cm) <x>" in text
    assert "*Bench* & [co]" in text


def test_the_command_prints_what_it_lays_out(tmp_path):
    folder, pdf = tmp_path / "office" / "batches" / "2026-09-22-ash", tmp_path / "sheet.pdf"
    named = [word for code in BAGS for word in ("--bag", code)]
    asked = ["--of", "ash", "--by", "furnace", *named, "--pdf", str(pdf), "--paper", "a4"]
    done = CliRunner().invoke(app, ["worksheet", str(folder), *asked, "--json"])
    assert done.exit_code == 0, done.output
    said = json.loads(done.stdout)
    order = [p["sample"] for p in said["positions"] if p["kind"] in ("bag", "duplicate")]
    assert re.findall(r"HRN-\d{4}-\d{2}", text_of(pdf.read_bytes())) == order
