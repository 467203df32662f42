"""Rounding: once, at the end, in decimal arithmetic, by a rule that is named.

ASTM E29 / ISO 80000-1 allow half to even or half up; binary floats are first written as the
shortest decimal that reads back to them.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from typing import Literal

Rule = Literal["half_even", "half_up"]
_RULES = {"half_even": ROUND_HALF_EVEN, "half_up": ROUND_HALF_UP}


def round_decimal(value: float | Decimal, digits: int, rule: Rule = "half_even") -> Decimal:
    """Round to a number of decimals in decimal arithmetic.

    Parameters
    ----------
    value
        The number [any unit].
    digits
        Decimals [count].
    rule
        What an exact half does.
    """
    exact = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
    return exact.quantize(Decimal(1).scaleb(-digits), rounding=_RULES[rule])


def round_significant(value: float | Decimal, figures: int, rule: Rule = "half_even") -> Decimal:
    """Round to a number of significant figures in decimal arithmetic.

    Parameters
    ----------
    value
        The number [any unit].
    figures
        Significant figures [count].
    rule
        What an exact half does.
    """
    if value == 0:
        return Decimal(0)
    place = math.floor(math.log10(abs(float(value))))
    rounded = round_decimal(value, figures - 1 - place, rule)
    return rounded if rounded.as_tuple().exponent <= 0 else Decimal(int(rounded))  # type: ignore[operator]
