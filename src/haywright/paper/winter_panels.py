"""Body condition by week, a panel for each group; and what the winter's cost is made of."""

from __future__ import annotations

from datetime import date

import numpy as np

from haywright.bunk.ration.program import Floats
from haywright.bunk.winter.plan import Plan
from haywright.bunk.winter.question import WEEK, Herd
from haywright.paper.plot import Frame, level_lines, month_marks, outline, wide
from haywright.paper.speaker import Speaker
from haywright.paper.svg import Canvas, Picture
from haywright.paper.winter_charts import PAPER, Look
from haywright.paper.winter_matter import Scale, WinterMatter, scale_of

PARTS = ("feeds", "hay_bought", "handling", "hay_sold", "head_sold", "minerals_aside", "hay_left")
_SCORE = 0.5  # of a score: room over and under the line
_DIGITS = 2


def with_condition(plan: Plan) -> list[tuple[Herd, Floats]]:
    """Groups whose condition is planned, with it by week [score], (T + 1,)."""
    found = []
    for herd in plan.question.herds:
        scores = plan.condition(herd.name)
        if scores is not None:
            found.append((herd, scores))
    return found


def condition_picture(matter: WinterMatter, words: Speaker, look: Look = PAPER) -> Picture | None:
    """Condition by week with the floor it keeps and the target at calving; ``None`` for none."""
    q, groups = matter.plan.question, with_condition(matter.plan)
    if not groups:
        return None
    text, gap = look.text, look.text * 3
    each = (look.width - gap * (len(groups) - 1)) / len(groups)
    low = np.floor(min(min(s.min(), h.floor) for h, s in groups) - _SCORE)
    high = np.ceil(max(max(s.max(), h.target or 0) for h, s in groups) + _SCORE / 2)
    levels = [(float(n), words.count(float(n))) for n in np.arange(low, high + 1)]
    canvas = Canvas(look.width, look.height + text * 5, look.palette)
    canvas.text(0, text, words("winter_paper.condition.axis"), size=text, fill=look.palette.soft)
    for n, (herd, scores) in enumerate(groups):
        left = n * (each + gap)
        frame = Frame(left + text * 1.6, left + each, text * 3.1, text * 3.1 + look.height,
                      (0.0, float(q.weeks)), (float(low), float(high)))  # fmt: skip
        canvas.text(left, text * 2.6, herd.name, size=text, weight=600)
        level_lines(canvas, frame, levels, text=text)
        month_marks(canvas, frame, q.first, words, text=text)
        _panel(canvas, frame, herd, scores, q.first, words, text)
    return canvas.picture(
        title=words("winter_paper.condition.title"),
        description=words(
            "winter_paper.condition.described",
            groups=tuple(
                words("winter_paper.condition.group", herd=herd.name,
                      start=words.count(float(scores[0]), 1), end=words.count(float(scores[-1]), 1),
                      least=words.count(herd.floor, 1))
                for herd, scores in groups
            ),
        ),
        head=(words("winter_paper.week_of"), *(herd.name for herd, _ in groups)),
        rows=[
            (words.short_day(q.day(n)), *(words.count(float(s[n]), _DIGITS) for _, s in groups))
            for n in range(q.weeks + 1)
        ],
    )  # fmt: skip


def _panel(
    canvas: Canvas, frame: Frame, herd: Herd, scores: Floats, first: date, words: Speaker,
    text: float,
) -> None:  # fmt: skip
    y = frame.y(herd.floor)
    canvas.line(frame.left, y, frame.right, y, width=text / 8, dash=f"{text / 2:g} {text / 3:g}")
    said = words("winter_paper.condition.least", least=words.count(herd.floor, 1))
    canvas.text(frame.left + text / 3, y + text * 1.2, said, size=text, halo=True)
    points = [(frame.x(n), frame.y(float(v))) for n, v in enumerate(scores)]
    canvas.path(outline(points, closed=False), stroke=canvas.palette.paper, line=text / 2.5)
    canvas.path(outline(points, closed=False), line=text / 5)
    due = herd.group.due
    if due is None or herd.target is None:
        return
    week = (due - first).days / WEEK
    if not 0 <= week <= frame.x_range[1]:
        return
    x, top = frame.x(week), frame.y(herd.target)
    canvas.line(x, top, x, frame.bottom, width=text / 12, dash=f"{text / 8:g} {text / 4:g}")
    canvas.circle(x, top, text * 0.5, fill=canvas.palette.paper, line=text / 8)
    said = words("winter_paper.condition.target", target=words.count(herd.target, 1))
    canvas.text(min(x, frame.right - wide(said, text) / 2), top - text * 0.9, said, size=text,
                anchor="middle", halo=True)  # fmt: skip


def parts_of(plan: Plan) -> list[tuple[str, float]]:
    """Parts of the cost that are not nothing: name and money; sales and what is left below 0."""
    costs = plan.costs()
    return [(name, costs[name]) for name in PARTS if abs(costs[name]) >= 1 / 2]


def cost_picture(matter: WinterMatter, words: Speaker, look: Look = PAPER) -> Picture:
    """What the winter costs, part by part: spent to the right, earned or left over to the left."""
    scale, text = scale_of(matter, words), look.text
    parts = parts_of(matter.plan)
    total = sum(value for _, value in parts)
    rows = [(words(f"winter_paper.cost.{name}"), value) for name, value in parts]
    rows.append((words("winter_paper.cost.total"), total))
    names = max(wide(name, text) for name, _ in rows) + text
    figures = max(wide(scale.money(value), text) for _, value in rows) + text
    low, high = min(0.0, *(v for _, v in rows)), max(1.0, *(v for _, v in rows))
    left_room = figures if low < 0 else 0.0
    frame = Frame(names + left_room, look.width - figures, 0.0, 0.0, (low, high), (0.0, 1.0))
    canvas = Canvas(look.width, text * (1.9 * len(rows) + 1.2), look.palette)
    for n, (name, value) in enumerate(rows):
        _bar(canvas, frame, n, name, value, scale, text, whole=n == len(rows) - 1)
    zero = frame.x(0.0)
    canvas.line(zero, text * 0.4, zero, canvas.height - text * 0.4, width=text / 10)
    return canvas.picture(
        title=words("winter_paper.cost.title"),
        description=words("winter_paper.cost.described", total=scale.money(total)),
        head=(words("winter_paper.cost.part"), words("winter_paper.cost.money")),
        rows=[(name, scale.money(value)) for name, value in rows],
    )


def _bar(
    canvas: Canvas, frame: Frame, n: int, name: str, value: float, scale: Scale, text: float, *,
    whole: bool,
) -> None:  # fmt: skip
    y = text * (0.9 + 1.9 * n + (0.3 if whole else 0.0))
    weight = 600 if whole else 400
    start, end = sorted((frame.x(0.0), frame.x(value)))
    if whole:
        canvas.line(0, y - text * 0.4, canvas.width, y - text * 0.4, width=text / 14)
    canvas.rect(start, y, max(end - start, 0.5), text * 1.2, line=text / 10,
                fill=canvas.palette.ink if whole else canvas.palette.straw,
                stroke=canvas.palette.straw_deep)  # fmt: skip
    foot = y + text * 0.95
    canvas.text(0, foot, name, size=text, weight=weight)
    if value < 0:
        canvas.text(start - text / 2, foot, scale.money(value), size=text, anchor="end",
                    weight=weight)  # fmt: skip
    else:
        canvas.text(end + text / 2, foot, scale.money(value), size=text, weight=weight)
