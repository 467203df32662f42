"""A season judged as arrays says of every batch what the batch says of itself."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haywright.bag.codes import BagCode
from haywright.bench.batch import Batch, CheckMaterial, Position, Scatter
from haywright.bench.run import run_batch
from haywright.bench.season.judge import VERDICTS, Came, judge
from haywright.bench.season.reasons import kinds_of
from haywright.bench.season.table import season_of
from haywright.measure.errors import Refused
from haywright.measure.estimate import State
from tests.bench.runs import (
    BAG,
    BALANCE,
    DAY,
    DISPENSER,
    LAB_DM,
    OTHER,
    REAGENT,
    STRENGTHS,
    VOLUME,
    K,
    combustion,
    cup,
    dried,
    nitrate,
    peak,
)

EXACT = 1e-12
BAGS = [str(BagCode("HRN", n)) for n in range(1, 9)]
HISTORY = tuple(900.0 + 30.0 * np.sin(7.0 * k) for k in range(24))


def chance(rng, share):
    return rng.random() < share


def any_standards(rng):
    strengths = list(STRENGTHS)
    if chance(rng, 0.15):
        strengths = strengths[: rng.integers(3, 5)]
    if chance(rng, 0.2):
        strengths += [2.0, 10.0]
    if chance(rng, 0.2):
        strengths = [0.0, *strengths]
    noise = rng.normal(0.0, 0.003 if chance(rng, 0.85) else 0.1, len(strengths))
    read = [peak(c) + e for c, e in zip(strengths, noise, strict=True)]
    if chance(rng, 0.08):
        read[1], read[2] = read[2], read[1]
    return [
        (K.STANDARD, f"std {c:g}", {"known_mg_per_l": c, "peak": y})
        for c, y in zip(strengths, read, strict=True)
    ]


def any_blanks(rng):
    level = 0.7 if chance(rng, 0.1) else rng.uniform(0.0, 0.4)
    count = rng.integers(0, 4) if chance(rng, 0.2) else rng.integers(1, 4)
    rows = [
        (K.BLANK, "method blank", {"peak": peak(level + rng.normal(0.0, 0.01))})
        for _ in range(count)
    ]
    if chance(rng, 0.3):
        for n, (_, _, readings) in enumerate(rows):
            readings["dilution"] = 2.0 + (n if chance(rng, 0.2) else 0)
    return rows


def any_check(rng):
    off = rng.normal(0.0, 20.0) + (200.0 if chance(rng, 0.1) else 0.0)
    name = "barley check" if chance(rng, 0.05) else "oat check"
    return (K.CHECK, name, cup(900.0 + off, blank=0.1))


def any_verification(rng):
    read = 2.0 * (1.3 if chance(rng, 0.1) else rng.uniform(0.95, 1.05))
    return (K.VERIFICATION, "mid", {"known_mg_per_l": 2.0, "peak": peak(read)})


def any_bag(rng, bag):
    level = 10.0 ** rng.uniform(0.5, 3.8)
    rows = []
    for replicate in range(1, rng.integers(1, 3 if chance(rng, 0.8) else 6) + 1):
        kind = K.BAG if replicate == 1 else K.DUPLICATE
        wide = 0.3 if chance(rng, 0.15) else 0.03
        found = level * (1.0 + rng.normal(0.0, wide))
        grams = rng.uniform(0.25, 0.5)
        for attempt in range(1, 3 if chance(rng, 0.15) else 2):
            dilution = rng.choice([1.0, 1.0, 5.0, 20.0])
            readings = cup(found, grams=grams, dilution=dilution, blank=0.1)
            if chance(rng, 0.3):
                del readings["dilution"]
            if chance(rng, 0.03):
                del readings["peak"]
            if chance(rng, 0.03):
                readings["sample_g"] *= 1000.0
            if chance(rng, 0.02):
                readings["peak"] = -3.0
            rows.append((kind, bag, readings, replicate, attempt))
    return rows


def any_positions(rng):
    rows = [*any_standards(rng), *any_blanks(rng), any_verification(rng)]
    if not chance(rng, 0.05):
        rows += [any_check(rng) for _ in range(rng.integers(1, 3))]
    if chance(rng, 0.2):
        rows.append(
            (K.NITRITE_STANDARD, "nitrite", {"known_mg_per_l": 5.0, "peak": peak(5.0) * 1.1})
        )
    for bag in BAGS[: rng.integers(1, len(BAGS) + 1)]:
        rows += any_bag(rng, bag)
        if chance(rng, 0.2):
            rows.append(any_verification(rng))
    if not chance(rng, 0.1):
        rows.append(any_verification(rng))
    start = datetime(2026, 9, 22, 8, tzinfo=UTC)
    timed, late = chance(rng, 0.3), chance(rng, 0.2)
    placed = []
    for order, (kind, sample, readings, *more) in enumerate(rows, 1):
        one = Position(order, kind, sample, readings, *more)
        minutes = -9 if late and order == len(rows) // 2 else order
        placed.append(replace(one, read_at=start + timedelta(minutes=minutes)) if timed else one)
    return tuple(placed)


def any_equipment(rng):
    late = replace(BALANCE, checked_on=DAY - timedelta(days=9))
    fine = (replace(BALANCE, repeatability=0.0002), replace(DISPENSER, repeatability=0.05), REAGENT)
    return (late, *fine[1:]) if chance(rng, 0.08) else fine


def any_shared(rng):
    weights = rng.choice(["none", "1/x", "1/x2"])
    history = {"nitrate_n": HISTORY} if chance(rng, 0.4) else {}
    own = {"nitrate_n": 30.0} if chance(rng, 0.5) else {}
    scatter = {}
    if chance(rng, 0.4):
        run = {"between_runs": 5.0, "between_runs_pct": 3.0} if chance(rng, 0.5) else {}
        scatter["nitrate_n"] = Scatter(
            repeat=8.0, repeat_pct=2.0, repeat_df=20.0, bias=4.0, bias_pct=1.0, bias_df=9.0, **run,
            **({"between_runs_df": 30.0} if run else {}),
        )  # fmt: skip
    limits = {"signal_top": 3.05, "column_efficiency_least_pct": 85.0} if chance(rng, 0.3) else {}
    return {
        "choices": {
            "extractant": "acetic_acid_2pct",
            "extract_volume_ml": VOLUME,
            "weights": str(weights),
            "curve": str(rng.choice(["line", "line", "through_origin"])),
        },
        "checks": {
            "oat check": CheckMaterial("oat check", {"nitrate_n": 900.0}, own, LAB_DM,
                                       history=history)
        },
        "scatter": scatter,
        "limits": limits,
        "rules": str(rng.choice(["action_limits", "western_electric", "nelson"])),
    }  # fmt: skip


def any_batches(seed, count):
    """Batches under names of their own: sources of doubt are known by name."""
    rng = np.random.default_rng(seed)
    shared = any_shared(rng)
    made = []
    for n in range(count):
        positions = any_positions(rng)
        voids = {p.order: "spilt" for p in positions if chance(rng, 0.02)}
        made.append(
            Batch(
                id=f"run {seed}-{n}",
                laboratory=f"bench {seed}",
                determination="nitrate",
                method="flow_injection",
                run_on=DAY,
                positions=positions,
                equipment=any_equipment(rng),
                voids=voids,
                **shared,
            )
        )
    return made


def same(found, expected):
    return found == pytest.approx(expected, rel=EXACT, nan_ok=True)


def held_kinds(report, bag):
    return {one.kind for one in report.controls if one.holds(bag, "nitrate_n")}


def compare(judged, batches, earlier):
    season = judged.season
    for number, batch in enumerate(batches):
        report = run_batch(batch, earlier)
        assert VERDICTS[judged.verdict[number]] is report.decision.verdict
        whole = {c.kind for c in report.controls if c.failed and c.bags is None}
        assert set(kinds_of(judged.batch_reasons[number])) == whole
        own = np.flatnonzero(season.bags.batch == number)
        assert [season.names[season.bags.sample[g]] for g in own] == list(batch.bags)
        for g in own:
            compare_bag(judged, g, report, season.names[season.bags.sample[g]])


def compare_bag(judged, g, report, bag):
    assert set(kinds_of(judged.reasons[g])) == held_kinds(report, bag)
    came = Came(judged.came[g])
    decision = report.decision
    assert (came is Came.RELEASED) == (bag in decision.released)
    assert (came is Came.HELD) == any(one.bag == bag for one in decision.held)
    assert (came is Came.BEYOND) == ((bag, "nitrate_n") in decision.beyond)
    assert (came is not Came.WAITING) or bag in decision.waiting
    found = report.results[bag]
    if not found:
        assert np.isnan(judged.value[g])
        return
    estimate = found[0].estimate
    assert same(judged.value[g], estimate.value)
    if estimate.state is State.HELD:
        return
    assert (estimate.state is State.ABOVE) == bool(judged.above[g])
    assert (estimate.state is State.BELOW) == bool(judged.below[g])
    assert same(judged.limit[g], estimate.limit.value if estimate.limit else np.nan)
    if estimate.state is not State.ABOVE:
        assert same(judged.u[g], estimate.u)
        assert judged.df[g] == pytest.approx(estimate.df, rel=1e-9)


@settings(deadline=None, max_examples=60)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(1, 4))
def test_a_season_says_of_each_batch_what_the_batch_says_of_itself(seed, count):
    batches = any_batches(seed, count)
    earlier = dried(*BAGS[: 5 + seed % 4], lab_dm=89.0 + seed % 7)
    compare(judge(season_of(batches, earlier)), batches, earlier)


@pytest.mark.parametrize("weights", ["none", "1/x", "1/x2"])
def test_a_bent_curve_is_read_alike(weights):
    def bent(readings):
        return {**readings, "peak": readings["peak"] - 0.002 * readings["peak"] ** 2}

    straight = run_on((BAG, 800.0), (OTHER, 40.0), (BAGS[0], 6000.0), name=f"bent {weights}")
    batch = replace(
        straight,
        positions=tuple(replace(p, readings=bent(p.readings)) for p in straight.positions),
        choices={**straight.choices, "curve": "quadratic", "weights": weights},
    )
    earlier = dried(BAG, OTHER, BAGS[0])
    judged = judge(season_of([batch], earlier))
    assert [Came(c) for c in judged.came] == [Came.RELEASED, Came.RELEASED, Came.BEYOND]
    compare(judged, [batch], earlier)


FORM = """
determination = "nitrate"
method = "flow_injection"

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
kind = "balance"
name = "balance 1"
checked_on = 2026-09-23
checks = [[50.0, 50.2]]
tolerance = 0.001

