"""A bag of many bales hides the bad one: the stated chances held against whole simulated stacks.

Lots are drawn with a mean spread evenly on the log scale (a flat prior), bales log-normal about it,
cores within bales, and a laboratory with its bias and repeat. Among the bags that read as they do,
the lot mean must lie above the stated bounds, and a further bale above the stated levels, as often
as said.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haywright.bunk.hazards.nitrate.closed import mixed_variance
from haywright.bunk.hazards.nitrate.doubt import (
    Laboratory,
    Sampling,
    Spread,
    bag_says,
    bales_over,
    hill,
    spread_nodes,
)
from haywright.bunk.hazards.nitrate.rules import rules
from haywright.measure.errors import Refused

STACKS = 40_000
WITHIN, REPEAT, BIAS = 0.2, 0.06, 0.08


def stacks(rng: np.random.Generator, cv: float, cored: int, bales: int):
    """Lot means, bag results and one uncored bale of many stacks; everything over the mean."""
    sigma = math.sqrt(math.log1p(cv * cv))
    hay = rng.lognormal(-sigma * sigma / 2, sigma, (STACKS, bales))
    within = math.sqrt(math.log1p(WITHIN * WITHIN))
    cores = hay[:, :cored] * rng.lognormal(-within * within / 2, within, (STACKS, cored))
    lab = rng.normal(1.0, math.hypot(REPEAT, BIAS), STACKS).clip(0.3)
    result = cores.mean(axis=1) * lab
    uncored = hay[:, -1]
    return hay.mean(axis=1), result, uncored


@pytest.mark.parametrize("cv", [0.3, 0.4, 0.5, 0.6])
@pytest.mark.parametrize("cored", [1, 3, 20])
def test_the_stated_chances_hold_in_whole_stacks(cv: float, cored: int) -> None:
    """Simulation; all is proportional to the result, so no binning is needed."""
    rng = np.random.default_rng(1000 * cored + round(100 * cv))
    bales = 60
    mean, result, uncored = stacks(rng, cv, cored, bales)
    says = bag_says(
        1.0,
        spread=Spread(cv, math.inf, WITHIN),
        sampling=Sampling(cored, bales),
        laboratory=Laboratory(REPEAT, BIAS),
    )
    # A flat prior on ln mean: p(mean/x) is that of the pivot, so x * bound must cover the mean.
    above = float(np.mean(mean > result * says.mean_at(0.95)))
    below = float(np.mean(mean < result * says.mean_at(0.05)))
    bad_bale = float(np.mean(uncored > result * says.bale_at(0.95)))
    worst = float(np.mean(uncored > result * says.bale_at(0.99)))
    # Log-normal sums are not quite log-normal: the reference simulation stated 5.0 to 5.5 % and
    # 1.1 to 1.2 %; one core at CV 0.6 is the hardest and stays on the cautious side or near it.
    assert 0.035 <= above <= 0.065
    assert 0.03 <= below <= 0.07
    assert 0.035 <= bad_bale <= 0.065
    assert 0.005 <= worst <= 0.018


@pytest.mark.parametrize("cored", [1, 3, 20])
def test_an_uncertain_spread_covers_lots_whose_spread_is_drawn(cored: int) -> None:
    """Simulation: the spread of each lot drawn as the model says, c^2 = nu c0^2/chi2(nu), cut."""
    rng = np.random.default_rng(7 + cored)
    c0, df, bales = 0.5, 8.0, 60
    c = np.minimum(np.sqrt(df * c0**2 / rng.chisquare(df, STACKS)), rules().most)
    sigma = np.sqrt(np.log1p(c * c))[:, None]
    hay = np.exp(-sigma * sigma / 2 + sigma * rng.standard_normal((STACKS, bales)))
    within = math.sqrt(math.log1p(WITHIN * WITHIN))
    cores = hay[:, :cored] * rng.lognormal(-within * within / 2, within, (STACKS, cored))
    result = cores.mean(axis=1) * rng.normal(1.0, math.hypot(REPEAT, BIAS), STACKS).clip(0.3)
    says = bag_says(
        1.0,
        spread=Spread(c0, df, WITHIN),
        sampling=Sampling(cored, bales),
        laboratory=Laboratory(REPEAT, BIAS),
    )
    assert 0.03 <= np.mean(hay.mean(axis=1) > result * says.mean_at(0.95)) <= 0.07
    assert 0.004 <= np.mean(hay[:, -1] > result * says.bale_at(0.99)) <= 0.02


@pytest.mark.parametrize("line", [1.2, 2.0])
def test_bales_expected_over_a_line_hold_in_whole_stacks(line: float) -> None:
    """Simulation: expected number, and its range 9 times in 10."""
    rng = np.random.default_rng(5)
    cv, cored, bales = 0.5, 20, 60
    sigma = math.sqrt(math.log1p(cv * cv))
    hay = rng.lognormal(-sigma * sigma / 2, sigma, (STACKS, bales))
    within = math.sqrt(math.log1p(WITHIN * WITHIN))
    fresh = rng.lognormal(-sigma * sigma / 2, sigma, (STACKS, cored))
    cores = fresh * rng.lognormal(-within * within / 2, within, (STACKS, cored))
    result = cores.mean(axis=1) * rng.normal(1.0, math.hypot(REPEAT, BIAS), STACKS).clip(0.3)
    over = (hay > (line * result)[:, None]).sum(axis=1)
    # Bales other than the cored ones, so no share of the stack is known: bales uncounted.
    says = bag_says(
        1.0,
        spread=Spread(cv, math.inf, WITHIN),
        sampling=Sampling(cored, None),
        laboratory=Laboratory(REPEAT, BIAS),
    )
    expected, low, high = bales_over(says, line, bales)
    assert expected == pytest.approx(float(over.mean()), rel=0.05)
    assert 0.88 <= np.mean((over >= low) & (over <= high)) <= 0.97


def test_an_uncertain_spread_is_the_chi_square_mixture() -> None:
    """Against SciPy's chi-square: mean of c^2 = nu c0^2/(nu - 2), before the cut."""
    c, weights = spread_nodes(0.2, 12.0)
    assert weights.sum() == pytest.approx(1.0, abs=1e-12)
    assert float(weights @ c**2) == pytest.approx(12 * 0.04 / 10, rel=2e-3)


