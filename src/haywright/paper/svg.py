"""Writing SVG: a few marks, text that stays text, a title and a description always."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape, quoteattr

from haywright.paper.tokens import SANS, Palette

Row = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """The table that says the same as a picture."""

    head: Row
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing or chart: SVG text with title and description inside, and its table twin."""

    svg: str
    title: str
    description: str
    twin: Table
    width: float
    height: float


@dataclass(slots=True)
class Canvas:
    """Marks are put on it one after another; ``picture`` closes it.

    Lengths are in units of the drawing; text is set in the shipped sans face.
    """

    width: float
    height: float
    palette: Palette
    marks: list[str] = field(default_factory=list)

    def line(
        self,
        x1: float,
        y1: float,
        x2: float,
        y2: float,
        *,
        stroke: str = "",
        width: float = 1,
        dash: str = "",
    ) -> None:
        """A straight line."""
        self._mark(
            "line",
            x1=x1,
            y1=y1,
            x2=x2,
            y2=y2,
            stroke=stroke or self.palette.ink,
            stroke_width=width,
            stroke_dasharray=dash,
        )

    def rect(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        fill: str = "none",
        stroke: str = "",
        line: float = 1,
    ) -> None:
        """A rectangle by its upper left corner."""
        self._mark(
            "rect",
            x=x,
            y=y,
            width=width,
            height=height,
            fill=fill,
            stroke=stroke or self.palette.ink,
            stroke_width=line,
        )

    def circle(
        self,
        x: float,
        y: float,
        r: float,
        *,
        fill: str = "none",
        stroke: str = "",
        line: float = 1,
        dash: str = "",
    ) -> None:
        """A circle by its middle."""
        self._mark(
            "circle",
            cx=x,
            cy=y,
            r=r,
            fill=fill,
            stroke=stroke or self.palette.ink,
            stroke_width=line,
            stroke_dasharray=dash,
        )

    def path(
        self,
        d: str,
        *,
        fill: str = "none",
        stroke: str = "",
        line: float = 1,
        rule: str = "",
        dash: str = "",
    ) -> None:
        """A path from ready commands."""
        self._mark(
            "path",
            d=d,
            fill=fill,
            stroke=stroke or self.palette.ink,
            stroke_width=line,
            fill_rule=rule,
            stroke_dasharray=dash,
        )

    def text(
        self,
        x: float,
        y: float,
        said: str,
        *,
        size: float = 15,
        anchor: str = "start",
        weight: int = 400,
        fill: str = "",
        halo: bool = False,
    ) -> None:
        """A line of text on its baseline; a halo keeps it apart from what lies beneath."""
        if halo:
            self._text(
                x,
                y,
                said,
                size=size,
                anchor=anchor,
                weight=weight,
                fill=self.palette.paper,
                stroke=self.palette.paper,
                stroke_width=5,
            )
        self._text(
            x, y, said, size=size, anchor=anchor, weight=weight, fill=fill or self.palette.ink
        )

    def _text(
        self,
        x: float,
        y: float,
        said: str,
        *,
        size: float,
        anchor: str,
        weight: int,
        **paint: object,
    ) -> None:
        attributes = _attributes(
            x=x,
            y=y,
            font_family=SANS,
            font_size=size,
            font_weight=weight,
            text_anchor="" if anchor == "start" else anchor,
            **paint,
        )
        self.marks.append(f"<text{attributes}>{escape(said)}</text>")

    def hatch(
        self,
        name: str,
        *,
        stroke: str = "",
        step: float = 5,
        angle: float = 45,
        line: float = 1.6,
    ) -> str:
        """A fill of slanting lines; the name must be unique on the page it comes to stand on."""
        colour = stroke or self.palette.straw_deep
        self.marks.append(
            f'<defs><pattern id="{name}" width="{step:g}" height="{step:g}"'
            f' patternUnits="userSpaceOnUse" patternTransform="rotate({angle:g})">'
            f'<line x1="0" y1="0" x2="0" y2="{step:g}" stroke="{colour}" stroke-width="{line:g}"/>'
            "</pattern></defs>"
        )
        return f"url(#{name})"

    def _mark(self, tag: str, **attributes: object) -> None:
        self.marks.append(f"<{tag}{_attributes(**attributes)}/>")

    def picture(self, *, title: str, description: str, head: Row, rows: Sequence[Row]) -> Picture:
        """The finished picture."""
        size = _attributes(
            viewBox=f"0 0 {self.width:g} {self.height:g}", width=self.width, height=self.height
        )
        svg = (
            f'<svg xmlns="http://www.w3.org/2000/svg" role="img"{size}>'
            f"<title>{escape(title)}</title><desc>{escape(description)}</desc>"
            f"{''.join(self.marks)}</svg>"
        )
        return Picture(svg, title, description, Table(head, tuple(rows)), self.width, self.height)


def _attributes(**attributes: object) -> str:
    return "".join(
        f" {name.replace('_', '-')}={quoteattr(_written(value))}"
        for name, value in attributes.items()
        if value not in ("", None)
    )


def _written(value: object) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
