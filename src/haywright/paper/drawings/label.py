"""The square code on a bag label, and what it says."""

from __future__ import annotations

from haywright.paper.svg import Canvas, Picture, Row
from haywright.paper.tokens import PRINT, Palette

QUIET = 4  # clear modules around a QR code, ISO/IEC 18004


def code_square(
    content: str,
    *,
    title: str,
    description: str,
    head: Row,
    palette: Palette = PRINT,
    level: str = "Q",
) -> Picture:
    """A QR code; at error level Q a quarter of it may be dirt. One module is one unit."""
    import segno

    code = segno.make(content, error=level, micro=False, boost_error=False)
    rows = [tuple(row) for row in code.matrix]
    size = len(rows) + 2 * QUIET
    canvas = Canvas(size, size, palette)
    canvas.rect(0, 0, size, size, fill=palette.paper, stroke="none")
    runs = "".join(
        f"M{start + QUIET} {y + QUIET}h{length}v1h-{length}z"
        for y, row in enumerate(rows)
        for start, length in _runs(row)
    )
    canvas.path(runs, fill=palette.ink, stroke="none")
    return canvas.picture(title=title, description=description, head=head, rows=((content,),))


def _runs(row: tuple[int, ...]) -> list[tuple[int, int]]:
    """(start, length) of each run of dark modules."""
    found: list[tuple[int, int]] = []
    start: int | None = None
    for x, dark in enumerate((*row, 0)):
        if dark and start is None:
            start = x
        elif not dark and start is not None:
            found.append((start, x - start))
            start = None
    return found
