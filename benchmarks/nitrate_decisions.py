"""Nitrate decisions: many bags in closed form, and one bag with its uncertain spread drawn."""

from __future__ import annotations

import numpy as np

from benchmarks.baselines import nitrate_decisions as plain
from benchmarks.row import Row
from haywright.bunk.hazards.nitrate.arrays import decide_drawn, decide_many
from haywright.bunk.hazards.nitrate.doubt import Laboratory, Sampling, Spread
from haywright.bunk.hazards.nitrate.ladder import ladder
from haywright.sources.guides import guide

BAGS, DRAWS = 100_000, 1_000_000
REST, WATER = 140.0, 26.0


def bags():
    """Invented bags of a season: result, bales cored, bales in the lot, spread between bales."""
    rng = np.random.default_rng(20261125)
    bales = rng.integers(20, 200, BAGS).astype(float)
    return {
        "x": rng.lognormal(6.6, 0.9, BAGS),
        "cored": np.minimum(rng.integers(1, 40, BAGS), bales),
        "bales": bales,
        "between": rng.uniform(0.25, 0.6, BAGS),
    }


def flat(found):
    """Decisions as the baseline gives them."""
    return (found.share, found.binds, found.too_close, found.low, found.high, found.bale,
            found.worst)  # fmt: skip


def ROWS():  # noqa: N802
    """Two rows."""
    steps = ladder(guide("clemson"), ("pregnant",))
    season = bags()
    yield Row(
        name="100,000 nitrate decisions in closed form",
        issue=2,
        baseline="plain NumPy",
        limit=2.0,
        ours=lambda: flat(decide_many(
            season["x"], steps, cored=season["cored"], bales=season["bales"],
            between=season["between"], rest=REST, water=WATER)),
        theirs=lambda: plain.closed(**season, rest=REST, water=WATER),
        note="bounds, bad bales, three shares, which one bound",
    )  # fmt: skip
    yield Row(
        name="a nitrate decision with the uncertain spread drawn, 1,000,000 draws",
        issue=2,
        baseline="bare NumPy draws, arithmetic and quantiles",
        limit=2.0,
        ours=lambda: flat(decide_drawn(
            1120.0, steps, sampling=Sampling(20, 64, 1), spread=Spread(0.5, 8.0, plain.WITHIN),
            laboratory=Laboratory(0.06, 0.08), rest=REST, water=WATER, draws=DRAWS,
            rng=np.random.default_rng(7))),
        theirs=lambda: plain.drawn(
            1120.0, 20, 64, 0.5, 8.0, REST, WATER, DRAWS, np.random.default_rng(7)),
        note="lot mean and one bale drawn; 8 degrees of freedom",
    )  # fmt: skip
