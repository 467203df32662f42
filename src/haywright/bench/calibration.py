"""Calibration: a curve through standards, and what a reading on it says.

A reading is turned into an amount with the doubt of the reading and of the curve apart: the
curve's directions are sources shared by every reading of the batch, so that what is common to two
bags cancels between them. Sources: QUAM:2012 example A5, DIN 32645, ISO/TS 28037.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from haywright.bench.regression import Array, Fit, least_squares, polynomial, says_nothing
from haywright.measure.errors import Refused
from haywright.measure.estimate import Estimate, Source, t_quantile
from haywright.measure.message import message
from haywright.measure.register import equation


class Model(StrEnum):
    """Form of a calibration curve."""

    LINE = "line"
    THROUGH_ORIGIN = "through_origin"
    QUADRATIC = "quadratic"


class Weights(StrEnum):
    """How standards are weighted where scatter grows with the amount."""

    NONE = "none"
    OVER_X = "1/x"
    OVER_X2 = "1/x2"


POWERS = {Model.LINE: (0, 1), Model.THROUGH_ORIGIN: (1,), Model.QUADRATIC: (0, 1, 2)}


@equation(
    name="Amount read off a straight line",
    output=("amount", "", "as the standards"),
    source="quam-2012",
    mark="definition",
    units={"response": "", "intercept": "", "slope": "per unit of amount"},
)
def off_line(response: Any, intercept: Any, slope: Any) -> Any:
    """Amount at which a straight line gives the response.

    Parameters
    ----------
    response
        Reading of the sample [unit of the signal].
    intercept
        Signal at amount 0 [unit of the signal].
    slope
        Signal per amount [signal per unit of amount].
    """
    return (response - intercept) / slope


@equation(
    name="Amount read off a quadratic curve",
    output=("amount", "", "as the standards"),
    source="quam-2012",
    mark="definition",
    units={"response": "", "a": "", "b": "", "c": "", "rising": ""},
)
def off_quadratic(response: Any, a: Any, b: Any, c: Any, rising: Any = 1.0) -> Any:
    """Amount at which a + b x + c x^2 gives the response, on the branch of the standards.

    Parameters
    ----------
    response
        Reading of the sample [unit of the signal].
    a, b, c
        Coefficients [signal; per unit of amount; per unit squared].
    rising
        1 where the standards' branch rises, -1 where it falls [sign].
    """
    # This form of the root keeps its digits as c goes to 0.
    return 2.0 * (response - a) / (b + rising * np.sqrt(b * b - 4.0 * c * (a - response)))


@equation(
    name="Turning point of a quadratic curve",
    output=("turning_point", "", "as the standards"),
    source="quam-2012",
    mark="definition",
    units={"b": "", "c": ""},
)
def turning_point(b: Any, c: Any) -> Any:
    """Amount where a + b x + c x^2 turns; it must lie outside the standards.

    Parameters
    ----------
    b, c
        Coefficients [per unit of amount; per unit squared].
    """
    return -b / (2.0 * c)


def steepness(b: Any, c: Any, amount: Any) -> Any:
    """Slope of a + b x + c x^2 at an amount, numbers or arrays.

    Parameters
    ----------
    b, c
        Coefficients [per unit of amount; per unit squared].
    amount
        Where [unit of the standards].
    """
    return b + 2.0 * c * amount


@dataclass(frozen=True)
class Reading:
    """An amount read off a curve.

    Parameters
    ----------
    amount
        The amount [unit of the standards].
    se
        Its standard error.
    from_reading
        The part from the reading itself, signed.
    from_curve
        The part of each direction of the curve, signed.
    """

    amount: float
    se: float
    from_reading: float
    from_curve: tuple[float, ...]


@dataclass(frozen=True)
class Curve:
    """A fitted calibration.

    Parameters
    ----------
    model
        Its form.
    x, y
        Standards: amounts and responses.
    fit
        The fit.
    weighting
        How standards were weighted.
    known_doubt
        Standard uncertainty of each response when it was given and not taken from the residuals.
    """

    model: Model
    x: Array
    y: Array
    fit: Fit
    weighting: Weights = Weights.NONE
    known_doubt: Array | None = None

    @property
    def coefficients(self) -> dict[int, float]:
        """Power of x -> coefficient."""
        return dict(zip(POWERS[self.model], map(float, self.fit.coefficients), strict=True))

    @property
    def low(self) -> float:
        """Lowest standard that is not 0 [unit of the standards]."""
        return float(np.min(self.x[self.x > 0]))

    @property
    def high(self) -> float:
        """Highest standard [unit of the standards]."""
        return float(np.max(self.x))

    @property
    def _scale(self) -> float:
        return 1.0 if self.known_doubt is not None else self.fit.s

    def predict(self, amount: float) -> float:
        """Response the curve gives at an amount [unit of the standards]."""
        return float(sum(c * amount**power for power, c in self.coefficients.items()))

    def slope(self, amount: float) -> float:
        """Steepness of the curve at an amount [unit of the standards]."""
        c = self.coefficients
        return float(steepness(c[1], c.get(2, 0.0), amount))

    def u_predicted(self, amount: float) -> float:
        """Standard uncertainty of the curve itself at an amount [unit of the standards]."""
        return float(np.linalg.norm(self._directions(amount)))

    def _directions(self, amount: float) -> Array:
        powers = np.array([amount**power for power in POWERS[self.model]])
        return self._scale * (powers @ self.fit.root)

    def amount(self, response: float) -> float:
        """Amount at which the curve gives a response [unit of the signal]; nan when never."""
        c = self.coefficients
        if self.model is not Model.QUADRATIC:
            return float(off_line(response, c.get(0, 0.0), c[1]))
        middle = (float(np.min(self.x)) + self.high) / 2.0
        with np.errstate(invalid="ignore"):
            found = off_quadratic(
                response, c[0], c[1], c[2], math.copysign(1.0, self.slope(middle))
            )
        return float(found)

    def read(
        self, response: float, *, readings: int = 1, u_response: float | None = None
    ) -> Reading:
        """What a response says, with the doubt of the reading and of the curve apart.

        Parameters
        ----------
        response
            Mean of ``readings`` readings [unit of the signal].
        readings
            How many readings the response is the mean of.
        u_response
            Its standard uncertainty when known [unit of the signal]; else from the residuals.
        """
        amount = self.amount(response)
        steep = self.slope(amount)
        if u_response is None:
            u_response = self._scale / math.sqrt(
                float(weight_at(self.weighting, amount, self.low)) * readings
            )
        curve = -self._directions(amount) / steep
        single = u_response / steep
        se = math.hypot(single, float(np.linalg.norm(curve)))
        return Reading(amount, se, single, tuple(map(float, curve)))

    def half_width(self, response: float, *, readings: int = 1, confidence: float = 0.95) -> float:
        """Two-sided half-width of an amount read off [unit of the standards].

        Parameters
        ----------
        response
            Mean of ``readings`` readings [unit of the signal].
        readings
            How many readings it is the mean of.
        confidence
            Chance that the interval holds the true amount [fraction].
        """
        t = t_quantile((1 + confidence) / 2, self.fit.df)
        return t * self.read(response, readings=readings).se

    def estimate(self, response: float, *, name: str, place: str, readings: int = 1) -> Estimate:
        """An amount read off as an Estimate; the curve's directions are shared by its readings.

        Parameters
        ----------
        response
            Mean of ``readings`` readings [unit of the signal].
        name
            Name of the curve, such as batch and element.
        place
            Place in the run.
        readings
            How many readings the response is the mean of.
        """
        read = self.read(response, readings=readings)
        df = math.inf if self.known_doubt is not None else float(self.fit.df)
        pool = f"curve:{name}"
        parts = {
            Source(f"curve:{name}:{k}", message("bench.source.curve"), df, pool): u
            for k, u in enumerate(read.from_curve, 1)
        }
        signal = Source(f"signal:{name}:{place}", message("bench.source.signal"), df, pool)
        return Estimate.of(read.amount, {signal: read.from_reading, **parts})

    def back_calculated(self) -> Array:
        """Amount that each standard's own response reads as [unit of the standards]."""
        return np.array([self.amount(float(one)) for one in self.y])

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values, enough to draw it."""
        return {
            "model": self.model.value,
            "weights": self.weighting.value,
            "x": self.x.tolist(),
            "y": self.y.tolist(),
            "coefficients": {str(k): v for k, v in self.coefficients.items()},
            "se": self.fit.se.tolist(),
            "residual_sd": self.fit.s,
            "df": self.fit.df,
            "r2": self.fit.r2,
            "residuals": self.fit.residuals.tolist(),
        }


def weight_at(weighting: Weights, amount: Any, low: Any) -> Any:
    """Weight of a response at an amount.

    Parameters
    ----------
    weighting
        How scatter grows with the amount.
    amount, low
        The amount and the lowest standard above 0 [one unit].
    """
    if weighting is Weights.NONE:
        return np.ones_like(amount)
    # Below the lowest standard scatter no longer shrinks with the amount.
    held = np.maximum(amount, low)
    return 1.0 / held if weighting is Weights.OVER_X else 1.0 / held**2


def calibrate(
    x: ArrayLike,
    y: ArrayLike,
    *,
    model: Model = Model.LINE,
    weighting: Weights = Weights.NONE,
    u_y: ArrayLike | None = None,
) -> Curve:
    """Fit a calibration curve.

    Parameters
    ----------
    x
        Amounts of the standards [one unit].
    y
        Their responses [unit of the signal].
    model
        Straight line, line through the origin, or quadratic.
    weighting
        Weight of each standard by its amount.
    u_y
        Standard uncertainty of each response when known [unit of the signal]; the fit is then
        not scaled by its residuals (ISO/TS 28037).

    Raises
    ------
    Refused
        Too few standards, standards without spread or of one signal, or a quadratic that turns
        among them.
    """
    amounts, responses = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    if not (amounts > 0).any():
        raise Refused("standards", len(amounts), key="bench.fit.no_spread")
    low = float(np.min(amounts[amounts > 0]))
    known = None if u_y is None else np.asarray(u_y, dtype=float)
    weights = weight_at(weighting, amounts, low) if known is None else 1.0 / known**2
    design = polynomial(amounts, POWERS[model])
    origin = model is Model.THROUGH_ORIGIN
    fit = least_squares(design, responses, weights=weights, about_zero=origin)
    slope = math.inf if model is Model.QUADRATIC else fit.coefficients[-1]
    if says_nothing(amounts, responses, slope):
        raise Refused("standards", len(amounts), key="bench.fit.flat")
    curve = Curve(model, amounts, responses, fit, weighting, known)
    if model is Model.QUADRATIC and curve.coefficients[2]:
        turns = float(turning_point(curve.coefficients[1], curve.coefficients[2]))
        if np.min(amounts) <= turns <= np.max(amounts):
            raise Refused("standards", f"{turns:.3g}", key="bench.fit.turns")
    return curve


def chi_squared(curve: Curve) -> float:
    """Weighted sum of squared residuals where the responses' doubt was given [count]."""
    assert curve.known_doubt is not None  # noqa: S101 - asked only of such curves
    return float(np.sum((curve.fit.residuals / curve.known_doubt) ** 2))


