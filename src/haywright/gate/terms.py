"""Terms of a sale: weed-free inspection, and when two laboratories agree."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from haywright.gate.money import Number, exact
from haywright.gate.price import positive
from haywright.sources.tables import load_toml
from haywright.stack.compare import critical_difference
from haywright.stack.error import multiplier

_CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Agreement:
    """Whether two results agree: their difference, the limit, in their own unit."""

    difference: float
    limit: float

    @property
    def acceptable(self) -> bool:
        """Whether the difference lies within the limit."""
        return self.difference <= self.limit


def two_laboratories(first: float, second: float, *, reproducibility_sd: float) -> Agreement:
    """Two results on one split sample: 95 times in 100 they differ by less than the limit.

    Parameters
    ----------
    first, second
        The two results [one unit].
    reproducibility_sd
        Spread between laboratories [the same unit].
    """
    limit = critical_difference(reproducibility_sd, multiplier(_CONFIDENCE))
    return Agreement(abs(first - second), float(limit))


def _limit(name: str) -> Fraction:
    return exact(load_toml("value_limits")[f"weed_free_{name}"]["value"])


def entry_points(acres: Number) -> int:
    """Least number of places a weed-free inspector enters a field [acre], North Dakota."""
    field = positive("acres", acres)
    return max(int(_limit("least_entries")), ceil(field / _limit("acres_per_entry")))


def inspection_fee(acres: Number) -> Fraction:
    """Fee of a weed-free inspection [acre], $, Montana."""
    field = positive("acres", acres)
    if field <= _limit("least_fee") / _limit("fee_per_acre"):
        return _limit("least_fee")
    return _limit("fee_per_acre") * field
