"""The report of a batch, kept as JSON and read back, prints the paper it printed first."""

from __future__ import annotations

import json
from functools import cache

import pytest

from haywright.bench.kept_report import read_kept
from haywright.bench.panel import run_batches
from haywright.files.office import demo_folder, read_office
from haywright.measure.errors import HaywrightError
from haywright.paper.batch_paper import batch_data
from haywright.words import Reader, say

BATCHES = read_office(demo_folder()).batches


@cache
def reports():
    return {one.batch.id: one for one in run_batches(BATCHES)}


def kept(report):
    return json.loads(json.dumps(report.to_json(), allow_nan=False))


def alike(one, other, at="paper"):
    """All that the paper says word for word; how long a bar is drawn to a hair."""
    if isinstance(one, float):
        assert other == pytest.approx(one, rel=1e-9), at
    elif isinstance(one, dict):
        assert one.keys() == other.keys(), at
        for name, held in one.items():
            alike(held, other[name], f"{at}.{name}")
    elif isinstance(one, list | tuple):
        assert len(one) == len(other), at
        for n, (first, second) in enumerate(zip(one, other, strict=True)):
            alike(first, second, f"{at}[{n}]")
    else:
        assert one == other, at


@pytest.mark.parametrize("name", [one.id for one in BATCHES])
def test_a_report_read_back_says_on_paper_what_it_said_first(name):
    report = reports()[name]
    again = read_kept(kept(report))
    alike(batch_data(report, Reader()), batch_data(again, Reader()))


@pytest.mark.parametrize("part", ["readings", "results", "controls", "decision", "equipment",
                                  "curves", "portions", "before", "choices", "method",
                                  "determination", "run_on"])  # fmt: skip
def test_a_report_that_lacks_a_part_is_refused_and_not_printed_by_half(part):
    held = kept(reports()["2026-09-14-nitrate"])
    del held[part]
    with pytest.raises(HaywrightError):
        read_kept(held)


def test_a_report_that_lacks_one_released_number_is_refused():
    held = kept(reports()["2026-09-14-dry-matter"])
    bag = next(iter(held["decision"]["released"]))
    held["results"][bag].pop(0)
    with pytest.raises(HaywrightError, match=bag):
        read_kept(held)


def test_standards_pass_by_their_expiry_date_and_a_balance_by_its_check():
    said = {say(one.said) for one in reports()["2026-09-14-nitrate"].controls}
    reagent = next(t for t in reports()["2026-09-14-nitrate"].batch.equipment if t.lot)
    assert "Last check in order: balance 2." in said
    assert any(
        one.startswith("Within the expiry date") and reagent.name in one and reagent.lot in one
        for one in said
    )
