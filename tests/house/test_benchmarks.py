"""A benchmark compares like with like, and its results can be read by people and programs."""

from __future__ import annotations

import json

import numpy as np
import pytest

from benchmarks.row import Row, check_equal
from tests.house.reading import ROOT

WANTED = {"name", "issue", "baseline", "median_ratio", "limit", "runs", "spread", "note"}


def row(**more):
    return Row(name="one", issue=2, baseline="", limit=1.0, ours=list, theirs=list, **more)


def test_two_that_differ_are_not_timed():
    with pytest.raises(AssertionError):
        check_equal(row(), {"a": np.ones(3)}, {"a": np.ones(3) + 1e-9})
    with pytest.raises(ValueError, match="do not give the same"):
        check_equal(row(equal=lambda mine, its: mine == its), 1, 2)
    check_equal(row(), (np.ones(3), 2), (np.ones(3), 2))


def test_the_results_hold_what_a_later_reader_needs():
    results = json.loads((ROOT / "benchmarks" / "results.json").read_text(encoding="utf-8"))
    page = (ROOT / "benchmarks" / "RESULTS.md").read_text(encoding="utf-8")
    for one in results:
        assert set(one) >= WANTED, one
        assert f"| {one['name']} |" in page
