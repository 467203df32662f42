"""NIST StRD linear sets to their certified digits, and fits held against statsmodels and numpy."""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm

from haywright.bench.regression import least_squares, polynomial
from tools.digits import DIGITS, certified, digits_reached


@pytest.mark.parametrize(("name", "least"), DIGITS.items())
def test_certified_digits_are_reached(name, least):
    # NIST Statistical Reference Datasets, linear regression; certified to 15 digits.
    assert digits_reached(certified()[name]) >= least


def test_drawn_fits_agree_with_statsmodels_and_numpy():
    rng = np.random.default_rng(11)
    for _ in range(20):
        x = rng.uniform(0.5, 20.0, 12)
        y = 0.3 + 0.7 * x + 0.01 * x**2 + rng.normal(0.0, 0.05, 12)
        weights = 1.0 / x
        design = polynomial(x, (0, 1, 2))
        ours = least_squares(design, y, weights=weights)
        theirs = sm.WLS(y, np.column_stack([x**0, x, x**2]), weights=weights).fit()
        assert ours.coefficients == pytest.approx(theirs.params, rel=1e-9)
        assert ours.se == pytest.approx(theirs.bse, rel=1e-9)
        assert ours.r2 == pytest.approx(theirs.rsquared, rel=1e-9)
        # numpy weights the residuals, not their squares.
        plain = np.polynomial.polynomial.polyfit(x, y, 2, w=np.sqrt(weights))
        assert ours.coefficients == pytest.approx(plain, rel=1e-8)
