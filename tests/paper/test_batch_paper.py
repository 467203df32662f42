"""The batch report on paper says what its JSON says: readings, curve, controls, doubt, decision."""

from __future__ import annotations

import json
import math
import re
from functools import cache

import numpy as np
import pytest
from typer.testing import CliRunner

from haywright.bench.batch import PositionKind
from haywright.bench.budgets import KINDS, budgets, widest
from haywright.bench.panel import run_batches
from haywright.bench.read_back import read_back
from haywright.bench.report import digits_of
from haywright.bench.run import run_batch
from haywright.cli.bench import app
from haywright.files.office import demo_folder, read_office
from haywright.measure.estimate import State
from haywright.paper.axes import Panel, round_ticks, tick_digits
from haywright.paper.batch_paper import batch_data, batch_pdf
from haywright.paper.budget_chart import budget_bars, shown_parts
from haywright.paper.calibration_charts import curve_chart, residual_chart
from haywright.paper.speaker import Speaker, decimals_of
from haywright.words import Reader, say
from tests.bench.runs import BAG, OTHER, cup, dried, nitrate
from tests.paper.reading import SVG, drawing, reader, text_of, words_in

WORDS = Speaker(Reader())
K = PositionKind
NITRATE, NDF = "2026-09-14-nitrate", "2026-09-14-ndf"
DRY, MINERALS = "2026-09-14-dry-matter", "2026-09-15-minerals"
NAMES = (NITRATE, NDF, DRY, MINERALS, "2026-09-14-adf", "2026-09-14-ash", "2026-09-14-nitrogen",
         "2026-09-15-ndf-rerun", "2026-09-15-nitrate-rerun")  # fmt: skip


@cache
def reports():
    return {one.batch.id: one for one in run_batches(read_office(demo_folder()).batches)}


@cache
def pdf(name):
    return batch_pdf(reports()[name], Reader())


def flat(text):
    return re.sub(r"\s+", " ", text.replace("\u00a0", " ").replace("NO3", "NO₃"))


@cache
def printed(name):
    return flat(text_of(pdf(name)))


@pytest.mark.parametrize("name", NAMES)
def test_every_reading_of_the_data_stands_on_the_paper_whole(name):
    text = printed(name)
    readings = reports()[name].to_json()["readings"]
    columns = {c.name for c in reports()[name].method.columns} & {k for r in readings for k in r}
    most = {c: max(decimals_of(r[c]) for r in readings if c in r) for c in columns}
    for row in readings:
        for column in columns & set(row):
            assert f"{row[column]:,.{most[column]}f}".replace("-", "−") in text
        assert flat(row["sample"]) in text


@pytest.mark.parametrize("name", NAMES)
def test_every_result_and_its_doubt_are_those_of_the_data(name):
    text, data = printed(name), reports()[name].to_json()
    halves = {(one["bag"], one["analyte"]): one for one in data["budgets"]}
    for bag, results in data["results"].items():
        for one in results:
            if one["state"] != "measured":
                continue
            value = WORDS.figure(one["value"], one["analyte"])
            half = halves[bag, one["analyte"]]["expanded"]
            digits = digits_of(one["analyte"], half)
            if digits is not None:
                assert f"{value} ± {half:,.{digits}f}" in text
            else:
                assert f"{value} ± " in text


@pytest.mark.parametrize("name", NAMES)
def test_every_control_is_printed_with_its_limit_and_verdict(name):
    text = printed(name)
    for one in reports()[name].controls:
        assert flat(say(one.said)) in text


@pytest.mark.parametrize("name", NAMES)
def test_the_decision_its_reasons_and_the_reruns_are_printed(name):
    text, decision = printed(name), reports()[name].decision
    first, *_ = decision.lines()
    assert flat(say(first)) in text
    for one in decision.reruns:
        assert flat(say(one)) in text
    for held in decision.held:
        for reason in held.reasons:
            assert flat(say(reason)) in text


def test_a_failed_duplicate_is_held_on_paper_with_its_reason_and_what_to_do():
    text = printed(NDF)
    assert "Part of it may be released." in text
    assert "SVH-0035-16 held held SVH-0035-16, Neutral detergent fiber" in text
    assert "Run 2 more portions of SVH-0035-16" in text


