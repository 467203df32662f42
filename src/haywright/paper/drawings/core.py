"""The core through the bale, end view, to scale: what it takes and what it never sees."""

from __future__ import annotations

from dataclasses import dataclass

from haywright.paper.svg import Canvas, Picture, Row
from haywright.paper.tokens import PRINT, Palette


@dataclass(frozen=True, slots=True)
class CoreWords:
    """Ready texts on and about the drawing; an empty one is left out."""

    title: str
    description: str
    head: Row
    rows: tuple[Row, ...]
    across: str
    core: str
    rind: str = ""
    once: str = ""
    never_seen: tuple[str, ...] = ()


def core_through_round(
    radius: float,
    length: float,
    words: CoreWords,
    *,
    rind: float = 0.0,
    once: float | None = None,
    start: float = 0.0,
    name: str = "rind",
    width: float = 250,
    text: float = 8.5,
    palette: Palette = PRINT,
) -> Picture:
    """A core from the curved side toward the middle of a round bale.

    Parameters
    ----------
    radius, length, rind, once, start
        Of the bale, the core, the weathered outside, the core length that counts the outside
        once, and where the core begins under the surface; all in one unit of length.
    words
        Texts with their units written.
    name
        Name of the hatching, unique on the page.
    width, text
        Of the drawing, in its units.
    palette
        Colours.
    """
    r = width * 0.27
    scale = r / radius
    cx, cy = r + text * 0.4, r + text * 1.6
    canvas = Canvas(width, cy + r + text * 2.6, palette)
    _draw_round(
        canvas, cx, cy, r, rind=rind * scale, seen=(start + length) * scale, name=name, text=text
    )
    left = cx + r - (start + length) * scale
    _draw_core(canvas, left, cy, length=length * scale, text=text)
    canvas.text(left + text * 0.2, cy + text * 2.2, words.core, size=text, halo=True)
    if words.once and once is not None:
        mark = cx + r - (start + once) * scale
        canvas.line(mark, cy - text * 1.3, mark, cy + text * 0.75, width=text / 4)
        canvas.text(mark, cy - text * 1.7, words.once, size=text, anchor="middle", halo=True)
    if words.never_seen and radius > start + length:
        _never_seen(canvas, (cx + left) / 2 - r * 0.13, cy, words.never_seen, text=text)
    if words.rind:
        canvas.path(
            f"M{cx + r * 0.69:.2f} {cy - r * 0.69:.2f}L{cx + r * 0.95:.2f} {cy - r:.2f}h{text:.2f}",
            stroke=palette.line,
            line=text / 15,
        )
        canvas.text(cx + r * 0.95 + text * 1.4, cy - r + text * 0.35, words.rind, size=text)
    _across(canvas, cx - r, cx + r, cy + r + text * 1.2, words.across, text=text)
    return _finished(canvas, words)


def core_into_square(
    bale_length: float,
    bale_height: float,
    length: float,
    words: CoreWords,
    *,
    rind: float = 0.0,
    start: float = 0.0,
    name: str = "rind",
    width: float = 250,
    text: float = 8.5,
    palette: Palette = PRINT,
) -> Picture:
    """A core into the butt end of a square bale, seen from the side; lengths in one unit."""
    long = width * 0.72
    scale = long / bale_length
    high = bale_height * scale
    x, y = text * 0.4, text * 1.6
    canvas = Canvas(width, y + high + text * 2.6, palette)
    canvas.rect(x, y, long, high, line=text / 7)
    if rind > 0:
        fill = canvas.hatch(name, step=text * 0.6)
        t = rind * scale
        canvas.path(
            f"M{x} {y}h{long:.2f}v{high:.2f}h-{long:.2f}z"
            f"M{x + t:.2f} {y + t:.2f}v{high - 2 * t:.2f}h{long - 2 * t:.2f}v-{high - 2 * t:.2f}z",
            fill=fill,
            stroke=palette.straw_deep,
            line=text / 15,
            rule="evenodd",
        )
        canvas.text(x + long + text, y + text * 0.8, words.rind, size=text)
    for n in range(1, 7):
        flake = x + n * long / 7
        canvas.line(flake, y, flake, y + high, stroke=palette.rule, width=text / 15)
    middle = y + high / 2
    left = x + long - (start + length) * scale
    _draw_core(canvas, left, middle, length=length * scale, text=text)
    canvas.text(left + text * 0.2, middle + text * 2, words.core, size=text, halo=True)
    if words.never_seen and bale_length > start + length:
        _never_seen(canvas, (x + left) / 2, middle, words.never_seen, text=text)
    _across(canvas, x, x + long, y + high + text * 1.2, words.across, text=text)
    return _finished(canvas, words)


def _finished(canvas: Canvas, words: CoreWords) -> Picture:
    return canvas.picture(
        title=words.title, description=words.description, head=words.head, rows=words.rows
    )


def _draw_round(
    canvas: Canvas,
    cx: float,
    cy: float,
    r: float,
    *,
    rind: float,
    seen: float,
    name: str,
    text: float,
) -> None:
    """The bale: outline, weathered ring hatched, a few wraps, the part never seen."""
    ink = canvas.palette
    if rind > 0:
        inner = max(r - rind, 0)
        canvas.path(
            f"{_ring(cx, cy, r)}{_ring(cx, cy, inner)}",
            fill=canvas.hatch(name, step=text * 0.6),
            stroke=ink.straw_deep,
            line=text / 15,
            rule="evenodd",
        )
    canvas.circle(cx, cy, r, line=text / 7)
    unseen = r - seen
    for n in (1, 2, 3):
        wrap = max(unseen, 0) + n * (r - rind - max(unseen, 0)) / 4
        canvas.circle(cx, cy, wrap, stroke=ink.rule, line=text / 15)
    if unseen > 0:
        canvas.circle(
            cx,
            cy,
            unseen,
            stroke=ink.line,
            line=text / 12,
            dash=f"{text * 0.2:.2f} {text * 0.3:.2f}",
        )


def _draw_core(canvas: Canvas, left: float, middle: float, *, length: float, text: float) -> None:
    """Hay in the core in straw, and the probe standing out of the bale."""
    ink, half = canvas.palette, text * 0.3
    canvas.rect(left + length, middle - half, text * 1.4, 2 * half, fill=ink.paper, line=text / 10)
    canvas.rect(left, middle - half, length, 2 * half, fill=ink.straw, line=text / 8)


def _never_seen(canvas: Canvas, x: float, y: float, lines: tuple[str, ...], *, text: float) -> None:
    top = y - (len(lines) - 1) * text * 0.62 + text * 0.35
    for n, said in enumerate(lines):
        canvas.text(
            x,
            top + n * text * 1.3,
            said,
            size=text,
            anchor="middle",
            fill=canvas.palette.soft,
            halo=True,
        )


def _across(canvas: Canvas, left: float, right: float, y: float, said: str, *, text: float) -> None:
    ink, tick = canvas.palette, text * 0.4
    canvas.line(left, y, right, y, stroke=ink.line, width=text / 15)
    for x in (left, right):
        canvas.line(x, y - tick, x, y + tick, stroke=ink.line, width=text / 15)
    canvas.text((left + right) / 2, y + text * 0.35, said, size=text, anchor="middle", halo=True)


def _ring(cx: float, cy: float, r: float) -> str:
    half = f"a{r:.2f} {r:.2f} 0 1 0"
    return f"M{cx - r:.2f} {cy:.2f}{half} {2 * r:.2f} 0{half} -{2 * r:.2f} 0z"
