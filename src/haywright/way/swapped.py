"""Two bags whose results would each fit the other's lot better: a question, never an answer.

What is expected of a bag is what other bags of its lot gave, else what is usual for its crop.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

from haywright.bench.swaps import LEAST_TESTS, Expected, Side, odd_together
from haywright.measure.result import Results
from haywright.sheet.usual import usual_hay
from haywright.stack.lot import Lot
from haywright.stack.spread import library_row


@dataclass(frozen=True)
class BagFound:
    """One bag of a lot with its results.

    Parameters
    ----------
    lot
        The lot its label names.
    results
        What the laboratory found.
    others
        Results of the other bags of that lot.
    """

    lot: Lot
    results: Results
    others: Sequence[Results] = ()

    def side(self) -> Side:
        """What was found and what is expected, by quantity."""
        return {one.analyte: one for one in self.results.values() if one.settled}, expected(self)


def expected(one: BagFound) -> dict[str, Expected]:
    """What to expect of a bag by quantity [unit of the quantity], where a spread is known."""
    usual = usual_hay(one.results, one.lot.crop)
    found = {name: Expected(row.mean, row.sd) for name, row in usual.items()}
    for name in {name for held in one.others for name in held}:
        values = [held[name].value for held in one.others if name in held and held[name].settled]
        sd = _sd(name, found)
        if values and sd is not None:
            found[name] = Expected(fmean(values), sd)
    return found


def _sd(name: str, usual: dict[str, Expected]) -> float | None:
    """Spread within a lot where the library has one, else that of the crop [unit of quantity]."""
    row = library_row(name)
    if row is not None and not row.relative and row.spread.between > 0:
        return row.spread.between
    return usual[name].sd if name in usual else None


def exchanged(one: BagFound, other: BagFound) -> tuple[str, ...]:
    """Quantities in which two bags would each fit the other's lot better; too few is none.

    Parameters
    ----------
    one, other
        Bags of two lots.
    """
    names = tuple(odd_together(one.side(), other.side()))
    return names if len(names) >= LEAST_TESTS else ()
