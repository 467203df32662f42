"""What the result of one bag says of the lot's mean and of a single bale.

With result x of a bag of n of N bales, m cores each; c between-bale, w within-bale coefficient of
variation, u the laboratory's relative standard uncertainty with its bias:

    RSE^2 = (1 - n/N) c^2/n + w^2/(n m) + u^2        v^2 = ln(1 + RSE^2)      s^2 = ln(1 + c^2)
    lot mean: ln(mean) ~ N(ln x + v^2/2, v^2)
    one bale: ln(bale) ~ N(ln x + v^2/2 - s^2/2, s^2 + v^2)

c itself is uncertain, c^2 = nu c0^2 / chi^2(nu), cut at a most; everything here is a mixture over
c: Gauss-Legendre nodes in ln(chi^2), where the density is smooth, and one node for the part that
is cut off (good to 1e-10). The fixed-c forms of ``closed`` are the same mixture with one node.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from haywright.bunk.hazards.nitrate.closed import log_variance, mixed_variance, relative_variance
from haywright.bunk.hazards.nitrate.rules import rules
from haywright.measure.errors import Refused

Floats = NDArray[np.float64]
_NODES = 48
_MEANS = 24
_TAIL = 1e-16
_LEAST_SD = 1e-9
_CLOSE = 1e-11


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
    """How the bag was taken: ``cored`` of ``bales`` (None when not counted), cores in each.

    Unknown sampling is one bale; ``said`` is whether anybody told how many were cored.
    """

    cored: int = 1
    bales: int | None = None
    cores_per_bale: int = 1
    said: bool = True

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
    from scipy.special import gammaincc, gammainccinv, gammaln

    most, half = rules().most, df / 2
    lowest = half * (between / most) ** 2  # chi^2/2 at which the spread is cut
    cut = 1.0 - float(gammaincc(half, lowest))
    if 1.0 - cut < _TAIL:
        return np.array([most]), np.array([1.0])
    start, end = math.log(lowest), math.log(float(gammainccinv(half, _TAIL)))
    points, weights = np.polynomial.legendre.leggauss(_NODES)
    log_chi = start + (end - start) * (points + 1) / 2
    density = np.exp(half * log_chi - np.exp(log_chi) - gammaln(half))
    weights = weights * density
    c = between * np.sqrt(half / np.exp(log_chi))
    return np.append(c, most), np.append(weights / weights.sum() * (1.0 - cut), cut)


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
    meal_s2
        Log variance between meals: of single bales, or of mixes of several bales, by node.
    """

    x: float
    weights: Floats
    v2: Floats
    s2: Floats
    meal_s2: Floats

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

    def meal_at(self, p: float) -> float:
        """Level that a meal is under with chance ``p`` [mg/kg NO3-N of DM].

        Parameters
        ----------
        p
            Chance [fraction].
        """
        return self._at(p, self.mean_centre - self.meal_s2 / 2, self.meal_s2 + self.v2)

    def bales_at(self, p: Floats) -> Floats:
        """Levels that one bale is under with each chance [mg/kg NO3-N of DM].

        Parameters
        ----------
        p
            Chances, rising, shape (levels,) [fraction].
        """
        return self._levels(p, self.bale_centre, self.s2 + self.v2)

    def _below(self, level: float, centre: Floats, variance: Floats) -> float:
        from scipy.special import ndtr

        if level <= 0:
            return 0.0
        z = (math.log(level) - centre) / np.maximum(np.sqrt(variance), _LEAST_SD)
        return float(self.weights @ ndtr(z))

    def _at(self, p: float, centre: Floats, variance: Floats) -> float:
        return float(self._levels(np.array([p]), centre, variance)[0])

    def _levels(self, p: Floats, centre: Floats, variance: Floats) -> Floats:
        """Quantiles of the mixture: Newton steps in the log, kept inside a bracket."""
        from scipy.special import ndtr, ndtri

        sd = np.maximum(np.sqrt(variance), _LEAST_SD)
        ends = centre + ndtri(p)[:, None] * sd
        low, high, y = ends.min(axis=1), ends.max(axis=1), ends @ self.weights
        for _ in range(100):
            z = (y[:, None] - centre) / sd
            over = ndtr(z) @ self.weights - p
            low, high = np.where(over < 0, y, low), np.where(over < 0, high, y)
            slope = (np.exp(-(z**2) / 2) / sd) @ self.weights / math.sqrt(2 * math.pi)
            step = over / np.maximum(slope, np.finfo(float).tiny)
            inside = (y - step >= low) & (y - step <= high)
            following = np.where(inside, y - step, (low + high) / 2)
            done = np.abs(following - y) <= _CLOSE * np.maximum(np.abs(y), 1.0)
            y = following
            if done.all():
                break
        return np.asarray(np.exp(y))


