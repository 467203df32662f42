"""The stack as a person sees it standing there: faces, bales, the order to walk them in."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from haywright.paper.svg import Canvas, Picture, Row
from haywright.paper.tokens import PRINT, Palette


class State(StrEnum):
    """What is known of a bale."""

    LEFT = "left"
    PICKED = "picked"
    UNREACHED = "unreached"


@dataclass(frozen=True, slots=True)
class BaleMark:
    """One bale on a face.

    Parameters
    ----------
    number
        The bale's number in the lot.
    column, tier
        Where its left edge stands in bale widths from the left, and the row, 0 on the ground.
    state
        Left alone, picked, or not reached.
    walk
        Its place in the walk, from 1, when picked.
    """

    number: int
    column: float
    tier: int
    state: State = State.LEFT
    walk: int | None = None


@dataclass(frozen=True, slots=True)
class Face:
    """One side of the stack, named as people name it ("South face")."""

    name: str
    bales: tuple[BaleMark, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class MapWords:
    """Ready texts.

    ``head`` names walk, bale, face and tier; ``part`` a piece of a long face, from its first to
    its last column.
    """

    title: str
    description: str
    head: Row
    not_reached: str
    part: str = "{face}, {first} – {last}"


def stack_map(
    faces: Sequence[Face],
    words: MapWords,
    *,
    rectangular: bool = False,
    flat: float = 0.5,
    width: float = 520,
    text: float = 8.5,
    palette: Palette = PRINT,
) -> Picture:
    """Every face in bale circles (or rectangles), picked ones dark with their walking number.

    Parameters
    ----------
    faces
        In the order they are walked.
    words
        Title, description, table heads.
    rectangular, flat
        Square bales, drawn ``flat`` times as high as wide.
    width, text
        Width of the drawing and size of its text, in drawing units; a face too long for readable
        numbers goes on in a second strip.
    palette
        Colours.
    """
    least = text * 1.9
    strips = [strip for face in faces for strip in _strips(face, int(width / least), words.part)]
    widest = max((_columns(strip.bales) for strip in strips), default=1)
    bale = min(width / widest, text * 3.6)
    step = max(bale * flat, text * 1.6) if rectangular else bale * math.sqrt(3) / 2
    one = step if rectangular else bale
    heights = [_height(strip, bale=one, step=step, text=text) for strip in strips]
    canvas = Canvas(width, sum(heights), palette)
    top = 0.0
    for strip, height in zip(strips, heights, strict=True):
        _draw_face(canvas, strip, top, bale=bale, step=step, text=text, rectangular=rectangular)
        top += height
    return canvas.picture(
        title=words.title,
        description=words.description,
        head=words.head,
        rows=_twin(faces, words.not_reached),
    )


def _twin(faces: Iterable[Face], not_reached: str) -> list[Row]:
    picked = [(face, one) for face in faces for one in face.bales if one.state is not State.LEFT]
    picked.sort(key=lambda pair: (pair[1].walk is None, pair[1].walk or pair[1].number))
    return [
        (
            not_reached if one.walk is None else str(one.walk),
            str(one.number),
            face.name,
            str(one.tier + 1),
        )
        for face, one in picked
    ]


def _columns(bales: Sequence[BaleMark]) -> float:
    return max((one.column + 1 for one in bales), default=1) - min(
        (one.column for one in bales), default=0
    )


def _strips(face: Face, most: int, part: str) -> list[Face]:
    """A face in pieces of at most ``most`` columns."""
    columns = _columns(face.bales)
    pieces = max(1, math.ceil(columns / max(most, 1)))
    if pieces == 1:
        return [face]
    each = math.ceil(columns / pieces)
    out = []
    for n in range(pieces):
        inside = tuple(b for b in face.bales if n * each <= b.column + 0.5 < (n + 1) * each)
        if inside:
            last = math.floor(max(one.column for one in inside)) + 1
            name = part.format(face=face.name, first=n * each + 1, last=last)
            out.append(Face(name, inside, face.note))
    return out


def _height(face: Face, *, bale: float, step: float, text: float) -> float:
    tiers = 1 + max((one.tier for one in face.bales), default=0)
    return text * 2.2 + bale + (tiers - 1) * step + text * 1.3


def _draw_face(
    canvas: Canvas,
    face: Face,
    top: float,
    *,
    bale: float,
    step: float,
    text: float,
    rectangular: bool,
) -> None:
    one_high = step if rectangular else bale
    ground = top + _height(face, bale=one_high, step=step, text=text) - text * 1.2
    canvas.text(0, top + text * 1.2, face.name, size=text * 1.1, weight=600)
    if face.note:
        canvas.text(
            canvas.width,
            top + text * 1.2,
            face.note,
            size=text,
            anchor="end",
            fill=canvas.palette.soft,
        )
    first = min((one.column for one in face.bales), default=0)
    for one in face.bales:
        left = (one.column - first) * bale
        bottom = ground - one.tier * step
        _draw_bale(
            canvas,
            one,
            left,
            bottom,
            bale=bale,
            high=step if rectangular else bale,
            rectangular=rectangular,
            text=text,
        )
    canvas.line(0, ground, _columns(face.bales) * bale, ground, width=1)


def _draw_bale(
    canvas: Canvas,
    one: BaleMark,
    left: float,
    bottom: float,
    *,
    bale: float,
    high: float,
    rectangular: bool,
    text: float,
) -> None:
    ink, gap = canvas.palette, bale * 0.03
    dark = one.state is State.PICKED
    fill, stroke = (ink.ink, ink.ink) if dark else ("none", ink.line)
    x, y = left + bale / 2, bottom - high / 2
    if rectangular:
        canvas.rect(
            left + gap,
            bottom - high + gap,
            bale - 2 * gap,
            high - 2 * gap,
            fill=fill,
            stroke=stroke,
            line=text / 10,
        )
    else:
        canvas.circle(x, y, bale / 2 - gap, fill=fill, stroke=stroke, line=text / 10)
    if dark and one.walk is not None:
        canvas.text(
            x,
            y + text * 0.36,
            str(one.walk),
            size=text * 1.1,
            anchor="middle",
            weight=600,
            fill=ink.paper,
        )
    if one.state is State.UNREACHED:
        arm = min(bale, high) * 0.24
        canvas.line(x - arm, y - arm, x + arm, y + arm, width=text / 7)
        canvas.line(x - arm, y + arm, x + arm, y - arm, width=text / 7)
