"""Linear least squares that keeps its digits: columns scaled, QR, one step of refinement.

The normal equations are never formed. Sums of squares are taken about the mean in two passes.
The NIST reference sets named in the outside cases hold to the digits given there.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from haywright.measure.errors import Refused

Array = NDArray[np.float64]
# Signals that differ by less than this share are one signal, written twice by a computer.
_ROUNDING = 1e-12


@dataclass(frozen=True)
class Fit:
    """A linear least-squares fit.

    Parameters
    ----------
    coefficients
        Estimates, one per column of the design.
    root
        Matrix whose product with its own transpose, times ``s`` squared, is the covariance.
    residuals
        Observed minus fitted.
    s, df
        Residual standard deviation and its degrees of freedom.
    r2
        Share of the (weighted) sum of squares explained, about the mean or about zero.
    """

    coefficients: Array
    root: Array
    residuals: Array
    s: float
    df: int
    r2: float

    @property
    def covariance(self) -> Array:
        """Covariance of the coefficients, from the residual standard deviation."""
        return np.asarray(self.s**2 * self.root @ self.root.T)

    @property
    def se(self) -> Array:
        """Standard errors of the coefficients."""
        return np.asarray(self.s * np.sqrt(np.sum(self.root**2, axis=1)))

    @property
    def correlation(self) -> Array:
        """Correlation of the coefficients."""
        size = np.sqrt(np.sum(self.root**2, axis=1))
        return (self.root @ self.root.T) / np.outer(size, size)


def least_squares(
    design: ArrayLike,
    y: ArrayLike,
    *,
    weights: ArrayLike | None = None,
    about_zero: bool = False,
) -> Fit:
    """Fit y = design @ coefficients.

    Parameters
    ----------
    design
        Columns of the model, shape (n, p) [any unit each].
    y
        Observations, shape (n,) [one unit].
    weights
        Weight of each observation [1/unit squared, or bare].
    about_zero
        Whether the share explained is taken about zero, as for a line through the origin.

    Raises
    ------
    Refused
        Too few observations, a number that is not finite, or columns that say the same thing.
    """
    columns, seen = np.asarray(design, dtype=float), np.asarray(y, dtype=float)
    weight = np.ones_like(seen) if weights is None else np.asarray(weights, dtype=float)
    n, p = columns.shape
    if n < p or not (np.isfinite(columns).all() and np.isfinite(seen).all()):
        raise Refused("observations", n, str(p), key="bench.fit.too_few")
    solved = solve_each(columns, seen, weight)
    if not solved.told_apart.all():
        raise Refused("observations", n, key="bench.fit.no_spread")
    return _fit(
        solved.coefficients, solved.root, solved.residuals, seen, weight, about_zero=about_zero
    )


class Solved(NamedTuple):
    """Fits of many series at once; the leading axes are those of the series.

    ``told_apart`` says of each whether its columns say different things; where they do not,
    the numbers mean nothing. The other fields are those of :class:`Fit`.
    """

    coefficients: Array
    root: Array
    residuals: Array
    told_apart: NDArray[np.bool_]


def solve_each(columns: Array, seen: Array, weight: Array) -> Solved:
    """Fit many series of one length, each by itself.

    Parameters
    ----------
    columns
        Columns of the model, shape (..., n, p) with n not under p [any unit each].
    seen
        Observations, shape (..., n) [one unit].
    weight
        Weight of each observation, shape (..., n) [1/unit squared, or bare].
    """
    root_weight = np.sqrt(weight)
    scaled = columns * root_weight[..., None]
    size = np.max(np.abs(scaled), axis=-2)
    has_size = (size > 0).all(axis=-1)
    size = np.where(size > 0, size, 1.0)
    q, r = np.linalg.qr(scaled / size[..., None, :])
    pivots = np.abs(np.diagonal(r, axis1=-2, axis2=-1))
    least = columns.shape[-2] * np.finfo(float).eps * pivots.max(axis=-1)
    told_apart = has_size & (pivots.min(axis=-1) >= least)
    # Series that cannot be solved are worked on a matrix that can, and marked.
    r = np.where(told_apart[..., None, None], r, np.eye(r.shape[-1]))
    target = seen * root_weight
    solution = np.linalg.solve(r, _times(q.swapaxes(-2, -1), target)[..., None])[..., 0]
    # One refinement with residuals in long double gives back the digits that QR lost.
    exact = (scaled / size[..., None, :]).astype(np.longdouble)
    left = target.astype(np.longdouble) - _times(exact, solution)
    correction = _times(q.swapaxes(-2, -1), left.astype(float))
    solution = solution + np.linalg.solve(r, correction[..., None])[..., 0]
    fitted = _times(columns.astype(np.longdouble), (solution / size).astype(np.longdouble))
    residuals = (seen - fitted).astype(float)
    root = np.linalg.inv(r) / size[..., :, None]
    return Solved(solution / size, root, residuals, told_apart)


def _times(matrices: Any, vectors: Any) -> Any:
    """Each matrix times its vector."""
    return (matrices @ vectors[..., None])[..., 0]


def _fit(
    coefficients: Array,
    root: Array,
    residuals: Array,
    y: Array,
    weight: Array,
    *,
    about_zero: bool,
) -> Fit:
    n, p = len(y), len(coefficients)
    left = float(np.sum(weight * residuals**2))
    center = 0.0 if about_zero else float(np.sum(weight * y) / np.sum(weight))
    whole = float(np.sum(weight * (y - center) ** 2))
    s = float(np.sqrt(left / (n - p))) if n > p else float("nan")
    r2 = 1.0 - left / whole if whole > 0 else float("nan")
    return Fit(coefficients, root, residuals, s, n - p, r2)


def polynomial(x: ArrayLike, powers: tuple[int, ...]) -> Array:
    """The columns of a polynomial [x: any unit]: one per power."""
    values = np.asarray(x, dtype=float)
    return np.stack([values**power for power in powers], axis=-1)


def says_nothing(x: Any, y: Any, slope: Any) -> Any:
    """Whether standards of different strength give one signal, but for rounding.

    Parameters
    ----------
    x, y
        Amounts and responses, shape (..., standards) [one unit each].
    slope
        Slope of the line through them, shape (...) [signal per unit of amount]; infinite for a
        bent curve, of which only the responses are looked at.
    """
    width, least = np.ptp(x, axis=-1), _ROUNDING * np.max(np.abs(y), axis=-1)
    rise = np.abs(slope) * np.where(width > 0, width, 1.0)
    return (width > 0) & ((np.ptp(y, axis=-1) <= least) | (rise <= least))
