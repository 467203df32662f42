"""The invented office on its whole way: what must hold whatever its readings are."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from haywright.bench.panel import merge_results, run_batches
from haywright.bunk.hazards.nitrate.verdict import Answer
from haywright.cli.tour import lot_samples
from haywright.files.office import demo_folder, new_office, read_office
from haywright.measure.errors import HaywrightError, UnknownName
from haywright.measure.estimate import State
from haywright.way.lot import decide_for, samples_of, spread_between


@pytest.fixture(scope="module")
def office():
    return read_office(demo_folder())


@pytest.fixture(scope="module")
def merged(office):
    return merge_results(run_batches(office.batches))


def decision(office, merged, lot: str, part: str = ""):
    mine = samples_of(office.lots[lot], office.bags.values(), merged)
    sample = next(one for one in mine if one.part == part)
    ranch = office.ranches[sample.lot.ranch]
    spread = spread_between(sample.lot, mine)
    return decide_for(
        sample, ranch.groups[0], office=office.office, ranch=ranch, spread=spread, clean_feed=300.0
    )


def test_a_reading_above_the_standards_is_settled_only_by_its_diluted_rerun(office) -> None:
    first = [b for b in office.batches if not b.rerun_of]
    before = merge_results(run_batches(first))["SVH-0033-22"]["nitrate_n"]
    after = merge_results(run_batches(office.batches))["SVH-0033-22"]["nitrate_n"]
    assert before.estimate.state is State.ABOVE
    assert after.estimate.state is State.MEASURED
    assert after.value > before.estimate.low


def test_a_failed_duplicate_holds_the_bag_until_its_rerun(office) -> None:
    first = [b for b in office.batches if not b.rerun_of]
    before = merge_results(run_batches(first))["SVH-0035-16"]["ndf"]
    after = merge_results(run_batches(office.batches))["SVH-0035-16"]["ndf"]
    assert before.estimate.state is State.HELD
    assert after.estimate.state is State.MEASURED


def test_a_horse_is_judged_by_a_horse_guide_and_tests_to_come_make_it_interim(
    office, merged
) -> None:
    found = decision(office, merged, "paddock-squares")
    assert found.verdict.question.guide.id == "oklahoma_equine_2024"
    assert found.sample.sheet.interim
    assert {"wsc", "starch"} <= set(found.sample.sheet.pending)


def test_the_frosted_swale_is_not_fed_and_the_cards_are_there(office, merged) -> None:
    found = decision(office, merged, "frost-sudan", "swale bottom")
    assert found.verdict.answer is Answer.DO_NOT_FEED
    assert found.verdict.restricted


def test_baleage_is_told_as_fed_and_dry_side_by_side(office, merged) -> None:
    sheet = decision(office, merged, "pivot-baleage").sample.sheet
    cp, dm = sheet.get("cp"), sheet.get("dm")
    assert sheet.as_received["cp"].value == pytest.approx(cp.value * dm.value / 100, rel=1e-9)


def test_an_untested_accumulator_is_not_tested(office, merged) -> None:
    without = {
        code: type(results)(r for r in results.values() if r.analyte != "nitrate_n")
        for code, results in merged.items()
    }
    assert decision(office, without, "creek-oats").verdict.answer is Answer.NOT_TESTED


def test_a_new_office_can_be_read_back_but_not_laid_over_another(tmp_path: Path) -> None:
    from datetime import date

    folder = tmp_path / "office"
    written = new_office(folder, date(2026, 11, 1))
    assert all(path.is_file() for path in written)
    with pytest.raises(HaywrightError) as caught:
        new_office(folder, date(2026, 11, 1))
    assert caught.value.message.key == "files.folder_not_empty"


def filled(folder: Path) -> None:
    """The batches of the demo instead of the empty form, each with the one bag of a new office."""
    import csv
    import shutil

    for empty in (folder / "batches").iterdir():
        shutil.rmtree(empty)
    for batch in (demo_folder() / "batches").iterdir():
        text = (batch / "readings.csv").read_text("utf-8")
        rows = list(csv.DictReader(text.splitlines()))
        ours = [r for r in rows if not r["sample"].startswith("SVH") or r["sample"] == FIRST]
        if not any(r["sample"] == FIRST for r in ours):
            continue
        shutil.copytree(batch, folder / "batches" / batch.name)
        form = folder / "batches" / batch.name / "batch.toml"
        kept = [
            line
            for line in form.read_text("utf-8").splitlines()
            if not line.startswith('"SVH') or line.startswith(f'"{FIRST}"')
        ]
        form.write_text("\n".join(kept) + "\n", "utf-8")
        with (folder / "batches" / batch.name / "readings.csv").open("w", newline="") as out:
            table = csv.DictWriter(out, rows[0].keys(), lineterminator="\n")
            table.writeheader()
            table.writerows({**row, "position": place} for place, row in enumerate(ours, 1))


FIRST = "SVH-0031-28"


def test_the_ranch_of_a_new_office_speaks_of_the_lots_it_has(tmp_path: Path) -> None:
    from datetime import date

    from haywright.cli.bunk_winter import plan_of_office

    folder = tmp_path / "office"
    new_office(folder, date(2026, 11, 1))
    fresh = read_office(folder)
    asked = fresh.winters["three-gates"]
    named = {one.lot for one in (*asked.hays, *asked.bids) if one.lot}
    assert named == set(fresh.lots)
    with pytest.raises(HaywrightError) as caught:
        plan_of_office(fresh, "three-gates")
    # Nothing is analysed yet, and that is all there is against it.
    assert {one.args["field"] for one in caught.value.messages()} == {"cp", "nem", "tdn"}
    filled(folder)
    answer, _ = plan_of_office(read_office(folder), "three-gates")
    assert answer.conflict is None


def test_a_new_office_can_be_carried_before_anything_is_analysed(tmp_path: Path) -> None:
    from datetime import date

    from typer.testing import CliRunner

    from haywright.cli.main import app

    folder = tmp_path / "office"
    new_office(folder, date(2026, 11, 1))
    done = CliRunner().invoke(app, ["carry", str(folder)])
    assert done.exit_code == 0, done.output
    assert "Something is still held of: 2026-11-01-dry-matter." in done.output
    assert "Nothing is held any longer" not in done.output
    assert "Not planned yet." in done.output
    assert "invented" not in done.output


def test_every_loose_end_of_an_office_is_told_at_once(tmp_path: Path) -> None:
    (tmp_path / "office.toml").write_text('name = "x"\ncode = "SVH"\n')
    (tmp_path / "lots").mkdir()
    (tmp_path / "lots" / "a.toml").write_text('form = "cured_hay"\ncrop = "oatz"\n')
    (tmp_path / "bags").mkdir()
    (tmp_path / "bags" / "SVH-0031-28.toml").write_text(
        'lot = "nowhere"\ncored_on = 2026-09-01\ntests = ["nitrate"]\n'
    )
    with pytest.raises(HaywrightError) as caught:
        read_office(tmp_path)
    keys = {message.key for message in caught.value.messages()}
    assert "files.bag_without_lot" in keys
    assert any(key.startswith("measure.unknown_name") for key in keys)


def test_a_lot_without_a_bag_or_a_name_is_refused(office) -> None:
    with pytest.raises(UnknownName):
        lot_samples(office, "nowhere")


def test_a_decision_is_plain_json(office, merged) -> None:
    payload = decision(office, merged, "creek-oats").verdict.to_json()
    assert json.loads(json.dumps(payload, allow_nan=False)) == payload
