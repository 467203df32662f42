"""Nitrate decisions in plain NumPy: one guide, bred cows, three shares and the smallest."""

from __future__ import annotations

import numpy as np

Z95, Z99 = 1.6448536269514722, 2.3263478740408408
# Clemson's rows for pregnant stock, mg/kg NO3-N: no limit, half, do not feed.
EDGES = np.array([1000.0, 2000.0])
SHARES = np.array([1.0, 0.5, 0.0])
TARGET, LINE, LINE_ALL = 1000.0, 2000.0, 4000.0
WITHIN, U2 = 0.2, 0.06**2 + 0.08**2


def held_to(level, rest, line, water):
    room = line - water
    share = max(room - rest, 0.0) / np.maximum(level - rest, 1e-300)
    return np.where(level <= room, 1.0, share)


def decided(low, high, bale, worst, rest, water):
    guide = SHARES[np.searchsorted(EDGES, high, side="right")]
    guide_low = SHARES[np.searchsorted(EDGES, low, side="right")]
    day = held_to(high, rest, TARGET, water)
    bad = np.minimum(held_to(bale, rest, LINE, water), held_to(worst, rest, LINE_ALL, water))
    first = np.minimum(guide, day)
    binds = np.where(bad < first, 2, (day < guide).astype(np.int8))
    return np.minimum(first, bad), binds, guide_low > guide, low, high, bale, worst


def closed(x, cored, bales, between, rest, water):
    """Each bag with its between-bale spread taken as known."""
    c2 = between**2
    v2 = np.log1p((1.0 - cored / bales) * c2 / cored + WITHIN**2 / cored + U2)
    s2 = np.log1p(c2)
    v, sb = np.sqrt(v2), np.sqrt(v2 + s2)
    half = v2 / 2.0
    low, high = x * np.exp(half - Z95 * v), x * np.exp(half + Z95 * v)
    centre = half - s2 / 2.0
    bale, worst = x * np.exp(centre + Z95 * sb), x * np.exp(centre + Z99 * sb)
    return decided(low, high, bale, worst, rest, water)


def drawn(x, cored, bales, between, df, rest, water, draws, rng):
    """One bag, its uncertain spread drawn: bare draws, arithmetic and quantiles."""
    c2 = np.minimum(df * between**2 / rng.chisquare(df, draws), 1.2**2)
    v2 = np.log1p((1.0 - cored / bales) / cored * c2 + WITHIN**2 / cored + U2)
    s2 = np.log1p(c2)
    log_mean = v2 / 2.0 + np.sqrt(v2) * rng.standard_normal(draws)
    log_bale = log_mean - s2 / 2.0 + np.sqrt(s2) * rng.standard_normal(draws)
    low, high = np.quantile(x * np.exp(log_mean), [0.05, 0.95])
    bale, worst = np.quantile(x * np.exp(log_bale), [0.95, 0.99])
    return decided(low, high, bale, worst, rest, water)
