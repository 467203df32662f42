"""A list in which something is looked for, found without reading the whole of it.

What is looked for is either common, and then stands among the newest rows, or rare, and then an
index leads to the few there are.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from django.db.models import QuerySet

NEAR = 1000  # rows that are read one by one before an index is asked


@dataclass(frozen=True)
class Sought:
    """Rows, and what is looked for in them.

    Parameters
    ----------
    rows
        The list.
    said
        The condition on a row; ``None`` where nothing is looked for.
    ways
        Conditions, each led by an index, that together find the same rows.
    rare
        Whether what is looked for is of a few rows for certain.
    """

    rows: QuerySet[Any]
    said: Any = None
    ways: tuple[Any, ...] = ()
    rare: bool = False

    def filter(self, **asked: Any) -> Sought:
        """Fewer rows, looked through for the same."""
        return replace(self, rows=self.rows.filter(**asked))

    def first(self, order: str, n: int) -> list[Any]:
        """The first rows found, in an order of keys."""
        rows = self.rows.order_by(order)
        if self.said is None:
            return list(rows[:n])
        if not self.rare:
            near = rows.values("pk")[:NEAR]
            held = list(rows.filter(self.said, pk__in=near)[:n])
            if len(held) == n:
                return held
        keys = {
            key for way in self.ways for key in rows.filter(way).values_list("pk", flat=True)[:n]
        }
        return list(rows.filter(pk__in=keys)[:n])
