"""Which bales: by keys anyone can work again, in strata, walked in an order that spares steps.

The key of a bale is the SHA-256 of the text "SEED:NUMBER" in UTF-8, e.g. "lot 31:17"; the bales
with the smallest keys, read as hexadecimal, are picked. The same seed gives the same bales in any
language and in any year.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import TypeVar

from haywright.measure.errors import Refused

Key = TypeVar("Key")
# Where a probe can be put from the side of a round bale: 1 near the top, 5 near the ground.
CLOCK = (1, 2, 3, 4, 5)


def bale_key(seed: str, bale: int | str, about: str = "") -> str:
    """Key of a bale, or of a bag by its code: 64 hexadecimal digits.

    ``about`` sets apart another draw from the same seed, such as where on the bale.
    """
    text = f"{seed}:{bale}" + (f":{about}" if about else "")
    return hashlib.sha256(text.encode()).hexdigest()


def draw(seed: str, bales: Iterable[int], n: int) -> tuple[int, ...]:
    """Simple random sample without putting back: the n smallest keys, in order of number."""
    among = sorted(set(bales))
    if not 0 <= n <= len(among):
        raise Refused("bales", n, key="stack.more_than_lot", bales=len(among))
    return tuple(sorted(sorted(among, key=lambda b: bale_key(seed, b))[:n]))


def clock(seed: str, bale: int) -> int:
    """Hour of the clock at which to core a round bale from its side, by chance."""
    return CLOCK[int(bale_key(seed, bale, "clock"), 16) % len(CLOCK)]


def systematic(lot_bales: int, n: int, u: float) -> tuple[int, ...]:
    """Every N/n-th bale from a random start: floor((i + u) N/n) + 1.

    Where N/n is the length of a row or a tier, the same place of each row is picked: reorder, or
    draw at random.

    Parameters
    ----------
    lot_bales, n
        N and n [counts].
    u
        Random start, from 0 up to and without 1 [fraction].
    """
    if not 1 <= n <= lot_bales:
        raise Refused("bales", n, key="stack.more_than_lot", bales=lot_bales)
    if not 0 <= u < 1:
        raise Refused("random start", u, key="stack.random_start")
    start = Fraction(u)
    return tuple(math.floor((i + start) * lot_bales / n) + 1 for i in range(n))


def random_start(seed: str) -> float:
    """The start of a systematic sample that goes with a seed, 0 up to 1 [fraction]."""
    return int(bale_key(seed, 0, "start")[:13], 16) / 16**13


def allocate(sizes: Sequence[int], n: int) -> tuple[int, ...]:
    """Cores over strata in proportion, whole by largest remainder, at least one to each.

    Ties go to the first; no stratum gets more than it holds.
    """
    total = sum(sizes)
    if any(size < 0 for size in sizes) or total == 0:
        raise Refused("strata", str(list(sizes)), key="stack.strata")
    if not 0 <= n <= total:
        raise Refused("bales", n, key="stack.more_than_lot", bales=total)
    exact = [Fraction(n * size, total) for size in sizes]
    given = [math.floor(one) for one in exact]
    by_remainder = sorted(range(len(sizes)), key=lambda i: (given[i] - exact[i], i))
    for i in by_remainder[: n - sum(given)]:
        given[i] += 1
    filled = [i for i, size in enumerate(sizes) if size > 0]
    if n >= len(filled):
        for i in filled:
            if given[i] == 0:
                richest = max(filled, key=lambda j: (given[j] - float(exact[j]), given[j]))
                richest = richest if given[richest] > 1 else max(filled, key=lambda j: given[j])
                given[richest] -= 1
                given[i] = 1
    return tuple(given)


def draw_in_strata(
    seed: str, strata: Mapping[Key, Sequence[int]], n: int
) -> dict[Key, tuple[int, ...]]:
    """A sample in each stratum, sizes by :func:`allocate`."""
    names = list(strata)
    shares = allocate([len(strata[name]) for name in names], n)
    return {name: draw(seed, strata[name], k) for name, k in zip(names, shares, strict=True)}