@dataclass(frozen=True)
class LackOfFit:
    """Lack of fit against the scatter of repeated standards."""

    ss_lack_of_fit: float
    ss_pure_error: float
    df_lack_of_fit: int
    df_pure_error: int
    f: float
    p: float


def lack_of_fit(curve: Curve) -> LackOfFit | None:
    """Whether the curve misses the level means by more than repeats scatter; ``None`` without.

    A failed test alone stops nothing: the curve of QUAM A5 fails it at 5 %.
    """
    levels, level_of = np.unique(curve.x, return_inverse=True)
    n, k, p = len(curve.x), len(levels), len(curve.coefficients)
    if n <= k or k <= p:
        return None
    means = np.bincount(level_of, curve.y) / np.bincount(level_of)
    pure = float(np.sum((curve.y - means[level_of]) ** 2))
    lack = float(np.sum(curve.fit.residuals**2)) - pure
    if pure <= 0:
        return None
    f = (lack / (k - p)) / (pure / (n - k))
    from scipy.special import fdtrc

    return LackOfFit(lack, pure, k - p, n - k, f, float(fdtrc(k - p, n - k, f)))


def relative_standard_error(known: ArrayLike, found: ArrayLike, *, parameters: int) -> float:
    """Relative standard error of back-calculated standards [%] (US EPA, 40 CFR 136.6).

    Parameters
    ----------
    known
        Amounts of the standards, none of them 0 [one unit].
    found
        Back-calculated amounts [same unit].
    parameters
        Number of fitted coefficients.
    """
    x, back = np.asarray(known, dtype=float), np.asarray(found, dtype=float)
    return float(100.0 * np.sqrt(np.sum(((back - x) / x) ** 2) / (len(x) - parameters)))


