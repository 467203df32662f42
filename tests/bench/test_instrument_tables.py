"""A batch whose signals come from an instrument's export: in order, or refused whole."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from haywright.bench.against_order import Difference, Place, mismatches
from haywright.cli.bench import app
from haywright.files.batches import read_batch
from haywright.files.office import demo_folder
from haywright.measure.errors import HaywrightError
from haywright.words import say

RUNNER = CliRunner()
DRY = "2026-09-14-dry-matter"
FLOW = "2026-09-14-nitrate"


class Bench:
    """An office in small whose nitrate signals were exported by the instrument."""

    def __init__(self, folder):
        self.office = folder
        for name in (DRY, FLOW):
            shutil.copytree(demo_folder() / "batches" / name, folder / "batches" / name)
        self.batch = folder / "batches" / FLOW
        with (self.batch / "readings.csv").open(newline="", encoding="utf-8") as stream:
            self.rows = list(csv.DictReader(stream))
        self.order(self.rows, without=("peak",))
        self.cups = [
            {"Cup": r["position"], "Name": r["sample"], "Rep": r["replicate"], "Height": r["peak"]}
            for r in self.rows
        ]
        self.name_table("run.csv", "flow")

    def order(self, rows, *, without=()):
        columns = [name for name in rows[0] if name not in without]
        with (self.batch / "readings.csv").open("w", newline="", encoding="utf-8") as stream:
            writer = csv.DictWriter(stream, columns, extrasaction="ignore")
            writer.writeheader()
            writer.writerows(rows)

    def name_table(self, file, columns):
        form = self.batch / "batch.toml"
        more = f'\n[[instrument_table]]\nfile = "{file}"\ncolumns = "{columns}"\n'
        form.write_text(form.read_text("utf-8") + more, "utf-8")

    def export(self, cups=None, *, head=("Flow run of 14 September", "Lamp 540 nm, 21 °C")):
        cups = self.cups if cups is None else cups
        lines = [*head, ";".join(cups[0])]
        lines += [";".join(str(v) for v in one.values()).replace(".", ",") for one in cups]
        # names such as "0.5 mg/L" are written with a comma too; they are put right here
        for one in cups:
            lines = [line.replace(one["Name"].replace(".", ","), one["Name"]) for line in lines]
        path = self.batch / "run.csv"
        path.write_bytes("\r\n".join([*lines, ""]).encode("cp1252"))
        return path

    def save(self, *more):
        columns = ("position=Cup", "sample=Name", "replicate=Rep", "peak=Height")
        options = [part for one in columns for part in ("--column", one)]
        return self("columns", "flow", *options, "--skip-rows", "2", *more)

    def look(self, *more):
        return self("table", str(self.batch / "run.csv"), "--columns", "flow", *more)

    def run(self):
        return self("run", str(self.batch), "--dry", str(self.office / "batches" / DRY))

    def __call__(self, command, *arguments):
        where = ("--office", str(self.office)) if command in ("columns", "table") else ()
        return RUNNER.invoke(app, [command, *arguments, *where])


@pytest.fixture
def bench(tmp_path):
    return Bench(tmp_path)


def swapped(cups, one, other):
    """The cups with two names exchanged, as if two cups stood in each other's place."""
    cups = [dict(cup) for cup in cups]
    for key in ("Name", "Rep"):
        cups[one - 1][key], cups[other - 1][key] = cups[other - 1][key], cups[one - 1][key]
    return cups


def refusals(folder):
    with pytest.raises(HaywrightError) as caught:
        read_batch(folder)
    return [say(one) for one in caught.value.messages()]


# --- as a technician does it


def test_a_batch_read_by_the_instrument_gives_what_the_same_readings_by_hand_give(bench, tmp_path):
    by_hand = read_batch(demo_folder() / "batches" / FLOW)
    bench.export()
    assert bench.save().exit_code == 0
    looked = bench.look("--batch", str(bench.batch))
    assert looked.exit_code == 0, looked.output
    assert "Every position agrees with the run order." in looked.output
    assert "decimal comma" in looked.output
    assert read_batch(bench.batch).positions == by_hand.positions
    assert bench.run().exit_code == 3  # one bag lies above the highest standard
    results = json.loads((bench.batch / "results.json").read_text("utf-8"))
    assert len(results["results"]) == 6


def test_looking_writes_nothing_and_answers_in_json(bench):
    bench.export()
    bench.save()
    before = sorted(path for path in bench.office.rglob("*"))
    found = json.loads(bench.look("--batch", str(bench.batch), "--json").output)
    assert sorted(path for path in bench.office.rglob("*")) == before
    assert (found["encoding"], found["delimiter"], found["header_row"]) == ("cp1252", ";", 3)
    assert [one["holds"] for one in found["understood"]] == [
        "position", "sample", "replicate", "peak",
    ]  # fmt: skip
    assert found["rows"][0]["readings"] == {"peak": 0.0176}
    assert found["problems"] == found["differences"] == []


