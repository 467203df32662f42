"""Linear least squares that keeps its digits: columns scaled, QR, one step of refinement.

The normal equations are never formed. Sums of squares are taken about the mean in two passes.
The NIST reference sets named in the outside cases hold to the digits given there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from haywright.measure.errors import Refused

Array = NDArray[np.float64]


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
    root_weight = np.sqrt(weight)
    scaled = columns * root_weight[:, None]
    size = np.max(np.abs(scaled), axis=0)
    if not (size > 0).all():
        raise Refused("observations", n, key="bench.fit.no_spread")
    q, r = np.linalg.qr(scaled / size)
    if np.min(np.abs(np.diag(r))) < n * np.finfo(float).eps * np.max(np.abs(np.diag(r))):
        raise Refused("observations", n, key="bench.fit.no_spread")
    target = seen * root_weight
    solution = np.linalg.solve(r, q.T @ target)
    # One refinement with residuals in long double gives back the digits that QR lost.
    left = target.astype(np.longdouble) - (scaled / size).astype(np.longdouble) @ solution
    solution = solution + np.linalg.solve(r, q.T @ left.astype(float))
    fitted = columns.astype(np.longdouble) @ (solution / size).astype(np.longdouble)
    residuals = (seen - fitted).astype(float)
    root = np.linalg.inv(r) / size[:, None]
    return _fit(solution / size, root, residuals, seen, weight, about_zero=about_zero)


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