def standard_additions(added: ArrayLike, response: ArrayLike) -> tuple[float, float]:
    """Amount found by standard additions and its standard error.

    Parameters
    ----------
    added
        Amounts added to equal portions [one unit].
    response
        Their responses [unit of the signal].

    Returns
    -------
    tuple
        Amount and standard error [unit of ``added``].
    """
    x, y = np.asarray(added, dtype=float), np.asarray(response, dtype=float)
    fit = least_squares(polynomial(x, (0, 1)), y)
    a, b = map(float, fit.coefficients)
    spread = float(np.sum((x - x.mean()) ** 2))
    se = fit.s / abs(b) * math.sqrt(1.0 / len(x) + float(y.mean()) ** 2 / (b * b * spread))
    return a / b, se


def runs_of_residuals(curve: Curve) -> tuple[int, float]:
    """Number of runs of one sign among the residuals in order of amount, and its chance.

    Returns
    -------
    tuple
        Runs [count], and the chance of so few by luck alone [fraction] (Wald and Wolfowitz).
    """
    signs = np.sign(curve.fit.residuals[np.argsort(curve.x, kind="stable")])
    signs = signs[signs != 0]
    plus, minus = int(np.sum(signs > 0)), int(np.sum(signs < 0))
    runs = 1 + int(np.sum(signs[1:] != signs[:-1])) if len(signs) else 0
    return runs, _chance_of_runs(runs, plus, minus)


