"""Two results of one lot, several sub-lots in one number, and what a pilot asks for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from haywright.measure.errors import Refused
from haywright.measure.register import equation
from haywright.stack.error import Scheme, Spread, half_width, multiplier
from haywright.stack.packages import positive


@equation(
    name="Two results really differ beyond z sqrt(2) standard errors",
    output=("critical_difference", "", "in the unit of the result"),
    source="normal-distribution",
    mark="derived",
)
def critical_difference(result_se: Any, spread_multiplier: Any) -> Any:
    """From result_se [unit of the result] of one of them and spread_multiplier [count]."""
    return spread_multiplier * np.sqrt(2.0) * result_se


def difference_that_counts(spread: Spread, scheme: Scheme, confidence: float) -> float:
    """Difference beyond which two bags of one lot, in one laboratory, really differ.

    Without the laboratory's bias, which they share, and without (1 - n/N): bags from different
    bales err against each other.

    Parameters
    ----------
    spread, scheme
        What the doubt is made of, and how each bag was taken.
    confidence
        Chance that equal lots stay within it [fraction].
    """
    whole = Scheme(
        scheme.bales,
        scheme.cores_per_bale,
        portions=scheme.portions,
        analyses=scheme.analyses,
        cores_apart=scheme.cores_apart,
    )
    half = half_width(spread.one_laboratory, whole, confidence)
    return half * math.sqrt(2)


@dataclass(frozen=True, slots=True)
class PairOfBags:
    """Two bags of one lot.

    ``from_pair`` is the half-width by the pair alone, one degree of freedom, which is of no use;
    ``planned`` the one by the planning spread; ``differ`` whether they differ really
    [unit of the result].
    """

    mean: float
    se_from_pair: float
    from_pair: float
    planned: float
    differ: bool


def two_bags(first: float, second: float, planning_se: float, confidence: float) -> PairOfBags:
    """What two bags of one lot say together.

    Parameters
    ----------
    first, second
        Their results [unit of the result].
    planning_se
        Planning standard error of one of them, in one laboratory [unit of the result].
    confidence
        Of the half-widths [fraction].
    """
    z = multiplier(confidence)
    se = abs(first - second) / 2
    return PairOfBags(
        mean=(first + second) / 2,
        se_from_pair=se,
        from_pair=multiplier(confidence, 1) * se,
        planned=z * planning_se / math.sqrt(2),
        differ=abs(first - second) > float(critical_difference(planning_se, z)),
    )


@dataclass(frozen=True, slots=True)
class Pooled:
    """Mean of sub-lots by weight, and its standard error [unit of the result]."""

    mean: float
    se: float


def pool_sublots(
    masses: Sequence[float],
    values: Sequence[float],
    ses: Sequence[float],
    *,
    laboratory_sd: float = 0.0,
) -> Pooled:
    """One number for several sub-lots.

    Parameters
    ----------
    masses
        Dry matter in each sub-lot; not bales, where their weights differ [any one unit].
    values, ses
        Result of each, and its standard error without the laboratory's bias where one laboratory
        ran them all [unit of the result].
    laboratory_sd
        That laboratory's bias, counted once [unit of the result].
    """
    if not masses or not len(masses) == len(values) == len(ses):
        raise Refused("sub-lots", len(masses), key="stack.sublots")
    total = math.fsum(positive("mass", mass) for mass in masses)
    shares = [mass / total for mass in masses]
    mean = math.fsum(w * x for w, x in zip(shares, values, strict=True))
    var = math.fsum((w * se) ** 2 for w, se in zip(shares, ses, strict=True))
    return Pooled(mean, math.sqrt(var + laboratory_sd**2))


@dataclass(frozen=True, slots=True)
class NextStep:
    """One thing that would narrow a half-width that is too wide.

    ``what`` is bags (a second one of ``count`` bales not yet cored), readings (``count`` more of
    the bag) or split (the lot in two; what that buys depends on how the halves differ).
    ``half`` is what it would come to [unit of the result], ``cost`` what it takes [any one money
    or time]; both ``None`` for split. ``enough`` says whether it meets the target.
    """

    what: Literal["bags", "readings", "split"]
    count: int
    half: float | None
    cost: float | None
    enough: bool


def what_next(
    spread: Spread,
    scheme: Scheme,
    target: float,
    *,
    confidence: float,
    cost_of_core: float,
    cost_of_test: float,
) -> tuple[NextStep, ...]:
    """What to do when a half-width is too wide, the cheapest that meets the target first.

    Parameters
    ----------
    spread, scheme
        What the doubt is made of, and what was done.
    target
        Half-width wanted [unit of the result].
    confidence
        Of the half-widths [fraction].
    cost_of_core, cost_of_test
        Of one core with the walk to its bale, and of one reading [any one money or time].
    """
    if half_width(spread, scheme, confidence) <= positive("target", target):
        return ()
    found = [NextStep("split", 2, None, None, enough=False)]
    left = scheme.lot_bales - scheme.bales
    if left >= 1:
        more = int(min(scheme.bales, left))
        both = replace(
            scheme, bales=scheme.bales + more, portions=2 * scheme.portions,
            analyses=2 * scheme.analyses,
        )  # fmt: skip
        cost = more * scheme.cores_per_bale * cost_of_core + scheme.analyses * cost_of_test
        found.append(_step("bags", more, half_width(spread, both, confidence), cost, target))
    again = replace(scheme, analyses=scheme.analyses + 1)
    found.append(_step("readings", 1, half_width(spread, again, confidence), cost_of_test, target))
    return tuple(sorted(found, key=lambda one: (not one.enough, one.cost or math.inf)))


def _step(
    what: Literal["bags", "readings"], count: int, half: float, cost: float, target: float
) -> NextStep:
    return NextStep(what, count, half, cost, enough=half <= target)


def pilot_multiplier(pilot_cores: int, confidence: float) -> float:
    """Student's t of a pilot analysed core by core, at a confidence [fraction]."""
    if pilot_cores < 2:
        raise Refused("pilot", pilot_cores, key="stack.two_cores")
    return multiplier(confidence, pilot_cores - 1)


