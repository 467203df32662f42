"""Units: exact factors from one file, and conversion of numbers and arrays.

Inside, everything is in canonical units: kg, m, day, degC, Mcal, % of dry matter for major
constituents, mg/kg of dry matter for trace elements and nitrate. Text is parsed in
:mod:`haywright.measure.parse`, the only module that wakes the Pint library.
"""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files
from typing import Any, TypeVar

from haywright.measure.errors import Refused, UnknownName

T = TypeVar("T", bound=Any)

_FREEZING_F, _F_PER_C = 32.0, 1.8
TEMPERATURES = ("degC", "degF")
BARE_TONS = ("ton", "tons")


@lru_cache(maxsize=1)
def definitions() -> dict[str, Any]:
    """The units file as read: a table per kind of quantity, and the words people write."""
    return tomllib.loads(files(__package__).joinpath("definitions.toml").read_text("utf-8"))


@lru_cache(maxsize=1)
def _factors() -> dict[str, tuple[str, float]]:
    return {
        name: (kind, float(factor))
        for kind, table in definitions().items()
        if kind != "words"
        for name, factor in table.items()
        if name != "canonical"
    }


def names() -> list[str]:
    """Every unit name that :func:`convert` knows."""
    return sorted({*_factors(), *TEMPERATURES})


def canonical_name(unit: str) -> str:
    """The name of a unit as used inside, from a name or a word people write.

    A bare "ton" is refused: it may be 2,000 lb, 2,240 lb or 1,000 kg.
    """
    text = unit.strip()
    if text.lower() in BARE_TONS:
        raise Refused("unit", unit, key="measure.bare_ton")
    words = definitions()["words"]
    return str(words.get(text, words.get(text.lower(), text)))


@lru_cache(maxsize=512)
def _resolve(unit: str) -> tuple[tuple[tuple[str, int], ...], float]:
    """Dimension (kind, power) and factor to canonical of a simple or compound unit."""
    powers: dict[str, int] = {}
    factor = 1.0
    for position, part in enumerate(unit.split("/")):
        name = canonical_name(part)
        if name not in _factors():
            raise UnknownName("unit", unit, names())
        kind, one = _factors()[name]
        sign = 1 if position == 0 else -1
        powers[kind] = powers.get(kind, 0) + sign
        factor *= one**sign
    if powers.get("ratio") == 1 and len(powers) == 1:
        powers, factor = {}, factor / 100.0
    return tuple(sorted((k, p) for k, p in powers.items() if p)), factor


def dimension(unit: str) -> tuple[tuple[str, int], ...]:
    """What a unit measures, as (kind, power) pairs; an empty tuple for a pure ratio."""
    name = canonical_name(unit)
    return (("temperature", 1),) if name in TEMPERATURES else _resolve(unit)[0]


def convert(value: T, from_unit: str, to_unit: str) -> T:
    """Convert a number or an array from one unit to another.

    Parameters
    ----------
    value
        Number or array [``from_unit``].
    from_unit, to_unit
        Simple ("lb") or compound ("lb/ft3", "Mcal/lb") unit names; "%", "ppm" and "mg/kg" are
        ratios and turn into one another.

    Raises
    ------
    Refused
        Unknown unit, a bare ton, or two units that do not measure the same thing.
    """
    if from_unit == to_unit:
        return value
    start, end = canonical_name(from_unit), canonical_name(to_unit)
    if start in TEMPERATURES or end in TEMPERATURES:
        return _convert_temperature(value, start, end)
    from_dimension, from_factor = _resolve(from_unit)
    to_dimension, to_factor = _resolve(to_unit)
    if from_dimension != to_dimension:
        raise Refused("unit", from_unit, to_unit, key="measure.wrong_dimension")
    return value * (from_factor / to_factor)  # type: ignore[no-any-return]


def _convert_temperature(value: T, start: str, end: str) -> T:
    if start == end:
        return value
    if (start, end) == ("degF", "degC"):
        return (value - _FREEZING_F) / _F_PER_C  # type: ignore[no-any-return]
    if (start, end) == ("degC", "degF"):
        return value * _F_PER_C + _FREEZING_F  # type: ignore[no-any-return]
    raise Refused("unit", start, end, key="measure.wrong_dimension")
