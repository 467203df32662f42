"""Nitrate in the field: how long to wait after rain, and what the lowest stalk holds."""

from __future__ import annotations

from haywright.measure.errors import UnknownName
from haywright.sources.tables import load_toml


def waited_long_enough(days: float, method: str) -> bool:
    """Whether enough days have passed since a rain that ended a drought, by a named source.

    Parameters
    ----------
    days
        Since the rain [days].
    method
        Name of the source's rule.
    """
    waits = load_toml("nitrate_rules")["harvest_wait"]
    if method not in waits:
        raise UnknownName("method", method, waits)
    return bool(days >= waits[method]["days"])


def lowest_section(standard: float) -> tuple[float, float]:
    """Nitrate of the lowest corn stalk section from that of the standard section: least, most.

    Parameters
    ----------
    standard
        Standard section, 15 to 35 cm [mg/kg NO3-N of DM].
    """
    more = load_toml("nitrate_rules")["corn_stalk"]
    return standard * (1 + more["low"]), standard * (1 + more["high"])
