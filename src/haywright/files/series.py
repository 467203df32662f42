"""Columns of numbers from a table, for commands that work on a few of them."""

from __future__ import annotations

from pathlib import Path

from haywright.files.reading import read_csv
from haywright.measure.errors import Problems, Refused


def columns_of(path: Path, row_limit: int = 10_000) -> dict[str, list[float | None]]:
    """Column name -> its numbers in order; an empty cell or one below a limit is ``None``.

    Raises
    ------
    Refused, Problems
        A cell that is not a number; its row and column are named.
    """
    table = read_csv(path, row_limit)
    out: dict[str, list[float | None]] = {name: [] for name in table.columns}
    wrong = []
    for row in table.rows:
        for name, cell in row.items():
            number = cell.number
            if cell.text and (number is None or not abs(number) < float("inf")):
                where = f"{path}: row {cell.row}, column {name}"
                wrong.append(Refused(where, cell.text, key="measure.not_a_number"))
            out[name].append(None if cell.below or not cell.text else number)
    if wrong:
        raise wrong[0] if len(wrong) == 1 else Problems(wrong)
    return out
