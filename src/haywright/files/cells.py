"""One cell of an instrument's table becomes a reading, or is refused with its row and column."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from haywright.files.columns import ColumnUse
from haywright.files.grid import Formula, GridCell, Percent, shown
from haywright.measure.errors import Refused
from haywright.measure.units import canonical_name, convert, names

_NUMBER = re.compile(
    r"([+-]?(?:\d+(?:[.,]\d*)*|[.,]\d+)(?:[eE][+-]?\d{1,3})?)\s*([^\d\s.,].*)?", re.ASCII
)
_COMMA = re.compile(r"[+-]?\d*,\d*(?:[eE][+-]?\d{1,3})?", re.ASCII)
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:,\d{3})+", re.ASCII)
_MARKS = {"comma": ",", "point": "."}


def decimal_mark(texts: Iterable[str]) -> str:
    """Which decimal mark a table has: comma, point, or "" where it could be either.

    "1,234" alone may be thousands; one "0,31" among them settles it.
    """
    unclear = False
    for text in texts:
        number = _NUMBER.fullmatch(_plain(text))
        if number is None or "," not in number.group(1):
            continue
        if _COMMA.fullmatch(number.group(1)) and not _THOUSANDS.fullmatch(number.group(1)):
            return "comma"
        unclear = unclear or "." not in number.group(1)
    return "" if unclear else "point"


def _plain(text: str) -> str:
    """A text as numbers are written: with a plain minus, without what only sets it apart."""
    return text.strip().replace("\u2212", "-").replace("\u00a0", " ").lstrip("<").strip()


@dataclass(frozen=True, slots=True)
class CellReader:
    """Reads the cells of one column.

    Parameters
    ----------
    use
        What the column holds, and its unit.
    decimal
        comma, point, or "" where the table leaves it open.
    absent
        What stands where there is no reading.
    formula_values
        Whether what a formula last came to may be taken.
    """

    use: ColumnUse
    decimal: str
    absent: tuple[str, ...] = ()
    formula_values: bool = False

    def number(self, cell: GridCell, where: str) -> float | None:
        """The reading in its own unit; ``None`` where there is none.

        Raises
        ------
        Refused
            Text, a formula, a value below a limit, no finite number, or another unit.
        """
        plain = self.value(cell, where)
        if isinstance(plain, str) and (not plain.strip() or plain.strip() in self.absent):
            return None
        value, unit = self._parts(plain, where)
        if not math.isfinite(value):
            raise self._refused(where, cell, "bench_tables.not_finite")
        wanted = self.use.unit or self.use.reading_unit
        if unit and not same_unit(unit, wanted):
            known = unit_known(unit)
            key = "bench_tables.other_unit" if known else "measure.not_a_number"
            raise Refused(where, shown(cell), key=key, found=unit, unit=wanted or "-")
        own = self.use.reading_unit
        return convert(value, self.use.unit, own) if own and self.use.unit else value

    def value(self, cell: GridCell, where: str) -> str | float | Percent:
        """What stands in a cell; for a formula, what it last came to, where that is allowed."""
        if not isinstance(cell, Formula):
            return cell
        if not self.formula_values:
            raise self._refused(where, cell, "bench_tables.formula")
        if cell.value is None:
            raise self._refused(where, cell, "bench_tables.formula_empty")
        return cell.value

    def _parts(self, cell: str | float | Percent, where: str) -> tuple[float, str]:
        """The number of a cell, and the unit written with it."""
        if isinstance(cell, Percent):
            return cell.value, "%"
        if isinstance(cell, float):
            return cell, ""
        if cell.strip().startswith("<"):
            raise self._refused(where, cell, "bench.file.below")
        if cell.strip().lower().lstrip("+-") in ("nan", "inf", "infinity"):
            raise self._refused(where, cell, "bench_tables.not_finite")
        found = _NUMBER.fullmatch(_plain(cell))
        if found is None:
            raise self._refused(where, cell, "measure.not_a_number")
        return self._marked(found.group(1), cell, where), (found.group(2) or "").strip()

    def _marked(self, number: str, cell: str, where: str) -> float:
        mark = _MARKS.get(self.decimal)
        signs = number.count(",") + number.count(".")
        if mark is None and "," in number:
            raise self._refused(where, cell, "bench_tables.mark_unclear")
        if mark is not None and (signs > 1 or (signs and mark not in number)):
            raise self._refused(where, cell, "bench_tables.other_mark", mark=mark)
        try:
            return float(number.replace(",", "."))
        except ValueError:
            raise self._refused(where, cell, "measure.not_a_number") from None

    def _refused(self, where: str, cell: GridCell, key: str, **args: Any) -> Refused:
        return Refused(where, shown(cell), key=key, **args)


def unit_known(unit: str) -> bool:
    """Whether a word is a unit we know, compound ones part by part."""
    known = names()
    try:
        return all(canonical_name(part) in known for part in unit.split("/"))
    except Refused:
        return True  # a bare ton: a unit, though not one of them


def same_unit(one: str, other: str) -> bool:
    """Whether two words mean one unit."""
    if one.strip() == other.strip():
        return True
    try:
        pairs = [[canonical_name(part) for part in unit.split("/")] for unit in (one, other)]
    except Refused:
        return False
    return pairs[0] == pairs[1]
