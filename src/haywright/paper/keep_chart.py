"""What the next tons of a lot are worth on the place, as steps, beside what is offered for them."""

from __future__ import annotations

from haywright.bunk.winter.keep_price import Step
from haywright.paper.plot import Frame, level_lines, outline, ticks, wide
from haywright.paper.speaker import Speaker
from haywright.paper.svg import Canvas, Picture
from haywright.paper.winter_charts import PAPER, Look
from haywright.paper.winter_matter import Offer, Scale, WinterMatter, scale_of, sold_up_to

_DASHES = ((), (4.0, 3.0), (1.0, 2.0))


def keep_picture(matter: WinterMatter, lot: str, words: Speaker, look: Look = PAPER) -> Picture:
    """Steps filled from zero; offers as lines as long as what they take, a dot where to stop."""
    scale = scale_of(matter, words)
    dm = matter.hay(lot).feed.dm
    steps, offers = matter.keep[lot], matter.offers_for(lot)
    tons = sum(scale.tons(one.amount, dm) for one in steps)
    prices = [scale.per_ton(one.worth, dm) for one in steps]
    prices += [scale.per_ton(one.price, dm) for one in offers]
    levels = ticks(max(*prices, 0.0))
    text = look.text
    left = text + max(wide(scale.money(one), text) for one in levels)
    frame = Frame(left, look.width - text, text * 2.2, text * 2.2 + look.height, (0.0, tons),
                  (0.0, levels[-1]))  # fmt: skip
    canvas = Canvas(look.width, frame.bottom + text * 2.9, look.palette)
    level_lines(canvas, frame, [(one, scale.money(one)) for one in levels], text=text)
    _fill(canvas, frame, steps, dm, scale, text)
    _tons_axis(canvas, frame, lot, words, scale, text)
    for n, one in enumerate(offers):
        _offer(canvas, frame, matter, one, n, scale, text)
    canvas.text(0, text, words(f"winter_paper.keep.axis.{scale.ton}"), size=text,
                fill=look.palette.soft)  # fmt: skip
    return canvas.picture(
        title=words("winter_paper.keep.title", lot=lot),
        description=words(
            "winter_paper.keep.described", n=len(steps), lot=lot,
            low=scale.money(prices[0]), high=scale.money(prices[len(steps) - 1]),
        ),
        head=(words("winter_paper.keep.from"), words("winter_paper.keep.to"),
              words("winter_paper.keep.worth")),
        rows=_rows(steps, dm, scale, words),
    )  # fmt: skip


def _rows(
    steps: tuple[Step, ...], dm: float, scale: Scale, words: Speaker
) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    start = 0.0
    for one in steps:
        end = start + scale.tons(one.amount, dm)
        price = scale.money(scale.per_ton(one.worth, dm))
        rows.append((words.count(start, 1), words.count(end, 1), price))
        start = end
    return rows


def _fill(
    canvas: Canvas, frame: Frame, steps: tuple[Step, ...], dm: float, scale: Scale, text: float
) -> None:
    points, start = [(frame.x(0.0), frame.y(0.0))], 0.0
    for one in steps:
        end, price = start + scale.tons(one.amount, dm), max(scale.per_ton(one.worth, dm), 0.0)
        points += [(frame.x(start), frame.y(price)), (frame.x(end), frame.y(price))]
        start = end
    points.append((frame.x(start), frame.y(0.0)))
    canvas.path(outline(points), fill=canvas.palette.straw, stroke=canvas.palette.straw_deep,
                line=text / 9)  # fmt: skip
    start = 0.0
    for one in steps:
        end, price = start + scale.tons(one.amount, dm), scale.per_ton(one.worth, dm)
        said, middle = scale.money(price), (frame.x(start) + frame.x(end)) / 2
        if wide(said, text) < frame.x(end) - frame.x(start) and price > 0:
            canvas.text(middle, frame.bottom - text / 2, said, size=text, anchor="middle")
            if start > 0:
                canvas.line(frame.x(start), frame.y(price), frame.x(start), frame.bottom,
                            width=text / 14)  # fmt: skip
        start = end


def _tons_axis(
    canvas: Canvas, frame: Frame, lot: str, words: Speaker, scale: Scale, text: float
) -> None:
    for one in ticks(frame.x_range[1], most=8):
        if one > frame.x_range[1] * (1 + 1e-9):
            continue
        x = frame.x(one)
        canvas.line(x, frame.bottom, x, frame.bottom + text / 2, width=text / 12)
        digits = 0 if one == round(one) else 1
        canvas.text(x, frame.bottom + text * 1.5, words.count(one, digits), size=text,
                    anchor="middle")  # fmt: skip
    canvas.text(frame.right, frame.bottom + text * 2.7,
                words(f"winter_paper.keep.sold.{scale.ton}", lot=lot), size=text, anchor="end",
                fill=canvas.palette.soft)  # fmt: skip


def _offer(
    canvas: Canvas, frame: Frame, matter: WinterMatter, one: Offer, n: int, scale: Scale,
    text: float,
) -> None:  # fmt: skip
    """A line at the price, its name above it, and a dot where to stop selling."""
    dm = matter.hay(one.lot).feed.dm
    whole = frame.x_range[1]
    end = whole if one.most is None else min(scale.tons(one.most, dm), whole)
    price = scale.per_ton(one.price, dm)
    y, dash = frame.y(price), " ".join(f"{d:g}" for d in _DASHES[n % len(_DASHES)])
    canvas.line(frame.left, y, frame.x(end), y, stroke=canvas.palette.paper, width=text / 2.5)
    canvas.line(frame.left, y, frame.x(end), y, width=text / 5, dash=dash)
    said = scale.words("winter_paper.keep.offer", who=one.who, price=scale.money(price))
    above = n % 2 == 0
    canvas.text(frame.left + text / 2, y - text * 0.5 if above else y + text * 1.2, said, size=text,
                weight=600, halo=True)  # fmt: skip
    stop = scale.tons(sold_up_to(matter.keep[one.lot], one), dm)
    if stop > 0:
        canvas.circle(frame.x(min(stop, whole)), y, text * 0.42, fill=canvas.palette.ink,
                      stroke=canvas.palette.paper, line=text / 6)  # fmt: skip