spreads = st.builds(
    Spread, st.floats(0.1, 1.0), st.sampled_from([4.0, 8.0, 30.0, math.inf]), st.floats(0.05, 0.4)
)
results = st.floats(20, 20_000)


@settings(max_examples=60, deadline=None)
@given(results, spreads, st.integers(1, 30))
def test_more_cores_never_widen_the_range_of_the_same_result(
    x: float, spread: Spread, cored: int
) -> None:
    lab = Laboratory(REPEAT, BIAS)
    few = bag_says(x, spread=spread, sampling=Sampling(cored, 80), laboratory=lab)
    more = bag_says(x, spread=spread, sampling=Sampling(cored + 10, 80), laboratory=lab)
    assert more.mean_at(0.95) <= few.mean_at(0.95) * (1 + 1e-9)


@settings(max_examples=60, deadline=None)
@given(results, spreads)
def test_levels_and_chances_agree(x: float, spread: Spread) -> None:
    says = bag_says(
        x, spread=spread, sampling=Sampling(12, 80), laboratory=Laboratory(REPEAT, BIAS)
    )
    for p in (0.01, 0.5, 0.95, 0.99):
        assert says.mean_below(says.mean_at(p)) == pytest.approx(p, abs=1e-9)
        assert says.bale_below(says.bale_at(p)) == pytest.approx(p, abs=1e-9)


def test_the_hill_holds_one_value_for_each_bale_and_rises() -> None:
    says = bag_says(
        1000.0,
        spread=Spread(0.5, 8, 0.2),
        sampling=Sampling(20, 64),
        laboratory=Laboratory(REPEAT, BIAS),
    )
    values = hill(says, 64)
    assert len(values) == 64
    assert list(values) == sorted(values)


def test_grinding_more_bales_together_evens_them_out() -> None:
    """c^2 (1 - k/N)/k: simple random sampling, Cochran chapter 2."""
    assert mixed_variance(0.5, 4, math.inf) == pytest.approx(0.25**2)
    assert mixed_variance(0.5, 60, 60) == 0.0
    assert mixed_variance(0.5, 1, 60) == 0.5**2


@pytest.mark.parametrize("x", [0.0, -5.0, math.nan, math.inf])
def test_a_bag_without_a_number_says_nothing(x: float) -> None:
    with pytest.raises(Refused):
        bag_says(x, spread=Spread(0.4, 8, 0.2), sampling=Sampling(), laboratory=Laboratory(0.1, 0))


def test_more_bales_cored_than_there_are_is_refused() -> None:
    with pytest.raises(Refused) as caught:
        Sampling(30, 20)
    assert caught.value.message.key == "bunk.nitrate.cored_over"
