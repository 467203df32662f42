"""Decision, detection and quantification limits. Each carries its definition and its risks.

On one data set limits called alike can differ by more than half; a bare "LOD" is not kept here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np

from haywright.bench.calibration import Curve
from haywright.bench.precision import summary
from haywright.measure.errors import Refused
from haywright.measure.estimate import t_quantile
from haywright.measure.register import equation

_MDL_CONFIDENCE = 0.99
_MANY_BLANKS = 100
_BAND = 0.95


class Definition(StrEnum):
    """Which limit, by which way of finding it."""

    MDL_POOLED = "method detection limit, two sets pooled"
    MDL_2 = "method detection limit from spikes and blanks"
    CRITICAL_CURVE = "critical value, curve"
    CRITICAL_BLANKS = "critical value, blanks"
    DETECTION_CURVE = "detection limit, curve"
    DETECTION_BAND = "detection limit, band at the limit"
    QUANTIFICATION_CURVE = "quantification limit, curve"


@dataclass(frozen=True, slots=True)
class DetectionLimit:
    """A limit with everything that makes it one.

    Parameters
    ----------
    value
        The limit [unit of the standards or results].
    definition
        Which limit by which procedure.
    alpha, beta
        Chance of claiming what is not there, and of missing what is [fraction]; nan where the
        procedure has none.
    revision
        Edition of the procedure.
    """

    value: float
    definition: Definition
    alpha: float = math.nan
    beta: float = math.nan
    revision: str = ""

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        out: dict[str, Any] = {"value": self.value, "definition": self.definition.value}
        for name in ("alpha", "beta"):
            if not math.isnan(getattr(self, name)):
                out[name] = getattr(self, name)
        return out | ({"revision": self.revision} if self.revision else {})


def student_t(n: int) -> float:
    """One-sided 99 % point of Student's t for n replicates [ratio]."""
    return t_quantile(_MDL_CONFIDENCE, n - 1)


def mdl_band(df: float) -> tuple[float, float]:
    """95 % band of a method detection limit as factors on it, from its df [count]."""
    from scipy.special import chdtri

    tail = (1.0 - _BAND) / 2.0
    return math.sqrt(df / float(chdtri(df, tail))), math.sqrt(df / float(chdtri(df, 1.0 - tail)))


def mdl_pooled(first_sd: float, first_n: int, second_sd: float, second_n: int) -> DetectionLimit:
    """Method detection limit from two sets of replicates pooled.

    Parameters
    ----------
    first_sd, second_sd
        SDs of the two sets [one unit].
    first_n, second_n
        How many replicates each [count].
    """
    df = first_n + second_n - 2
    pooled = pooled_sd(first_sd, first_n, second_sd, second_n)
    return DetectionLimit(
        t_quantile(_MDL_CONFIDENCE, df) * pooled,
        Definition.MDL_POOLED,
        alpha=1 - _MDL_CONFIDENCE,
        revision="40 CFR 136 App. B",
    )


def pooled_sd(first_sd: float, first_n: int, second_sd: float, second_n: int) -> float:
    """SD of two sets pooled.

    Parameters
    ----------
    first_sd, second_sd
        Their SDs [one unit].
    first_n, second_n
        How many replicates each [count].
    """
    weights = (first_n - 1, second_n - 1)
    squares = weights[0] * first_sd**2 + weights[1] * second_sd**2
    return math.sqrt(squares / sum(weights))


@dataclass(frozen=True, slots=True)
class MethodDetectionLimit:
    """Method detection limit, revision 2: from spikes and from blanks, the larger counts.

    ``of_blanks`` is ``None`` when no blank gave a number. ``band`` is the 95 % band of the limit
    from the spikes.
    """

    of_spikes: float
    of_blanks: float | None
    band: tuple[float, float]

    @property
    def value(self) -> float:
        """The limit [unit of the results]."""
        return self.of_spikes if self.of_blanks is None else max(self.of_spikes, self.of_blanks)

    def limit(self) -> DetectionLimit:
        """The limit with its definition."""
        return DetectionLimit(
            self.value,
            Definition.MDL_2,
            alpha=1 - _MDL_CONFIDENCE,
            revision="40 CFR 136 App. B revision 2",
        )


