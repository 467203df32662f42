"""What is said of a bag holds in simulated stacks, within the error of the simulation.

Source of the model: the derived forms of ``closed`` (bibliography key nitrate-spread). The stacks
know nothing of them: lognormal bales, cores of unequal bales averaged, laboratory bias and noise.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from haywright.bunk.hazards.nitrate.doubt import Laboratory, Sampling, Spread, bag_says, bales_over
from haywright.bunk.hazards.nitrate.rules import rules
from haywright.bunk.hazards.nitrate.settle import ways_to_settle
from tests.bunk.stacks import BIAS, N_BALES, REPEAT, WITHIN, results, stacks, uncertain

LOTS = 30_000
LABORATORY = Laboratory(REPEAT, BIAS)
CORES = (1, 3, 20)
SPREADS = (0.3, 0.45, 0.6)


def agrees(share, stated, draws):
    """Whether a share of draws fits a stated chance: four standard errors."""
    return abs(share - stated) < 4 * math.sqrt(stated * (1 - stated) / draws)


def says(n, spread):
    """Of a result of 1; everything scales with the result."""
    return bag_says(1.0, spread=spread, sampling=Sampling(n, N_BALES), laboratory=LABORATORY)


def lots(rng, n, c, df):
    if math.isinf(df):
        return stacks(rng, LOTS, n=n, between=c)
    drawn = uncertain(rng, LOTS, c0=c, df=df, most=rules().most)
    return stacks(rng, LOTS, n=n, between=drawn)


@pytest.mark.parametrize("df", [math.inf, 8.0], ids=["spread known", "spread uncertain"])
@pytest.mark.parametrize("c", SPREADS)
@pytest.mark.parametrize("n", CORES)
def test_one_lot_in_twenty_lies_over_the_upper_bound_and_one_bale_in_a_hundred_over_the_99th(
    n, c, df
):
    found = lots(np.random.default_rng(100 * n + int(100 * c)), n, c, df)
    bag = says(n, Spread(c, df, WITHIN))
    draws = len(found.x)
    assert draws > LOTS / 8
    assert agrees((found.mean > bag.mean_at(0.95) * found.x).mean(), 0.05, draws)
    assert agrees((found.mean < bag.mean_at(0.05) * found.x).mean(), 0.05, draws)
    assert agrees((found.uncored > bag.bale_at(0.95) * found.x).mean(), 0.05, draws)
    assert agrees((found.uncored > bag.bale_at(0.99) * found.x).mean(), 0.01, draws)


@pytest.mark.parametrize("n", CORES)
def test_bales_over_a_line_are_as_many_as_said_and_the_range_holds_nine_lots_of_ten(n):
    rng = np.random.default_rng(n)
    found = lots(rng, n, 0.45, 8.0)
    line = 2000.0
    over = (found.bales > line).sum(axis=1)
    said = [
        bales_over(says_of(x, n), line, N_BALES)
        for x in np.quantile(found.x, np.arange(0.05, 1, 0.1))
    ]  # fmt: skip
    part = np.digitize(found.x, np.quantile(found.x, np.arange(0.1, 1, 0.1)))
    expected = np.array([one[0] for one in said])
    error = over.std() / math.sqrt(len(over))
    assert abs(over.mean() - expected.mean()) < 4 * error + 0.02 * over.mean()
    low, high = (np.array([one[side] for one in said])[part] for side in (1, 2))
    assert ((over >= low) & (over <= high)).mean() > 0.9 - 4 * math.sqrt(0.09 / len(over))


def says_of(x, n):
    return bag_says(
        float(x), spread=Spread(0.45, 8.0, WITHIN), sampling=Sampling(n, N_BALES),
        laboratory=LABORATORY,
    )  # fmt: skip


def test_chances_that_more_cores_settle_it_come_true_as_often_as_said():
    edge, n, more, c = 1000.0, 10, 20, 0.45
    rng = np.random.default_rng(3)
    found = stacks(rng, 4 * LOTS, n=n, between=c)
    spread = Spread(c, math.inf, WITHIN)
    now = says(n, spread)
    close = (found.x * now.mean_at(0.05) < edge) & (found.x * now.mean_at(0.95) >= edge)
    found = found.kept(close)
    second = results(rng, found.bales[:, n : n + more], found.bias)
    together = (n * found.x + more * second) / (n + more)
    then = bag_says(
        1.0, spread=spread, sampling=Sampling(n + more, N_BALES),
        laboratory=Laboratory(REPEAT, BIAS, analyses=2),
    )  # fmt: skip
    settled = (together * then.mean_at(0.95) < edge) | (together * then.mean_at(0.05) >= edge)
    said = np.array([chance_of(x, edge, n, more, spread) for x in found.x[:400]])
    assert settled.mean() == pytest.approx(said.mean(), abs=0.025)


def chance_of(x, edge, n, more, spread):
    ways = ways_to_settle(
        float(x), edge, spread=spread, sampling=Sampling(n, N_BALES), laboratory=LABORATORY
    )
    return next(w.chance for w in ways if w.cores == more and not w.second_laboratory)
