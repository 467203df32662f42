"""The pieces a paper is made of, as plain data for the templates. Texts come in ready."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from haywright.paper.svg import Picture, Table

Block = dict[str, Any]
Cell = str | dict[str, Any]


def text(said: str, *, kind: str = "text") -> Block:
    """A paragraph; kind "text", "strong" or "small"."""
    return {"kind": kind, "text": said}


def table(
    head: Sequence[Cell],
    rows: Sequence[Sequence[Cell]],
    *,
    align: str = "",
    widths: Sequence[float] = (),
    tight: bool = False,
    run_in: bool = False,
) -> Block:
    """A table with its column heads.

    Parameters
    ----------
    head, rows
        Texts; each may be made by ``cell``.
    align
        One letter per column, "l" or "r".
    widths
        Shares of the width per column; 0 for as wide as needed.
    tight
        Set smaller and closer, for a long table to look things up in.
    run_in
        On paper, a cell's second line runs on after its first.
    """
    sides = [{"l": "left", "r": "right"}[one] for one in align or "l" * len(head)]
    block: Block = {
        "kind": "table",
        "head": list(head),
        "align": sides,
        "rows": [list(r) for r in rows],
    }
    if widths:
        block["widths"] = list(widths)
    if run_in:
        block["run_in"] = True
    if tight:
        block |= {"size": 8.5, "gap": 2.4}
    return block


def twin(same: Table, *, align: str = "") -> Block:
    """The table twin of a picture."""
    return table(same.head, same.rows, align=align)


def cell(
    said: str, *, small: str = "", share: float | None = None, bar: float | None = None
) -> Cell:
    """A cell with a second, smaller line, and a thin bar for a share of a whole [0 to 1].

    ``bar`` is the length of the bar for the whole [mm], where the usual one is too long.
    """
    out: dict[str, Any] = {"text": said, "small": small}
    if share is not None:
        out["share"] = share
    if bar is not None:
        out["bar"] = bar
    return out


def data_list(items: Sequence[tuple[str, str]], *, columns: int = 1) -> Block:
    """Names left, values right."""
    return {"kind": "data", "items": [list(one) for one in items], "columns": columns}


def caution(word: str, items: Sequence[str]) -> Block:
    """The caution box: triangle, word, one sentence or a list of them."""
    return {"kind": "caution", "word": word, "items": list(items)}


def branch(head: str, *, text: str = "", small: str = "", children: Sequence[Block] = ()) -> Block:
    """One line of an evidence tree, with what it was made from under it."""
    return {"head": head, "text": text, "small": small, "children": list(children)}


def tree(items: Sequence[Block]) -> Block:
    """An evidence tree of branches."""
    return {"kind": "tree", "items": list(items)}


def ticks(items: Sequence[Cell]) -> Block:
    """Things to do, each with a box to tick."""
    return {"kind": "ticks", "items": list(items)}


def blanks(items: Sequence[str]) -> Block:
    """Lines to fill in by hand, three beside each other."""
    return {"kind": "blanks", "items": list(items)}


def picture(shown: Picture, *, width: float | None = None, caption: str = "") -> Block:
    """A picture with its description as the text that stands for it; width in points."""
    block: Block = {
        "kind": "picture",
        "svg": shown.svg,
        "caption": caption,
        "alt": f"{shown.title}. {shown.description}",
    }
    if width is not None:
        block["width"] = width
    return block


def beside(*parts: Sequence[Block], widths: Sequence[float] = ()) -> Block:
    """Blocks in columns beside each other."""
    return {
        "kind": "beside",
        "parts": [list(p) for p in parts],
        "widths": list(widths or [1] * len(parts)),
    }


def section(
    side: str, *matter: Block, note: str = "", heavy: bool = False, wide: bool = False
) -> Block:
    """A side-head and its matter; wide ones put the matter under the head."""
    return {"side": side, "note": note, "heavy": heavy, "wide": wide, "blocks": list(matter)}
