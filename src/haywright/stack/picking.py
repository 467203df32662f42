"""From a lot to the bales to core: bags, draws and the walk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Literal

from haywright.stack.choosing import allocate, clock, draw, draw_in_strata, random_start, systematic
from haywright.stack.lot import Lot, Place

Method = Literal["random", "every-nth"]
METHODS: tuple[Method, ...] = ("random", "every-nth")
Stratum = Literal["face", "tier", "none"]
STRATA: tuple[Stratum, ...] = ("face", "tier", "none")
BAGS_MOST = 4
BAGS_UNKNOWN = 2
ONE_BAG_UP_TO = 20


@dataclass(frozen=True, slots=True)
class Group:
    """Bales that go into one bag: the field part they came from, "" where it has no name."""

    part: str
    bales: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Pick:
    """One bale to core.

    Parameters
    ----------
    walk
        Its place in the walk, from 1.
    bale
        Its number.
    face, column, tier, left
        Where it lies; see :class:`haywright.stack.lot.Place`.
    bag
        Number of the bag its core goes into, from 1.
    part
        Field part, "" when unknown.
    clock
        Hour of the clock at which to core it, for a round bale kept outdoors, else ``None``.
    """

    walk: int
    bale: int
    face: str
    column: int
    tier: int
    left: float
    bag: int
    part: str
    clock: int | None = None

    def to_json(self) -> dict[str, Any]:
        """Plain values."""
        return {
            "walk": self.walk,
            "bale": self.bale,
            "face": self.face,
            "column": self.column + 1,
            "tier": self.tier + 1,
            "bag": self.bag,
            "part": self.part,
            "clock": self.clock,
        }


def bag_groups(lot: Lot, *, apart: bool, bags: int | None = None) -> list[Group]:
    """The groups of bales that are bagged apart.

    Parameters
    ----------
    lot
        The lot.
    apart
        Whether field parts are bagged apart, as for nitrate.
    bags
        Number of bags asked for [count]; by field part, else halves in the order of the numbers,
        when not given.
    """
    every = tuple(range(1, (lot.bales or 0) + 1))
    if bags == 1 or (bags is None and (not apart or len(every) <= ONE_BAG_UP_TO)):
        return [Group("", every)]
    parts = _parts(lot, every)
    if len(parts) > 1 and (bags is None or bags >= len(parts)):
        return _merged(parts, min(bags or BAGS_MOST, BAGS_MOST))
    return _runs(every, bags or BAGS_UNKNOWN)


def parts_known(lot: Lot) -> bool:
    """Whether at least two field parts, with their bales, are known."""
    return len(_parts(lot, tuple(range(1, (lot.bales or 0) + 1)))) > 1


def _parts(lot: Lot, every: Sequence[int]) -> list[Group]:
    named = [Group(part.name, tuple(sorted(part.bales))) for part in lot.field_parts if part.bales]
    if not named:
        return []
    rest = tuple(sorted(set(every) - {bale for one in named for bale in one.bales}))
    return [*named, Group("", rest)] if rest else named


def _merged(parts: list[Group], most: int) -> list[Group]:
    """Neighbouring parts put together, the smallest pair first, until few enough."""
    found = list(parts)
    while len(found) > most:
        sizes = [len(a.bales) + len(b.bales) for a, b in pairwise(found)]
        at = sizes.index(min(sizes))
        one, other = found[at], found[at + 1]
        name = " + ".join(part for part in (one.part, other.part) if part)
        found[at : at + 2] = [Group(name, tuple(sorted(one.bales + other.bales)))]
    return found


def _runs(every: Sequence[int], n: int) -> list[Group]:
    sizes = [len(every) // n + (1 if i < len(every) % n else 0) for i in range(n)]
    found, at = [], 0
    for size in sizes:
        found.append(Group("", tuple(every[at : at + size])))
        at += size
    return [one for one in found if one.bales]


def shares_of(groups: Sequence[Group], reachable: frozenset[int], n: int, least: int) -> list[int]:
    """Bales to core from each group, in proportion, each at least ``least`` if it has them."""
    sizes = [len(reachable & set(group.bales)) for group in groups]
    given = allocate(sizes, min(n, sum(sizes)))
    return [max(k, min(least, size)) for k, size in zip(given, sizes, strict=True)]


def pick(
    lot: Lot,
    groups: Sequence[Group],
    shares: Sequence[int],
    *,
    seed: str,
    method: Method = "random",
    by: Stratum = "face",
) -> list[Pick]:
    """Draw the bales and put them in walking order.

    Parameters
    ----------
    lot, groups, shares
        The lot, its bags, and how many bales each bag takes.
    seed
        Text of the draw.
    method
        random (smallest keys), or every-nth from a random start.
    by
        Within a bag: spread over faces, over tiers, or not.
    """
    places = {place.bale: place for place in lot.stack()}
    reachable = frozenset(places) - lot.out_of_reach()
    picked: list[Pick] = []
    for number, (group, share) in enumerate(zip(groups, shares, strict=True), 1):
        among = sorted(reachable & set(group.bales))
        drawn = _drawn(among, places, share, seed, method, by)
        picked += [_pick(places[bale], number, group.part, lot, seed) for bale in drawn]
    names = list(dict.fromkeys(place.face for place in lot.stack()))
    picked.sort(key=lambda one: (names.index(one.face), one.left, one.tier))
    return [replace(one, walk=order) for order, one in enumerate(picked, 1)]


def _pick(place: Place, bag: int, part: str, lot: Lot, seed: str) -> Pick:
    package = None if lot.packages is None else lot.packages.package
    outdoors = lot.kept is not None and lot.kept.group == "outdoors" and lot.form != "baleage"
    turned = clock(seed, place.bale) if package is not None and package.round and outdoors else None
    return Pick(0, place.bale, place.face, place.column, place.tier, place.left, bag, part, turned)


def _drawn(
    among: Sequence[int],
    places: Mapping[int, Place],
    n: int,
    seed: str,
    method: Method,
    by: Stratum,
) -> tuple[int, ...]:
    if n == 0:
        return ()
    if method == "every-nth":
        return tuple(among[i - 1] for i in systematic(len(among), n, random_start(seed)))
    if by == "none":
        return draw(seed, among, n)
    strata: dict[str | int, list[int]] = {}
    for bale in among:
        place = places[bale]
        strata.setdefault(place.face if by == "face" else place.tier, []).append(bale)
    drawn = draw_in_strata(seed, strata, n)
    return tuple(bale for bales in drawn.values() for bale in bales)
