"""How far a bag's result may lie from its lot, and how many cores a precision takes.

V = (1 - n/N) s_b^2/n + s_w^2/(n m) + s_sub^2/q + s_r^2/k + s_L^2

n of N bales, m cores from each, q powders, k readings; s_b between bales, s_w within a bale,
s_sub between powders, s_r repeat, s_L the laboratory's bias. The last stays whatever n and k. It
leaves only when two results of one laboratory are compared; where their bags came from different
bales, (1 - n/N) leaves as well.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from haywright.measure.errors import Refused
from haywright.measure.estimate import t_quantile
from haywright.measure.register import equation

LARGE_LOT = math.inf
NOISE = 1e-9


@equation(
    name="Variance of a lot's result",
    output=("result_variance", "", "in the unit of the result, squared"),
    source="sampling-plan-model",
    mark="derived",
)
def sampling_variance(
    between_sd: Any,
    within_sd: Any,
    powder_sd: Any,
    repeat_sd: Any,
    laboratory_sd: Any,
    lot_bales: Any,
    bales_cored: Any,
    cores_per_bale: Any,
    portions: Any,
    analyses: Any,
) -> Any:
    """(1-n/N) s_b^2/n + s_w^2/(nm) + s_sub^2/q + s_r^2/k + s_L^2.

    Parameters
    ----------
    between_sd, within_sd, powder_sd, repeat_sd, laboratory_sd
        Standard deviations: between bales, within a bale, between powders, repeat, the
        laboratory's bias; S with divisor N - 1 [unit of the result].
    lot_bales, bales_cored, cores_per_bale, portions, analyses
        N (infinite for a very large lot), n, m, q, k [counts].
    """
    left = 1.0 - bales_cored / lot_bales
    return (
        left * between_sd**2 / bales_cored
        + within_sd**2 / (bales_cored * cores_per_bale)
        + powder_sd**2 / portions
        + repeat_sd**2 / analyses
        + laboratory_sd**2
    )


@equation(
    name="Half-width = standard errors x square root of the variance",
    output=("half_width", "", "in the unit of the result"),
    source="sampling-plan-model",
    mark="derived",
)
def half_width_of(result_variance: Any, spread_multiplier: Any) -> Any:
    """From result_variance [unit of the result, squared] and spread_multiplier [count]."""
    return spread_multiplier * np.sqrt(result_variance)


@equation(
    name="Spread of single cores from a half-width = h sqrt(n)/z",
    output=("core_sd", "", "in the unit of the result"),
    source="sampling-plan-model",
    mark="derived",
)
def core_sd_implied(half_width: Any, bales_cored: Any, spread_multiplier: Any) -> Any:
    """The spread behind a printed half-width.

    Parameters
    ----------
    half_width
        As printed [unit of the result].
    bales_cored
        Cores it goes with [count].
    spread_multiplier
        Standard errors on either side [count].
    """
    return half_width * np.sqrt(bales_cored) / spread_multiplier


@equation(
    name="Cores from a very large lot = (z S/h)^2",
    output=("cores_large_lot", "", ""),
    source="cochran-1977",
    mark="recalled_confirmed",
)
def cores_large_lot(core_sd: Any, half_width: Any, spread_multiplier: Any) -> Any:
    """Without a laboratory term.

    Parameters
    ----------
    core_sd
        Spread of single cores, one from each bale [unit of the result].
    half_width
        Wanted [unit of the result].
    spread_multiplier
        Standard errors on either side [count].
    """
    return (spread_multiplier * core_sd / half_width) ** 2


@equation(
    name="Cores from a lot of N bales = n0/(1 + n0/N)",
    output=("cores_in_lot", "", ""),
    source="cochran-1977",
    mark="recalled_confirmed",
)
def cores_in_lot(cores_large_lot: Any, lot_bales: Any) -> Any:
    """From cores_large_lot [count] and lot_bales [count]."""
    return cores_large_lot / (1.0 + cores_large_lot / lot_bales)


@equation(
    name="Standard error of a mean, spread with divisor N",
    output=("result_se", "", "in the unit of the result"),
    source="cochran-1977",
    mark="recalled_confirmed",
)
def standard_error_population(population_sd: Any, lot_bales: Any, bales_cored: Any) -> Any:
    """The factor (N - n)/(N - 1) goes with this spread only, never with divisor N - 1.

    Parameters
    ----------
    population_sd
        Spread of the whole lot, divisor N [unit of the result].
    lot_bales, bales_cored
        N and n [counts].
    """
    left = (lot_bales - bales_cored) / (lot_bales - 1.0)
    return population_sd / np.sqrt(bales_cored) * np.sqrt(left)


@equation(
    name="Cores from each bale that cost least = sqrt(cost ratio x variance ratio)",
    output=("best_cores_per_bale", "", ""),
    source="cochran-1977",
    mark="recalled_confirmed",
)
def best_cores_per_bale(
    between_sd: Any, within_sd: Any, cost_of_bale: Any, cost_of_core: Any
) -> Any:
    """sqrt((c_bale/c_core)(s_w^2/s_b^2)).

    Parameters
    ----------
    between_sd, within_sd
        Between bales and within a bale [unit of the result].
    cost_of_bale, cost_of_core
        Of going to one more bale, and of one more core [any one money or time].
    """
    return np.sqrt(cost_of_bale / cost_of_core) * within_sd / between_sd


@equation(
    name="Cost of sampling = cores x cost + tests x cost",
    output=("sampling_cost", "", "in any one money or time"),
    source="berthouex-brown-2002",
    mark="read",
)
def sampling_cost(bales_cored: Any, analyses: Any, cost_of_core: Any, cost_of_test: Any) -> Any:
    """What a plan costs.

    Parameters
    ----------
    bales_cored, analyses
        Cores and readings [counts].
    cost_of_core, cost_of_test
        Of one each [any one money or time].
    """
    return bales_cored * cost_of_core + analyses * cost_of_test


def whole_cores_per_bale(best: float) -> int:
    """The whole number of cores from each bale that costs least, from the exact one [count].

    Rounded up only where best^2 > m(m + 1); with no cost of going to a bale it is 1.
    """
    m = max(1, math.floor(best))
    return m + 1 if best**2 > m * (m + 1) else m


@dataclass(frozen=True, slots=True)
class Spread:
    """What a result's doubt is made of, each a standard deviation in one unit (or relative).

    Parameters
    ----------
    between, within
        Between bales, and core to core within a bale [unit of the result].
    powder, repeat, laboratory
        Between powders of a sample, repeat, the laboratory's bias [unit of the result].
    df
        Degrees of freedom that between and within rest on [count]; infinite when known.
    split
        Whether between and within are known apart. Where they are not, their sum is placed
        wherever it does most harm: a small lot then gets no credit for its size as long as each
        bale gives one core.
    """

    between: float
    within: float = 0.0
    powder: float = 0.0
    repeat: float = 0.0
    laboratory: float = 0.0
    df: float = math.inf
    split: bool = True

    def __post_init__(self) -> None:
        for name in ("between", "within", "powder", "repeat", "laboratory"):
            if not 0 <= getattr(self, name) < math.inf:
                raise Refused(name, getattr(self, name), key="stack.spread")
        if not self.df > 0:
            raise Refused("df", self.df, key="stack.positive")

    @classmethod
    def of_variances(
        cls, between: float, within: float = 0.0, *, repeat: float = 0.0, laboratory: float = 0.0
    ) -> Spread:
        """From variance components.

        Parameters
        ----------
        between, within, repeat, laboratory
            Components [unit of the result, squared].
        """
        return cls(
            math.sqrt(between),
            math.sqrt(within),
            repeat=math.sqrt(repeat),
            laboratory=math.sqrt(laboratory),
        )

    @property
    def one_laboratory(self) -> Spread:
        """Without the bias, for two results of one laboratory."""
        return replace(self, laboratory=0.0)

    @property
    def placements(self) -> tuple[Spread, ...]:
        """The spreads it may be: itself when split, else all between and all within."""
        if self.split:
            return (self,)
        total = math.hypot(self.between, self.within)
        return (
            replace(self, between=total, within=0.0, split=True),
            replace(self, between=0.0, within=total, split=True),
        )


@dataclass(frozen=True, slots=True)
class Scheme:
    """How a lot is sampled and read.

    Parameters
    ----------
    bales, cores_per_bale
        n and m [counts].
    lot_bales
        N [count]; infinite for a standing crop or a very large lot.
    portions, analyses
        q powders and k readings of each bag [counts].
    composites
        Bags on different bales, each of ``bales``, averaged [count].
    cores_apart
        Whether every core is analysed by itself.
    """

    bales: int
    cores_per_bale: int = 1
    lot_bales: float = LARGE_LOT
    portions: int = 1
    analyses: int = 1
    composites: int = 1
    cores_apart: bool = False

    def __post_init__(self) -> None:
        for name in ("bales", "cores_per_bale", "portions", "analyses", "composites"):
            if getattr(self, name) < 1:
                raise Refused(name, getattr(self, name), key="stack.count_least")
        if self.bales * self.composites > self.lot_bales:
            raise Refused("bales", self.bales, key="stack.more_than_lot", bales=self.lot_bales)


def multiplier(confidence: float, df: float = math.inf) -> float:
    """Standard errors on either side: normal for a known spread, else Student's t.

    Parameters
    ----------
    confidence
        Chance that the interval holds the truth [fraction].
    df
        Degrees of freedom of the spread [count].
    """
    if not 0 < confidence < 1:
        raise Refused("confidence", confidence, key="stack.confidence")
    return t_quantile((1 + confidence) / 2, df)


def variance(spread: Spread, scheme: Scheme) -> float:
    """Variance of the mean result of a scheme [unit of the result, squared]."""
    n = scheme.bales * scheme.composites
    m = scheme.cores_per_bale
    apart = n * m if scheme.cores_apart else scheme.composites
    return max(
        float(
            sampling_variance(
                one.between,
                one.within,
                one.powder,
                one.repeat,
                one.laboratory,
                scheme.lot_bales,
                n,
                m,
                scheme.portions * apart,
                scheme.analyses * apart,
            )
        )
        for one in spread.placements
    )


def half_width(spread: Spread, scheme: Scheme, confidence: float) -> float:
    """Half-width of the interval round a result [unit of the result].

    Student's t on the degrees of freedom of the spread, raised as far as the laboratory's terms,
    which are given, make up the doubt.

    Parameters
    ----------
    spread, scheme
        What the doubt is made of, and how the lot is sampled.
    confidence
        Chance that the interval holds the lot's value [fraction].
    """
    whole = variance(spread, scheme)
    sampling = variance(replace(spread, powder=0.0, repeat=0.0, laboratory=0.0), scheme)
    df = spread.df if sampling == whole else _effective_df(spread.df, sampling, whole)
    return float(half_width_of(whole, multiplier(confidence, df)))


def _effective_df(df: float, sampling: float, whole: float) -> float:
    """Welch and Satterthwaite: the sampling terms are estimated, the laboratory's are given."""
    return df * (whole / sampling) ** 2 if sampling > 0 else math.inf


