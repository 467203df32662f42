"""Whole stacks drawn by chance: bales, cores, laboratory noise. The stated chances must hold."""

from __future__ import annotations

import math

import numpy as np
import pytest

from haywright.stack.compare import difference_that_counts
from haywright.stack.error import Scheme, Spread, half_width
from haywright.stack.spread import Repeat, pooled_sd

pytestmark = pytest.mark.slow
LOTS = 20_000


def simulated(rng, spread, scheme, *, bales=None, lots=LOTS):
    """(result of the bag, true mean of the lot) for many lots."""
    n, m, N = scheme.bales, scheme.cores_per_bale, int(scheme.lot_bales)
    lot = 12 + rng.normal(0, spread.between, (lots, N))
    cored = lot[:, :n] if bales is None else lot[:, bales]
    cores = cored[:, :, None] + rng.normal(0, spread.within, (*cored.shape, m))
    powder = rng.normal(0, spread.powder, (lots, scheme.portions)).mean(axis=1)
    repeat = rng.normal(0, spread.repeat, (lots, scheme.analyses)).mean(axis=1)
    bias = rng.normal(0, spread.laboratory, lots)
    return cores.mean(axis=(1, 2)) + powder + repeat + bias, lot.mean(axis=1), bias


def allowed(chance, lots=LOTS):
    """Four standard errors of a simulated share."""
    return 4 * math.sqrt(chance * (1 - chance) / lots)


@pytest.mark.parametrize("confidence", [0.8, 0.9, 0.95])
@pytest.mark.parametrize("bales", [1, 3, 20])
def test_the_stated_half_width_holds_the_lot_as_often_as_it_says(bales, confidence):
    rng = np.random.default_rng(100 + bales)
    spread = Spread(1.0, 0.7, powder=0.15, repeat=0.2, laboratory=0.3)
    scheme = Scheme(bales, 2, 60, portions=2, analyses=3)
    result, truth, _ = simulated(rng, spread, scheme)
    inside = np.mean(np.abs(result - truth) <= half_width(spread, scheme, confidence))
    assert inside == pytest.approx(confidence, abs=allowed(confidence))


@pytest.mark.parametrize("bales", [1, 3, 20])
def test_leaving_out_what_stays_would_promise_too_much(bales):
    """The bias is no formality: without it the interval misses more often than it says."""
    rng = np.random.default_rng(200 + bales)
    spread = Spread(0.4, 0.3, repeat=0.1, laboratory=0.4)
    scheme = Scheme(bales, 1, 60)
    result, truth, _ = simulated(rng, spread, scheme)
    short = np.mean(np.abs(result - truth) <= half_width(spread.one_laboratory, scheme, 0.95))
    assert short < 0.95 - 2 * allowed(0.95)


@pytest.mark.parametrize("cv", [0.3, 0.45, 0.6])
@pytest.mark.parametrize("bales", [1, 3, 20])
def test_relative_half_widths_hold_for_skewed_nitrate_about_as_often_as_they_say(cv, bales):
    """For planning only: lognormal bales; a verdict uses the form of the logarithm."""
    rng = np.random.default_rng(300 + bales)
    s = math.sqrt(math.log1p(cv**2))
    lot = np.exp(rng.normal(-s * s / 2, s, (LOTS, 60)))
    cores = lot[:, :bales] * (1 + rng.normal(0, 0.2, (LOTS, bales)))
    result = cores.mean(axis=1) * (1 + rng.normal(0, 0.1, LOTS))
    spread, scheme = Spread(cv, 0.2, laboratory=0.1), Scheme(bales, 1, 60)
    half = half_width(spread, scheme, 0.9)
    inside = np.mean(np.abs(result - lot.mean(axis=1)) <= half * lot.mean(axis=1))
    assert inside == pytest.approx(0.9, abs=0.05)


@pytest.mark.parametrize("bales", [1, 3, 20])
def test_a_pooled_spread_holds_where_each_lot_has_its_own(bales):
    """Lots whose variance is what the library and its degrees of freedom say, with repeats seen."""
    rng = np.random.default_rng(400 + bales)
    prior, seen = Repeat(1.1, 4.0), 5
    sigma2 = prior.df * prior.sd**2 / rng.chisquare(prior.df, LOTS)
    s2 = sigma2 * rng.chisquare(seen, LOTS) / seen
    error = rng.normal(0, np.sqrt(sigma2 / bales))
    inside = 0
    for one_s2, one_error in zip(s2, error, strict=True):
        found = pooled_sd(prior, [Repeat(math.sqrt(one_s2), seen)])
        half = half_width(Spread(found.sd, df=found.df), Scheme(bales), 0.9)
        inside += abs(one_error) <= half
    assert inside / LOTS == pytest.approx(0.9, abs=allowed(0.9))


@pytest.mark.parametrize("bales", [1, 3, 20])
def test_an_estimated_spread_beside_a_given_laboratory_holds_nearly(bales):
    """Welch and Satterthwaite is an approximation; it may be off by 2 chances in 100."""
    rng = np.random.default_rng(500 + bales)
    df, sd, bias = 6.0, 1.0, 0.35
    s = sd * np.sqrt(rng.chisquare(df, 4000) / df)
    error = rng.normal(0, sd / math.sqrt(bales), 4000) + rng.normal(0, bias, 4000)
    halves = [half_width(Spread(one, laboratory=bias, df=df), Scheme(bales), 0.9) for one in s]
    assert np.mean(np.abs(error) <= halves) == pytest.approx(0.9, abs=0.02 + allowed(0.9, 4000) / 2)


def test_two_bags_from_different_bales_differ_as_often_as_they_should():
    rng = np.random.default_rng(600)
    spread, scheme = Spread(1.0, 0.5, repeat=0.2, laboratory=0.9), Scheme(15, 1, 40)
    lot = 12 + rng.normal(0, spread.between, (LOTS, 40))
    bias = rng.normal(0, spread.laboratory, LOTS)

    def bag(bales):
        cores = lot[:, bales] + rng.normal(0, spread.within, (LOTS, 15))
        return cores.mean(axis=1) + rng.normal(0, spread.repeat, LOTS) + bias

    difference = np.abs(bag(range(15)) - bag(range(15, 30)))
    over = np.mean(difference > difference_that_counts(spread, scheme, 0.95))
    assert over == pytest.approx(0.05, abs=allowed(0.05))


def test_a_bag_of_twenty_bales_hides_the_one_bad_bale():
    """sampling.md 2.10: one bale of n is diluted n times in the bag."""
    rng = np.random.default_rng(700)
    lot = rng.normal(1000, 50, (LOTS, 20))
    lot[:, 7] = 8000
    bag = lot.mean(axis=1)
    assert np.all(bag < 2000)
    assert bag.mean() == pytest.approx((19 * 1000 + 8000) / 20, rel=0.01)
