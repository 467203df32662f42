"""Who eats what: for each group a row for each feed, its pounds a head week by week."""

from __future__ import annotations

import numpy as np

from haywright.bunk.ration.program import Floats
from haywright.bunk.winter.plan import Plan
from haywright.bunk.winter.question import Herd
from haywright.gate.need import mass_from_dry_matter
from haywright.measure.units import convert
from haywright.paper.plot import Frame, month_marks, wide
from haywright.paper.speaker import Speaker, capital
from haywright.paper.svg import Canvas, Picture
from haywright.paper.winter_charts import PAPER, Look
from haywright.paper.winter_matter import WinterMatter

_SEEN = 0.05  # kg of dry matter a head and day: as on a feeding card


def eaten_each(plan: Plan, herd: Herd, words: Speaker) -> list[tuple[str, bool, Floats]]:
    """Each feed a group eats: name, whether held back, by week [lb or kg as it stands], (T,)."""
    unit = "lb" if words.reader.units == "us" else "kg"
    per_head, found = plan.per_head(herd.name), []
    for k, feed in enumerate(plan.feeds):
        hay = next((one for one in plan.question.hays if one.name == feed.name), None)
        if per_head[:, k].max() <= _SEEN:
            continue
        kg = mass_from_dry_matter(per_head[:, k], feed.dm)
        each = np.array([float(convert(float(one), "kg", unit)) for one in kg])
        found.append(
            (
                feed.name,
                hay is not None and min(hay.shares_for(herd.name, plan.question.weeks)) < 1,
                each,
            )
        )
    return found


def strips_picture(matter: WinterMatter, words: Speaker, look: Look = PAPER) -> Picture:
    """Bars a week wide on their own ground lines, all to one scale; straw is hay, ink is held back.

    The largest number of each row stands over its week.
    """
    q, text = matter.plan.question, look.text
    groups = [(herd, eaten_each(matter.plan, herd, words)) for herd in q.herds]
    names = [name for _, rows in groups for name, _, _ in rows]
    left = max([wide(name, text) for name in names], default=0.0) + text * 2
    row, head = text * 2.3, text * 2.2
    height = sum(head + row * len(rows) for _, rows in groups)
    canvas = Canvas(look.width, text * 1.6 + height + text * 2, look.palette)
    canvas.text(0, text, words(f"winter_paper.strips.axis.{words.reader.units}"), size=text,
                fill=look.palette.soft)  # fmt: skip
    y, most = text * 1.6, max([each.max() for _, rows in groups for *_, each in rows], default=1.0)
    for herd, rows in groups:
        y += head
        said = words("winter_paper.group_fed", herd=capital(herd.name), n=round(herd.group.head),
                     fed=words(f"winter_paper.fed.{herd.fed}"))  # fmt: skip
        canvas.text(0, y - text * 0.3, said, size=text, weight=600)
        for name, held, each in rows:
            y += row
            frame = Frame(left, look.width - text / 2, y - row + text, y,
                          (0.0, float(q.weeks)), (0.0, float(most)))  # fmt: skip
            _strip(canvas, frame, name, each, words, text, held=held)
    ground = Frame(left, look.width - text / 2, y, y, (0.0, float(q.weeks)), (0.0, 1.0))
    month_marks(canvas, ground, q.first, words, text=text)
    return canvas.picture(
        title=words("winter_paper.strips.title"),
        description=words("winter_paper.strips.described", groups=tuple(h.name for h in q.herds),
                          weeks=q.weeks),
        head=(words("winter_paper.week_of"),
              *(f"{herd.name}: {name}" for herd, rows in groups for name, *_ in rows)),
        rows=[
            (words.short_day(q.day(n)),
             *(words.count(float(each[n]), 1) for _, rows in groups for *_, each in rows))
            for n in range(q.weeks)
        ],
    )  # fmt: skip


def _strip(
    canvas: Canvas, frame: Frame, name: str, each: Floats, words: Speaker, text: float, *,
    held: bool,
) -> None:  # fmt: skip
    p = canvas.palette
    canvas.line(frame.left, frame.bottom, frame.right, frame.bottom, stroke=p.line, width=text / 18)
    canvas.text(text, frame.bottom - text * 0.1, name, size=text)
    wide_of_week = frame.x(1.0) - frame.x(0.0)
    for week, value in enumerate(each):
        if value <= 0:
            continue
        top = frame.y(float(value))
        canvas.rect(frame.x(week) + wide_of_week * 0.08, top, wide_of_week * 0.84,
                    frame.bottom - top, fill=p.ink if held else p.straw, stroke=p.straw_deep,
                    line=text / 20)  # fmt: skip
    peak = int(np.argmax(each))
    canvas.text(frame.x(peak + 0.5), frame.y(float(each[peak])) - text * 0.15,
                words.count(float(each[peak]), 1), size=text, anchor="middle")  # fmt: skip