[[equipment]]
kind = "dispenser"
name = "bottle top 3"
checked_on = 2026-09-21
checks = [[30.0, 30.02]]

[[equipment]]
kind = "reagent"
name = "color reagent"
lot = "7"
expires = 2027-01-01

[[check_material]]
name = "oat check"
assigned = { nitrate_n = 900.0 }
between_runs = { nitrate_n = 30.0 }
lab_dm_pct = 93.4
"""
COLUMNS = ("known_mg_per_l", "peak", "sample_g", "dilution")


def table_of(runs, *, sign=",", decimal="."):
    """The rows of some runs as an instrument's table; (name, day, positions) each."""
    lines = [sign.join(("batch", "run_on", "position", "kind", "sample", "replicate", *COLUMNS,
                        "lab_dm_pct", "u_lab_dm_pct"))]  # fmt: skip
    for name, day, positions in runs:
        for one in positions:
            read = [str(float(one.readings[c])) if c in one.readings else "" for c in COLUMNS]
            dry = ["93.4", "0.2"] if one.kind in (K.BAG, K.DUPLICATE) else ["", ""]
            cells = [name, day, str(one.order), one.kind.value, one.sample, str(one.replicate)]
            lines.append(sign.join([*cells, *(n.replace(".", decimal) for n in [*read, *dry])]))
    return "\n".join(lines) + "\n"


