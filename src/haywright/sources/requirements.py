"""Printed requirements: rows of the tables of beef cattle and of other species."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from haywright.sources.tables import load_csv

_WORDS = {"class", "stage", "species", "note", "source", "kind"}


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a requirement table.

    Parameters
    ----------
    group
        Class of stock: "mature cow", "ewe" and so on.
    stage
        Stage as printed.
    values
        Column name (with its unit in the name) -> (low, high); both the same for one number.
    source
        Bibliography key.
    kind
        published, from memory or computed.
    species
        cattle, sheep, goat, horse or dairy cow.
    note
        What to mind.
    """

    group: str
    stage: str
    source: str
    kind: str
    species: str = "cattle"
    values: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    note: str = ""

    @property
    def recalled(self) -> bool:
        """Whether the row is recalled and must be shown with its mark."""
        return self.kind == "from memory"

    def low(self, column: str) -> float:
        """The number of a column, the lower end of a range [as the column names it]."""
        return self.values[column][0]

    def high(self, column: str) -> float:
        """The number of a column, the upper end of a range [as the column names it]."""
        return self.values[column][1]

    def has(self, *columns: str) -> bool:
        """Whether all columns are filled."""
        return all(one in self.values for one in columns)


def _numbers(row: Mapping[str, str]) -> dict[str, tuple[float, float]]:
    found = {}
    for column, text in row.items():
        if column in _WORDS or not text:
            continue
        low, dash, high = text.lstrip("-").partition("-")
        sign = -1.0 if text.startswith("-") else 1.0
        found[column] = (sign * float(low), float(high) if dash else sign * float(low))
    return found


def _row(row: Mapping[str, str]) -> Row:
    return Row(
        group=row["class"],
        stage=row["stage"],
        source=row["source"],
        kind=row["kind"],
        species=row.get("species", "cattle"),
        values=_numbers(row),
        note=row["note"],
    )


@lru_cache(maxsize=1)
def beef_rows() -> tuple[Row, ...]:
    """Every row of the beef cattle table."""
    return tuple(_row(row) for row in load_csv("beef_requirements"))


@lru_cache(maxsize=1)
def other_rows() -> tuple[Row, ...]:
    """Every row of the table of sheep, goats, horses and dairy cows."""
    return tuple(_row(row) for row in load_csv("other_species_requirements"))
