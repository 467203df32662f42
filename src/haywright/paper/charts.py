"""Charts: one Vega-Lite specification each, drawn to SVG without a browser or the network.

Every chart takes ready words, has a description and a table twin, and uses only the tokens'
colours. Sizes are in the units of the drawing: points on paper, pixels on a page.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any
from xml.sax.saxutils import escape

from haywright.paper.svg import Picture, Table
from haywright.paper.tokens import PRINT, SANS, Palette
from haywright.paper.typeset import FONTS

Spec = dict[str, Any]


@dataclass(frozen=True, slots=True)
class ChartWords:
    """Ready texts: title and description of the chart, axis titles; the table twin."""

    title: str
    description: str
    x: str
    y: str
    twin: Table


@cache
def _ready() -> Any:
    import vl_convert

    vl_convert.register_font_directory(str(FONTS))
    return vl_convert


def drawn(spec: Mapping[str, Any], words: ChartWords, *, text: float, palette: Palette) -> Picture:
    """The SVG of a specification, with title and description inside."""
    whole = {
        "background": None,
        "padding": 2,
        "config": _look(text, palette),
        **spec,
    }
    svg: str = _ready().vegalite_to_svg(whole, allowed_base_urls=[])
    start = svg.index(">", svg.index("<svg")) + 1
    said = f"<title>{escape(words.title)}</title><desc>{escape(words.description)}</desc>"
    width, height = _size(svg)
    return Picture(
        svg[:start] + said + svg[start:], words.title, words.description, words.twin, width, height
    )


def _size(svg: str) -> tuple[float, float]:
    tag = svg[svg.index("<svg") : svg.index(">", svg.index("<svg"))]
    found = [float(tag.split(f'{name}="')[1].split('"')[0]) for name in ("width", "height")]
    return found[0], found[1]


def _look(text: float, palette: Palette) -> Spec:
    words = {"labelFont": SANS, "titleFont": SANS, "labelFontSize": text, "titleFontSize": text}
    return {
        "font": SANS,
        "view": {"stroke": None},
        # the picture has a description as a whole; where each mark stands is nothing to read out
        "mark": {"aria": False},
        "axis": {
            **words,
            "labelColor": palette.ink,
            "titleColor": palette.soft,
            "titleFontWeight": "normal",
            "domainColor": palette.ink,
            "tickColor": palette.ink,
            "tickSize": text / 2,
            "gridColor": palette.rule,
            "gridWidth": text / 15,
        },
        "text": {"font": SANS, "fontSize": text, "fill": palette.ink},
    }


def field(name: str, **more: Any) -> Spec:
    """A quantity of the data on an axis."""
    return {"field": name, "type": "quantitative", **more}


def span(low: float, high: float) -> Spec:
    """An axis that ends where it is told to."""
    return {"domain": [low, high], "nice": False}


def layer(kind: str, values: Sequence[Mapping[str, Any]], place: Spec, **mark: Any) -> Spec:
    """One kind of mark on its data; a "t" in the data is what a text mark says."""
    if kind == "text":
        place = {**place, "text": {"field": "t"}}
    if kind in {"point", "circle"}:
        mark = {"opacity": 1, "filled": True, **mark}
    return {"data": {"values": list(values)}, "mark": {"type": kind, **mark}, "encoding": place}


def half_width_chart(
    points: Sequence[tuple[int, float]],
    words: ChartWords,
    *,
    chosen: int,
    chosen_words: str,
    target: float | None = None,
    target_words: str = "",
    floor: float | None = None,
    floor_words: str = "",
    width: float = 340,
    height: float = 110,
    text: float = 8.5,
    palette: Palette = PRINT,
) -> Picture:
    """What each further core buys: half-width against cores, the plan's number marked.

    ``target`` is the half-width asked for, ``floor`` what the laboratory alone leaves; both on
    the axis of ``points``.
    """
    at = dict(points)
    top = max(*at.values(), target or 0) * 1.1
    x = field("n", title=words.x, scale=span(0, max(at)), axis={"grid": False})
    over = {"titleAngle": 0, "titleAlign": "left", "titleAnchor": "start", "titleX": 0,
            "titleY": -text * 1.2}  # fmt: skip
    y = field("h", title=words.y, scale=span(0, top),
              axis={"domain": False, "ticks": False, "tickCount": 5, **over})  # fmt: skip
    curve = [{"n": n, "h": h} for n, h in points]
    layers = [layer("line", curve, {"x": x, "y": y}, color=palette.ink, strokeWidth=text / 5)]
    right = max(at)
    if target is not None:
        values = [{"n": 0, "h": target, "t": target_words}]
        layers += _level(values, [4, 3], "left", text=text, palette=palette)
    if floor is not None:
        values = [{"n": right, "h": floor, "t": floor_words}]
        layers += _level(values, [1, 2], "right", text=text, palette=palette)
    above = max(at[chosen], target or 0) + top * 0.16
    dot = [{"n": chosen, "h": at[chosen], "above": above, "t": chosen_words}]
    layers += _dot(dot, text=text, palette=palette)
    spec = {"width": width, "height": height, "layer": layers}
    return drawn(spec, words, text=text, palette=palette)


def _level(
    values: list[Spec], dash: list[int], end: str, *, text: float, palette: Palette
) -> list[Spec]:
    """A line across the chart with its words under one end, where the curve does not run."""
    place = {"x": field("n"), "y": field("h")}
    aside = text / 2 if end == "left" else 0
    rule = layer("rule", values, {"y": field("h")}, strokeDash=dash, color=palette.ink)
    said = layer("text", values, place, align=end, baseline="top", dx=aside, dy=text / 3,
                 fill=palette.ink)  # fmt: skip
    return [rule, said]


def _dot(values: list[Spec], *, text: float, palette: Palette) -> list[Spec]:
    """A dot with its words on a thin line above it."""
    x, y = field("n"), field("h")
    return [
        layer("rule", values, {"x": x, "y": y, "y2": {"field": "above"}}, strokeWidth=text / 12,
              color=palette.ink),
        layer("point", values, {"x": x, "y": y}, fill=palette.ink, stroke=palette.paper,
              strokeWidth=text / 8, size=(text * 0.9) ** 2),
        layer("text", values, {"x": x, "y": field("above")}, align="left", baseline="middle",
              dx=text / 2, fontWeight=600, fill=palette.ink),
    ]  # fmt: skip


def budget_chart(
    shares: Sequence[tuple[str, float, str]],
    words: ChartWords,
    *,
    width: float = 260,
    text: float = 8.5,
    palette: Palette = PRINT,
) -> Picture:
    """Where the doubt of a number comes from: (name, share of the variance [0 to 1], its words)."""
    rows = [{"name": name, "share": share * 100, "t": said} for name, share, said in shares]
    names = {"domain": False, "ticks": False, "labelLimit": width}
    y = {"field": "name", "type": "nominal", "sort": None, "title": None, "axis": names}
    x = field("share", title=words.x, scale=span(0, 100), axis={"grid": False, "tickCount": 5})
    place = {"x": x, "y": y}
    layers = [
        layer("bar", rows, place, height=text * 1.1, fill=palette.straw,
              stroke=palette.straw_deep, strokeWidth=text / 12),
        layer("text", rows, place, align="left", dx=text / 2, fill=palette.ink),
    ]  # fmt: skip
    spec = {"width": width, "height": {"step": text * 2.2}, "layer": layers}
    return drawn(spec, words, text=text, palette=palette)
