"""The sections of the winter plan on paper."""

from __future__ import annotations

from haywright.bunk.hazards.nitrate import told
from haywright.bunk.winter import says
from haywright.bunk.winter.question import WEEK, Hay
from haywright.measure.message import Message, message
from haywright.paper import blocks
from haywright.paper.emergency import call_card
from haywright.paper.keep_chart import keep_picture
from haywright.paper.speaker import Speaker, capital
from haywright.paper.stretches import Stretch, stretches
from haywright.paper.strips import strips_picture
from haywright.paper.svg import Picture
from haywright.paper.winter_charts import Look, on_hand_picture, put_out_picture
from haywright.paper.winter_matter import (
    Scale,
    WinterMatter,
    all_on_hand,
    as_it_stands,
    gain_over_keeping,
    head_days,
    purchases,
    scale_of,
    sold_up_to,
    spent,
)
from haywright.paper.winter_panels import condition_picture, cost_picture

_DUST = 1.0  # kg
_WHOLE, _NARROW, _HALF = 500, 390, 240  # points: whole width, beside a side-head, half

Section = blocks.Block


def bales(count: float, words: Speaker) -> str:
    """A number of bales: finer where it is less than one."""
    return words.count(count, 2 if count < 1 else 1)


def hand_section(matter: WinterMatter, words: Speaker) -> Section:
    """Hay on hand, as the picture at the head of the plan."""
    said = (
        "winter_paper.hand.caption_hard" if matter.hard is not None else "winter_paper.hand.caption"
    )
    drawn = on_hand_picture(matter, words, Look(width=_WHOLE, height=110, page="hand"))
    return blocks.section(
        words("winter_paper.hand.head"),
        blocks.picture(drawn, width=drawn.width, caption=words(said)),
        heavy=True, wide=True,
    )  # fmt: skip


def caution_lines(matter: WinterMatter, words: Speaker) -> list[str]:
    """What must not be missed: lots not tested, lots held back and how they are fed, the rest."""
    scale, said = scale_of(matter, words), []
    for hay in matter.untested:
        tons = words.count(scale.tons(hay.stock, hay.feed.dm), 1)
        said.append(words(f"winter_paper.untested.{scale.ton}", lot=hay.name, tons=tons))
    for hay in matter.held_back:
        why = [one.strip() for one in words.every(matter.fed_guides.get(hay.name, ()))]
        if any(hay.share_for(herd.name) > 0 for herd in matter.plan.question.herds) or not why:
            said.append(words.said(held_line(matter, hay)))
        said += why
    if matter.held_back:
        keys = ("every_feeding", "mixing", "ask")
        said += [words(f"bunk.nitrate.caution.{key}") for key in keys]
    said += words.every(matter.cautions)
    return list(dict.fromkeys(said))


def held_line(matter: WinterMatter, hay: Hay, only: str = "") -> Message:
    """How much of a held-back lot each group may get, the way it is fed; or one group alone."""
    found: list[Message] = []
    for herd in matter.plan.question.herds:
        share = matter.least_share(hay, herd.name)
        if share >= 1 or (only and herd.name != only):
            continue
        if share <= 0:
            found.append(message("winter_paper.held_none", herd=capital(herd.name)))
            continue
        found.append(
            message(
                "winter_paper.held_share", herd=capital(herd.name), share=told.share_words(share),
                fed=message(f"bunk.fed.{herd.fed}"),
            )
        )  # fmt: skip
    return message("winter_paper.held", lot=hay.name, groups=tuple(found))


def cautions_section(matter: WinterMatter, words: Speaker) -> Section | None:
    """The caution box of the first page."""
    said = caution_lines(matter, words)
    if not said:
        return None
    return blocks.section(words("paper.mind"), blocks.caution(words("paper.caution"), said))


def call_section(matter: WinterMatter, words: Speaker) -> Section | None:
    """Whom to call, where a lot is held back or not tested."""
    if not (matter.held_back or matter.untested):
        return None
    return blocks.section(words("paper.call.head"), call_card(matter.office, words))


def short_section(matter: WinterMatter, words: Speaker) -> Section:
    """What falls short in a usual winter, in words."""
    scale = scale_of(matter, words)
    lines = words.every(says.short_lines(matter.plan)) or [words("winter_paper.nothing_short")]
    lines += words.every(says.mineral_lines(matter.plan))
    if matter.missing > _DUST:
        tons = words.count(scale.of_kg(matter.missing), 1)
        lines.append(words(f"winter_paper.missing.{scale.ton}", tons=tons))
    if matter.conflict is not None:
        lines.append(words.said(matter.conflict))
    return blocks.section(words("winter_paper.short"), *(blocks.text(one) for one in lines))


