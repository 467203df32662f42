"""The doubt of one result drawn: a bar for each thing it comes from, in the result's own unit."""

from __future__ import annotations

import math

from haywright.bench.budgets import Budget
from haywright.bench.report import digits_of
from haywright.measure.analytes import quantity
from haywright.measure.message import Amount
from haywright.paper.speaker import Speaker
from haywright.paper.svg import Canvas, Picture
from haywright.paper.tokens import PRINT, Palette
from haywright.words.numbers import NBSP

# A part worth less than this share of the whole doubt is told with the others as one [fraction].
_SMALL = 0.02
_OTHERS = "small"


def budget_bars(
    one: Budget,
    words: Speaker,
    *,
    width: float = 390,
    text: float = 8.5,
    palette: Palette = PRINT,
) -> Picture:
    """Draw where the doubt of one result comes from.

    Parameters
    ----------
    one
        The budget.
    words
        Who reads it.
    width
        Width of the drawing [points].
    text
        Size of its letters [points].
    palette
        Its colours.
    """
    rows = [(words(f"bench_paper.budget.{kind}"), u, False) for kind, u in shown_parts(one)]
    rows.append((words("bench_paper.budget.together"), one.u, True))
    step = text * 1.8
    canvas = Canvas(width, step * len(rows) + text * 0.8, palette)
    left, right = width * 0.42, width * 0.82
    for n, (label, u, whole) in enumerate(rows):
        y = step * n + text * 0.4 + (text * 0.4 if whole else 0.0)
        weight = 600 if whole else 400
        if whole:
            canvas.line(0, y - text * 0.25, width, y - text * 0.25, width=text / 14)
        canvas.text(0, y + text, label, size=text, weight=weight)
        bar = max((right - left) * u / one.u, 0.6)
        fill = palette.hay2 if whole else palette.straw
        canvas.rect(left, y + text * 0.15, bar, text, fill=fill, stroke=palette.straw_deep,
                    line=text / 14)  # fmt: skip
        canvas.text(left + bar + text / 2, y + text, part_said(u, one, words), size=text,
                    weight=weight)  # fmt: skip
    bag, name = one.bag, words.name(one.result.analyte)
    return canvas.picture(
        title=words("bench_paper.budget.title", bag=bag, quantity=name),
        description=words(
            "bench_paper.budget.described",
            largest=rows[0][0],
            u=part_said(one.u, one, words),
            half=amount_said(one.half, one, words),
        ),
        head=(words("bench_paper.budget.from"), words("bench_paper.budget.u")),
        rows=[(label, part_said(u, one, words)) for label, u, _ in rows],
    )


def shown_parts(one: Budget) -> list[tuple[str, float]]:
    """The parts worth a bar of their own, the largest first, and the rest put together."""
    large = [(kind, u) for kind, u in one.parts.items() if u >= _SMALL * one.u]
    rest = math.sqrt(sum(u * u for kind, u in one.parts.items() if (kind, u) not in large))
    return [*large, (_OTHERS, rest)] if rest > 0 else large


def part_said(u: float, one: Budget, words: Speaker) -> str:
    """A part of the doubt with two digits that count, in the unit of the result."""
    digits = max(0, 1 - math.floor(math.log10(u))) if u > 0 else 0
    unit = words.unit(one.result.analyte)
    said = words.count(u, digits)
    return f"{said}{NBSP}{unit}" if unit else said


def amount_said(half: float, one: Budget, words: Speaker) -> str:
    """The expanded doubt as the report says it, in the unit of the result."""
    entry = quantity(one.result.analyte)
    digits = digits_of(entry.id, half)
    return words("paper.amount", amount=Amount(half, entry.unit, analyte=entry.id, digits=digits))
