"""The bar of usual hay: where this hay stands among hay like it."""

from __future__ import annotations

from dataclasses import dataclass

from haywright.paper.svg import Canvas, Picture, Row
from haywright.paper.tokens import PRINT, Palette


@dataclass(frozen=True, slots=True)
class UsualWords:
    """Ready texts: the two ends of usual hay, title, description, and the table's head and row."""

    low: str
    high: str
    title: str
    description: str
    head: Row
    row: Row


def usual_bar(
    value: float,
    words: UsualWords,
    *,
    usual: tuple[float, float],
    likely: tuple[float, float] | None = None,
    width: float = 110,
    text: float = 8.5,
    palette: Palette = PRINT,
) -> Picture:
    """Straw for the middle 8 of 10 of usual hay, a dot for this hay, a line for its range.

    ``value``, ``usual`` and ``likely`` are in one unit; ``width`` and ``text`` in drawing units.
    """
    height = text * 2.9
    middle, half = text * 1.1, text * 0.4
    canvas = Canvas(width, height, palette)
    low, high = _ends(value, usual, likely)

    def at(x: float) -> float:
        return min(width - half, max(half, (x - low) / (high - low) * width))

    canvas.line(0, middle, width, middle, stroke=palette.line, width=text / 15)
    canvas.rect(
        at(usual[0]),
        middle - half,
        max(at(usual[1]) - at(usual[0]), 1),
        2 * half,
        fill=palette.straw,
        stroke=palette.straw_deep,
        line=text / 15,
    )
    if likely is not None:
        canvas.line(
            at(likely[0]), middle, at(likely[1]), middle, stroke=palette.paper, width=text * 0.42
        )
        canvas.line(at(likely[0]), middle, at(likely[1]), middle, width=text * 0.22)
    canvas.circle(at(value), middle, half, fill=palette.ink, stroke=palette.paper, line=text / 10)
    left, right = _apart(at(usual[0]), at(usual[1]), words, text=text, width=width)
    for x, said in ((left, words.low), (right, words.high)):
        canvas.text(x, middle + text * 1.6, said, size=text, anchor="middle", fill=palette.soft)
    return canvas.picture(
        title=words.title, description=words.description, head=words.head, rows=(words.row,)
    )


def _ends(
    value: float, usual: tuple[float, float], likely: tuple[float, float] | None
) -> tuple[float, float]:
    """Ends of the line: usual hay takes the middle, and everything else is still on it."""
    span = (usual[1] - usual[0]) or abs(usual[1]) or 1.0
    seen = (value, *usual, *(likely or ()))
    low, high = min(usual[0] - 0.6 * span, *seen), max(usual[1] + 0.6 * span, *seen)
    if min(seen) >= 0:
        low = max(low, 0.0)
    margin = 0.04 * (high - low)
    return low - margin, high + margin


def _apart(
    left: float, right: float, words: UsualWords, *, text: float, width: float
) -> tuple[float, float]:
    """Where the two numbers stand without touching or leaving the drawing."""
    halves = [len(said) * text * 0.26 for said in (words.low, words.high)]
    lacking = halves[0] + halves[1] + text / 2 - (right - left)
    if lacking > 0:
        left, right = left - lacking / 2, right + lacking / 2
    if left < halves[0]:
        left, right = halves[0], max(right, halves[0] * 2 + halves[1] + text / 2)
    if right > width - halves[1]:
        right = width - halves[1]
        left = min(left, right - halves[1] - halves[0] - text / 2)
    return left, right