def buy_section(matter: WinterMatter, words: Speaker) -> Section:
    """What to buy, how much, by when, and what begins to pay at which price."""
    scale, made = scale_of(matter, words), []
    rows = [
        (name, words.count(scale.tons(amount, dm), 1), words.day(day), scale.money(cost))
        for name, amount, dm, day, cost in purchases(matter.plan)
    ]
    if rows:
        head = [words("winter_paper.buy.what"), words(f"winter_paper.tons.{scale.ton}"),
                words("winter_paper.buy.by"), words("winter_paper.buy.cost")]  # fmt: skip
        made.append(blocks.table(head, rows, align="lrlr", widths=(1.6, 0.7, 1.3, 0.8)))
    else:
        made.append(blocks.text(words("winter_paper.buy.nothing")))
    made += [blocks.text(one, kind="small") for one in words.every(says.pays_lines(matter.plan))]
    return blocks.section(words("winter_paper.buy"), *made)


def sell_section(matter: WinterMatter, words: Speaker) -> Section | None:
    """What to sell: each offer beside what the hay is worth on the place."""
    scale = scale_of(matter, words)
    offers = [one for one in matter.offers if matter.keep.get(one.lot)]
    told_below = {one.lot for one in offers}
    lines = says.sell_lines(matter.plan)
    sold = words.every(one for one in lines if one.args.get("lot") not in told_below)
    if not sold and not offers:
        return None
    made = [blocks.text(one, kind="strong") for one in sold]
    rows = []
    for one in offers:
        steps, hay = matter.keep[one.lot], matter.hay(one.lot)
        up_to = sold_up_to(steps, one)
        worth = words("paper.range", low=scale.money(scale.per_ton(steps[0].worth, hay.feed.dm)),
                      high=scale.money(scale.per_ton(steps[-1].worth, hay.feed.dm)))  # fmt: skip
        rows.append((
            blocks.cell(one.lot, small=one.who),
            scale.money(scale.per_ton(one.price, hay.feed.dm)),
            worth,
            _amount(up_to, hay, scale, words),
            scale.money(gain_over_keeping(steps, one))
            if up_to > _DUST else words("winter_paper.keep_it"),
        ))  # fmt: skip
    if rows:
        head = [
            words(f"winter_paper.sell.{c}") for c in ("offer", "price", "worth", "up_to", "gain")
        ]
        made.append(blocks.table(head, rows, align="lrrrr", widths=(1.5, 0.7, 1, 1.1, 0.8)))
        made.append(blocks.text(words(f"winter_paper.sell.note.{scale.ton}"), kind="small"))
    return blocks.section(words("winter_paper.sell"), *made)


def _amount(dry_matter: float, hay: Hay, scale: Scale, words: Speaker) -> str:
    if dry_matter <= _DUST:
        return words("winter_paper.sell.none")
    tons = words.count(scale.tons(dry_matter, hay.feed.dm), 1)
    if not hay.bale:
        return words(f"winter_paper.sell.tons.{scale.ton}", tons=tons)
    many = words.count(dry_matter / hay.bale)
    return words(f"winter_paper.sell.bales.{scale.ton}", tons=tons, bales=many)


def keep_section(matter: WinterMatter, words: Speaker) -> Section | None:
    """A picture for each lot that somebody offers for, two beside each other."""
    lots = [lot for lot, steps in matter.keep.items() if steps and matter.offers_for(lot)]
    if not lots:
        return None
    look = Look(width=_HALF if len(lots) > 1 else _NARROW, height=64, page="keep")
    drawn = [_shown(keep_picture(matter, lot, words, look)) for lot in lots]
    pairs = [drawn[n : n + 2] for n in range(0, len(drawn), 2)]
    made = [blocks.beside(*([one] for one in pair)) if len(pair) > 1 else pair[0] for pair in pairs]
    return blocks.section(
        words("winter_paper.keep.head"),
        *made,
        blocks.text(words("winter_paper.keep.caption"), kind="small"),
        wide=len(lots) > 1,
    )


def _shown(drawn: Picture, caption: str = "") -> blocks.Block:
    return blocks.picture(drawn, width=drawn.width, caption=caption)


def cost_section(matter: WinterMatter, words: Speaker) -> Section:
    """What it costs in all, a head and day, one more head; and of what it is made."""
    scale, days = scale_of(matter, words), head_days(matter.plan)
    total = spent(matter.plan)
    items = [
        (words("winter_paper.cost.spent"), scale.money(total)),
        (words("winter_paper.cost.each"), scale.money(total / days if days else 0.0, 2)),
    ]
    items += [
        (words("winter_paper.cost.one_more", herd=herd), scale.money(cost))
        for herd, cost in matter.one_more.items()
    ]
    drawn = cost_picture(matter, words, Look(width=_NARROW, page="cost"))
    return blocks.section(
        words("winter_paper.cost.head"),
        blocks.data_list(items),
        _shown(drawn, words("winter_paper.cost.caption")),
    )


