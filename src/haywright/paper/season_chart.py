"""A season drawn: a bar for each crop, the lots over the nitrate line set apart in it."""

from __future__ import annotations

from collections.abc import Sequence

from haywright.paper.plot import wide
from haywright.paper.speaker import Speaker
from haywright.paper.svg import Canvas, Picture

SEASON_WIDTHS = {"wide": 760.0, "narrow": 350.0}


def crop_bars(
    rows: Sequence[tuple[str, int, int]], words: Speaker, *, width: float, text: float = 15
) -> Picture:
    """Draw how many lots of each crop were tested, and how many of them were over the line.

    Parameters
    ----------
    rows
        Crop by name, lots tested and lots over the line [count], the most tested first.
    words
        Whose words and colours.
    width
        Of the drawing [units of the drawing].
    text
        Size of its letters [units of the drawing].
    """
    step, top = text * 3.4, max(tested for _, tested, _ in rows)
    canvas = Canvas(width, step * len(rows), words.palette)
    palette = words.palette
    said = [words("paper.season.bar", n=tested, over=over) for _, tested, over in rows]
    room = width - max(wide(one, text) for one in said) - text
    for n, (crop, tested, over) in enumerate(rows):
        y = step * n
        long, past = (max(room, text) * count / top for count in (tested, over))
        canvas.text(0, y + text, crop, size=text, weight=600)
        canvas.rect(0.5, y + text * 1.5, long, text, fill=palette.straw, stroke=palette.straw_deep)
        if over:
            canvas.rect(0.5 + long - past, y + text * 1.5, past, text, fill=palette.paper,
                        stroke=palette.warn, line=2)  # fmt: skip
        canvas.text(long + text * 0.6, y + text * 2.4, said[n], size=text)
    return canvas.picture(
        title=words("paper.season.title"),
        description=words("paper.season.described", crops=tuple(crop for crop, _, _ in rows)),
        head=tuple(words(f"paper.season.{one}") for one in ("crop", "tested", "over")),
        rows=[(crop, words.count(tested), words.count(over)) for crop, tested, over in rows],
    )
