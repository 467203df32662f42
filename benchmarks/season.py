"""A season of 100,000 rows to judged results, against plain NumPy and against a tenth of it."""

from __future__ import annotations

import csv
import io
import tempfile
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from benchmarks.baselines.season_bags import season
from benchmarks.row import EQUAL_WITHIN, Row
from haywright.bag.codes import BagCode
from haywright.bench.season import told
from haywright.bench.season.judge import judge
from haywright.files.season import read_season, write_table

FORM = """
determination = "nitrate"
method = "flow_injection"
laboratory = "Tule bench"

[choices]
extractant = "acetic_acid_2pct"
extract_volume_ml = 30.0

[[check_material]]
name = "oat check"
assigned = { nitrate_n = 900.0 }
between_runs = { nitrate_n = 30.0 }
lab_dm_pct = 93.4
"""
BALANCE = """
[[equipment]]
kind = "balance"
name = "balance 1"
checked_on = {day}
checks = [[50.0, {was}]]
tolerance = 0.001
repeatability = 0.0002
"""
OTHERS = """
[[equipment]]
kind = "reagent"
name = "color reagent"
lot = "7"
expires = 2027-06-30

[[equipment]]
kind = "dispenser"
name = "bottle top 3"
checked_on = {day}
checks = [[30.0, 30.02]]
half_width = 0.1
repeatability = 0.04
"""

LEVELS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
NAMES = (
    "batch", "run_on", "position", "kind", "sample", "replicate", "known_mg_per_l", "sample_g",
    "peak", "dilution", "lab_dm_pct", "u_lab_dm_pct",
)  # fmt: skip
BAGS = 24
A_DAY = 10


def form(days):
    """The form of an invented season: one balance check each day, a dispenser's each quarter."""
    log = [BALANCE.format(day=day, was=50.01 if n % 50 == 7 else 50.0001)
           for n, day in enumerate(days) if n % 40 != 11]  # fmt: skip
    return FORM + "".join(log) + "".join(OTHERS.format(day=day) for day in days[::60])


def rows_of(number, day, rng, codes):
    """The forty rows of one run: standards, blanks, checks, bags, duplicates."""
    slope, start = rng.normal(0.31, 0.01), rng.normal(0.004, 0.002)

    def peak(strength):
        wide = 0.05 if number % 40 == 3 else 0.0015
        return start + slope * strength + rng.normal(0.0, wide)

    def cup(no3n, dm, grams, dilution):
        extract = no3n * dm / 100.0 * grams / 30.0 + 0.05
        return f"{grams:.4f}", f"{max(peak(extract / dilution), 0.0):.5f}", f"{dilution:g}"

    drift = 1.3 if number % 60 == 20 else 1.0
    check = ("verification", "mid", "", "2", "", None, "", "", "")
    out = [("standard", f"std {c:g}", "", f"{c:g}", "", f"{peak(c):.5f}", "", "", "")
           for c in LEVELS]  # fmt: skip
    out += [("blank", "method blank", "", "", "", f"{peak(0.05):.5f}", "", "", "")] * 1
    out += [("blank", "method blank", "", "", "", f"{peak(0.05):.5f}", "", "", "")]
    out.append((*check[:5], f"{peak(2.0):.5f}", *check[6:]))
    off = 150.0 if number % 50 == 30 else rng.normal(0.0, 20.0)
    out.append(("check", "oat check", "1", "", *cup(900.0 + off, 93.4, 0.3, 1.0), "", ""))
    levels = 10.0 ** rng.uniform(1.2, 3.6, BAGS)
    dm, grams = rng.uniform(90.0, 95.0, BAGS), rng.uniform(0.28, 0.32, BAGS)
    for k in range(BAGS):
        dry = (f"{dm[k]:.2f}", "0.2") if rng.random() > 0.01 else ("", "")
        read = cup(levels[k], dm[k], grams[k], 20.0 if levels[k] > 1500.0 else 1.0)
        if rng.random() < 0.003:
            read = (read[0], "", read[2])
        out.append(("bag", codes[k], "1", "", *read, *dry))
        if k % 6 == 0:
            wide = 1.5 if rng.random() < 0.05 else 1.0 + rng.normal(0.0, 0.02)
            again = cup(levels[k] * wide, dm[k], grams[k] + 0.01, 1.0 if levels[k] < 1e3 else 20.0)
            out.append(("duplicate", codes[k], "2", "", *again, *dry))
        if k == BAGS // 2:
            out.append((*check[:5], f"{peak(2.0 * drift):.5f}", *check[6:]))
    out.append((*check[:5], f"{peak(2.0):.5f}", *check[6:]))
    return [(f"run {number}", day, place, *one) for place, one in enumerate(out, 1)]


