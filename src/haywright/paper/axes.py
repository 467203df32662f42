"""Axes of drawings made mark by mark: round ticks, and a panel that maps onto them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from haywright.paper.speaker import Speaker
from haywright.paper.svg import Canvas

_STEPS = (1.0, 2.0, 5.0, 10.0)


def round_ticks(low: float, high: float, most: int) -> list[float]:
    """At most so many round numbers from the one below ``low`` to the one above ``high``."""
    span = high - low or abs(high) or 1.0
    rough = span / max(most - 1, 1)
    size = 10.0 ** math.floor(math.log10(rough))
    for step in (size * one for one in (*_STEPS, 20.0, 50.0)):
        first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        if last - first + 1 <= most:
            break
    return [n * step for n in range(first, last + 1)]


def tick_digits(ticks: Sequence[float]) -> int:
    """Decimals that tell these ticks apart."""
    step = min((b - a for a, b in pairwise(ticks)), default=1.0)
    return max(0, -math.floor(math.log10(step) + 1e-9))


@dataclass(frozen=True, slots=True)
class Panel:
    """A rectangle of a canvas with an axis along its foot and one up its left side.

    ``left``, ``top``, ``width`` and ``height`` are in units of the drawing; ``x`` and ``y`` are
    the ticks, whose ends are the ends of the axes.
    """

    left: float
    top: float
    width: float
    height: float
    x: Sequence[float]
    y: Sequence[float]

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Where a point of the data stands in the drawing."""
        across = (x - self.x[0]) / (self.x[-1] - self.x[0])
        up = (y - self.y[0]) / (self.y[-1] - self.y[0])
        return self.left + across * self.width, self.top + (1.0 - up) * self.height

    def axes(self, canvas: Canvas, words: Speaker, *, text: float, foot: bool = True) -> None:
        """Draw both axes with their numbers; only the line along the foot without ``foot``."""
        base = self.top + self.height
        canvas.line(self.left, base, self.left + self.width, base, width=text / 10)
        digits = tick_digits(self.y)
        for one in self.y:
            _, y = self.at(self.x[0], one)
            canvas.line(self.left, y, self.left + self.width, y, stroke=canvas.palette.rule,
                        width=text / 20)  # fmt: skip
            canvas.text(self.left - text / 2, y + text / 3, words.count(one, digits), size=text,
                        anchor="end")  # fmt: skip
        for one in self.x if foot else ():
            x, _ = self.at(one, self.y[0])
            canvas.line(x, base, x, base + text / 3, width=text / 10)
            canvas.text(x, base + text * 1.5, words.count(one, tick_digits(self.x)), size=text,
                        anchor="middle")  # fmt: skip
