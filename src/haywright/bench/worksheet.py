"""The order of a run: which portion stands where, and which controls around and among them.

The places of the bags are drawn by keys anyone can work again: the key of a portion is the SHA-256
of the text "SEED:CODE:PORTION" in UTF-8, e.g. "2026-09-22-nitrate:HRN-0012-38:1", and the portions
stand in the order of their keys, read as hexadecimal. The same seed gives the same run in any
language and in any year.

A batch of at most twenty bags takes a method blank, a check sample and a duplicate; continuing
checks stand after the calibration, after every tenth sample and at the end (US EPA method 353.2).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from haywright.bench.batch import Position, PositionKind
from haywright.bench.pattern import Method
from haywright.measure.errors import Refused, UnknownName
from haywright.stack.choosing import bale_key

_K = PositionKind
# Most samples between two continuing checks: epa-353-2.
EVERY = 10
_OPENING = (
    _K.BLANK,
    _K.FORTIFIED_BLANK,
    _K.STANDARD,
    _K.NITRITE_STANDARD,
    _K.INTERFERENCE,
)


class Arrangement(StrEnum):
    """Rule by which the portions of the bags are put in order.

    ``COMPLETE`` is complete randomisation; ``WITHIN_TRAYS`` keeps each tray together and
    randomises the places in it, which are randomised blocks where a tray is a round of all bags;
    ``AS_GIVEN`` changes nothing.
    """

    COMPLETE = "complete"
    WITHIN_TRAYS = "within_trays"
    AS_GIVEN = "as_given"


@dataclass(frozen=True, slots=True)
class Asked:
    """What a run order is asked for.

    Parameters
    ----------
    by
        Rule for the places of the bags.
    seed
        Text the places, duplicates and spikes are drawn with.
    replicates
        Portions of every bag [count].
    counts
        Kind -> how many stand in the run, where it is to be more than the method asks for.
    every
        Most samples between two continuing checks [count].
    tray
        Places in a tray [count]; as many as bags when 0.
    """

    by: Arrangement = Arrangement.COMPLETE
    seed: str = ""
    replicates: int = 1
    counts: Mapping[PositionKind, int] = field(default_factory=dict)
    every: int = EVERY
    tray: int = 0

    def __post_init__(self) -> None:
        for name, value in (("replicates", self.replicates), ("every", self.every)):
            if value < 1:
                raise Refused(name, value, key="bench_paper.worksheet.count")
        if self.tray < 0:
            raise Refused("tray", self.tray, key="bench_paper.worksheet.count")


@dataclass(frozen=True, slots=True)
class RunOrder:
    """The places of a run with nothing read yet, and how they were put in order."""

    positions: tuple[Position, ...]
    asked: Asked


def run_order(method: Method, bags: Iterable[str], asked: Asked | None = None) -> RunOrder:
    """Put a run in order.

    Parameters
    ----------
    method
        Its method, which says which controls belong in the run.
    bags
        Codes of the bags.
    asked
        What is asked for; the usual when ``None``.

    Raises
    ------
    Refused, UnknownName
        A bag twice, fewer controls than the method asks for, a kind it does not know, more
        duplicates or spikes than bags.
    """
    what = asked or Asked()
    codes = tuple(bags)
    for code in codes:
        if codes.count(code) > 1:
            raise Refused("bag", code, key="bench_paper.worksheet.bag_twice")
    counts = _counts(method, what, len(codes))
    samples = _with_checks(_arranged(_portions(codes, counts, what), what, len(codes)), counts)
    places = [*_opening(counts), *_bracketed(samples, counts, what.every)]
    positions = tuple(
        Position(order, kind, sample, {}, replicate=replicate)
        for order, (kind, sample, replicate) in enumerate(places, 1)
    )
    return RunOrder(positions, what)


Place = tuple[PositionKind, str, int]


def kinds_of(method: Method) -> tuple[PositionKind, ...]:
    """Kinds of control that can be asked for; how many continuing checks, ``every`` says."""
    read = {kind for column in method.columns for kind in (*column.kinds, *column.may)}
    known = read | set(method.make_up) | {_K.DUPLICATE}
    if not any(column.name.startswith("spike_") for column in method.columns):
        known -= {_K.SPIKE}
    return tuple(kind for kind in PositionKind if kind in known - {_K.BAG, _K.VERIFICATION})


def _counts(method: Method, asked: Asked, bags: int) -> dict[PositionKind, int]:
    """How many of each control; those that the method asks for are the least."""
    known = kinds_of(method)
    counts = dict(method.make_up)
    if asked.replicates > 1 or not bags:
        counts[_K.DUPLICATE] = 0
    for kind, count in asked.counts.items():
        if kind not in known:
            raise UnknownName("control", kind.value, [one.value for one in known])
        least = method.make_up.get(kind, 0) if kind is not _K.DUPLICATE else 0
        if count < least:
            raise Refused(kind.value, count, str(least), key="bench_paper.worksheet.few")
        counts[kind] = count
    for kind in (_K.DUPLICATE, _K.SPIKE):
        if counts.get(kind, 0) > bags:
            raise Refused(kind.value, counts[kind], str(bags), key="bench_paper.worksheet.many")
    return counts


def _portions(
    codes: Sequence[str], counts: Mapping[PositionKind, int], asked: Asked
) -> list[Place]:
    """Round after round of the bags, then the bags drawn to be run once more, then the spikes."""
    out: list[Place] = []
    for replicate in range(1, asked.replicates + 1):
        kind = _K.BAG if replicate == 1 else _K.DUPLICATE
        out += [(kind, code, replicate) for code in codes]
    again = _drawn(codes, counts.get(_K.DUPLICATE, 0), asked, "duplicate")
    out += [(_K.DUPLICATE, code, asked.replicates + 1) for code in again]
    spiked = _drawn(codes, counts.get(_K.SPIKE, 0), asked, "spike")
    return out + [(_K.SPIKE, code, 1) for code in spiked]


def _drawn(codes: Sequence[str], n: int, asked: Asked, about: str) -> list[str]:
    """Bags drawn by seed; the first ones where nothing is drawn by chance."""
    if asked.by is Arrangement.AS_GIVEN:
        return list(codes[:n])
    return sorted(codes, key=lambda code: bale_key(asked.seed, code, about))[:n]


def _arranged(portions: Sequence[Place], asked: Asked, bags: int) -> list[Place]:
    if asked.by is Arrangement.AS_GIVEN:
        return list(portions)
    size = len(portions) if asked.by is Arrangement.COMPLETE else asked.tray or bags
    out: list[Place] = []
    for start in range(0, len(portions), max(size, 1)):
        tray = portions[start : start + size]
        out += sorted(tray, key=lambda place: _key(asked.seed, place))
    return out


def _key(seed: str, place: Place) -> str:
    """Key of a portion; a spike is told from the bag's own portion."""
    kind, code, replicate = place
    return bale_key(seed, code, f"spike {replicate}" if kind is _K.SPIKE else str(replicate))


