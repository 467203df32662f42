"""The control chart of a check sample: its runs, its limits, and where a rule fired."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from haywright.bench.charts import Chart, rules
from haywright.measure.message import message
from haywright.paper.charts import ChartWords, drawn, field, layer, span
from haywright.paper.speaker import Speaker
from haywright.paper.svg import Picture, Table
from haywright.paper.tokens import PRINT, SANS, Palette


def control_chart(
    runs: Sequence[tuple[date, float]],
    chart: Chart,
    fired: Mapping[str, tuple[int, ...]],
    words: Speaker,
    *,
    check: str,
    analyte: str,
    width: float = 430,
    height: float = 150,
    text: float = 8.5,
    palette: Palette = PRINT,
) -> Picture:
    """Draw a control chart.

    Parameters
    ----------
    runs
        Day and result of each run, oldest first [unit of the quantity].
    chart
        Center line and scatter.
    fired
        Rule -> places where it fired, counted from 1.
    check, analyte
        Which check sample, and what of it.
    """
    said = _words(runs, chart, fired, words, check=check, analyte=analyte)
    where = sorted({place for places in fired.values() for place in places})
    values = [value for _, value in runs]
    low = min(*values, chart.action[0]) - chart.sd / 2
    high = max(*values, chart.action[1]) + chart.sd / 2
    x = field("n", title=said.x, scale=span(0.5, len(runs) + 0.5), axis={"grid": False})
    y = field("v", title=said.y, scale=span(low, high), axis={"grid": False, "tickCount": 5})
    points = [{"n": n, "v": value} for n, value in enumerate(values, 1)]
    marked = [{**points[place - 1], "t": str(place)} for place in where]
    lines = [
        ("center", (chart.center,), [], 1.6),
        ("warning", chart.warning, [4, 3], 1.0),
        ("action", chart.action, [], 1.0),
    ]
    place = {"x": x, "y": y}
    layers = []
    for name, levels, dash, wide in lines:
        ends = [
            {"n": len(runs) + 0.5, "v": level,
             "t": words(f"bench_paper.chart.{name}", value=words.figure(level, analyte))}
            for level in levels
        ]  # fmt: skip
        layers += [
            layer("rule", ends, {"y": y}, strokeDash=dash, strokeWidth=text / 10 * wide,
                  color=palette.ink),
            layer("text", ends, place, align="left", dx=text / 2, fill=palette.ink),
        ]  # fmt: skip
    layers += [
        layer("line", points, place, color=palette.line, strokeWidth=text / 12),
        layer("point", points, place, fill=palette.straw, stroke=palette.straw_deep,
              strokeWidth=text / 12, size=(text * 0.7) ** 2),
        layer("point", marked, place, fill=palette.ink, stroke=palette.ink,
              size=(text * 0.9) ** 2),
        layer("text", marked, place, dy=-text * 1.1, fontWeight=600, fill=palette.paper,
              stroke=palette.paper, strokeWidth=text / 2),
        layer("text", marked, place, dy=-text * 1.1, fontWeight=600, fill=palette.ink),
    ]  # fmt: skip
    spec: dict[str, Any] = {"width": width, "height": height, "layer": layers}
    if told := _told(fired, words):
        spec["title"] = {"text": told, "orient": "bottom", "anchor": "start", "font": SANS,
                         "fontSize": text, "fontWeight": "normal", "color": palette.ink,
                         "lineHeight": text * 1.5, "offset": text}  # fmt: skip
    return drawn(spec, said, text=text, palette=palette)


def _told(fired: Mapping[str, tuple[int, ...]], words: Speaker) -> list[str]:
    """A line for each rule that fired: its name, whether it stops, and the runs."""
    return [
        words(
            "bench_paper.chart.fired",
            rule=rules()[name].name,
            runs=tuple(map(str, places)),
            kind=message("bench.chart.warns" if rules()[name].warns else "bench.chart.stops"),
        )
        for name, places in fired.items()
        if places
    ]


def _words(
    runs: Sequence[tuple[date, float]],
    chart: Chart,
    fired: Mapping[str, tuple[int, ...]],
    words: Speaker,
    *,
    check: str,
    analyte: str,
) -> ChartWords:
    told = [rule for rule, places in fired.items() if places]
    names = {n: [rules()[r].name for r in told if n in fired[r]] for n in range(1, len(runs) + 1)}
    rows = [
        (str(n), words.day(day), words.figure(value, analyte), "; ".join(names[n]))
        for n, (day, value) in enumerate(runs, 1)
    ]
    head = [words(f"paper.chart.{name}") for name in ("run", "day", "found", "rules")]
    unit = words.unit(analyte)
    return ChartWords(
        title=words("paper.chart.title", check=check, quantity=words.name(analyte)),
        description=words(
            "paper.chart.described",
            runs=len(runs),
            center=words.figure(chart.center, analyte),
            low=words.figure(chart.action[0], analyte),
            high=words.figure(chart.action[1], analyte),
            fired=sum(bool(places) for places in names.values()),
        ),
        x=words("paper.chart.run"),
        y=f"{words.name(analyte)}, {unit}" if unit else words.name(analyte),
        twin=Table(tuple(head), tuple(rows)),
    )
