"""Batches of an office in small: what a form and a table may hold, and every slip by its place."""

from __future__ import annotations

import pytest

from haywright.bench.batch import PositionKind
from haywright.files.batches import read_batch
from haywright.measure.errors import HaywrightError

FORM = """
determination = "dry_matter"
method = "one_stage"
run_on = 2026-09-22
analyst = "K."

[choices]
drying_lab = "oven_105c_3h"

[[equipment]]
kind = "balance"
name = "analytical 1"
checked_on = 2026-09-22
checks = [[50.0, 50.0001]]
repeatability = 0.0001

[[check_material]]
name = "oat check"
lab_dm_pct = 92.4
assigned = { lab_dm = 92.4 }

[[void]]
position = 3
cause = "dish dropped"
"""
TABLE = """position,kind,sample,replicate,dish_g,dish_powder_g,dish_dry_g
1,check,oat check,,48.1032,50.1187,49.9651
2,bag,{bag},1,48.2210,50.2300,50.0800
3,duplicate,{bag},,48.5000,50.5100,50.3600
"""


@pytest.fixture
def bag():
    from haywright.bag.codes import BagCode

    return str(BagCode("HRN", 1))


@pytest.fixture
def folder(tmp_path, bag):
    def write(*, form=FORM, table=TABLE, encoding="utf-8"):
        (tmp_path / "batch.toml").write_text(form, encoding="utf-8")
        (tmp_path / "readings.csv").write_text(table.replace("{bag}", bag), encoding=encoding)
        return tmp_path

    return write


def refusals(folder):
    with pytest.raises(HaywrightError) as caught:
        read_batch(folder)
    return [str(one) for one in caught.value.messages()]


def test_a_folder_gives_its_batch_with_positions_in_the_order_of_the_run(folder, bag):
    batch = read_batch(folder())
    assert [one.kind for one in batch.positions] == [
        PositionKind.CHECK, PositionKind.BAG, PositionKind.DUPLICATE,
    ]  # fmt: skip
    assert batch.bags == (bag,)
    assert batch.positions[1].readings["dish_powder_g"] == 50.23
    assert batch.checks["oat check"].lab_dm == 92.4
    assert batch.voids == {3: "dish dropped"}
    assert batch.equipment[0].checks == ((50.0, 50.0001),)


def test_a_duplicate_is_the_second_portion_when_nothing_is_written(folder):
    assert [one.replicate for one in read_batch(folder()).positions] == [1, 1, 2]


def test_decimal_commas_and_a_byte_order_mark_read_the_same(folder, tmp_path):
    plain = read_batch(folder())
    comma = TABLE.replace(",", ";").replace(".", ",")
    again = read_batch(folder(table=comma, encoding="utf-8-sig"))
    assert [p.readings for p in again.positions] == [p.readings for p in plain.positions]


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ("48.2210", "forty", "row 3, column dish_g"),
        ("48.2210", "<48", "row 3, column dish_g"),
        ("48.2210", "nan", "row 3, column dish_g"),
        ("1,check", "0,check", "row 2, column position"),
        ("1,check", "1,chek", "row 2, column kind"),
        ("2,bag,{bag}", "2,bag,", "row 3, column sample"),
        ("2,bag,{bag}", "2,bag,HRN-7", "row 3, column sample"),
    ],
)
def test_a_slip_in_a_cell_is_named_by_row_and_column(folder, old, new, place):
    found = refusals(folder(table=TABLE.replace(old, new)))
    assert len(found) == 1
    assert place in found[0]


def test_every_slip_is_named_at_once(folder):
    table = TABLE.replace("48.2210", "x").replace("50.5100", "y").replace("dry_g", "dri_g")
    assert len(refusals(folder(table=table))) == 3


def test_a_word_nobody_knows_is_refused_with_its_neighbours(folder):
    found = refusals(folder(form=FORM.replace('"dry_matter"', '"dry_mater"')))
    assert "dry_matter" in found[0]
    assert refusals(folder(form=FORM.replace("run_on", "run_at")))
    assert refusals(folder(form=FORM.replace('"one_stage"', '"three_stage"')))


def test_the_same_portion_twice_is_refused(folder):
    assert refusals(folder(table=TABLE.replace("3,duplicate,{bag},", "3,duplicate,{bag},1")))


def test_a_missing_table_an_empty_one_and_a_binary_one_are_refused(folder):
    where = folder()
    for content in (b"", b"\x00\x01\x02", None):
        path = where / "readings.csv"
        path.unlink(missing_ok=True)
        if content is not None:
            path.write_bytes(content)
        assert refusals(where)


def test_a_table_beyond_the_row_limit_is_refused(folder):
    assert refusals(folder(table=TABLE + "4,blank,empty,,,,\n" * 3000))