def now_section(matter: WinterMatter, words: Speaker) -> Section:
    """Who gets what from the first day on."""
    scale, rows = scale_of(matter, words), []
    for herd in matter.plan.question.herds:
        first = stretches(matter.plan, herd)[0]
        rows += _portion_rows(first, scale, words)
    head = [words(f"winter_paper.now.{c}") for c in ("group", "each", "out", "bales", "until")]
    note = words("winter_paper.now.note", day=words.short_day(matter.plan.question.first))
    return blocks.section(
        words("winter_paper.now"),
        blocks.table(head, rows, align="lrrrr", widths=(2.2, 0.8, 0.9, 0.7, 0.8), tight=True),
        note=note,
    )


def _portion_rows(one: Stretch, scale: Scale, words: Speaker) -> list[tuple[blocks.Cell, ...]]:
    if not one.portions:
        return [(f"{one.herd}: {words('paper.winter.now.nothing')}", "", "", "",
                 words.short_day(one.last))]  # fmt: skip
    return [
        (
            words("winter_paper.now.feed", herd=one.herd, feed=part.name),
            scale.weight(part.each, 1),
            scale.weight(part.out),
            "" if part.bales is None else bales(part.bales, words),
            words.short_day(one.last),
        )
        for part in one.portions
    ]


def strips_section(matter: WinterMatter, words: Speaker) -> Section:
    """Who eats what all winter."""
    drawn = strips_picture(matter, words, Look(width=_WHOLE, page="strips"))
    key = "winter_paper.strips.caption_held" if matter.held_back else "winter_paper.strips.caption"
    return blocks.section(words("winter_paper.strips.head"), _shown(drawn, words(key)), wide=True)


def out_section(matter: WinterMatter, words: Speaker) -> Section:
    """Hay put out by week and lot."""
    drawn = put_out_picture(matter, words, Look(width=_WHOLE, height=95, page="out"))
    return blocks.section(words("winter_paper.out.head"), _shown(drawn), wide=True)


def condition_section(matter: WinterMatter, words: Speaker) -> Section | None:
    """Body condition by week."""
    drawn = condition_picture(matter, words, Look(width=_NARROW, height=62, page="score"))
    if drawn is None:
        return None
    return blocks.section(words("winter_paper.condition.head"), _shown(drawn))


def weeks_section(matter: WinterMatter, words: Speaker) -> Section:
    """Bales a day of each lot week by week, what is bought, and what is left."""
    plan, scale = matter.plan, scale_of(matter, words)
    q = plan.question
    lots = [hay for hay in q.hays if plan.put_out(hay.name).sum() > _DUST]
    left = all_on_hand(plan)
    daily = {hay.name: plan.bales_per_day(hay.name) for hay in lots}
    rows = []
    for week in range(q.weeks):
        cells = [words.short_day(q.day(week))]
        for hay in lots:
            out, count = plan.put_out(hay.name)[week], daily[hay.name]
            seen = out > _DUST
            loose = as_it_stands(float(out), hay.feed.dm) / WEEK
            value = scale.weight(loose) if count is None else bales(float(count[week]), words)
            cells.append(value if seen else "–")
        cells.append(words.count(scale.of_kg(float(left[week])), 1))
        rows.append(cells)
    head = [words("winter_paper.week_of"), *(hay.name for hay in lots),
            words(f"winter_paper.weeks.left.{scale.ton}")]  # fmt: skip
    return blocks.section(
        words("winter_paper.weeks"),
        blocks.table(head, rows, align="l" + "r" * (len(head) - 1), tight=True),
        note=words("winter_paper.weeks.note"),
    )


def worth_section(matter: WinterMatter, words: Speaker) -> Section | None:
    """What stands in the way of a cheaper plan, and what a change is worth."""
    scale = scale_of(matter, words)
    binds = [one.strip() for one in words.every(matter.binds)]
    made = [blocks.text(words("winter_paper.binds", what="; ".join(binds)))] if binds else []
    if matter.changes:
        rows = [
            (
                capital(words.said(one.what)),
                words(
                    f"winter_paper.change.{'more' if one.saves < 0 else 'less'}",
                    money=scale.money(abs(one.saves)),
                ),
            )
            for one in matter.changes
        ]
        head = [words("winter_paper.change"), words("winter_paper.change.saves")]
        made.append(blocks.table(head, rows, align="lr", widths=(3, 1), tight=True))
    return blocks.section(words("winter_paper.worth"), *made) if made else None


def defaults_section(matter: WinterMatter, words: Speaker) -> Section:
    """What was counted without being said by anybody, and what every plan rests on."""
    plan = matter.plan
    told_of = (*matter.defaults, *says.water_lines(plan), *says.gap_lines(plan))
    said = [*words.every(told_of), words("winter.note")]
    return blocks.section(
        words("winter_paper.counted"), *(blocks.text(one, kind="small") for one in said)
    )
