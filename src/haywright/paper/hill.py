"""The bales as a hill, the lines a bale may stand past as a fence, and the bag under them."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from haywright.paper.charts import ChartWords, Spec, drawn, field, layer, span
from haywright.paper.svg import Picture
from haywright.paper.tokens import PRINT, Palette

MOST_RINGS = 120
_TALLEST = 18  # rings of a pile, above which they lie over each other like coins
_LEAD = 1.2  # from line to line of a post's words, in sizes of the text
_LETTER = 0.5  # about how wide a letter is, in sizes of the text
_FEWEST = 12  # letters of a line, below which words are no longer parted


@dataclass(frozen=True, slots=True)
class Post:
    """A line a bale may stand past: where, whose line it is, and how many bales are past it."""

    at: float
    above: str
    past: str = ""


@dataclass(frozen=True, slots=True)
class GuideRow:
    """One row of the chosen guide under the axis: from, to (``None``: no end) and its words."""

    start: float
    end: float | None
    words: str


def hill_chart(
    bales: Sequence[float],
    words: ChartWords,
    *,
    posts: Sequence[Post],
    other_form: float,
    bag: tuple[float, float, float],
    bag_words: str,
    rows: Sequence[GuideRow],
    width: float = 390,
    text: float = 8.5,
    ring: float = 16,
    wrap: int = 0,
    palette: Palette = PRINT,
) -> Picture:
    """The bales as a hill and the lines as a fence; under it the bag over the guide's rows.

    Parameters
    ----------
    bales
        Where each bale likely stands, one value per bale, on the axis of ``words.x``.
    words
        ``y`` is the line of words under the axis.
    posts
        Lines a bale may stand past.
    other_form
        What one unit of the axis is in the second chemical form; the second row of numbers.
    bag, bag_words
        The bag's result with the ends of its range, and its words.
    rows
        The chosen guide's rows, which judge the bag.
    width, text, palette
        Of the drawing.
    ring
        About how wide a ring is drawn [units of the drawing].
    wrap
        Letters after which a post's words go on in a line of their own [count]; 0 for never.
    """
    rings, _ = rings_of(bales)
    top = _end_of_axis(rings, posts)
    fence = min((p.at for p in posts), default=math.inf)
    bin_width = _bin(top / max(int(width / ring), 1), fence)
    stacked = _stacked(rings, bin_width, fence=fence)
    step = width * bin_width / top
    tallest = max(one["level"] for one in stacked) + 1
    told = _told(posts, top, width=width, text=text, wrap=wrap)
    label = max([len(one.lines) for one in told], default=0) * _LEAD + 0.3
    rise = step * min(1.0, _TALLEST / tallest)
    high = rise * (tallest - 1) + step + text * (label * len(posts) + 2)
    values = [{**one, "y": one["level"] * rise + step / 2} for one in stacked]
    frame = _Frame(top, high, text, palette, label=label)
    axis = _two_rows(other_form, words, text, wrap=2 * wrap)
    hill = [*_rings(values, axis, step, frame), *_fence(told, frame)]
    under = text * (5.6 if wrap else 4.4)
    below = _Frame(top, under, text, palette, axis=False, wrap=wrap)
    strip = _strip(bag, bag_words, rows, width, below)
    spec = {
        "vconcat": [
            {"width": width, "height": high, "layer": hill},
            {"width": width, "height": under, "layer": strip},
        ],
        "spacing": text * 1.5,
        "resolve": {"scale": {"x": "shared"}},
    }
    return drawn(spec, words, text=text, palette=palette)


@dataclass(frozen=True, slots=True)
class _Frame:
    """One panel: how far its axes go, the size of its text, its colours."""

    top: float
    high: float
    text: float
    palette: Palette
    axis: bool = True
    label: float = 0.0  # what the words of one post take, in sizes of the text
    wrap: int = 0

    @property
    def x(self) -> Spec:
        plain = field("x", scale=span(0, self.top))
        return plain if self.axis else {**plain, "axis": None}

    @property
    def y(self) -> Spec:
        return field("y", scale=span(0, self.high), axis=None)

    @property
    def place(self) -> Spec:
        return {"x": self.x, "y": self.y}


def rings_of(bales: Sequence[float]) -> tuple[list[float], int]:
    """The rings to draw and how many bales each stands for: over 120 bales, more than one."""
    each = max(1, math.ceil(len(bales) / MOST_RINGS))
    ordered = sorted(float(one) for one in bales)
    return [
        ordered[min(n + each // 2, len(ordered) - 1)] for n in range(0, len(ordered), each)
    ], each


def _end_of_axis(rings: Sequence[float], posts: Sequence[Post]) -> float:
    """Room for the last post and its words, and for the last ring unless it is far out."""
    last = max((p.at for p in posts), default=0.0)
    end = max([last * 1.2, *(one * 1.1 for one in rings)])
    return min(end, max(last * 1.6, max(rings, default=0.0) * 0.8))


def _bin(about: float, fence: float) -> float:
    """A width of bins near one, with the fence between two bins."""
    return about if math.isinf(fence) else fence / max(round(fence / about), 1)


def _stacked(rings: Sequence[float], bin_width: float, *, fence: float) -> list[dict[str, Any]]:
    """Rings in bins, each with its place in its pile; no bin straddles the fence."""
    piles: dict[int, int] = {}
    out = []
    for value in rings:
        slot = int(value / bin_width)
        if value < fence <= (slot + 0.5) * bin_width:
            slot -= 1
        if value >= fence > (slot + 0.5) * bin_width:
            slot += 1
        level = piles.get(slot, 0)
        piles[slot] = level + 1
        out.append({"x": (slot + 0.5) * bin_width, "level": level, "past": value >= fence})
    return out


def _two_rows(other_form: float, words: ChartWords, text: float, *, wrap: int) -> Spec:
    """The axis with both chemical forms, the second rounded to tens."""
    said = [line for one in (words.x, words.y) for line in textwrap.wrap(one, wrap or len(one))]
    second = f"format(round(datum.value * {other_form!r} / 10) * 10, ',')"
    return {"grid": False, "tickCount": 5, "title": said, "titleAlign": "left",
            "labelExpr": f"[format(datum.value, ','), {second}]", "titleAnchor": "start",
            "labelLineHeight": text * 1.3}  # fmt: skip


def _rings(values: list[Spec], axis: Spec, step: float, frame: _Frame) -> list[Spec]:
    """Straw this side of the fence, open rings past it."""
    ink, size = frame.palette, math.pi * (step * 0.44) ** 2
    this_side, past = ([v for v in values if v["past"] is side] for side in (False, True))
    return [
        layer("circle", this_side, {"x": {**frame.x, "axis": axis}, "y": frame.y}, size=size,
              fill=ink.straw, stroke=ink.straw_deep, strokeWidth=frame.text / 14, clip=True),
        layer("circle", past, frame.place, size=size, fill=ink.paper, stroke=ink.warn,
              strokeWidth=frame.text / 6, clip=True),
    ]  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Told:
    """A post with its words line by line, whose line it is first, and the side they stand on."""

    at: float
    align: str
    lines: tuple[tuple[str, bool], ...]


def _told(
    posts: Sequence[Post], top: float, *, width: float, text: float, wrap: int
) -> list[_Told]:
    """Posts from left to right with their words, parted where they would run out of the drawing."""
    out: list[_Told] = []
    for post in sorted(posts, key=lambda one: one.at):
        place = post.at / top * width
        before = out[-1].at / top * width if out else 0.0
        on_left = place - before > width - place if wrap else post.at > top * 0.75
        room = place - before if on_left else width - place
        letters = min(wrap, max(int(room / text / _LETTER), _FEWEST))
        said = ((post.above, True), (post.past, False))
        lines = tuple(
            (line, above)
            for words, above in said
            if words
            for line in (textwrap.wrap(words, letters) if wrap else [words])
        )
        out.append(_Told(post.at, "right" if on_left else "left", lines))
    return out


def _fence(posts: Sequence[_Told], frame: _Frame) -> list[Spec]:
    """Posts with their words above them, each on a level of its own so that none collide."""
    if not posts:
        return []
    text, high, place, label = frame.text, frame.high, frame.place, frame.label
    ends = [{"x": p.at, "y": 0, "y2": high - text * label * (n + 1)}
            for n, p in enumerate(posts)]  # fmt: skip
    under = high - text * label * len(posts)
    rails = [{"x": posts[0].at, "x2": frame.top, "y": under - text * d} for d in (0.7, 1.3)]
    ink = frame.palette.ink
    marks = [
        layer("rule", ends, {**place, "y2": {"field": "y2"}}, strokeWidth=text / 3, color=ink),
        layer("rule", rails, {**place, "x2": {"field": "x2"}}, strokeWidth=text / 8, color=ink),
    ]
    for n, post in enumerate(posts):
        marks += _post_words(post, high - text * (label * n + 0.6), frame)
    return marks


def _post_words(post: _Told, at: float, frame: _Frame) -> list[Spec]:
    """Whose line it is, and under that how many bales are past it."""
    ink = frame.palette
    return [
        layer("text", [{"x": post.at, "y": at - frame.text * _LEAD * n, "t": said}], frame.place,
              baseline="middle", fontWeight=600 if above else 400,
              fill=ink.ink if above else ink.warn, align=post.align)
        for n, (said, above) in enumerate(post.lines)
    ]  # fmt: skip


def _strip(
    bag: tuple[float, float, float],
    bag_words: str,
    rows: Sequence[GuideRow],
    width: float,
    frame: _Frame,
) -> list[Spec]:
    """The bag's range over the rows of the guide; words that do not fit their row are left out."""
    text, top, ink = frame.text, frame.top, frame.palette
    value, low, high = bag
    boxes, names = [], []
    for row in rows:
        end = min(top if row.end is None else row.end, top)
        if row.start < end:
            boxes.append({"x": row.start, "x2": end, "y": 0, "y2": text * 2})
            if len(row.words) * text * 0.52 < (end - row.start) / top * width:
                names.append({"x": (row.start + end) / 2, "y": text, "t": row.words})
    middle = text * 3.2
    left, aside = high > top * 0.6, text
    said = [{"x": min(low, top) if left else high, "y": middle, "t": bag_words}]
    if frame.wrap:  # beside the range there is no room: a line of their own, from the axis on
        left, aside = False, 0.0
        said = [{"x": 0, "y": text * 4.8, "t": bag_words}]
    ends = {"x2": {"field": "x2"}}
    return [
        layer("rect", boxes, {**frame.place, **ends, "y2": {"field": "y2"}}, filled=False,
              stroke=ink.line, strokeWidth=text / 12),
        layer("text", names, frame.place, baseline="middle", fill=ink.ink),
        layer("rule", [{"x": min(low, top), "x2": min(high, top), "y": middle}],
              {**frame.place, **ends}, strokeWidth=text / 5, color=ink.ink),
        layer("circle", [{"x": min(value, top), "y": middle}], frame.place,
              size=(text * 0.9) ** 2, fill=ink.ink),
        layer("text", said, frame.place, align="right" if left else "left", baseline="middle",
              dx=-aside if left else aside, fill=ink.ink),
    ]  # fmt: skip