@pytest.fixture
def season_files(tmp_path):
    def made(runs, form=FORM, **more):
        (tmp_path / "season.toml").write_text(form, encoding="utf-8")
        (tmp_path / "runs.csv").write_text(table_of(runs, **more), encoding="utf-8")
        return tmp_path / "season.toml", tmp_path / "runs.csv"

    return made


def pair(bag, level):
    return (K.BAG, bag, cup(level)), (K.DUPLICATE, bag, cup(level * 1.01), 2)


def run_on(*bags, **more):
    return nitrate(*(one for bag, level in bags for one in pair(bag, level)), **more)


def read(files):
    from haywright.files.season import read_season

    return judge(read_season(*files))


def test_a_table_of_two_days_takes_the_balance_check_of_each_day(season_files):
    positions = run_on((BAG, 800.0)).positions
    judged = read(season_files([("a", "2026-09-22", positions), ("b", "2026-09-23", positions)]))
    assert [Came(c) for c in judged.came] == [Came.RELEASED, Came.HELD]
    assert list(kinds_of(judged.reasons[1])) == ["equipment"]


@pytest.mark.parametrize(("sign", "decimal"), [(",", "."), (";", ","), ("\t", ".")])
def test_a_table_says_what_the_batch_says_however_it_parts_its_columns(season_files, sign, decimal):
    batch = run_on((BAG, 800.0), (OTHER, 300.0))
    judged = read(season_files([("a", "2026-09-22", batch.positions)], sign=sign, decimal=decimal))
    report = run_batch(replace(batch, equipment=judged.season.heads[0].equipment),
                       dried(BAG, OTHER))  # fmt: skip
    for g, bag in enumerate((BAG, OTHER)):
        compare_bag(judged, g, report, bag)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("bag,", "bagg,", "column kind"),
        (BAG, BAG[:-1] + "9", "column sample"),
        ("2026-09-22", "22/09/2026", "column run_on"),
        ("\na,2026-09-22,1,", "\na,2026-09-22,one,", "column position"),
        ("\na,2026-09-22,1,", "\na,2026-09-21,1,", "column run_on"),
        ("\na,", "\n ,", "column batch"),
        ("10.0,", "<10,", "column known_mg_per_l"),
        ("10.0,", "ten,", "column known_mg_per_l"),
        ("10.0,", "nan,", "column known_mg_per_l"),
        ("position", "place", "place"),
    ],
)
def test_a_cell_that_cannot_be_read_is_named_with_its_row_and_column(season_files, old, new, said):
    from haywright.files.season import read_season
    from haywright.measure.errors import Problems

    form, table = season_files([("a", "2026-09-22", run_on((BAG, 800.0)).positions)])
    text = table.read_text(encoding="utf-8")
    assert old in text
    table.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises((Refused, Problems)) as caught:
        read_season(form, table)
    assert any(said in str(one.args) for one in caught.value.messages())