def _chance_of_runs(runs: int, plus: int, minus: int) -> float:
    """Chance of at most so many runs when the signs stand in any order."""
    ways = 0
    for r in range(2, runs + 1):
        k, odd = divmod(r, 2)
        if odd:
            ways += math.comb(plus - 1, k) * math.comb(minus - 1, k - 1)
            ways += math.comb(plus - 1, k - 1) * math.comb(minus - 1, k)
        else:
            ways += 2 * math.comb(plus - 1, k - 1) * math.comb(minus - 1, k - 1)
    whole = math.comb(plus + minus, plus)
    return ways / whole if plus and minus else 1.0


def quadratic_better(x: ArrayLike, y: ArrayLike) -> Mapping[str, float]:
    """Whether a quadratic fits better than a line: F and its chance.

    Parameters
    ----------
    x
        Amounts of the standards [one unit].
    y
        Their responses [unit of the signal].
    """
    from scipy.special import fdtrc

    line, bent = calibrate(x, y), calibrate(x, y, model=Model.QUADRATIC)
    sse = [float(np.sum(one.fit.residuals**2)) for one in (line, bent)]
    f = (sse[0] - sse[1]) / (sse[1] / bent.fit.df)
    return {"f": f, "p": float(fdtrc(1, bent.fit.df, f))}