def _with_checks(portions: Sequence[Place], counts: Mapping[PositionKind, int]) -> list[Place]:
    """The check samples among the portions: one ahead of them, further ones spread to the end."""
    checks = counts.get(_K.CHECK, 0)
    before: dict[int, list[Place]] = {}
    for n in range(checks):
        at = 0 if checks == 1 else round(n * len(portions) / (checks - 1))
        before.setdefault(at, []).append((_K.CHECK, "check 1", n + 1))
    out: list[Place] = []
    for at in range(len(portions) + 1):
        out += [*before.get(at, []), *portions[at : at + 1]]
    return out


def _opening(counts: Mapping[PositionKind, int]) -> Iterator[Place]:
    for kind in _OPENING:
        name = kind.value.replace("_", " ")
        yield from ((kind, f"{name} {n}", 1) for n in range(1, counts.get(kind, 0) + 1))


def _bracketed(
    samples: Sequence[Place], counts: Mapping[PositionKind, int], every: int
) -> Iterator[Place]:
    """The samples with a continuing check ahead, after at most so many, and at the end.

    A method whose calibration serves as the first check has none ahead, but one at the end.
    """
    asked = counts.get(_K.VERIFICATION, 0)
    if not asked:
        yield from samples
        return
    groups = [list(samples[at : at + every]) for at in range(0, len(samples), every)]
    if asked > 1:
        groups.insert(0, [])
    for number, group in enumerate(groups, 1):
        yield from group
        yield _K.VERIFICATION, f"{_K.VERIFICATION.value} {number}", 1
