"""The calibration curves of a season: every batch's standards fitted, its readings read off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from haywright.bench import calibration as cal
from haywright.bench.regression import polynomial, says_nothing, solve_each
from haywright.bench.season.doubt import Doubtful
from haywright.bench.season.table import Numbers, Places, Yes


@dataclass(frozen=True)
class Curves:
    """One curve for each batch.

    Parameters
    ----------
    model, weighting
        Form and weights of all of them.
    coefficients
        Shape (batches, p), by rising power [signal per unit of amount to that power].
    root
        Shape (batches, p, p): its product with its own transpose, times the square of ``s``, is
        the covariance.
    s, df
        Residual standard deviation [unit of the signal] and its degrees of freedom [count].
    low, high, least
        Lowest standard above 0, highest and lowest standard of each batch [unit of the standards].
    drawn
        Whether a curve could be drawn at all.
    """

    model: cal.Model
    weighting: cal.Weights
    coefficients: Numbers
    root: Numbers
    s: Numbers
    df: Places
    low: Numbers
    high: Numbers
    least: Numbers
    drawn: Yes

    def _power(self, power: int, batch: Places) -> Numbers:
        powers = cal.POWERS[self.model]
        if power not in powers:
            return np.zeros(len(batch))
        return np.asarray(self.coefficients[batch, powers.index(power)])

    def predict(self, amount: Numbers, batch: Places) -> Numbers:
        """Response at an amount on the curve of a batch [unit of the signal]."""
        return np.asarray(
            sum(self._power(power, batch) * amount**power for power in cal.POWERS[self.model])
        )

    def slope(self, amount: Numbers, batch: Places) -> Numbers:
        """Steepness at an amount [signal per unit of the standards]."""
        return np.asarray(cal.steepness(self._power(1, batch), self._power(2, batch), amount))

    def amount(self, response: Numbers, batch: Places) -> Numbers:
        """Amount at a response on the curve of a batch [unit of the standards]."""
        a, b = self._power(0, batch), self._power(1, batch)
        with np.errstate(divide="ignore", invalid="ignore"):
            if self.model is not cal.Model.QUADRATIC:
                return np.asarray(cal.off_line(response, a, b))
            middle = (self.least[batch] + self.high[batch]) / 2.0
            rising = np.copysign(1.0, self.slope(middle, batch))
            return np.asarray(
                cal.off_quadratic(response, a, b, self._power(2, batch), rising=rising)
            )

    def read(self, response: Numbers, batch: Places) -> Doubtful:
        """Amounts with the doubt of the reading and of each direction of the curve."""
        amount = self.amount(response, batch)
        with np.errstate(divide="ignore", invalid="ignore"):
            steep = self.slope(amount, batch)
            weight = cal.weight_at(self.weighting, amount, self.low[batch])
            signal = self.s[batch] / np.sqrt(weight) / steep
            powers = np.stack([amount**power for power in cal.POWERS[self.model]], axis=-1)
            directions = np.einsum("ij,ijk->ik", powers, self.root[batch])
            curve = -(self.s[batch] / steep)[:, None] * directions
        parts = {f"curve {k}": curve[:, k] for k in range(curve.shape[1])}
        return Doubtful(amount, {"signal": signal, **parts})


def curves_through(
    x: Numbers,
    y: Numbers,
    batch: Places,
    *,
    batches: int,
    model: cal.Model,
    weighting: cal.Weights,
) -> Curves:
    """Fit the standards of every batch.

    Parameters
    ----------
    x, y
        Amounts and responses of all standards, batch after batch [unit of the standards; of the
        signal].
    batch
        Batch of each standard, rising [count from 0].
    batches
        How many batches there are [count].
    model, weighting
        Form and weights of every curve.
    """
    p = len(cal.POWERS[model])
    made = Curves(
        model=model,
        weighting=weighting,
        coefficients=np.full((batches, p), np.nan),
        root=np.full((batches, p, p), np.nan),
        s=np.full(batches, np.nan),
        df=np.zeros(batches, dtype=np.intp),
        low=np.full(batches, np.nan),
        high=np.full(batches, np.nan),
        least=np.full(batches, np.nan),
        drawn=np.zeros(batches, dtype=bool),
    )
    for which, rows in _of_one_length(batch, batches, at_least=p):
        _fit(made, which, x[rows], y[rows])
    return made


def _of_one_length(
    batch: Places, batches: int, *, at_least: int
) -> Iterator[tuple[Places, Places]]:
    """Batches with equally many standards, and their rows, shape (batches, standards)."""
    counts = np.bincount(batch, minlength=batches)
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]])
    for n in np.unique(counts[counts >= at_least]):
        which = np.flatnonzero(counts == n)
        yield which, starts[which][:, None] + np.arange(n)


def _fit(made: Curves, which: Places, x: Numbers, y: Numbers) -> None:
    """Fit batches with equally many standards and put the curves in their places."""
    some = (x > 0).any(axis=1)
    which, x, y = which[some], x[some], y[some]
    if not len(which):
        return
    made.low[which] = np.where(x > 0, x, np.inf).min(axis=1)
    made.high[which], made.least[which] = x.max(axis=1), x.min(axis=1)
    weight = cal.weight_at(made.weighting, x, made.low[which][:, None])
    fit = solve_each(polynomial(x, cal.POWERS[made.model]), y, weight)
    n, p = x.shape[1], len(cal.POWERS[made.model])
    made.coefficients[which], made.root[which], made.df[which] = fit.coefficients, fit.root, n - p
    if n > p:
        made.s[which] = np.sqrt(np.sum(weight * fit.residuals**2, axis=1) / (n - p))
    slope = np.inf if made.model is cal.Model.QUADRATIC else fit.coefficients[:, -1]
    made.drawn[which] = fit.told_apart & ~_turns(made, which) & ~says_nothing(x, y, slope)


def _turns(made: Curves, which: Places) -> Yes:
    """Whether a quadratic turns among its standards."""
    if made.model is not cal.Model.QUADRATIC:
        return np.zeros(len(which), dtype=bool)
    with np.errstate(divide="ignore", invalid="ignore"):
        turns = cal.turning_point(made.coefficients[which, 1], made.coefficients[which, 2])
    return np.asarray((made.least[which] <= turns) & (turns <= made.high[which]))
