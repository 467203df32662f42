"""The calibration drawn: standards on their curve, and what they leave over it."""

from __future__ import annotations

from haywright.bench.read_back import KNOWN, ReadBack
from haywright.paper.axes import Panel, round_ticks
from haywright.paper.speaker import Speaker
from haywright.paper.svg import Canvas, Picture
from haywright.paper.tokens import PRINT, Palette

_POINTS = 60


def curve_chart(
    found: ReadBack,
    words: Speaker,
    *,
    name: str,
    width: float = 200,
    text: float = 8.5,
    palette: Palette = PRINT,
) -> Picture:
    """Draw the standards on their curve.

    Parameters
    ----------
    found
        The curve with its standards.
    words
        Who reads it.
    name
        What is calibrated, as said.
    width
        Width of the drawing [points].
    text
        Size of its letters [points].
    palette
        Its colours.
    """
    height = width * 0.62
    canvas = Canvas(width, height, palette)
    x, y = _x_ticks(found), _y_ticks(found)
    panel = Panel(text * 3.6, text * 1.9, width - text * 4.6, height - text * 5.2, x, y)
    panel.axes(canvas, words, text=text)
    _named(canvas, found, words, text)
    low, high = min(one.x for one in found.standards), max(one.x for one in found.standards)
    line = [low + (high - low) * n / _POINTS for n in range(_POINTS + 1)]
    spots = [panel.at(one, found.curve.predict(one)) for one in line]
    path = "M" + "L".join(f"{a:.2f} {b:.2f}" for a, b in spots)
    canvas.path(path, line=text / 8)
    for one in found.standards:
        _dot(canvas, *panel.at(one.x, one.y), text)
    return _picture(canvas, found, words, "curve", name)


def residual_chart(
    found: ReadBack,
    words: Speaker,
    *,
    name: str,
    width: float = 200,
    text: float = 8.5,
    palette: Palette = PRINT,
) -> Picture:
    """Draw what the standards leave over their curve, in units of the signal.

    Parameters
    ----------
    found
        The curve with its standards.
    words
        Who reads it.
    name
        What is calibrated, as said.
    width
        Width of the drawing [points].
    text
        Size of its letters [points].
    palette
        Its colours.
    """
    height = width * 0.45
    canvas = Canvas(width, height, palette)
    most = max((abs(one.residual) for one in found.standards), default=0.0) or 1.0
    panel = Panel(
        text * 3.6,
        text * 1.9,
        width - text * 4.6,
        height - text * 5.2,
        _x_ticks(found),
        round_ticks(-most, most, 5),
    )
    panel.axes(canvas, words, text=text)
    left, zero = panel.at(panel.x[0], 0.0)
    canvas.line(left, zero, left + panel.width, zero, width=text / 10)
    canvas.text(0, text, words("bench_paper.curve.left_over"), size=text, fill=palette.soft)
    _x_name(canvas, found, words, text)
    for one in found.standards:
        x, y = panel.at(one.x, one.residual)
        canvas.line(x, zero, x, y, width=text / 10)
        _dot(canvas, x, y, text)
    return _picture(canvas, found, words, "residuals", name)


def axis_name(found: ReadBack, words: Speaker) -> str:
    """What the axis of the standards is called."""
    if found.x_name == KNOWN:
        return words("bench_paper.curve.strength")
    return words.name(found.x_name)


def _x_ticks(found: ReadBack) -> list[float]:
    values = [one.x for one in found.standards]
    return round_ticks(min(0.0, *values), max(values), 7)


def _y_ticks(found: ReadBack) -> list[float]:
    values = [one.y for one in found.standards]
    return round_ticks(min(0.0, *values), max(0.0, *values), 6)


def _dot(canvas: Canvas, x: float, y: float, text: float) -> None:
    look = canvas.palette
    canvas.circle(x, y, text * 0.3, fill=look.straw, stroke=look.straw_deep, line=text / 10)


def _named(canvas: Canvas, found: ReadBack, words: Speaker, text: float) -> None:
    unit = words.unit(found.y_name)
    said = words.name(found.y_name)
    canvas.text(0, text, f"{said}, {unit}" if unit else said, size=text, fill=canvas.palette.soft)
    _x_name(canvas, found, words, text)


def _x_name(canvas: Canvas, found: ReadBack, words: Speaker, text: float) -> None:
    canvas.text(canvas.width - text, canvas.height - text * 0.4, axis_name(found, words),
                size=text, anchor="end", fill=canvas.palette.soft)  # fmt: skip


def _picture(canvas: Canvas, found: ReadBack, words: Speaker, which: str, name: str) -> Picture:
    rows = [
        (one.sample, words.plain(one.x), words.plain(one.y if which == "curve" else one.residual))
        for one in found.standards
    ]
    head = (
        words("bench_paper.curve.standard"),
        axis_name(found, words),
        words.name(found.y_name) if which == "curve" else words("bench_paper.curve.left_over"),
    )
    return canvas.picture(
        title=words(f"bench_paper.{which}.title", name=name),
        description=words(
            f"bench_paper.{which}.described",
            n=len(found.standards),
            low=words.plain(found.low),
            high=words.plain(found.high),
        ),
        head=head,
        rows=rows,
    )