def method_detection_limit(
    spikes: Sequence[float], blanks: Sequence[float | None]
) -> MethodDetectionLimit:
    """Method detection limit by 40 CFR 136 Appendix B, revision 2.

    Parameters
    ----------
    spikes
        Seven or more low spikes through the whole procedure [one unit].
    blanks
        Seven or more method blanks [same unit]; ``None`` where a blank gave no number.

    Raises
    ------
    Refused
        Fewer than seven of either, or a spike of 0 or less (raise the spike).
    """
    for name, count in (("spikes", len(spikes)), ("blanks", len(blanks))):
        if count < 7:
            raise Refused(name, count, "7", key="bench.statistics.too_few")
    if min(spikes) <= 0:
        raise Refused("spikes", min(spikes), key="bench.limits.spike_not_found")
    found = summary(spikes)
    t = student_t(found.n)
    return MethodDetectionLimit(t * found.sd, _of_blanks(blanks), mdl_band(found.n - 1))


def _of_blanks(blanks: Sequence[float | None]) -> float | None:
    numbers = [one for one in blanks if one is not None]
    if not numbers:
        return None
    if len(numbers) < len(blanks):
        if len(blanks) > _MANY_BLANKS:
            return float(np.quantile(numbers, _MDL_CONFIDENCE))
        return max(numbers)
    found = summary(numbers)
    return max(0.0, found.mean) + student_t(found.n) * found.sd


def replaces(old: float, new: float, *, share_of_blanks_above: float) -> bool:
    """Whether a new method detection limit takes the place of the one in use.

    Parameters
    ----------
    old, new
        The limits [one unit]; the old may stay within 0.5 to 2 times the new one.
    share_of_blanks_above
        Blanks above the old limit [fraction]; it stays under 3 in 100.
    """
    return not (0.5 <= new / old <= 2.0 and share_of_blanks_above < 0.03)


def _spread_at(curve: Curve, amount: float, readings: int) -> float:
    """Root of 1/m + 1/n + (x - mean x)^2 / Sxx of an unweighted line."""
    x = curve.x
    middle = float(np.mean(x))
    q = float(np.sum((x - middle) ** 2))
    return math.sqrt(1.0 / readings + 1.0 / len(x) + (amount - middle) ** 2 / q)


def _per_slope(curve: Curve) -> float:
    return curve.fit.s / abs(curve.coefficients[1])


def critical_of_curve(curve: Curve, *, alpha: float, readings: int = 1) -> DetectionLimit:
    """Critical value from a calibration line (DIN 32645).

    Parameters
    ----------
    curve
        A straight line, unweighted.
    alpha
        Chance of claiming what is not there [fraction].
    readings
        How many readings a result is the mean of.
    """
    t = t_quantile(1 - alpha, curve.fit.df)
    value = _per_slope(curve) * t * _spread_at(curve, 0.0, readings)
    return DetectionLimit(value, Definition.CRITICAL_CURVE, alpha=alpha, revision="DIN 32645")


def critical_of_blanks(
    blanks: Sequence[float], slope: float, *, alpha: float, readings: int = 1
) -> DetectionLimit:
    """Critical value from repeated blanks (DIN 32645).

    Parameters
    ----------
    blanks
        Signals of blanks [unit of the signal].
    slope
        Steepness of the curve [signal per unit of amount].
    alpha
        Chance of claiming what is not there [fraction].
    readings
        How many readings a result is the mean of.
    """
    found = summary(blanks)
    t = t_quantile(1 - alpha, found.n - 1)
    value = found.sd / abs(slope) * t * math.sqrt(1.0 / readings + 1.0 / found.n)
    return DetectionLimit(value, Definition.CRITICAL_BLANKS, alpha=alpha, revision="DIN 32645")


