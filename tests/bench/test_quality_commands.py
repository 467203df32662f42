"""Charts, limits and comparisons at the command line, and a check sample's own history in a run."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from typer.testing import CliRunner

from haywright.bench.batch import CheckMaterial
from haywright.bench.findings import Outcome
from haywright.bench.run import run_batch
from haywright.cli.bench import app
from haywright.files.batches import write_results
from haywright.words import say
from tests.bench.runs import BAG, LAB_DM, K, cup, dried, nitrate

RUNNER = CliRunner()
HISTORY = tuple(float(v) for v in np.random.default_rng(3).normal(900, 12, 25))


def with_history(found, *, rules="action_limits", history=HISTORY):
    """A nitrate run whose check sample gives ``found`` and has its own history."""
    run = nitrate((K.BAG, BAG, cup(800.0)), rules=rules)
    material = CheckMaterial(
        "oat check", {"nitrate_n": 900.0}, {}, LAB_DM, {}, {"nitrate_n": history}
    )
    positions = tuple(
        replace(one, readings=cup(found)) if one.kind is K.CHECK else one for one in run.positions
    )
    return replace(run, positions=positions, checks={"oat check": material})


def check_of(report):
    return [c for c in report.controls if c.kind == "check"]


def test_from_twenty_runs_on_a_check_sample_is_judged_by_its_own_history():
    assert run_batch(with_history(905.0), dried(BAG)).decision.verdict.value == "release"
    report = run_batch(with_history(960.0), dried(BAG))
    assert report.held
    said = " ".join(say(c.said) for c in check_of(report))
    assert "1 beyond 3 s" in said
    assert "over 25 runs" in said


def test_one_beyond_two_sd_warns_and_never_stops():
    sd, mean = np.std(HISTORY, ddof=1), np.mean(HISTORY)
    report = run_batch(with_history(mean + 2.3 * sd), dried(BAG))
    assert [c.outcome for c in check_of(report)] == [Outcome.WARNED]
    assert report.decision.verdict.value == "release"


def test_a_rule_that_looks_back_can_stop_a_run_that_action_limits_let_pass():
    sd, mean = float(np.std(HISTORY, ddof=1)), float(np.mean(HISTORY))
    rising = (*HISTORY[:-1], mean + 2.4 * sd)
    passing = with_history(mean + 2.6 * sd, history=rising)
    assert not run_batch(passing, dried(BAG)).held
    assert run_batch(replace(passing, rules="western_electric"), dried(BAG)).held


def table(path, values):
    rows = [f"2026-08-{day:02d},{value}" for day, value in enumerate(values, 1)]
    path.write_text("day,value\n" + "\n".join(rows) + "\n")
    return path


def test_a_chart_from_a_table_names_the_runs_where_rules_fired(tmp_path):
    path = table(tmp_path / "cp.csv", [18.4, 18.6, 18.3, 18.5, 18.45, 18.35] * 4 + [19.9])
    picture = tmp_path / "chart.svg"
    args = ["chart", str(path), "--check", "hay", "--of", "cp", "--draw", str(picture), "--json"]
    found = RUNNER.invoke(app, args)
    assert found.exit_code == 3
    told = json.loads(found.stdout)
    assert told["fired"]["one_beyond_3"] == [25]
    assert told["runs"] == 24
    assert "a rule fired at 1 of them" in picture.read_text("utf-8")


def test_a_chart_is_drawn_from_the_results_of_earlier_batches(tmp_path):
    for day, level in enumerate([890.0, 905.0, 899.0, 912.0, 896.0]):
        run = replace(with_history(level, history=()), run_on=date_of(day))
        write_results(folder_of(tmp_path, day), run_batch(run, dried(BAG)))
    args = ["chart", str(tmp_path), "--check", "oat check", "--of", "nitrate_n", "--json"]
    found = RUNNER.invoke(app, args)
    assert found.exit_code == 0, found.output
    told = json.loads(found.stdout)
    assert [round(r["found"]) for r in told["results"]] == pytest.approx(
        [890, 905, 899, 912, 896], abs=3
    )
    assert told["provisional"]


def date_of(day):
    from datetime import date, timedelta

    return date(2026, 9, 22) + timedelta(days=day)


def folder_of(where, day):
    folder = where / f"{date_of(day)}-nitrate"
    folder.mkdir()
    return folder


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["--check", "hay", "--of", "cq"], "cq"),
        (["--check", "hay", "--of", "cp", "--rules", "mine"], "western_electric"),
        (["--check", "hay", "--of", "cp", "--limits-from", "90"], "At least 2"),
    ],
)
def test_a_chart_that_cannot_be_drawn_says_why(tmp_path, args, told):
    path = table(tmp_path / "cp.csv", [18.4, 18.6, 18.3])
    found = RUNNER.invoke(app, ["chart", str(path), *args])
    assert found.exit_code == 2
    assert told in found.output


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("day,value\n2026-08-01,18.4\nyesterday,18.5\n", "row 3, column day"),
        ("day,value\n2026-08-01,about 18\n", "row 2, column value"),
        ("when,value\n2026-08-01,18\n", "day is missing"),
    ],
)
def test_a_history_is_refused_with_the_place_of_what_is_wrong(tmp_path, text, told):
    path = tmp_path / "cp.csv"
    path.write_text(text)
    found = RUNNER.invoke(app, ["chart", str(path), "--check", "hay", "--of", "cp"])
    assert found.exit_code == 2
    assert told in found.output


def test_limits_from_standards_with_decimal_commas(tmp_path):
    # DIN 32645 (1994) example data: critical value 0.07, smallest detectable 0.14.
    signals = [3060, 3522, 3707, 4280, 5058, 5510, 5703, 6205, 7156, 7178]
    rows = [f"{0.05 * k:.2f};{y}".replace(".", ",") for k, y in enumerate(signals, 1)]
    path = tmp_path / "standards.csv"
    path.write_text("known;signal\n" + "\n".join(rows) + "\n")
    found = RUNNER.invoke(app, ["limit", str(path), "--json"])
    told = {one["definition"]: one["value"] for one in json.loads(found.stdout)["limits"]}
    assert told["critical value, curve"] == pytest.approx(0.07, abs=0.0005)
    assert told["detection limit, curve"] == pytest.approx(0.14, abs=0.0005)


def test_two_laboratories_are_told_whether_they_differ():
    found = RUNNER.invoke(
        app, ["compare", "31.2", "34.9", "--of", "ndf", "--within", "0.35", "--between", "0.9"]
    )
    assert found.exit_code == 0
    assert found.stdout.replace("\u00a0", " ").startswith("They differ: 3.70 %")
    refused = RUNNER.invoke(app, ["compare", "31.2", "34.9", "--of", "ndf", "--within", "-1"])
    assert refused.exit_code == 2


def test_the_drawn_chart_names_its_lines_and_the_rules_that_fired():
    from datetime import date, timedelta

    from haywright.bench import charts
    from haywright.paper.control_chart import control_chart
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader
    from tests.paper.reading import words_in

    made = charts.chart(HISTORY)
    runs = [*HISTORY, made.center + 4 * made.sd]
    fired = charts.judged(runs, made, charts.rule_set("action_limits"))
    days = [(date(2026, 1, 1) + timedelta(days=n), value) for n, value in enumerate(runs)]
    drawn = control_chart(days, made, fired, Speaker(Reader()), check="hay", analyte="nitrate_n")
    said = " ".join(words_in(drawn.svg)).replace("\u00a0", " ")
    assert "1 beyond 3 s (a stop): run 26" in said
    for name, levels in (("action", made.action), ("warning", made.warning)):
        for level in levels:
            assert f"{name} {level:.0f}" in said
    assert drawn.twin.rows[25][3].startswith("1 beyond 3 s")
    quiet = control_chart(days[:25], made, {}, Speaker(Reader()), check="hay", analyte="nitrate_n")
    assert "a stop" not in " ".join(words_in(quiet.svg))
