"""Names of stacked bands: inside where there is room, else above with a line down to the band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from haywright.bunk.ration.program import Floats
from haywright.paper.plot import Fill, wide
from haywright.paper.svg import Canvas

_ROOM = 1.2  # of the text size: a band this high holds a name
_ROW = 1.5  # of the text size: names above each other
_INNER, _THICK = (0.04, 0.8), 0.6  # of the plot, of the thickest: where a line may end
_APART = 2.0  # of the text size: lines beside each other
_DUST = 0.5  # units of the drawing: a band this thin is not there


@dataclass(frozen=True, slots=True)
class Band:
    """One band as drawn.

    Parameters
    ----------
    name
        What it is.
    x
        Places across [units of the drawing], (N,).
    upper, lower
        Its edges [units of the drawing, downward], (N,).
    fill
        How it is filled.
    """

    name: str
    x: Floats
    upper: Floats
    lower: Floats
    fill: Fill

    @property
    def thick(self) -> Floats:
        """How thick it is at each place [units of the drawing], (N,)."""
        return np.asarray(self.lower - self.upper, dtype=np.float64)


def place_inside(one: Band, text: float) -> tuple[float, float] | None:
    """Middle of a name that lies wholly in its band; ``None`` where it does not fit [as text].

    Parameters
    ----------
    one
        The band.
    text
        Size of the name [units of the drawing].
    """
    half = wide(one.name, text) / 2 + text / 2
    best, found = _ROOM * text, None
    for middle in one.x:
        near = (one.x >= middle - half) & (one.x <= middle + half)
        if middle - half < one.x[0] or middle + half > one.x[-1] or near.sum() < 2:
            continue
        top, foot = float(one.upper[near].max()), float(one.lower[near].min())
        if foot - top > best:
            best, found = foot - top, (float(middle), (top + foot) / 2)
    return found


@dataclass(frozen=True, slots=True)
class Above:
    """A name above the bands: its row from the foot, its left end, and where its line ends."""

    name: str
    row: int
    left: float
    at: tuple[float, float]


def place_above(
    bands: Sequence[Band], top: Floats, left: float, right: float, text: float
) -> list[Above]:
    """Names of bands without room inside, in rows in which none touches another.

    Parameters
    ----------
    bands
        Those to be named.
    top
        Upper edge of the whole stack at each place [units of the drawing, downward], (N,).
    left, right
        Edges [units of the drawing].
    text
        Size of a name [units of the drawing].
    """
    found: list[Above] = []
    for one in sorted(bands, key=lambda band: float(band.x[int(np.argmax(band.thick))])):
        places = _places(one, top)
        apart = [at for at in places if all(abs(at[0] - o.at[0]) > _APART * text for o in found)]
        spots = [_spot(one, at, found, left, right, text) for at in apart or places[:1]]
        found.append(min(spots, key=lambda spot: spot.row))
    return found


def _places(one: Band, top: Floats) -> list[tuple[float, float]]:
    """Where a line may end: the middle of the band where it is thick, least of others crossed."""
    x, thick = one.x, one.thick
    first, last = (x[0] + share * (x[-1] - x[0]) for share in _INNER)
    inner = np.flatnonzero((x > first) & (x < last) & (thick > _THICK * thick.max()))
    wanted = inner if len(inner) else np.array([int(np.argmax(thick))])
    crossed = (one.upper - top)[wanted] - thick[wanted]
    order = wanted[np.argsort(crossed, kind="stable")]
    return [(float(x[n]), float(one.upper[n] + one.lower[n]) / 2) for n in order]


def _spot(one: Band, at: tuple[float, float], found: Sequence[Above],
          left: float, right: float, text: float) -> Above:  # fmt: skip
    """The lowest row in which a name and its line touch no other name nor line."""
    start = min(max(at[0] + text / 3, left), right - wide(one.name, text))
    rows = (Above(one.name, row, start, at) for row in range(len(found)))
    clear = (mine for mine in rows if not any(_touch(mine, other, text) for other in found))
    return next(clear, Above(one.name, len(found), start, at))


def _touch(mine: Above, other: Above, text: float) -> bool:
    """Whether two names touch, or the line of the upper one runs through the lower one."""
    if mine.row == other.row:
        (a, b), (c, d) = _ends(mine, text), _ends(other, text)
        return a <= d and c <= b
    upper, lower = (mine, other) if mine.row > other.row else (other, mine)
    start, end = _ends(lower, text)
    return start + text <= upper.at[0] <= end - text / 2


def _ends(one: Above, text: float) -> tuple[float, float]:
    return one.left - text, one.left + wide(one.name, text) + text


def seen(bands: Sequence[Band]) -> list[Band]:
    """Bands thick enough to be seen anywhere."""
    return [one for one in bands if one.thick.max() > _DUST]


def strip_height(names: Sequence[Above], text: float) -> float:
    """Room above the plot that the names take [as text].

    Parameters
    ----------
    names
        Those above.
    text
        Size of a name [units of the drawing].
    """
    return text * _ROW * (1 + max((one.row for one in names), default=-1))


def name_bands(canvas: Canvas, bands: Sequence[Band], above: Sequence[Above], top: float,
               text: float) -> None:  # fmt: skip
    """Write every name; those above get a line to a dot in their band.

    Parameters
    ----------
    canvas
        What is drawn on.
    bands
        All that are seen.
    above
        Names that stand above.
    top
        Foot of the lowest name above [units of the drawing].
    text
        Size of a name [units of the drawing].
    """
    p = canvas.palette
    for one in above:
        x, y = one.at
        foot = top - text * _ROW * one.row
        canvas.line(x, foot - text, x, y, stroke=p.paper, width=text / 3)
        canvas.line(x, foot - text, x, y, width=text / 12)
        canvas.circle(x, y, text / 4, fill=p.ink, stroke=p.paper, line=text / 10)
    for one in above:
        foot = top - text * _ROW * one.row
        canvas.text(one.left, foot - text * 0.2, one.name, size=text, weight=600, halo=True)
    outside = {one.name for one in above}
    for held in bands:
        inside = None if held.name in outside else place_inside(held, text)
        if inside is not None:
            canvas.text(inside[0], inside[1] + text * 0.35, held.name, size=text, weight=600,
                        anchor="middle", halo=True)  # fmt: skip
