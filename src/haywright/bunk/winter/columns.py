"""Where the columns and rows of a winter's program are, and what falling short costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from haywright.bunk.ration.program import Floats, Ints, LinearProgram
from haywright.bunk.winter.arrays import HerdArrays
from haywright.bunk.winter.question import WinterQuestion


@dataclass(frozen=True, slots=True)
class Short:
    """What falling short costs; ``None`` in its place allows none but of minerals.

    Parameters
    ----------
    energy
        [money per Mcal, or per kg of TDN].
    protein
        [money per kg].
    hunger
        [money per head and day without feed].
    mineral
        Of calcium, phosphorus, magnesium or potassium to be given aside [money per kg]; ``None``
        takes the stated price, 0 leaves minerals out of the plan.
    """

    energy: float
    protein: float
    hunger: float
    mineral: float | None = None


@dataclass(frozen=True, slots=True)
class Checks:
    """What is known only once a plan has been looked through, and held in the next.

    Parameters
    ----------
    caps
        (Herd, lot) -> most of the ration by week [fraction], for a lot that is stepped up.
    sulfur
        Herd -> most sulfur of the diet by week [fraction], where little forage is fed.
    """

    caps: Mapping[tuple[str, str], Floats] = field(default_factory=dict)
    sulfur: Mapping[str, Floats] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class HerdColumns:
    """Where the columns of one herd are: T weeks, K feeds; ``None`` where it has no such."""

    eaten: Ints
    for_gain: Ints | None
    reserve: Ints | None
    gained: Ints | None
    lost: Ints | None
    short_energy: Ints
    short_gain: Ints
    short_protein: Ints
    hungry: Ints
    head_sold: Ints
    aside: Ints | None  # minerals to be given aside, (T, 4)


@dataclass(frozen=True, slots=True)
class Columns:
    """Where the columns are: I lots, T weeks."""

    herds: tuple[HerdColumns, ...]
    stock: Ints
    sold: Ints
    bought: Ints


@dataclass(frozen=True, slots=True)
class Model:
    """The program with the meaning of its rows and columns.

    Parameters
    ----------
    question
        What was asked.
    herds
        Arrays by herd.
    program
        The program.
    columns
        Where the columns are.
    rows
        (kind, herd or lot, first row, how many): "energy", "protein", "protein_share", "room" ...
    checks
        What an earlier look asked to be held.
    short, selling
        What falling short costs, and whether hay and head may be sold.
    """

    question: WinterQuestion
    herds: tuple[HerdArrays, ...]
    program: LinearProgram
    columns: Columns
    rows: tuple[tuple[str, str, int, int], ...]
    checks: Checks = field(default_factory=Checks)
    short: Short | None = None
    selling: bool = True

    def row_block(self, kind: str, name: str) -> Ints:
        """Numbers of the rows of a kind, by week."""
        for one, whose, first, n in self.rows:
            if (one, whose) == (kind, name):
                return np.arange(first, first + n, dtype=np.int32)
        return np.empty(0, dtype=np.int32)

    def meaning(self, row: int) -> tuple[str, str, int]:
        """Kind, herd or lot, and week of a row."""
        for kind, name, first, n in self.rows:
            if first <= row < first + n:
                return kind, name, row - first
        raise IndexError(row)