def cores_from_pilot(pilot_sd: float, pilot_cores: int, half: float, confidence: float) -> int:
    """Cores wanted in all after a pilot analysed core by core; the pilot counts (Stein).

    Parameters
    ----------
    pilot_sd
        Standard deviation of the pilot's cores [unit of the result].
    pilot_cores
        How many they were [count].
    half
        Half-width wanted [unit of the result].
    confidence
        Of the half-width [fraction].
    """
    t = pilot_multiplier(pilot_cores, confidence)
    wanted = (t * pilot_sd / positive("half-width", half)) ** 2
    return max(pilot_cores, math.ceil(wanted * (1 - 1e-9)))


@equation(
    name="Chance that a result lies within h of the lot",
    output=("chance", "", ""),
    source="normal-distribution",
    mark="definition",
)
def chance_within(half_width: Any, result_se: Any) -> Any:
    """2 Phi(h/SE) - 1 from half_width [unit of the result] and result_se [unit of the result]."""
    from scipy.special import ndtr

    return 2.0 * ndtr(half_width / result_se) - 1.0


@equation(
    name="Standard error of a mean of draws = spread (divisor m)/sqrt(n)",
    output=("result_se", "", "in the unit of the result"),
    source="efron-tibshirani",
    mark="recalled_confirmed",
)
def bootstrap_se(population_sd: Any, bales_cored: Any) -> Any:
    """The limit of many draws with putting back.

    Parameters
    ----------
    population_sd
        Standard deviation of the values, divisor m [unit of the result].
    bales_cored
        Values drawn [count].
    """
    return population_sd / np.sqrt(bales_cored)


def bootstrap_error(values: Sequence[float], n: int) -> float:
    """Standard error of the mean of ``n`` draws from values, putting back.

    Parameters
    ----------
    values
        Cores or bale means of one lot [unit of the result].
    n
        Values drawn [count].
    """
    return float(bootstrap_se(np.std(np.asarray(values, float)), n))


def bootstrap_half_widths(
    values: Sequence[float],
    rng: np.random.Generator,
    *,
    confidence: float = 0.95,
    most: int = 30,
    draws: int = 2000,
) -> NDArray[np.float64]:
    """Half-width for 1, 2 ... ``most`` cores, by drawing from cores analysed apart.

    Parameters
    ----------
    values
        Cores or bale means of one lot [unit of the result].
    rng
        Where chance comes from.
    confidence
        Of the half-widths [fraction].
    most
        Largest number of cores [count].
    draws
        Draws for each [count].

    Returns
    -------
    numpy.ndarray
        Shape (most,), half the width between the two tails [unit of the result].
    """
    if len(values) < 2:
        raise Refused("cores", len(values), key="stack.two_cores")
    x = np.asarray(values, float)
    tails = ((1 - confidence) / 2, (1 + confidence) / 2)
    out = np.empty(most)
    for n in range(1, most + 1):
        low, high = np.quantile(rng.choice(x, size=(draws, n)).mean(axis=1), tails)
        out[n - 1] = (high - low) / 2
    return out


def bootstrap_cores(half_widths: Sequence[float] | NDArray[np.float64], half: float) -> int | None:
    """Fewest cores whose half-width meets a target, ``None`` when none of them does.

    Parameters
    ----------
    half_widths
        For 1, 2 ... cores [unit of the result].
    half
        Target [unit of the result].
    """
    return next((n for n, h in enumerate(half_widths, 1) if h <= half), None)


@equation(
    name="Particle error of a laboratory portion = C d^3 (1/m_s - 1/m_L), C = f g c l",
    output=("result_variance", "", "relative"),
    source="gy-pitard",
    mark="recalled",
    units={"shape": "", "size_range": "", "composition": "g/cm3", "liberation": ""},
)
def particle_variance(
    top_size: Any,
    shape: Any,
    size_range: Any,
    composition: Any,
    liberation: Any,
    portion_mass: Any,
    sample_mass: Any,
) -> Any:
    """Relative variance of weighing out a portion of ground hay; never for bales.

    Parameters
    ----------
    top_size
        Size that all but a twentieth passes [cm].
    shape, size_range, liberation
        Factors f, g and l of the theory [fraction].
    composition
        Factor c [g/cm3]; none was found for hay.
    portion_mass, sample_mass
        Portion weighed out, and what it is drawn from [g].
    """
    constant = shape * size_range * composition * liberation
    return constant * top_size**3 * (1.0 / portion_mass - 1.0 / sample_mass)
