"""Whole stacks simulated: bales drawn, cores taken, a laboratory's bias and noise added."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

N_BALES, WITHIN, REPEAT, BIAS = 80, 0.3, 0.06, 0.08


def about_one(rng, cv, shape):
    """Lognormal draws of mean 1 and the coefficient of variation ``cv``."""
    s2 = np.log1p(np.square(cv))
    return np.exp(rng.standard_normal(shape) * np.sqrt(s2) - s2 / 2)


@dataclass(frozen=True)
class Stacks:
    """Bales of many lots [mg/kg NO3-N], shape (lots, bales), the first ``n`` cored; results x."""

    bales: np.ndarray
    x: np.ndarray
    n: int
    bias: np.ndarray

    def kept(self, inside):
        return Stacks(self.bales[inside], self.x[inside], self.n, self.bias[inside])

    @property
    def mean(self):
        return self.bales.mean(axis=1)

    @property
    def uncored(self):
        """One bale of each lot that no core was taken from."""
        return self.bales[:, -1]


def stacks(rng, lots, *, n, between, m=1, near=1100.0):
    """Lots whose mean may lie anywhere on a log scale, kept where the result is near a value.

    The flat prior on ln(mean) is met by drawing means widely and keeping results in an octave.
    ``between`` is one spread or one for each lot.
    """
    means = np.exp(rng.uniform(np.log(near / 8), np.log(near * 8), lots))
    spread = np.broadcast_to(between, (lots,))[:, None]
    bales = means[:, None] * about_one(rng, spread, (lots, N_BALES))
    bias = about_one(rng, BIAS, lots)
    x = results(rng, bales[:, :n], bias, m=m)
    return Stacks(bales, x, n, bias).kept((x > near / 2**0.5) & (x < near * 2**0.5))


def results(rng, bales, bias, *, m=1):
    """The result of one bag of each lot: cores of these bales, one laboratory."""
    cores = bales[:, :, None] * about_one(rng, WITHIN, (*bales.shape, m))
    return cores.mean(axis=(1, 2)) * bias * about_one(rng, REPEAT, len(bales))


def uncertain(rng, lots, *, c0, df, most):
    """A spread for each lot, as uncertain as ``df`` degrees of freedom leave it."""
    return np.minimum(np.sqrt(df * c0**2 / rng.chisquare(df, lots)), most)
