"""A result against a limit: the chance that it conforms, and acceptance with a guard.

For nitrate the guard is on the feeding side; for a price premium both parties may agree to take
the result as it is. The doubt is taken at the limit, so that a lot truly at it passes in 5 % of
cases and not in 8.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np

from haywright.measure.register import equation


class Standing(StrEnum):
    """Where a result stands to an upper limit."""

    BELOW = "below"
    ABOVE = "above"
    NOT_SETTLED = "not settled"


@equation(
    name="Chance that a value lies below an upper limit",
    output=("chance", "fraction", ""),
    source="jcgm-106",
    mark="recalled",
    units={"found": "", "u": "", "limit": ""},
)
def chance_below(found: Any, u: Any, limit: Any) -> Any:
    """Chance that the true value lies below a limit.

    Parameters
    ----------
    found, u, limit
        Result, its standard uncertainty, and the limit [one unit].
    """
    from scipy.special import ndtr

    return ndtr((limit - np.asarray(found)) / u)


@equation(
    name="Acceptance limit below an upper limit",
    output=("acceptance_limit", "", "as the limit"),
    source="eurachem-compliance",
    mark="recalled",
    units={"limit": "", "u_relative": "fraction"},
)
def acceptance_limit(limit: Any, u_relative: Any) -> Any:
    """Result up to which a value truly at the limit passes in 5 % of cases only.

    Parameters
    ----------
    limit
        Upper limit [its own unit].
    u_relative
        Relative standard uncertainty at the limit [fraction].
    """
    return limit * (1.0 - 1.645 * u_relative)


@equation(
    name="Rejection limit above an upper limit",
    output=("rejection_limit", "", "as the limit"),
    source="eurachem-compliance",
    mark="recalled",
    units={"limit": "", "u_relative": "fraction"},
)
def rejection_limit(limit: Any, u_relative: Any) -> Any:
    """Result from which a value truly at the limit is called above it in 5 % of cases only.

    Parameters
    ----------
    limit
        Upper limit [its own unit].
    u_relative
        Relative standard uncertainty at the limit [fraction].
    """
    return limit * (1.0 + 1.645 * u_relative)


@dataclass(frozen=True, slots=True)
class Guarded:
    """A result held against an upper limit with a guard on both sides."""

    standing: Standing
    acceptance: float
    rejection: float


def guarded(found: float, limit: float, *, u_relative: float) -> Guarded:
    """Whether a result lies below, above, or too near an upper limit to say.

    Parameters
    ----------
    found, limit
        Result and limit [one unit].
    u_relative
        Relative standard uncertainty at the limit [fraction].
    """
    low, high = (
        float(acceptance_limit(limit, u_relative)),
        float(rejection_limit(limit, u_relative)),
    )
    if found <= low:
        return Guarded(Standing.BELOW, low, high)
    return Guarded(Standing.ABOVE if found >= high else Standing.NOT_SETTLED, low, high)
