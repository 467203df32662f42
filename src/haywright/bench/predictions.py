"""Near-infrared predictions held against wet chemistry (ISO 12099): bias, slope, error."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from haywright.bench.compare import PredictionBias, prediction_bias
from haywright.bench.regression import least_squares, polynomial
from haywright.measure.errors import Refused
from haywright.measure.estimate import t_quantile
from haywright.measure.register import equation

LEAST_PAIRS = 3
_CONFIDENCE = 0.95


@equation(
    name="Prediction less its bias",
    output=("corrected", "%", "dry matter"),
    source="iso-12099",
    mark="recalled",
    units={"predicted": "%", "bias": "%"},
)
def less_bias(predicted: Any, bias: Any = 0.0) -> Any:
    """A prediction with the bias found against wet chemistry taken off.

    Parameters
    ----------
    predicted
        Near-infrared prediction [% dry matter].
    bias
        Mean of predicted less measured [% dry matter].
    """
    return predicted - bias


@dataclass(frozen=True, slots=True)
class PredictionCheck:
    """What pairs of predicted and measured results say of a calibration.

    Parameters
    ----------
    pairs
        How many [count].
    bias
        Bias with its limit, SEP and RMSEP.
    slope, slope_low, slope_high
        Slope of measured on predicted with its 95 % interval [ratio].
    sep_limit
        Most the SEP may be beside the calibration's own error [unit of the results]; ``None``
        when that error was not given.
    """

    pairs: int
    bias: PredictionBias
    slope: float
    slope_low: float
    slope_high: float
    sep_limit: float | None

    @property
    def slope_off(self) -> bool:
        """Whether the slope differs from 1 by more than luck."""
        return not self.slope_low <= 1.0 <= self.slope_high

    @property
    def sep_too_large(self) -> bool:
        """Whether predictions scatter more than the calibration said."""
        return self.sep_limit is not None and self.bias.sep > self.sep_limit

    @property
    def fine(self) -> bool:
        """Whether bias, slope and scatter are all within luck."""
        return not (self.bias.real or self.slope_off or self.sep_too_large)

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "pairs": self.pairs,
            "bias": self.bias.bias,
            "bias_limit": self.bias.limit,
            "bias_is_real": self.bias.real,
            "sep": self.bias.sep,
            "sep_limit": self.sep_limit,
            "rmsep": self.bias.rmsep,
            "slope": self.slope,
            "slope_interval": [self.slope_low, self.slope_high],
            "slope_off": self.slope_off,
        }


def check_predictions(
    predicted: Sequence[float],
    measured: Sequence[float],
    *,
    sec: float | None = None,
    calibration_df: int = 0,
) -> PredictionCheck:
    """Hold predictions against wet chemistry of the same powders.

    Parameters
    ----------
    predicted, measured
        Pairs in order [one unit].
    sec
        Standard error of the calibration, to judge the SEP by an F test [same unit].
    calibration_df
        Degrees of freedom behind it [count].

    Raises
    ------
    Refused
        Fewer than three pairs, unequal lengths, a number that is not finite, predictions all
        alike, or a standard error without its degrees of freedom.
    """
    x, y = np.asarray(predicted, dtype=float), np.asarray(measured, dtype=float)
    n = len(x)
    if n != len(y) or n < LEAST_PAIRS:
        raise Refused("pairs", min(n, len(y)), str(LEAST_PAIRS), key="bench.statistics.too_few")
    if not (np.isfinite(x).all() and np.isfinite(y).all()):
        raise Refused("pairs", "nan", key="measure.not_a_number")
    if sec is not None and calibration_df < 1:
        raise Refused("calibration_df", calibration_df, "1", key="bench.statistics.too_few")
    apart = x - y
    mean = float(np.mean(apart))
    sd = float(np.sqrt(np.sum((apart - mean) ** 2) / (n - 1)))
    fit = least_squares(polynomial(x, (0, 1)), y)
    half = t_quantile((1.0 + _CONFIDENCE) / 2.0, n - 2) * float(fit.se[1])
    slope = float(fit.coefficients[1])
    limit = None if sec is None else sep_limit(sec, n, calibration_df)
    bias = prediction_bias(mean, sd, n)
    return PredictionCheck(n, bias, slope, slope - half, slope + half, limit)


def sep_limit(sec: float, pairs: int, calibration_df: int) -> float:
    """Most the SEP may be before it is more than the calibration's own error (F test, 95 %).

    Parameters
    ----------
    sec
        Standard error of the calibration [unit of the results].
    pairs
        Number of pairs behind the SEP [count].
    calibration_df
        Degrees of freedom behind ``sec`` [count].
    """
    from scipy.special import fdtri

    return sec * math.sqrt(float(fdtri(pairs - 1, calibration_df, _CONFIDENCE)))
