"""Prints how many certified digits the fits reach on the NIST StRD linear sets.

Digits are the least, over all certified values of a set, of -log10 of the relative error.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import yaml

from haywright.bench.regression import Fit, least_squares, polynomial

CASES = Path(__file__).resolve().parents[1] / "tests" / "outside" / "cases" / "bench.yaml"
# The least that is asked of each set.
DIGITS = {"strd-norris": 9, "strd-pontius": 9, "strd-noint1": 13, "strd-longley": 7}
_POWERS = {"strd-norris": (0, 1), "strd-pontius": (0, 1, 2), "strd-noint1": (1,)}
# Certified values are printed to 15 digits; more than that says nothing.
_PRINTED = 15.0


def certified() -> dict[str, dict[str, Any]]:
    """The certified sets by name."""
    cases = yaml.safe_load(CASES.read_text(encoding="utf-8"))
    return {one["id"]: one for one in cases if one["id"] in DIGITS}


def digits_reached(case: dict[str, Any]) -> float:
    """Least number of certified digits over coefficients, their errors, residual SD and R2."""
    return min(_digits(found, value) for found, value in _pairs(case))


def _fit(case: dict[str, Any]) -> Fit:
    given = case["inputs"]
    if "x_columns" in given:
        ones = np.ones(len(given["y"]))
        return least_squares(np.column_stack([ones, *given["x_columns"]]), given["y"])
    powers = _POWERS[case["id"]]
    return least_squares(polynomial(given["x"], powers), given["y"], about_zero=0 not in powers)


def _pairs(case: dict[str, Any]) -> list[tuple[float, float]]:
    fit, known = _fit(case), case["expected"]
    b = known.get("b") or [v for k, v in sorted(known.items()) if k[0] == "b"]
    se = known.get("se") or [v for k, v in sorted(known.items()) if k.startswith("se_b")]
    pairs = [*zip(fit.coefficients, b, strict=True), *zip(fit.se, se, strict=True)]
    return [*pairs, (fit.s, known["residual_sd"]), (fit.r2, known["r2"])]


def _digits(found: float, value: float) -> float:
    off = abs(found - value) / abs(value)
    return _PRINTED if off == 0 else min(-math.log10(off), _PRINTED)


def main() -> None:
    for name, case in certified().items():
        print(f"{name}: {digits_reached(case):.1f} digits ({DIGITS[name]} asked for)")


if __name__ == "__main__":
    main()
