"""What the result of one bag says of the lot's mean and of a single bale.

With result x of a bag of n of N bales, m cores each; c between-bale, w within-bale coefficient of
variation, u the laboratory's relative standard uncertainty with its bias:

    RSE^2 = (1 - n/N) c^2/n + w^2/(n m) + u^2        v^2 = ln(1 + RSE^2)      s^2 = ln(1 + c^2)
    lot mean: ln(mean) ~ N(ln x + v^2/2, v^2)
    one bale: ln(bale) ~ N(ln x + v^2/2 - s^2/2, s^2 + v^2)

c itself is uncertain, c^2 = nu c0^2 / chi^2(nu), cut at a most; everything here is a mixture over
c by Gauss-Legendre nodes in the probability of chi-square, with one node for the part cut off.
The fixed-c forms are the same mixture with one node.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from haywright.bunk.hazards.nitrate.rules import rules
from haywright.measure.errors import Refused

Floats = NDArray[np.float64]
_NODES = 40
_MEANS = 12


@dataclass(frozen=True, slots=True)
class Spread:
    """How much bales differ: between-bale CV, what it rests on, and within-bale CV.

    Parameters
    ----------
    between
        Between-bale coefficient of variation [fraction].
    df
        Degrees of freedom it rests on; infinite for a fixed one.
    within
        Between cores of one bale [fraction].
    basis
        lot (separately tested bags), history, provisional or entered.
    """

    between: float
    df: float
    within: float
    basis: str = "provisional"

    def __post_init__(self) -> None:
        for field in ("between", "within"):
            if not 0 <= getattr(self, field) <= 3:
                raise Refused(field, getattr(self, field), "0 to 3")
        if not self.df > 0:
            raise Refused("df", self.df, "> 0")


@dataclass(frozen=True, slots=True)
class Sampling:
    """How the bag was taken: ``cored`` of ``bales`` (None when not counted), cores in each."""

    cored: int = 1
    bales: int | None = None
    cores_per_bale: int = 1

    def __post_init__(self) -> None:
        if self.cored < 1 or self.cores_per_bale < 1:
            raise Refused("cored", min(self.cored, self.cores_per_bale), ">= 1")
        if self.bales is not None and self.cored > self.bales:
            raise Refused("cored", self.cored, key="bunk.nitrate.cored_over", bales=self.bales)

    @property
    def left(self) -> float:
        """Share of the bales not cored, (1 - n/N) [fraction]."""
        return 1.0 if self.bales is None else 1.0 - self.cored / self.bales


@dataclass(frozen=True, slots=True)
class Laboratory:
    """Relative standard uncertainty of the result: repeat over ``analyses``, and bias."""

    repeat: float
    bias: float
    analyses: int = 1
    laboratories: int = 1

    @property
    def variance(self) -> float:
        """u^2 = u_r^2/k + u_b^2 over the number of laboratories [fraction squared]."""
        return self.repeat**2 / self.analyses + self.bias**2 / self.laboratories


@lru_cache(maxsize=256)
def spread_nodes(between: float, df: float) -> tuple[Floats, Floats]:
    """Values of c and their weights for an uncertain spread.

    Parameters
    ----------
    between
        c0 [fraction].
    df
        nu [count]; infinite gives the single value c0.
    """
    if math.isinf(df) or between == 0:
        return np.array([between]), np.array([1.0])
    from scipy.special import gammaincc, gammainccinv

    most = rules().most
    lowest = df * between**2 / most**2
    kept = float(gammaincc(df / 2, lowest / 2))
    points, weights = np.polynomial.legendre.leggauss(_NODES)
    upper_tail = (points + 1) / 2 * kept
    chi2 = 2 * gammainccinv(df / 2, upper_tail)
    c = np.append(np.sqrt(df * between**2 / chi2), most)
    return c, np.append(weights / 2 * kept, 1 - kept)


@dataclass(frozen=True)
class BagSays:
    """The mixture for the lot mean and for one bale [mg/kg NO3-N of DM].

    Parameters
    ----------
    x
        Result [mg/kg NO3-N of DM].
    weights
        Of the nodes of c.
    v2, s2
        Log variances of the mean and between bales, by node.
    """

    x: float
    weights: Floats
    v2: Floats
    s2: Floats

    @property
    def mean_centre(self) -> Floats:
        """Centre of ln(lot mean), by node."""
        return np.asarray(math.log(self.x) + self.v2 / 2)

    @property
    def bale_centre(self) -> Floats:
        """Centre of ln(one bale), by node."""
        return self.mean_centre - self.s2 / 2

    def mean_below(self, level: float) -> float:
        """Chance that the lot mean is at most ``level``.

        Parameters
        ----------
        level
            [mg/kg NO3-N of DM].
        """
        return self._below(level, self.mean_centre, self.v2)

    def bale_below(self, level: float) -> float:
        """Chance that one bale is at most ``level``.

        Parameters
        ----------
        level
            [mg/kg NO3-N of DM].
        """
        return self._below(level, self.bale_centre, self.s2 + self.v2)

    def mean_at(self, p: float) -> float:
        """Level that the lot mean is under with chance ``p`` [mg/kg NO3-N of DM].

        Parameters
        ----------
        p
            Chance [fraction].
        """
        return self._at(p, self.mean_centre, self.v2)

    def bale_at(self, p: float) -> float:
        """Level that one bale is under with chance ``p`` [mg/kg NO3-N of DM].

        Parameters
        ----------
        p
            Chance [fraction].
        """
        return self._at(p, self.bale_centre, self.s2 + self.v2)

    def _below(self, level: float, centre: Floats, variance: Floats) -> float:
        from scipy.special import ndtr

        if level <= 0:
            return 0.0
        z = (math.log(level) - centre) / np.sqrt(np.maximum(variance, np.finfo(float).tiny))
        return float(self.weights @ ndtr(z))

    def _at(self, p: float, centre: Floats, variance: Floats) -> float:
        """Quantile of the mixture by bisection in the log: 60 halvings, 1e-15 of the bracket."""
        from scipy.special import ndtri

        ends = centre + ndtri(p) * np.sqrt(variance)
        low, high = float(ends.min()), float(ends.max())
        for _ in range(60):
            middle = (low + high) / 2
            if self._below(math.exp(middle), centre, variance) < p:
                low = middle
            else:
                high = middle
        return math.exp((low + high) / 2)


def log_variances(
    c: Floats | float, *, within: float, sampling: Sampling, laboratory: float
) -> tuple[Floats, Floats]:
    """v^2 and s^2 for given between-bale spreads.

    Parameters
    ----------
    c
        Between-bale CV [fraction].
    within
        Within-bale CV [fraction].
    sampling
        How the bag was taken.
    laboratory
        Relative variance of the laboratory [fraction squared].
    """
    c2 = np.square(np.asarray(c, dtype=float))
    n, m = sampling.cored, sampling.cores_per_bale
    rse2 = sampling.left * c2 / n + within**2 / (n * m) + laboratory
    return np.log1p(rse2), np.log1p(c2)


def bag_says(x: float, *, spread: Spread, sampling: Sampling, laboratory: Laboratory) -> BagSays:
    """What a bag's result says of the lot.

    Parameters
    ----------
    x
        Result [mg/kg NO3-N of DM], above 0.
    spread, sampling, laboratory
        How much bales differ, how the bag was taken, what the laboratory's number is worth.
    """
    if not (x > 0 and math.isfinite(x)):
        raise Refused("nitrate", x, "> 0")
    c, weights = spread_nodes(spread.between, spread.df)
    v2, s2 = log_variances(
        c, within=spread.within, sampling=sampling, laboratory=laboratory.variance
    )
    return BagSays(x, weights, v2, s2)


def mixed_spread(between: float, *, mixed: int, bales: int | None) -> float:
    """CV between mixed lots of ``mixed`` bales truly mixed: c sqrt((1 - k/N)/k).

    Parameters
    ----------
    between
        Between-bale CV [fraction].
    mixed
        Bales ground together [count].
    bales
        Bales in the lot [count]; None when many.
    """
    left = 1.0 if bales is None else 1.0 - mixed / bales
    return between * math.sqrt(left / mixed)


def bales_over(
    says: BagSays, line: float, bales: int, *, chance: float = 0.9
) -> tuple[float, int, int]:
    """Bales of a lot expected over a line, with a range: the bales share one unknown mean.

    Parameters
    ----------
    says
        What the bag says.
    line
        [mg/kg NO3-N of DM].
    bales
        In the lot [count].
    chance
        Of the range [fraction].

    Returns
    -------
    tuple
        Expected number; least and most of the range.
    """
    if line <= 0:
        return float(bales), bales, bales
    from scipy.special import bdtr, ndtr

    points, weights = np.polynomial.hermite_e.hermegauss(_MEANS)
    weights = weights / weights.sum()
    log_mean = says.mean_centre[:, None] + points[None, :] * np.sqrt(says.v2)[:, None]
    sd = np.sqrt(np.maximum(says.s2, np.finfo(float).tiny))[:, None]
    share = ndtr(-(math.log(line) - log_mean + says.s2[:, None] / 2) / sd)
    joint = says.weights[:, None] * weights[None, :]
    expected = bales * float((joint * share).sum())
    counts = np.arange(bales + 1)[:, None]
    below = bdtr(counts, bales, share.ravel()[None, :]) @ joint.ravel()
    low = int(np.searchsorted(below, (1 - chance) / 2))
    high = int(np.searchsorted(below, (1 + chance) / 2))
    return expected, min(low, bales), min(high, bales)


def hill(says: BagSays, bales: int) -> tuple[float, ...]:
    """One value per bale of the lot: the quantiles of the one-bale distribution.

    Parameters
    ----------
    says
        What the bag says.
    bales
        In the lot [count].

    Returns
    -------
    tuple
        [mg/kg NO3-N of DM], rising.
    """
    return tuple(says.bale_at((i + 0.5) / bales) for i in range(bales))