def test_a_rerun_shows_before_and_after():
    text = printed("2026-09-15-ndf-rerun")
    before = reports()[NDF].results["SVH-0035-16"][0]
    assert before.estimate.state is State.HELD
    assert f"would have been {before.value:.1f}" in text
    assert "never the better of two" in text
    data = reports()["2026-09-15-ndf-rerun"].to_json()
    assert data["before"]["SVH-0035-16"][0]["value"] == before.value
    assert data["rerun_cause"] in text


def test_a_bag_above_the_highest_standard_is_told_and_its_rerun_is_measured():
    assert "above 3,180 mg/kg" in printed(NITRATE)
    assert "dilute and run again" in printed(NITRATE)
    assert "above 3,180 mg/kg" in printed("2026-09-15-nitrate-rerun")


@pytest.mark.parametrize("name", NAMES)
def test_cautions_and_equipment_are_printed(name):
    text, report = printed(name), reports()[name]
    for one in report.cautions:
        assert flat(say(one)) in text
    for tool in report.batch.equipment:
        assert tool.name in text
        assert not tool.lot or f"lot {tool.lot}" in text


@pytest.mark.parametrize("name", NAMES)
def test_a_batch_report_takes_at_most_three_pages(name):
    assert len(reader(pdf(name)).pages) <= 3


def test_nothing_on_the_report_is_smaller_than_eight_and_a_half_points():
    sizes = []

    def seen(text, _, matrix, __, size):
        if text.strip():
            sizes.append(round(size * abs(matrix[0] or matrix[1]), 2))

    for page in reader(pdf(MINERALS)).pages:
        page.extract_text(visitor_text=seen)
    assert min(sizes) >= 8.5


def test_the_same_batch_gives_the_same_bytes():
    assert pdf(NDF) == batch_pdf(reports()[NDF], Reader())


@cache
def curve():
    report = reports()[NITRATE]
    return read_back(report.batch, report.method, report.curves["nitrate"])


def test_standards_are_named_in_the_order_of_the_run():
    names = [p.sample for p in reports()[NITRATE].batch.of(K.STANDARD)]
    assert [one.sample for one in curve().standards] == names
    assert all(one in printed(NITRATE) for one in names)


def test_the_curve_agrees_with_numpys_weighted_line():
    """Outside check: numpy.polyfit with the square roots of the weights."""
    x = np.array([one.known for one in curve().standards])
    y = np.array([one.y for one in curve().standards])
    slope, intercept = np.polyfit(x, y, 1, w=np.sqrt(1 / x))
    for one in curve().standards:
        assert one.residual == pytest.approx(one.y - (intercept + slope * one.known), abs=1e-12)
        assert one.back == pytest.approx((one.y - intercept) / slope)
        assert one.off_pct == pytest.approx(100 * (one.back / one.known - 1))


def circles(picture):
    return [
        (float(c.get("cx")), float(c.get("cy"))) for c in drawing(picture.svg).iter(f"{SVG}circle")
    ]


def test_every_standard_is_a_dot_on_the_curve_and_a_dot_among_the_residuals():
    drawn, left = (f(curve(), WORDS, name="Nitrate") for f in (curve_chart, residual_chart))
    for picture in (drawn, left):
        dots = circles(picture)
        assert len(dots) == len(curve().standards)
        assert [x for x, _ in dots] == sorted(x for x, _ in dots)
    rises = [y for _, y in circles(drawn)]
    assert rises == sorted(rises, reverse=True)
    heights = [y for _, y in circles(left)]
    order = sorted(range(len(heights)), key=lambda n: -heights[n])
    assert order == sorted(range(len(heights)), key=lambda n: curve().standards[n].residual)


def test_drawings_have_title_description_and_table_twin():
    bars = budget_bars(next(widest(reports()[NITRATE].budgets)), WORDS)
    for one in (curve_chart(curve(), WORDS, name="Nitrate"),
                residual_chart(curve(), WORDS, name="Nitrate"), bars):  # fmt: skip
        root = drawing(one.svg)
        assert root.find(f"{SVG}title").text == one.title
        assert root.find(f"{SVG}desc").text == one.description
        assert one.twin.rows


