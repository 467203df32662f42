"""A long delimited table by column, some thousand rows at a time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from haywright.files.reading import (
    TABLE_BYTES,
    TABLE_ROWS,
    check_columns,
    delimiter_of,
    filled_rows,
    long_text,
    row_length,
)
from haywright.measure.errors import Refused

# As many rows at a time as stay near the processor.
BLOCK_ROWS = 4000


@dataclass(frozen=True, slots=True)
class Block:
    """Some rows of a long table by column: names -> cells as written, and the line of each row.

    ``decimal_comma`` says whether a comma in a number can only be a decimal one.
    """

    cells: Mapping[str, tuple[str, ...]]
    lines: tuple[int, ...]
    decimal_comma: bool


def read_blocks(
    path: Path, row_limit: int = TABLE_ROWS, *, limit_bytes: int = TABLE_BYTES
) -> Iterator[Block]:
    """A long delimited table by column, some thousand rows at a time; at least one block.

    It is refused as :func:`read_csv` refuses.

    Parameters
    ----------
    path
        The file.
    row_limit
        A file with more rows is refused.
    limit_bytes
        A larger file is refused unread.
    """
    text = long_text(path, row_limit, limit_bytes)
    delimiter = delimiter_of(text, path)
    rows = filled_rows(text, delimiter, path)
    head = next(rows, None)
    if head is None:
        raise Refused("file", path, key="files.empty")
    columns = tuple(name.strip() for name in head[1])
    check_columns(columns, path)
    comma = delimiter != ","
    block = list(islice(rows, BLOCK_ROWS))
    while True:
        yield _block(block, columns, path, decimal_comma=comma)
        block = list(islice(rows, BLOCK_ROWS))
        if not block:
            return


def _block(
    rows: Sequence[tuple[int, list[str]]],
    columns: tuple[str, ...],
    path: Path,
    *,
    decimal_comma: bool,
) -> Block:
    for number, row in rows:
        if len(row) != len(columns):
            raise row_length(number, row, columns, path)
    if not rows:
        return Block(dict.fromkeys(columns, ()), (), decimal_comma)
    numbers, cells = zip(*rows, strict=True)
    by_column = dict(zip(columns, zip(*cells, strict=True), strict=True))
    return Block(by_column, numbers, decimal_comma)
