"""What our own charts share: a frame with its axes, weeks with their months, fills for six hays."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from haywright.paper.speaker import Speaker
from haywright.paper.svg import Canvas
from haywright.paper.tokens import Palette

WEEK = 7
_LETTER = 0.56  # of the text size: how wide a letter of the sans face is on average
_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


def wide(said: str, text: float) -> float:
    """About how wide a line of text is set [as text].

    Parameters
    ----------
    said
        The line.
    text
        Its size [units of the drawing].
    """
    return len(said) * _LETTER * text


def ticks(top: float, *, most: int = 5) -> list[float]:
    """Round numbers from 0 until one reaches the top; at most so many steps.

    Parameters
    ----------
    top
        Largest value to be shown [any unit].
    most
        Steps [count].
    """
    if not top > 0:
        return [0.0, 1.0]
    rough = top / most
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(s * power for s in _STEPS if s * power >= rough * (1 - 1e-9))
    return [n * step for n in range(math.ceil(top / step - 1e-9) + 1)]


@dataclass(frozen=True, slots=True)
class Frame:
    """Where values lie in a drawing.

    Parameters
    ----------
    left, right, top, bottom
        Edges of the plot [units of the drawing].
    x_range, y_range
        Values at left and right, at bottom and top.
    """

    left: float
    right: float
    top: float
    bottom: float
    x_range: tuple[float, float]
    y_range: tuple[float, float]

    def x(self, value: float) -> float:
        """Across [units of the drawing]."""
        low, high = self.x_range
        return self.left + (value - low) / (high - low) * (self.right - self.left)

    def y(self, value: float) -> float:
        """Down [units of the drawing]."""
        low, high = self.y_range
        return self.bottom - (value - low) / (high - low) * (self.bottom - self.top)


def level_lines(
    canvas: Canvas, frame: Frame, levels: Sequence[tuple[float, str]], *, text: float
) -> None:
    """Hairlines across with their numbers at the left; the lowest is the ground line."""
    for level, said in levels:
        y = frame.y(level)
        ground = level == frame.y_range[0]
        stroke = canvas.palette.ink if ground else canvas.palette.rule
        canvas.line(
            frame.left, y, frame.right, y, stroke=stroke, width=text / (10 if ground else 15)
        )
        canvas.text(frame.left - text / 2, y + text * 0.35, said, size=text, anchor="end")


def month_marks(canvas: Canvas, frame: Frame, first: date, words: Speaker, *, text: float) -> None:
    """A tick and the name at the first day of each month; x counts weeks from ``first``."""
    last = first + timedelta(days=round(WEEK * frame.x_range[1]))
    day = first.replace(day=1)
    while day <= last:
        week = (day - first).days / WEEK
        if week >= 0:
            x = frame.x(week)
            canvas.line(x, frame.bottom, x, frame.bottom + text / 2, width=text / 12)
            if x + wide(words.month(day), text) <= frame.right + text / 4:
                canvas.text(x + text / 4, frame.bottom + text * 1.4, words.month(day), size=text)
        day = (day.replace(day=28) + timedelta(days=WEEK)).replace(day=1)


@dataclass(frozen=True, slots=True)
class Fill:
    """How one hay is filled: its ground, and what is drawn over it ("" for nothing)."""

    ground: str
    over: str = ""


def fills(canvas: Canvas, n: int, name: str) -> list[Fill]:
    """Fills that stay apart without colour: three greys of straw, then hatched ones.

    Parameters
    ----------
    canvas
        What is drawn on.
    n
        How many hays [count].
    name
        Unique on the page the drawing comes to stand on.
    """
    p: Palette = canvas.palette
    plain = [Fill(p.straw), Fill(p.hay3), Fill(p.hay2)]
    patterns = [
        (p.paper, p.ink, 45.0, 5.0, 1.0),
        (p.straw, p.ink, -45.0, 4.0, 0.7),
        (p.paper, p.hay3, 90.0, 3.0, 1.4),
    ]
    found = list(plain[:n])
    for k in range(n - len(found)):
        ground, stroke, angle, step, line = patterns[k % len(patterns)]
        wider = step * (1 + k // len(patterns))
        over = canvas.hatch(f"{name}-{k}", stroke=stroke, step=wider, angle=angle, line=line)
        found.append(Fill(ground, over))
    return found


def band(canvas: Canvas, d: str, fill: Fill, *, line: float) -> None:
    """One filled band with a fine edge in ink."""
    canvas.path(d, fill=fill.ground, stroke=canvas.palette.ink, line=line)
    if fill.over:
        canvas.path(d, fill=fill.over, stroke=canvas.palette.ink, line=line)


def outline(points: Sequence[tuple[float, float]], *, closed: bool = True) -> str:
    """The commands of a path through points."""
    steps = [f"{x:.2f} {y:.2f}" for x, y in points]
    return f"M{' L'.join(steps)}{'Z' if closed else ''}"