@pytest.mark.parametrize("name", NAMES)
def test_the_parts_of_a_budget_make_the_whole_doubt(name):
    report = reports()[name]
    for one in report.budgets:
        assert math.sqrt(sum(u * u for u in one.parts.values())) == pytest.approx(one.u)
        assert set(one.parts) <= set(KINDS)
        assert one.half == pytest.approx(one.k * one.u)
        shown = shown_parts(one)
        assert math.sqrt(sum(u * u for _, u in shown)) == pytest.approx(one.u)


def test_bars_are_as_long_as_what_they_stand_for():
    one = next(widest(reports()[NITRATE].budgets))
    picture = budget_bars(one, WORDS)
    widths = [float(r.get("width")) for r in drawing(picture.svg).iter(f"{SVG}rect")]
    parts = [u for _, u in shown_parts(one)]
    assert len(widths) == len(parts) + 1
    for width, u in zip(widths, [*parts, one.u], strict=True):
        assert width == pytest.approx(max(widths[-1] * u / one.u, 0.6), abs=0.02)
    assert "Together, u" in words_in(picture.svg)


def test_the_dry_matter_of_another_batch_is_one_part_of_the_doubt():
    for one in reports()[NITRATE].budgets:
        ids = [s.id for s in one.result.estimate.parts]
        dried_in = [i for i in ids if "dry-matter" in i or "dry_matter" in i]
        assert one.parts["earlier"] == pytest.approx(one.result.estimate.part_of(*dried_in))


def test_held_results_have_no_budget():
    bags = {one.bag for one in reports()[NDF].budgets}
    assert "SVH-0035-16" not in bags
    assert len(bags) == 6


def test_a_held_batch_says_so_first():
    apart = ((K.BAG, BAG, cup(500.0)), (K.DUPLICATE, BAG, cup(900.0), 2))
    bad = run_batch(nitrate(*apart), dried(BAG, OTHER))
    assert batch_data(bad, Reader())["verdict"][0].startswith("HELD")
    part = run_batch(nitrate(*apart, (K.BAG, OTHER, cup(700.0))), dried(BAG, OTHER))
    text = flat(text_of(batch_pdf(part, Reader())))
    assert f"{BAG} held" in text
    assert budgets(part.batch, part.results)[0].bag == OTHER


def test_a_void_reading_is_printed_with_its_cause():
    batch = nitrate((K.BAG, BAG, cup(800.0)), (K.DUPLICATE, BAG, cup(805.0), 2),
                    voids={10: "cup knocked over"})  # fmt: skip
    text = flat(text_of(batch_pdf(run_batch(batch, dried(BAG)), Reader())))
    assert "does not count: cup knocked over" in text


def test_ticks_are_round_and_hold_the_data():
    for low, high in ((0, 30), (-0.0019, 0.0019), (0, 0.9347), (-3, 1e6), (5, 5)):
        ticks = round_ticks(low, high, 6)
        assert len(ticks) <= 7
        assert ticks[0] <= low + 1e-9
        assert ticks[-1] >= high - 1e-9
        assert [round(one, tick_digits(ticks)) for one in ticks] == pytest.approx(ticks)
    panel = Panel(10, 20, 100, 50, [0, 10], [0, 5])
    assert panel.at(0, 0) == (10, 70)
    assert panel.at(10, 5) == (110, 20)


def test_the_command_prints_the_batch_beside_its_json(tmp_path):
    folder = demo_folder() / "batches"
    out = tmp_path / "ash.pdf"
    copy = tmp_path / "2026-09-14-ash"
    copy.mkdir()
    for name in ("batch.toml", "readings.csv"):
        (copy / name).write_bytes((folder / "2026-09-14-ash" / name).read_bytes())
    done = CliRunner().invoke(app, ["run", str(copy), "--dry", str(folder / DRY), "--pdf", str(out),
                                    "--paper", "a4", "--json"])  # fmt: skip
    assert done.exit_code == 0, done.output
    assert json.loads(done.stdout)["budgets"]
    assert "All of it may be released." in text_of(out.read_bytes())
    (first, *_) = reader(out.read_bytes()).pages
    assert round(float(first.mediabox.width)) == 595
