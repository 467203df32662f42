"""Where the columns of an instrument's table stand: its header row, found by names or given."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from haywright.files.cells import same_unit, unit_known
from haywright.files.columns import ColumnsForm, ColumnUse
from haywright.files.grid import Grid, Row
from haywright.measure.errors import HaywrightError, Problems, Refused

_ROWS_LOOKED_AT = 1000
_UNIT = re.compile(r"(.*?)\s*[\[(]\s*([^\])]+?)\s*[\])]\s*", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Header:
    """Where the columns of a table stand.

    Parameters
    ----------
    row
        Row of the headings, from 1; 0 where there is none.
    places
        What a column holds -> its place, from 0.
    headings
        Every heading from the left; none where there is no such row.
    """

    row: int
    places: Mapping[str, int]
    headings: tuple[str, ...] = ()

    def name(self, place: int) -> str:
        """The heading at a place, or its number from 1."""
        heading = self.headings[place] if place < len(self.headings) else ""
        return heading or str(place + 1)


def _same(text: str) -> str:
    return " ".join(text.split()).casefold()


def _bare(heading: str) -> tuple[str, str]:
    """A heading without the unit in brackets at its end, and that unit."""
    found = _UNIT.fullmatch(heading)
    return (found.group(1), found.group(2)) if found else (heading, "")


def header_of(grid: Grid, form: ColumnsForm, path: Path) -> Header:
    """The header of a table.

    Raises
    ------
    Refused, Problems
        No row has the headings (those missing in the nearest row are named with the names that
        are there), one stands twice, or a heading names another unit than the form.
    """
    if not form.has_header:
        return Header(0, {one.holds: one.at - 1 for one in form.columns})
    rows = [row for row in islice(grid.rows, _ROWS_LOOKED_AT) if row.number > form.skip_rows]
    if form.header_row:
        rows = [row for row in rows if row.number == form.header_row]
    if not rows:
        raise Refused(f"{path}: row", form.header_row or "", key="bench_tables.no_header")
    best = max(rows, key=lambda row: len(_found(row, form)[0]))
    places, missed = _found(best, form)
    headings = tuple(best.text(n) for n in range(len(best.cells)))
    header = Header(best.number, places, headings)
    problems = [*_placed(missed, path, best), *_other_units(header, form, path)]
    if problems:
        raise problems[0] if len(problems) == 1 else Problems(problems)
    return header


def _found(row: Row, form: ColumnsForm) -> tuple[dict[str, int], list[tuple[ColumnUse, int]]]:
    """What a row has of the headings, and those it does not have once, with how often."""
    cells = [_same(row.text(n)) for n in range(len(row.cells))]
    bare = [_same(_bare(row.text(n))[0]) for n in range(len(row.cells))]
    places: dict[str, int] = {}
    missed = []
    for use in form.columns:
        wanted = {_same(one) for one in use.headings}
        at = [use.at - 1] if use.at else [n for n, one in enumerate(cells) if one in wanted]
        at = at or [n for n, one in enumerate(bare) if one in wanted]
        if len(at) == 1:
            places[use.holds] = at[0]
        else:
            missed.append((use, len(at)))
    return places, missed


def _placed(missed: list[tuple[ColumnUse, int]], path: Path, row: Row) -> Iterator[HaywrightError]:
    names = tuple(row.text(n) for n in range(len(row.cells)) if row.text(n))
    for use, times in missed:
        key = "bench_tables.heading_twice" if times else "bench_tables.heading_missing"
        yield Refused(
            f"{path}: row {row.number}", " / ".join(use.headings), key=key,
            holds=use.holds, names=names,
        )  # fmt: skip


def _other_units(header: Header, form: ColumnsForm, path: Path) -> Iterator[HaywrightError]:
    """Headings that name another unit than the form does: mg among g."""
    for use in form.columns:
        place = header.places.get(use.holds, len(header.headings))
        if not use.is_reading or place >= len(header.headings):
            continue
        wanted, (_, written) = use.unit or use.reading_unit, _bare(header.headings[place])
        judged = unit_known(written) or not use.reading_unit
        if written and wanted and judged and not same_unit(written, wanted):
            yield Refused(
                f"{path}: row {header.row}, column {header.headings[place]}", written,
                key="bench_tables.heading_unit", unit=wanted, holds=use.holds,
            )  # fmt: skip