def test_the_saved_form_is_shown_and_not_written_over(bench):
    bench.save()
    assert "Height of the peak: column “Height”" in bench("columns", "flow").output
    assert "flow" in bench("columns").output
    again = bench.save()
    assert (again.exit_code, "saved already" in again.stderr) == (2, True)
    assert bench.save("--replace", "--decimal", "comma").exit_code == 0
    assert 'decimal = "comma"' in (bench.office / "columns" / "flow.toml").read_text("utf-8")


@pytest.mark.parametrize(
    "options",
    [
        ("--column", "peak"),
        ("--column", "peek=Height"),
        ("--column", "position=1", "--column", "peak=2", "--unit", "sample_g=mg"),
        ("--column", "position=1", "--column", "peak=2", "--decimal", "dot"),
        ("--column", "position=1", "--column", "peak=2", "--delimiter", "x"),
    ],
)
def test_a_form_that_makes_no_sense_is_not_saved(bench, options):
    found = bench("columns", "odd", *options)
    assert (found.exit_code, found.exception.__class__) == (2, SystemExit)
    assert not (bench.office / "columns" / "odd.toml").exists()


# --- out of order


def test_two_cups_swapped_are_named_and_nothing_stored_changes(bench):
    bench.export()
    bench.save()
    bench.run()
    stored = (bench.batch / "results.json").read_bytes()
    bench.export(swapped(bench.cups, 10, 12))
    looked = bench.look("--batch", str(bench.batch))
    assert looked.exit_code == 2
    assert "Positions 10 and 12 are swapped" in looked.output
    ran = bench.run()
    assert (ran.exit_code, "Positions 10 and 12 are swapped" in ran.stderr) == (2, True)
    assert (bench.batch / "results.json").read_bytes() == stored


def test_a_standard_with_another_label_is_named(bench):
    cups = [dict(cup) for cup in bench.cups]
    cups[1]["Name"] = "5 mg/L"
    bench.export(cups)
    bench.save()
    (said,) = refusals(bench.batch)
    assert "the run order has 2 mg/L, the table 5 mg/L, which belongs at 3" in said


def test_missing_extra_and_repeated_cups_are_all_listed(bench):
    cups = [dict(cup) for cup in bench.cups]
    del cups[4]
    cups.append(dict(cups[0], Cup="40"))
    bench.export(cups)
    bench.save()
    said = refusals(bench.batch)
    assert len(said) == 2
    assert "Position 5 (20 mg/L) has no row" in said[0]
    assert "Position 40 (row 20, 0.5 mg/L) is not in the run order" in said[1]
    bench.export([*bench.cups, dict(bench.cups[0])])
    assert "position 1 was in row 4 already" in refusals(bench.batch)[0]


def test_a_bag_code_written_loosely_is_still_that_bag(bench):
    cups = [dict(cup, Name=cup["Name"].lower().replace("svh-", "svh ")) for cup in bench.cups]
    bench.export(cups)
    bench.save()
    assert len(read_batch(bench.batch).positions) == len(cups)


def test_another_portion_of_the_same_bag_is_told(bench):
    cups = [dict(cup) for cup in bench.cups]
    cups[15]["Rep"] = "1"
    bench.export(cups)
    bench.save()
    assert refusals(bench.batch)[0].endswith("the run order has portion 2, the table portion 1.")


# --- what the batch judges itself


def test_a_negative_signal_reaches_the_batch_and_is_not_lost(bench):
    bench.cups[15]["Height"] = "-0.0381"
    bench.export()
    bench.save()
    assert read_batch(bench.batch).positions[15].readings["peak"] == -0.0381


def test_a_cup_without_a_signal_holds_its_bag_and_only_that(bench):
    bench.cups[14]["Height"] = "void"
    bench.export()
    bench.save("--absent", "void")
    ran = bench.run()
    assert ran.exit_code == 3
    results = json.loads((bench.batch / "results.json").read_text("utf-8"))
    assert [one["bag"] for one in results["decision"]["held"]] == ["SVH-0036-13"]
    assert len(results["decision"]["released"]) == 4


@pytest.mark.parametrize("cell", ["NaN", "over", "0.3.1", "<0.05"])
def test_a_signal_that_is_no_number_is_refused_with_row_and_column(bench, cell):
    bench.cups[11]["Height"] = cell
    bench.export()
    bench.save()
    assert any("row 15, column Height" in one for one in refusals(bench.batch))


# --- several tables, none, and slips of the form


