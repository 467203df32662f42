"""Numbers with their doubt as arrays: the first-order rule of ``measure.estimate``, row by row.

Each part is one kind of source: its own for every row (a weighing), or shared by the rows of a
batch (a direction of its curve), which is settled where rows are put together.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
# So small that its square is nothing beside any number, so that the slope is exact.
_STEP = 2.0**-100


@dataclass(frozen=True, slots=True)
class Doubtful:
    """Numbers with signed standard uncertainties by kind of source [unit of the numbers]."""

    value: Numbers
    parts: Mapping[str, Any] = field(default_factory=dict)

    @property
    def u(self) -> Numbers:
        """Combined standard uncertainty of each number [its own unit]."""
        total = sum((np.square(part) for part in self.parts.values()), np.float64(0.0))
        return np.asarray(np.sqrt(total))

    def at(self, rows: Any) -> Doubtful:
        """Some of the numbers, in the order of ``rows``."""
        return Doubtful(self.value[rows], {name: part[rows] for name, part in self.parts.items()})


def worked(fn: Callable[..., Any], inputs: Mapping[str, Doubtful | Any]) -> Doubtful:
    """Work an equation of sums, products and ratios on arrays with doubt, first order.

    Parameters
    ----------
    fn
        A declared equation.
    inputs
        Parameter -> numbers, with or without doubt [unit of the parameter].
    """
    point = {name: one.value if isinstance(one, Doubtful) else one for name, one in inputs.items()}
    parts: dict[str, Any] = {}
    for name, one in inputs.items():
        if isinstance(one, Doubtful) and one.parts:
            slope = _slope(fn, point, name)
            for source, u in one.parts.items():
                parts[source] = parts.get(source, 0.0) + slope * u
    return Doubtful(np.asarray(fn(**point), dtype=float), parts)


def _slope(fn: Callable[..., Any], point: Mapping[str, Any], name: str) -> Numbers:
    """Slope in one input by a complex step, which leaves nothing to rounding."""
    stepped = point[name] + 1j * _STEP
    return np.asarray(np.imag(fn(**{**point, name: stepped})) / _STEP)