def log_variance_of_mean(
    c: Floats, *, within: float, sampling: Sampling, laboratory: Laboratory
) -> Floats:
    """v^2 of the lot mean for each between-bale spread.

    Parameters
    ----------
    c
        Between-bale CV, shape (nodes,) [fraction].
    within
        Within-bale CV [fraction].
    sampling, laboratory
        How the bag was taken, what the laboratory's number is worth.
    """
    bales = math.inf if sampling.bales is None else sampling.bales
    relative = relative_variance(
        sampling.cored, bales, sampling.cores_per_bale, c, within, math.sqrt(laboratory.variance)
    )
    return np.asarray(log_variance(relative))


def bag_says(
    x: float, *, spread: Spread, sampling: Sampling, laboratory: Laboratory, mixed: int = 1
) -> BagSays:
    """What a bag's result says of the lot.

    Parameters
    ----------
    x
        Result [mg/kg NO3-N of DM], above 0.
    spread, sampling, laboratory
        How much bales differ, how the bag was taken, what the laboratory's number is worth.
    mixed
        Bales ground together in one mix [count].
    """
    if not (x > 0 and math.isfinite(x)):
        raise Refused("nitrate", x, "> 0")
    c, weights = spread_nodes(spread.between, spread.df)
    v2 = log_variance_of_mean(c, within=spread.within, sampling=sampling, laboratory=laboratory)
    bales = math.inf if sampling.bales is None else sampling.bales
    meal = np.asarray(log_variance(mixed_variance(c, mixed, bales)))
    return BagSays(x, weights, v2, np.asarray(log_variance(np.square(c))), meal)


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
    share, joint = _shares_over(says, line)
    low, high = (
        _fewest(lambda k: float(_at_most(k, bales, share) @ joint), p, bales)
        for p in ((1 - chance) / 2, (1 + chance) / 2)
    )
    return expected_over(says, line, bales), low, high


def expected_over(says: BagSays, line: float, bales: int) -> float:
    """Bales of a lot expected over a line [count].

    Parameters
    ----------
    says
        What the bag says.
    line
        [mg/kg NO3-N of DM].
    bales
        In the lot [count].
    """
    share, joint = _shares_over(says, line)
    return bales * float(share @ joint)


def share_over(says: BagSays, line: float, *, chance: float = 0.9) -> tuple[float, float, float]:
    """Share of the bales of an uncounted lot expected over a line, with a range.

    Parameters
    ----------
    says
        What the bag says.
    line
        [mg/kg NO3-N of DM].
    chance
        Of the range [fraction].

    Returns
    -------
    tuple
        Expected share, least and most of the range [fraction].
    """
    share, joint = _shares_over(says, line)
    order = np.argsort(share)
    below = np.cumsum(joint[order])
    low, high = (
        float(share[order][min(int(np.searchsorted(below, p)), len(order) - 1)])
        for p in ((1 - chance) / 2, (1 + chance) / 2)
    )
    return float(share @ joint), low, high


def _shares_over(says: BagSays, line: float) -> tuple[Floats, Floats]:
    """Share of bales over a line and its weight, for each lot mean and spread that may be."""
    from scipy.special import ndtr

    points, weights = _means()
    log_mean = says.mean_centre[:, None] + points[None, :] * np.sqrt(says.v2)[:, None]
    sd = np.maximum(np.sqrt(says.s2), _LEAST_SD)[:, None]
    log_line = math.log(line) if line > 0 else -math.inf
    share = ndtr((log_mean - says.s2[:, None] / 2 - log_line) / sd)
    return share.ravel(), (says.weights[:, None] * weights[None, :]).ravel()


@lru_cache(maxsize=1)
def _means() -> tuple[Floats, Floats]:
    """Standard normal nodes and their weights."""
    points, weights = np.polynomial.hermite_e.hermegauss(_MEANS)
    return points, weights / weights.sum()


def _at_most(k: int, bales: int, share: Floats) -> Floats:
    """Binomial chance of at most ``k`` of ``bales``."""
    from scipy.special import bdtr

    return np.asarray(bdtr(k, bales, share))


def _fewest(below: Callable[[int], float], p: float, most: int) -> int:
    """The smallest count whose chance of not being passed reaches ``p``."""
    low, high = -1, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if below(middle) >= p else (middle, high)
    return high


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
    return tuple(map(float, says.bales_at((np.arange(bales) + 0.5) / bales)))