def test_weights_from_a_balance_join_the_signals_and_skip_the_standards(bench):
    bench.order(bench.rows, without=("peak", "sample_g"))
    weights = [(r["position"], r["sample_g"]) for r in bench.rows if r["sample_g"]]
    lines = ["No,Net [mg]", *(f"{n},{float(g) * 1000:.1f}" for n, g in weights)]
    (bench.batch / "weights.csv").write_text("\n".join(lines), "utf-8")
    bench.name_table("weights.csv", "balance")
    bench.export()
    bench.save()
    given = ("--column", "position=No", "--column", "sample_g=Net", "--unit", "sample_g=mg")
    assert bench("columns", "balance", *given).exit_code == 0
    by_hand = read_batch(demo_folder() / "batches" / FLOW).positions
    for one, other in zip(read_batch(bench.batch).positions, by_hand, strict=True):
        assert one.readings == pytest.approx(other.readings, rel=1e-12)


def test_a_reading_in_both_the_form_and_the_export_must_be_the_same(bench):
    bench.order(bench.rows)
    bench.export()
    bench.save()
    assert len(read_batch(bench.batch).positions) == len(bench.rows)
    bench.rows[9]["peak"] = "0.9999"
    bench.order(bench.rows)
    (said,) = refusals(bench.batch)
    assert "row 13, column peak" in said
    assert "0.9999" in said


def test_an_export_that_tells_the_kinds_needs_no_run_order(bench):
    for cup, row in zip(bench.cups, bench.rows, strict=True):
        cup |= {"Type": row["kind"], "Known": row["known_mg_per_l"], "Net": row["sample_g"]}
    bench.export()
    more = ("kind=Type", "known_mg_per_l=Known", "sample_g=Net")
    bench.save(*(part for one in more for part in ("--column", one)))
    (bench.batch / "readings.csv").unlink()
    found = read_batch(bench.batch).positions
    by_hand = read_batch(demo_folder() / "batches" / FLOW).positions
    assert [(p.order, p.kind, p.sample) for p in found] == [
        (p.order, p.kind, p.sample) for p in by_hand
    ]


def test_without_a_run_order_an_export_that_tells_no_kinds_is_refused(bench):
    bench.export()
    bench.save()
    (bench.batch / "readings.csv").unlink()
    assert "must tell the kind of each position" in refusals(bench.batch)[0]


def test_columns_that_nobody_saved_and_files_elsewhere_are_refused(bench):
    bench.export()
    assert "flow" in refusals(bench.batch)[0]
    bench.save()
    form = Path(bench.batch / "batch.toml")
    form.write_text(form.read_text("utf-8").replace('"run.csv"', '"../run.csv"'), "utf-8")
    assert any("in the batch’s folder" in one for one in refusals(bench.batch))


def test_a_reading_that_the_method_does_not_know_is_refused(bench):
    bench.export()
    columns = ("position=Cup", "sample=Name", "area=Height")
    bench("columns", "flow", *(part for one in columns for part in ("--column", one)))
    assert "area" in refusals(bench.batch)[0]


# --- the comparison itself

PLAN = [Place(n, f"cup {n}", 1) for n in range(1, 9)]


def kinds(found):
    return [(one.difference, one.positions) for one in found]


@given(st.permutations(range(8)))
def test_only_the_planned_order_itself_has_no_difference(order):
    read = [Place(n, PLAN[k].sample, 1, n + 1) for n, k in enumerate(order, 1)]
    found = mismatches(PLAN, read)
    wrong = {n for n, k in enumerate(order, 1) if n != k + 1}
    assert {n for one in found for n in one.positions} == wrong


@given(st.integers(1, 8), st.integers(1, 8))
def test_any_two_cups_swapped_are_told_as_one_swap(one, other):
    names = {n: PLAN[n - 1].sample for n in range(1, 9)}
    names[one], names[other] = names[other], names[one]
    found = mismatches(PLAN, [Place(n, name, 1, n) for n, name in names.items()])
    pair = (min(one, other), max(one, other))
    assert kinds(found) == ([] if one == other else [(Difference.SWAPPED, pair)])


@given(st.sets(st.integers(1, 8)), st.sets(st.integers(9, 20)))
def test_every_missing_and_every_extra_cup_is_told(gone, more):
    read = [one for one in PLAN if one.order not in gone] + [Place(n, "x") for n in sorted(more)]
    assert kinds(mismatches(PLAN, read)) == [
        *((Difference.MISSING, (n,)) for n in sorted(gone)),
        *((Difference.EXTRA, (n,)) for n in sorted(more)),
    ]


def test_rows_out_of_order_are_told_where_no_name_vouches_for_them():
    bare = [Place(n, row=n) for n in (1, 3, 2, 4, 5, 6, 7, 8)]
    assert kinds(mismatches(PLAN, bare)) == [(Difference.ORDER, (3, 2))]
    named = [Place(one.order, PLAN[one.order - 1].sample) for one in bare]
    assert kinds(mismatches(PLAN, named)) == []
