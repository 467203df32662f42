"""Hay by week: what stands in the stack, and what is put out of each lot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from haywright.bunk.ration.program import Floats
from haywright.bunk.winter.plan import Plan
from haywright.bunk.winter.question import WEEK
from haywright.gate.need import mass_from_dry_matter
from haywright.measure.units import convert
from haywright.paper.bands import Band, name_bands, place_above, place_inside, seen, strip_height
from haywright.paper.plot import (
    Fill,
    Frame,
    band,
    fills,
    level_lines,
    month_marks,
    outline,
    ticks,
    wide,
)
from haywright.paper.speaker import Speaker
from haywright.paper.svg import Canvas, Picture
from haywright.paper.tokens import PRINT, Palette
from haywright.paper.winter_matter import WinterMatter, on_hand, scale_of


@dataclass(frozen=True, slots=True)
class Look:
    """How large a picture is drawn: points on paper, pixels on a page.

    Parameters
    ----------
    width, height, text
        Of the drawing, its plot and its text [units of the drawing].
    palette
        Its colours.
    page
        Put before the names of patterns, so that two pictures on a page do not share them.
    """

    width: float = 510
    height: float = 150
    text: float = 8.5
    palette: Palette = PRINT
    page: str = "p"


PAPER = Look()


@dataclass(frozen=True, slots=True)
class Layer:
    """One hay in a stack.

    Parameters
    ----------
    name
        Of the lot.
    tons
        How much of it at each place [tons, or pounds a day], (N,).
    fill
        Number of its fill: the lot's own in every picture.
    """

    name: str
    tons: Floats
    fill: int


def kept_longest_first(plan: Plan) -> list[str]:
    """Lots in the order they are stacked in: the hay that is kept longest lies at the bottom."""
    last = {}
    for hay in plan.question.hays:
        fed = np.flatnonzero(plan.put_out(hay.name) > 1.0)
        last[hay.name] = int(fed[-1]) if len(fed) else plan.question.weeks
    return sorted(last, key=lambda name: -last[name])


def on_hand_picture(matter: WinterMatter, words: Speaker, look: Look = PAPER) -> Picture:
    """Hay on hand by week, lot on lot, with a hard winter as a broken line."""
    plan, scale = matter.plan, scale_of(matter, words)
    q = plan.question
    layers = [
        Layer(name, np.array([scale.of_kg(float(kg)) for kg in on_hand(plan, name)]), n)
        for n, name in enumerate(kept_longest_first(plan))
    ]
    layers = [one for one in layers if one.tons.max() > 0]
    hard = None if matter.hard is None else np.array([scale.of_kg(float(kg)) for kg in matter.hard])
    weeks = np.arange(q.weeks + 1, dtype=np.float64)
    total = sum((one.tons for one in layers), np.zeros(q.weeks + 1))
    top = max(total.max(), 0.0 if hard is None else hard.max())
    drawing = _stack(layers, weeks, float(top), words, look, f"{look.page}-hand")
    canvas, frame = drawing.canvas, drawing.frame
    month_marks(canvas, frame, q.first, words, text=look.text)
    if hard is not None:
        points = [(frame.x(w), frame.y(v)) for w, v in zip(weeks, hard, strict=True)]
        _broken(canvas, points, look)
    drawing.write_names(look.text)
    if matter.turnout is not None:
        _turnout(canvas, frame, (matter.turnout - q.first).days / WEEK, matter, words, look)
    canvas.text(0, look.text, words(f"winter_paper.hand.axis.{scale.ton}"), size=look.text,
                fill=look.palette.soft)  # fmt: skip
    return canvas.picture(
        title=words("winter_paper.hand.title"),
        description=words(
            "winter_paper.hand.described",
            lots=len(layers),
            first=words.day(q.first),
            start=words.count(float(total[0]), 1),
            end=words.count(float(total[-1]), 1),
        ),
        head=(words("winter_paper.week_of"), *(one.name for one in layers),
              words("winter_paper.all"),
              *([words("winter_paper.hard")] if hard is not None else ())),
        rows=[
            (words.short_day(q.day(n)), *(words.count(float(one.tons[n]), 1) for one in layers),
             words.count(float(total[n]), 1),
             *([words.count(float(hard[n]), 1)] if hard is not None else ()))
            for n in range(q.weeks + 1)
        ],
    )  # fmt: skip


def put_out_picture(matter: WinterMatter, words: Speaker, look: Look = PAPER) -> Picture:
    """Hay put out a day by week, lot on lot."""
    plan = matter.plan
    q = plan.question
    layers = [
        Layer(name, _a_day(plan, name, words), n) for n, name in enumerate(kept_longest_first(plan))
    ]
    layers = [one for one in layers if one.tons.max() > 0]
    total = sum((one.tons for one in layers), np.zeros(q.weeks))
    drawing = _stack(
        [replace(one, tons=np.repeat(one.tons, 2)) for one in layers],
        np.repeat(np.arange(q.weeks + 1, dtype=np.float64), 2)[1:-1],
        float(total.max()), words, look, f"{look.page}-out",
    )  # fmt: skip
    canvas, frame = drawing.canvas, drawing.frame
    month_marks(canvas, frame, q.first, words, text=look.text)
    drawing.write_names(look.text)
    unit = words.reader.units
    canvas.text(0, look.text, words(f"winter_paper.out.axis.{unit}"), size=look.text,
                fill=look.palette.soft)  # fmt: skip
    return canvas.picture(
        title=words("winter_paper.out.title"),
        description=words("winter_paper.out.described", lots=len(layers),
                          low=words.count(float(total.min())),
                          high=words.count(float(total.max()))),
        head=(words("winter_paper.week_of"), *(one.name for one in layers),
              words("winter_paper.all")),
        rows=[
            (words.short_day(q.day(n)), *(words.count(float(one.tons[n])) for one in layers),
             words.count(float(total[n])))
            for n in range(q.weeks)
        ],
    )  # fmt: skip


def _a_day(plan: Plan, lot: str, words: Speaker) -> Floats:
    """Put out a day by week [lb or kg as it stands], (T,)."""
    dm = next(hay.feed.dm for hay in plan.question.hays if hay.name == lot)
    kg = mass_from_dry_matter(plan.put_out(lot), dm) / WEEK
    unit = "lb" if words.reader.units == "us" else "kg"
    return np.array([float(convert(float(one), "kg", unit)) for one in kg])


@dataclass(frozen=True, slots=True)
class _Drawing:
    """Bands in their frame; names are written last, over what else is drawn."""

    canvas: Canvas
    frame: Frame
    bands: Sequence[Band]

    def write_names(self, text: float) -> None:
        """Name every band that is seen."""
        shown = seen(self.bands)
        outside = [one for one in shown if place_inside(one, text) is None]
        above = place_above(outside, top_of(self.bands), self.frame.left, self.frame.right, text)
        name_bands(self.canvas, shown, above, self.frame.top - text * 0.2, text)


def _stack(
    layers: Sequence[Layer], x: Floats, top: float, words: Speaker, look: Look, name: str
) -> _Drawing:
    """Bands on each other with their names; names without room stand in a strip above."""
    text = look.text
    levels = ticks(top)
    digits = 0 if all(one == round(one) for one in levels) else 1
    left = text + max(wide(words.count(one, digits), text) for one in levels)
    plot = Frame(left, look.width - text / 2, 0.0, look.height, (0.0, float(x[-1])),
                 (0.0, levels[-1]))  # fmt: skip
    drawn = _bands(layers, x, plot, [Fill("none")] * len(layers))
    outside = [one for one in seen(drawn) if place_inside(one, text) is None]
    names = place_above(outside, top_of(drawn), plot.left, plot.right, text)
    down = text * 1.8 + strip_height(names, text)
    frame = Frame(plot.left, plot.right, down, down + look.height, plot.x_range, plot.y_range)
    canvas = Canvas(look.width, frame.bottom + text * 1.9, look.palette)
    every = fills(canvas, 1 + max((one.fill for one in layers), default=-1), name)
    paint = [every[one.fill] for one in layers]
    level_lines(canvas, frame, [(one, words.count(one, digits)) for one in levels], text=text)
    drawn = _bands(layers, x, frame, paint)
    for one in drawn:
        band(canvas, _closed(one), one.fill, line=text / 18)
    if drawn:
        edge = list(zip(drawn[-1].x, drawn[-1].upper, strict=True))
        canvas.path(outline(edge, closed=False), line=text / 6)
    return _Drawing(canvas, frame, drawn)


def _bands(layers: Sequence[Layer], x: Floats, frame: Frame, paint: Sequence[Fill]) -> list[Band]:
    under = np.zeros(len(x))
    across = np.array([frame.x(float(one)) for one in x])
    found = []
    for one, fill in zip(layers, paint, strict=True):
        over = under + one.tons
        upper, lower = (np.array([frame.y(float(v)) for v in edge]) for edge in (over, under))
        found.append(Band(one.name, across, upper, lower, fill))
        under = over
    return found


def top_of(bands: Sequence[Band]) -> Floats:
    """Upper edge of a stack at each place [units of the drawing, downward], (N,)."""
    return bands[-1].upper if bands else np.zeros(0)


def _closed(one: Band) -> str:
    there = list(zip(one.x, one.upper, strict=True))
    back = list(zip(one.x, one.lower, strict=True))[::-1]
    return outline([*there, *back])


def _broken(canvas: Canvas, points: Sequence[tuple[float, float]], look: Look) -> None:
    """A broken line, halo first so that it is seen on any fill."""
    line, text = outline(points, closed=False), look.text
    canvas.path(line, stroke=look.palette.paper, line=text / 2.5)
    canvas.path(line, line=text / 6, dash=f"{text / 2:g} {text / 3:g}")


def _turnout(
    canvas: Canvas, frame: Frame, week: float, matter: WinterMatter, words: Speaker, look: Look
) -> None:
    if not frame.x_range[0] <= week <= frame.x_range[1] or matter.turnout is None:
        return
    x, text = frame.x(week), look.text
    canvas.line(x, frame.top, x, frame.bottom, width=text / 10, dash=f"{text / 8:g} {text / 4:g}")
    said = words("winter_paper.turnout", day=words.short_day(matter.turnout))
    canvas.text(
        x - text / 3, frame.top + text, said, size=text, anchor="end", weight=600, halo=True
    )
