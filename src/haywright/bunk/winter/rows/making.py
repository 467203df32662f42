"""A winter’s program while it is made: blocks of rows that remember what they mean."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from numpy.typing import ArrayLike

from haywright.bunk.ration.feed import RationFeed
from haywright.bunk.ration.program import Build, Floats, Ints
from haywright.bunk.winter.arrays import HerdArrays, every_feed
from haywright.bunk.winter.columns import Checks, HerdColumns, Short
from haywright.bunk.winter.question import Herd, WinterQuestion


@dataclass
class Making:
    """A program while it is made."""

    q: WinterQuestion
    short: Short | None
    selling: bool
    checks: Checks = field(default_factory=Checks)
    build: Build = field(default_factory=Build)
    rows: list[tuple[str, str, int, int]] = field(default_factory=list)

    def block(self, kind: str, name: str, n: int, **bounds: Any) -> Ints:
        """Rows of a kind, so that their meaning is known later."""
        found = self.build.rows(n, **bounds)
        self.rows.append((kind, name, int(found[0]), n))
        return found


@dataclass(frozen=True, slots=True)
class One:
    """One herd while its rows are made."""

    making: Making
    herd: Herd
    held: HerdArrays
    columns: HerdColumns

    @property
    def weeks(self) -> int:
        """How many."""
        return self.making.q.weeks

    @property
    def feeds(self) -> tuple[RationFeed, ...]:
        """Lots first, then feeds to buy."""
        return every_feed(self.making.q)

    def block(self, kind: str, n: int, **bounds: Any) -> Ints:
        """Rows of a kind of this herd."""
        return self.making.block(kind, self.herd.name, n, **bounds)

    def add(self, rows: ArrayLike, columns: ArrayLike, values: ArrayLike) -> None:
        """Entries of rows [count] and columns [count], broadcast; values [as the row]."""
        self.making.build.add(rows, columns, values)

    def at_least(self, kind: str, need: Floats) -> Ints:
        """Rows of a need of so much a head and week; head sold at the start lower it."""
        rows = self.block(kind, len(need), lower=self.held.head * need)
        self.add(rows, self.columns.head_sold, need)
        return rows

    def of_feeds(self, rows: Ints, values: Floats) -> None:
        """Entries of what is eaten, by week and feed."""
        self.add(rows[:, None], self.columns.eaten, values)