def detection_of_curve(curve: Curve, *, alpha: float, readings: int = 1) -> DetectionLimit:
    """Detection limit at equal risks: twice the critical value (DIN 32645).

    Parameters
    ----------
    curve
        A straight line, unweighted.
    alpha
        Both chances of error [fraction].
    readings
        How many readings a result is the mean of.
    """
    critical = critical_of_curve(curve, alpha=alpha, readings=readings)
    return DetectionLimit(
        2.0 * critical.value,
        Definition.DETECTION_CURVE,
        alpha=alpha,
        beta=alpha,
        revision="DIN 32645",
    )


def detection_by_band(
    curve: Curve, *, alpha: float, beta: float, readings: int = 1
) -> DetectionLimit:
    """Detection limit with the prediction band taken at the limit itself (Massart, chapter 13).

    Parameters
    ----------
    curve
        A straight line, unweighted.
    alpha, beta
        Chance of claiming what is not there, and of missing what is [fraction].
    readings
        How many readings a result is the mean of.
    """
    critical = critical_of_curve(curve, alpha=alpha, readings=readings).value
    t = t_quantile(1 - beta, curve.fit.df)

    def short_of(amount: float) -> float:
        return amount - critical - _per_slope(curve) * t * _spread_at(curve, amount, readings)

    return DetectionLimit(
        _root(short_of, critical), Definition.DETECTION_BAND, alpha, beta, revision="Massart 1997"
    )


def quantification_of_curve(
    curve: Curve, *, alpha: float, k: float = 3.0, readings: int = 1
) -> DetectionLimit:
    """Amount whose half-width is 1/k of itself (DIN 32645).

    Parameters
    ----------
    curve
        A straight line, unweighted.
    alpha
        Chance that the interval misses the amount [fraction].
    k
        Amount over its half-width [ratio].
    readings
        How many readings a result is the mean of.
    """
    t = t_quantile(1 - alpha / 2.0, curve.fit.df)

    def short_of(amount: float) -> float:
        return amount - k * _per_slope(curve) * t * _spread_at(curve, amount, readings)

    start = critical_of_curve(curve, alpha=alpha, readings=readings).value
    value = _root(short_of, start)
    return DetectionLimit(value, Definition.QUANTIFICATION_CURVE, alpha, revision="DIN 32645")


def _root(short_of: Any, start: float) -> float:
    from scipy.optimize import brentq

    high = start
    while short_of(high) < 0:
        high *= 2.0
        if high > start * 1e6:
            raise Refused("limit", high, key="bench.limits.no_limit")
    return float(brentq(short_of, 0.0, high, xtol=1e-12 * start, rtol=1e-12))


@equation(
    name="Critical value of blanks without a curve",
    output=("critical_value", "", "as the SD"),
    source="currie-1999",
    mark="recalled",
    units={"blank_sd": ""},
)
def currie_critical(blank_sd: Any) -> Any:
    """Level above which something is claimed to be there, 5 % risk, SD known.

    Parameters
    ----------
    blank_sd
        SD of blanks [unit of the results].
    """
    return 1.645 * blank_sd


@equation(
    name="Detection limit of blanks without a curve",
    output=("detection_limit", "", "as the SD"),
    source="currie-1999",
    mark="recalled",
    units={"blank_sd": ""},
)
def currie_detection(blank_sd: Any) -> Any:
    """Level that is missed in 5 % of cases, SD known.

    Parameters
    ----------
    blank_sd
        SD of blanks [unit of the results].
    """
    return 3.29 * blank_sd


@equation(
    name="Quantification limit of blanks without a curve",
    output=("quantification_limit", "", "as the SD"),
    source="currie-1999",
    mark="recalled",
    units={"blank_sd": ""},
)
def currie_quantification(blank_sd: Any) -> Any:
    """Level with a relative SD of 10 %.

    Parameters
    ----------
    blank_sd
        SD of blanks [unit of the results].
    """
    return 10.0 * blank_sd
