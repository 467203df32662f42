"""Whether a method performs: repeated results of a material of known content."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import mean, stdev

from haywright.bench.control import recovery
from haywright.measure.errors import Refused


@dataclass(frozen=True, slots=True)
class Performance:
    """Mean and SD of repeated results, what was recovered [%], and whether both are within."""

    mean: float
    sd: float
    recovery: float
    passes: bool


def performance(values: Sequence[float], known: float, *, limit: float) -> Performance:
    """Judge repeated results: the mean within the limit of what is known, the SD within it too.

    The form recalled of AOAC 990.03 for nitrogen by combustion.

    Parameters
    ----------
    values
        Results [one unit].
    known
        Content of the material [same unit].
    limit
        Most that the mean may be off, and most that the SD may be [same unit].

    Raises
    ------
    Refused
        Fewer than two results.
    """
    if len(values) < 2:
        raise Refused("results", len(values), "2", key="bench.fit.too_few")
    found, sd = mean(values), stdev(values)
    within = abs(found - known) <= limit and sd <= limit
    return Performance(found, sd, float(recovery(found, known)), within)
