"""Molar masses from the IUPAC standard atomic weights, typed once in ``atomic_masses.toml``."""

from __future__ import annotations

import re
import tomllib
from functools import lru_cache
from importlib.resources import files

from haywright.measure.errors import Refused

SOURCE = "iupac-2021"
_PART = re.compile(r"([A-Z][a-z]?)(\d*)")


@lru_cache(maxsize=1)
def atomic_masses() -> dict[str, float]:
    """Element symbol -> standard atomic weight [g/mol]."""
    text = files(__package__).joinpath("atomic_masses.toml").read_text("utf-8")
    return {symbol: float(mass) for symbol, mass in tomllib.loads(text).items()}


def molar_mass(formula: str) -> float:
    """Molar mass [g/mol] of a formula written without brackets, e.g. "C10H16N2O8"."""
    parts = _PART.findall(formula)
    written = "".join(symbol + count for symbol, count in parts)
    if not parts or written != formula or any(s not in atomic_masses() for s, _ in parts):
        raise Refused("formula", formula, ", ".join(atomic_masses()), key="measure.formula")
    return sum(atomic_masses()[symbol] * int(count or 1) for symbol, count in parts)


def mass_share(element: str, formula: str) -> float:
    """Share of the mass of a compound that is one element [fraction]."""
    count = sum(int(n or 1) for symbol, n in _PART.findall(formula) if symbol == element)
    return count * atomic_masses()[element] / molar_mass(formula)