@settings(deadline=None, max_examples=200)
@given(text=st.text(max_size=400))
def test_a_season_of_any_text_is_read_or_refused(tmp_path_factory, text):
    from haywright.files.season import read_season
    from haywright.measure.errors import HaywrightError

    folder = tmp_path_factory.mktemp("season")
    (folder / "season.toml").write_text(FORM, encoding="utf-8")
    head = "batch,run_on,position,kind,sample,peak\n"
    (folder / "runs.csv").write_bytes((head + text).encode("utf-8", "surrogatepass"))
    try:
        read_season(folder / "season.toml", folder / "runs.csv")
    except HaywrightError as error:
        assert error.messages()


def test_a_portion_or_place_that_stands_twice_is_refused_with_its_row():
    batch = run_on((BAG, 800.0))
    last = batch.positions[-2]
    twice = season_of([batch])
    twice.replicate[twice.sample == twice.names.index(last.sample)] = 1
    with pytest.raises(Refused, match="portion_twice"):
        judge(twice)
    again = season_of([batch])
    again.order[3] = again.order[2]
    with pytest.raises(Refused, match="position_twice"):
        judge(again)


def test_another_method_or_runs_that_were_not_run_alike_are_refused():
    with pytest.raises(Refused, match=r"season\.method"):
        judge(season_of([combustion()]))
    one, other = run_on((BAG, 800.0)), run_on((BAG, 800.0), limits={"verification_pct": 5.0})
    with pytest.raises(Refused, match="not_shared"):
        season_of([one, other])
    material = CheckMaterial("oat check", {"cp": 12.0}, {}, LAB_DM)
    with pytest.raises(Refused, match="assigned"):
        judge(season_of([run_on((BAG, 800.0), checks={"oat check": material})]))


def test_a_bag_with_two_dry_matters_in_one_run_is_refused():
    season = season_of([run_on((BAG, 800.0))], dried(BAG))
    season.lab_dm[-2] += 1.0
    with pytest.raises(Refused, match="lab_dm_differs"):
        judge(season)


def test_the_command_writes_both_tables_and_says_what_is_held(season_files):
    import csv
    import json

    from typer.testing import CliRunner

    from haywright.cli.main import app

    good, late = run_on((BAG, 800.0), (OTHER, 6000.0)), run_on((BAG, 810.0))
    form, table = season_files(
        [("a", "2026-09-22", good.positions), ("b", "2026-09-23", late.positions)]
    )
    done = CliRunner().invoke(app, ["bench", "season", str(table), "--form", str(form)])
    assert done.exit_code == 3, done.output
    assert "HELD" in done.output
    with (table.parent / "season-results.csv").open(encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    assert [one["came"] for one in rows] == ["released", "above range", "held"]
    assert float(rows[0]["nitrate_n_mg_per_kg"]) == pytest.approx(804.0, rel=0.02)
    assert rows[1]["beyond"] == "above"
    assert rows[2]["nitrate_n_mg_per_kg"] == ""
    assert rows[2]["held_by"] == "equipment"
    said = CliRunner().invoke(app, ["bench", "season", str(table), "--form", str(form), "--json"])
    assert json.loads(said.output)["verdicts"]["hold"] == 1
