"""A batch from its files at the command line: what may be released, what not, and the exit code."""

from __future__ import annotations

import csv
import json

import pytest
from typer.testing import CliRunner

from haywright.cli.bench import app
from tests.bench.runs import BAG, DAY, LAB_DM, K, cup, nitrate

RUNNER = CliRunner()
FORM = """
determination = "nitrate"
method = "flow_injection"
run_on = 2026-09-22
laboratory = "Valley office"

[choices]
extractant = "acetic_acid_2pct"
extract_volume_ml = 30.0

[[equipment]]
kind = "balance"
name = "balance 1"
checked_on = 2026-09-22
checks = [[50.0, 50.0001]]
tolerance = 0.001

[[equipment]]
kind = "dispenser"
name = "bottle top 3"
checked_on = 2026-09-22
checks = [[30.0, 30.02]]

[[equipment]]
kind = "reagent"
name = "color reagent"
lot = "7"
expires = 2027-01-01

[[check_material]]
name = "oat check"
lab_dm_pct = 93.4
assigned = { nitrate_n = 900 }
between_runs = { nitrate_n = 30 }
"""
DRY = """
determination = "dry_matter"
method = "one_stage"
run_on = 2026-09-22

[choices]
drying_lab = "oven_105c_3h"

[[equipment]]
kind = "balance"
name = "balance 1"
checked_on = 2026-09-22
checks = [[50.0, 50.0001]]
tolerance = 0.001

[[equipment]]
kind = "oven"
name = "oven 2"
checked_on = 2026-09-22
checks = [[105.0, 104.5]]

[[check_material]]
name = "oat check"
assigned = { lab_dm = 92.0 }
between_runs = { lab_dm = 0.2 }
"""


def written(folder, form, positions):
    folder.mkdir()
    (folder / "batch.toml").write_text(form, encoding="utf-8")
    columns = list(dict.fromkeys(name for p in positions for name in p.readings))
    with (folder / "readings.csv").open("w", encoding="utf-8", newline="") as stream:
        table = csv.writer(stream)
        table.writerow(["position", "kind", "sample", "replicate", "attempt", *columns])
        for p in positions:
            cells = [p.readings.get(name, "") for name in columns]
            table.writerow([p.order, p.kind.value, p.sample, p.replicate, p.attempt, *cells])
    return folder


@pytest.fixture
def dry(tmp_path):
    from tests.bench.test_panel import dish

    tare, gross = 48.0, 50.0
    hay = tare + 2.0 * LAB_DM / 100
    rows = (
        dish(1, K.CHECK, "oat check", tare, gross, 49.84),
        dish(2, K.BAG, BAG, tare, gross, hay),
        dish(3, K.DUPLICATE, BAG, tare, gross, hay, replicate=2),
    )
    return written(tmp_path / "2026-09-22-dry-matter", DRY, rows)


def nitrate_folder(tmp_path, *samples, form=FORM):
    return written(tmp_path / "2026-09-22-nitrate", form, nitrate(*samples).positions)


def good():
    return (K.BAG, BAG, cup(800.0)), (K.DUPLICATE, BAG, cup(805.0), 2)


def test_a_batch_in_order_is_released_and_written_beside_its_readings(tmp_path, dry):
    folder = nitrate_folder(tmp_path, *good())
    done = RUNNER.invoke(app, ["run", str(folder), "--dry", str(dry), "--json"])
    assert done.exit_code == 0, done.output
    said = json.loads(done.stdout)
    assert said["decision"]["verdict"] == "release"
    assert said["run_on"] == DAY.isoformat()
    (one,) = said["results"][BAG]
    assert (one["analyte"], one["form"], one["basis"]) == ("nitrate_n", "NO3-N", "dry matter")
    assert one["value"] == pytest.approx(800.0, rel=0.02)
    kept = json.loads((folder / "results.json").read_text(encoding="utf-8"))
    assert kept == said
    assert not list(folder.glob(".results*"))


def test_duplicates_that_differ_end_with_the_exit_code_of_something_held(tmp_path, dry):
    folder = nitrate_folder(tmp_path, good()[0], (K.DUPLICATE, BAG, cup(400.0), 2))
    done = RUNNER.invoke(app, ["run", str(folder), "--dry", str(dry)])
    assert done.exit_code == 3
    assert "differ" in done.stdout
    assert BAG in done.stdout


def test_a_result_above_the_standards_is_told_and_not_released(tmp_path, dry):
    folder = nitrate_folder(tmp_path, (K.BAG, BAG, cup(9000.0)), (K.DUPLICATE, BAG, cup(9000.0), 2))
    done = RUNNER.invoke(app, ["run", str(folder), "--dry", str(dry)])
    assert done.exit_code == 3
    assert "dilute" in done.stdout


def test_bad_files_are_refused_and_leave_nothing_behind(tmp_path):
    folder = nitrate_folder(tmp_path, *good(), form=FORM.replace("extract_volume_ml", "volume"))
    done = RUNNER.invoke(app, ["run", str(folder)])
    assert done.exit_code == 2
    assert "extract_volume_ml" in done.stderr
    assert not (folder / "results.json").exists()


@pytest.mark.parametrize("name", ["dry_matter", "nitrate", "nitrogen", "adf", "ndf", "minerals"])
def test_a_batch_laid_out_to_fill_in_is_read_but_not_released(tmp_path, name):
    from haywright.bench.pattern import determination
    from haywright.files.batches import read_batch

    method = next(iter(determination(name).methods))
    folder = tmp_path / "new"
    begun = RUNNER.invoke(app, ["begin", str(folder), "--of", name, "--by", method, "--bag", BAG,
                                "--day", "2026-09-22"])  # fmt: skip
    assert begun.exit_code == 0, begun.output
    assert read_batch(folder).bags == (BAG,)
    again = RUNNER.invoke(app, ["begin", str(folder), "--of", name, "--by", method])
    assert again.exit_code == 2


def test_every_method_is_listed_with_its_columns():
    done = RUNNER.invoke(app, ["methods", "--json"])
    said = json.loads(done.stdout)
    assert {"dry_matter", "nitrate", "nitrogen", "adf", "ndf", "ash", "minerals"} <= set(said)
    assert "peak" in said["nitrate"]["flow_injection"]["columns"]
    assert RUNNER.invoke(app, ["methods"]).exit_code == 0
