"""What a printed square code holds: modules and characters by version and level (ISO/IEC 18004)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from haywright.measure.errors import Refused
from haywright.sources.tables import load_csv

Level = Literal["L", "M", "Q", "H"]
LEVELS: tuple[Level, ...] = ("L", "M", "Q", "H")
VERSIONS = range(1, 41)
_MODE_BITS = 4
# Width of the count of characters, for versions up to 9, up to 26 and up to 40.
_COUNT_BITS = {"numeric": (10, 12, 14), "alphanumeric": (9, 11, 13), "byte": (8, 16, 16)}


@dataclass(frozen=True, slots=True)
class Capacity:
    """One version and level: modules to a side, and most characters in each mode."""

    modules: int
    numeric: int
    alphanumeric: int
    byte: int


def capacity(version: int, level: Level) -> Capacity:
    """What a code of a version (1 to 40) and an error level (L, M, Q, H) holds."""
    if version not in VERSIONS:
        raise Refused("version", version, f"{VERSIONS[0]}-{VERSIONS[-1]}")
    if level not in LEVELS:
        raise Refused("level", level, ", ".join(LEVELS))
    bits = 8 * int(load_csv("qr_codewords")[version - 1][level]) - _MODE_BITS
    band = 0 if version < 10 else 1 if version < 27 else 2
    left = {mode: bits - widths[band] for mode, widths in _COUNT_BITS.items()}
    return Capacity(
        modules=17 + 4 * version,
        numeric=_packed(left["numeric"], 3, {0: 0, 1: 4, 2: 7}, 10),
        alphanumeric=_packed(left["alphanumeric"], 2, {0: 0, 1: 6}, 11),
        byte=left["byte"] // 8,
    )


def _packed(bits: int, group: int, odd: dict[int, int], group_bits: int) -> int:
    """Characters that fit when ``group`` of them share ``group_bits`` and fewer take ``odd``."""
    whole, rest = divmod(bits, group_bits)
    return group * whole + max(count for count, needed in odd.items() if needed <= rest)


def smallest_version(characters: int, level: Level) -> int:
    """The smallest version whose alphanumeric mode holds a number of characters."""
    for version in VERSIONS:
        if capacity(version, level).alphanumeric >= characters:
            return version
    most = capacity(VERSIONS[-1], level).alphanumeric
    raise Refused("characters", characters, str(most), key="gate.seal.too_long")