def floor_half_width(spread: Spread, scheme: Scheme, confidence: float) -> float:
    """What the laboratory alone leaves, however many cores [unit of the result].

    Parameters
    ----------
    spread, scheme
        What the doubt is made of, and how the sample is read.
    confidence
        Chance that the interval holds the lot's value [fraction].
    """
    alone = replace(spread, between=0.0, within=0.0)
    return half_width(alone, replace(scheme, bales=1, composites=1), confidence)


@dataclass(frozen=True, slots=True)
class Cores:
    """How many cores a half-width takes.

    ``attainable`` is False when the laboratory's terms alone exceed it: then ``bales`` is 0,
    ``floor`` says what they leave [unit of the result], and ``analyses`` how many readings would
    make it attainable, or ``None`` when no number would.
    """

    attainable: bool
    bales: int
    cores_per_bale: int
    floor: float
    analyses: int | None


def cores_needed(
    spread: Spread,
    half: float,
    *,
    confidence: float,
    lot_bales: float = LARGE_LOT,
    cores_per_bale: int = 1,
    portions: int = 1,
    analyses: int = 1,
) -> Cores:
    """Bales to core for a half-width.

    For a known spread n = (s_b^2 + s_w^2/m) / ((h/z)^2 - laboratory + s_b^2/N), rounded up; for an
    estimated one z gives way to t. Where n passes N, every bale is cored and m grows.

    Parameters
    ----------
    spread
        What the doubt is made of.
    half
        Half-width wanted [unit of the result].
    confidence
        Chance that the interval holds the lot's value [fraction].
    lot_bales
        N [count].
    cores_per_bale, portions, analyses
        m, q, k [counts].
    """
    if not 0 < half < math.inf:
        raise Refused("half-width", half, key="stack.positive")
    z = multiplier(confidence)
    laboratory = spread.powder**2 / portions + spread.repeat**2 / analyses + spread.laboratory**2
    floor = z * math.sqrt(laboratory)
    if half <= floor * (1 + NOISE):
        return Cores(
            attainable=False,
            bales=0,
            cores_per_bale=cores_per_bale,
            floor=floor,
            analyses=_readings_needed(spread, half / z, portions),
        )

    def meets(n: int, m: int) -> bool:
        scheme = Scheme(n, m, lot_bales, portions=portions, analyses=analyses)
        return half_width(spread, scheme, confidence) <= half * (1 + NOISE)

    bales = _fewest(lambda n: meets(n, cores_per_bale), lot_bales)
    m = cores_per_bale
    if bales is None:
        bales = int(lot_bales)
        m = _fewest(lambda each: meets(int(lot_bales), each), LARGE_LOT) or cores_per_bale
    return Cores(attainable=True, bales=bales, cores_per_bale=m, floor=floor, analyses=analyses)


def _fewest(meets: Callable[[int], bool], most: float) -> int | None:
    """Smallest count up to ``most`` that meets a target which more always serve better."""
    high = 1
    while not meets(high):
        if high >= most:
            return None
        high = int(min(2 * high, most))
    low = 1
    while low < high:
        middle = (low + high) // 2
        if meets(middle):
            high = middle
        else:
            low = middle + 1
    return high


def _readings_needed(spread: Spread, standard_error: float, portions: int) -> int | None:
    left = standard_error**2 - spread.powder**2 / portions - spread.laboratory**2
    if left <= 0 or spread.repeat == 0:
        return None
    return math.floor(spread.repeat**2 / left * (1 + NOISE)) + 1