def write(folder, batches):
    """An invented season as files: its form and its rows."""
    rng = np.random.default_rng(20260922)
    first = date(2026, 1, 5)
    days = [first + timedelta(days=n) for n in range(-(-batches // A_DAY))]
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(NAMES)
    for number in range(batches):
        start = number * BAGS + 1
        codes = [str(BagCode("TUL", start + k)) for k in range(BAGS)]
        table.writerows(rows_of(number, days[number // A_DAY], rng, codes))
    (folder / "rows.csv").write_text(out.getvalue(), encoding="utf-8")
    (folder / "season.toml").write_text(form(days), encoding="utf-8")
    return folder


def ours(folder, into):
    """Read, judge and write as the command does."""
    judged = judge(read_season(folder / "season.toml", folder / "rows.csv"))
    write_table(into / "season-results.csv", told.RESULT_COLUMNS, told.result_rows(judged))
    write_table(into / "season-batches.csv", told.BATCH_COLUMNS, told.batch_rows(judged))


def same_tables(one, other, *, rows=None):
    """Whether both folders hold the same tables, numbers to 1e-12; or their first rows."""
    for name in ("season-results.csv", "season-batches.csv"):
        tables = [list(csv.reader(io.StringIO((f / name).read_text()))) for f in (one, other)]
        lengths = {len(table) for table in tables}
        if rows is None and len(lengths) > 1:
            return False
        for mine, its in zip(*tables, strict=False):
            for a, b in zip(mine, its, strict=True):
                if a != b and not np.isclose(float(a), float(b), rtol=EQUAL_WITHIN, atol=0):
                    raise ValueError(f"{name}: {mine} {its}")
    return True


def ROWS():  # noqa: N802
    """The season against plain NumPy, and ten times the rows against one time."""
    with tempfile.TemporaryDirectory() as name:
        home = Path(name)
        folders = {}
        for part, batches in (("small", 250), ("large", 2_500)):
            folders[part] = home / part
            folders[part].mkdir()
            write(folders[part], batches)
        into = {part: home / f"{part}-out" for part in ("plain", "large", "small")}
        for one in into.values():
            one.mkdir()
        large = folders["large"]
        yield Row(
            name="a season of 100,000 rows (2,500 runs) to judged results",
            issue=3,
            baseline="the same reader, fits, rules and tables in plain NumPy",
            limit=3.0,
            ours=lambda: ours(large, into["large"]),
            theirs=lambda: season(large, into["plain"]),
            equal=lambda: same_tables(into["large"], into["plain"]),
            note="60,000 bags: curves, blanks, checks, portions, doubt, decision, two tables",
        )
        yield Row(
            name="a season of 100,000 rows against one of 10,000",
            issue=3,
            baseline="ours with a tenth of the rows, ten times over",
            limit=1.2,
            ours=lambda: ours(large, into["large"]),
            theirs=lambda: [ours(folders["small"], into["small"]) for _ in range(10)],
            equal=lambda: same_tables(into["large"], into["small"], rows="first"),
            note="1.2 here is 12 times the time for ten times the rows; the first 10,000 are the "
            "same and give the same",
        )
