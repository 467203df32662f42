"""A thousand control charts by every run rule, against windows in plain NumPy."""

from __future__ import annotations

import numpy as np

from benchmarks.baselines import charts as plain
from benchmarks.row import Row
from haywright.bench import charts

CHARTS, RESULTS, HISTORY = 1_000, 200, 24
WITHIN_A_RUN = ("spread", "range")


def series():
    """Invented check samples that drift a little; none lies exactly on its center line."""
    rng = np.random.default_rng(20261125)
    walk = rng.normal(0.0, 0.15, (CHARTS, RESULTS)).cumsum(axis=1)
    return 18.0 + 0.3 * (rng.normal(0.0, 1.0, (CHARTS, RESULTS)) + walk)


def fired(values):
    """Rule -> where it fires on each chart, limits from the oldest runs of each."""
    made = [charts.chart(one) for one in values[:, :HISTORY]]
    center, sd = (np.array([[getattr(one, n)] for one in made]) for n in ("center", "sd"))
    z = (values - center) / sd
    return {
        name: charts.fires(z, rule)
        for name, rule in charts.rules().items()
        if rule.kind not in WITHIN_A_RUN
    }


def ROWS():  # noqa: N802
    """One row."""
    values = series()
    yield Row(
        name="1,000 control charts of 200 results, every run rule",
        issue=3,
        baseline="a sliding window for each rule, plain NumPy",
        limit=3.0,
        ours=lambda: fired(values),
        theirs=lambda: plain.fired(values, values[:, :HISTORY]),
        note="limits of each chart from its 24 oldest runs; 14 rules",
    )
