"""The winter plan in sentences: how long the hay lasts, who gets what, what to buy and to sell."""

from __future__ import annotations

from datetime import date

import numpy as np

from haywright.bunk.ration.program import Floats
from haywright.bunk.winter.keep_price import Step
from haywright.bunk.winter.lasts import Lasts
from haywright.bunk.winter.minerals import contents
from haywright.bunk.winter.plan import Plan
from haywright.bunk.winter.question import WEEK
from haywright.measure.message import Amount, Message, message
from haywright.measure.units import convert

_SEEN = 0.05  # kg a head and day: less is not put on a feeding card
_DAY_SHORT = 0.5
_GIFT = 1e-3  # money per kg: what would not be fed as a gift needs no price
_MINERAL_SEEN = 1e-4  # kg a head and day: a tenth of a gram


def ton_of(per_kg: float, dm: float) -> Amount:
    """A price of dry matter as one per short ton as fed.

    Parameters
    ----------
    per_kg
        [money per kg of dry matter].
    dm
        Dry matter [% as fed].
    """
    return Amount(convert(per_kg, "short_ton", "kg") * dm / 100.0, "$/short_ton", digits=0)


def _tons(dry_matter: float, dm: float) -> Amount:
    return Amount(convert(dry_matter * 100.0 / dm, "kg", "short_ton"), "short_ton", digits=1)


def lasts_line(lasts: Lasts) -> Message:
    """Until when the hay on the place lasts."""
    if lasts.until is None:
        return message("winter.lasts_all", day=lasts.plan.question.last)
    return message("winter.lasts", day=lasts.until)


def in_ten_line(in_ten: int, day: date) -> Message:
    """In how many of ten winters it runs out before a day; in_ten [count of ten]."""
    return message("winter.in_ten", n=in_ten, count=in_ten, day=day)


def card_lines(plan: Plan, week: int) -> list[Message]:
    """Who gets what in a week, counted from 0: for the card in the shed."""
    lines = []
    for herd in plan.question.herds:
        amounts = plan.per_head(herd.name)[week]
        fed = [
            message(
                "winter.card_feed",
                feed=one.name,
                amount=Amount(float(amounts[k]) * 100.0 / one.dm, "kg", digits=1),
            )
            for k, one in enumerate(plan.feeds)
            if amounts[k] > _SEEN
        ]
        key = "winter.card" if fed else "winter.card_nothing"
        lines.append(message(key, day=plan.question.day(week), herd=herd.name, feeds=tuple(fed)))
    for hay in plan.question.hays:
        bales = plan.bales_per_day(hay.name)
        if bales is not None and bales[week] > 0:
            count = Amount(float(bales[week]), digits=1)
            lines.append(message("winter.card_bales", lot=hay.name, bales=count))
    return lines


def _eaten(plan: Plan) -> Floats:
    """What all herds eat together by week and feed [kg of dry matter a week], (T, K)."""
    return np.asarray(np.sum([plan.eaten(h.name) for h in plan.question.herds], axis=0), float)


def buy_lines(plan: Plan) -> list[Message]:
    """What is bought, how much, and from when."""
    lines = []
    q = plan.question
    for hay in q.hays:
        bought = plan.bought(hay.name)
        if bought.sum() > 1:
            week = int(np.flatnonzero(bought > 1)[0])
            amount = _tons(float(bought.sum()), hay.feed.dm)
            lines.append(message("winter.buy", feed=hay.name, amount=amount, day=q.day(week)))
    eaten = _eaten(plan)
    for k, one in enumerate(plan.feeds):
        if k >= len(q.hays) and eaten[:, k].sum() > 1:
            week = int(np.flatnonzero(eaten[:, k] > 1)[0])
            amount = _tons(float(eaten[:, k].sum()), one.dm)
            lines.append(message("winter.buy", feed=one.name, amount=amount, day=q.day(week)))
    return lines


def sell_lines(plan: Plan) -> list[Message]:
    """What is sold, hay and head."""
    lines = []
    for hay in plan.question.hays:
        sold = float(plan.sold(hay.name).sum())
        if sold > 1:
            lines.append(message("winter.sell", lot=hay.name, amount=_tons(sold, hay.feed.dm)))
    for herd in plan.question.herds:
        gone = herd.group.head - plan.head_kept(herd.name)
        if gone > _DAY_SHORT:
            lines.append(message("winter.sell_head", herd=herd.name, n=round(gone)))
    return lines


def short_lines(plan: Plan) -> list[Message]:
    """What falls short, in days' worth, by herd."""
    lines = []
    for herd in plan.question.herds:
        for what, days in plan.days_short(herd.name).items():
            if days > _DAY_SHORT:
                amount = Amount(days, "day", digits=0)
                lines.append(message(f"winter.short.{what}", herd=herd.name, days=amount))
    return lines


def mineral_lines(plan: Plan) -> list[Message]:
    """What minerals are missing of the diet and must be given beside it, and what nobody knows."""
    lines = []
    for herd in plan.question.herds:
        for name, missing in plan.aside(herd.name).items():
            if missing.max() < _MINERAL_SEEN:
                continue
            each = Amount(1000.0 * float(missing.max()), "g", digits=1)
            whole = Amount(WEEK * plan.head_kept(herd.name) * float(missing.sum()), "kg", digits=1)
            what = message("measure.quantity", id=name)

            price = Amount(plan.aside_price(herd.name), "$/kg", digits=0)
            lines.append(
                message("winter.aside", herd=herd.name, mineral=what, each=each, amount=whole,
                        price=price)
            )  # fmt: skip
        for name, feeds in plan.unknown_minerals(herd.name).items():
            what = message("measure.quantity", id=name)
            lines.append(
                message("winter.mineral_unknown", herd=herd.name, mineral=what, feeds=feeds)
            )
    return lines


def water_lines(plan: Plan) -> list[Message]:
    """Herds whose water has no sulfate result: their sulfur is counted without it."""
    sulfur = contents(plan.feeds, "s")
    lines, dry = [], []
    for herd in plan.question.herds:
        fed = plan.eaten(herd.name).sum(axis=0) > 1
        bare = tuple(one.name for k, one in enumerate(plan.feeds) if fed[k] and np.isnan(sulfur[k]))
        if bare:
            lines.append(message("winter.sulfur_unknown", herd=herd.name, feeds=bare))
        elif herd.water_sulfate is None or herd.drinks is None:
            dry.append(herd.name)
    return [*lines, *([message("winter.water_unknown", herds=tuple(dry))] if dry else [])]


def gap_lines(plan: Plan) -> list[Message]:
    """How near to the cheapest a plan of whole lots is; nothing for one that is the cheapest."""
    if not any(herd.whole for herd in plan.question.herds):
        return []
    near = Amount(100.0 * max(plan.solution.gap, 0.0), "%", digits=2)
    return [message("winter.gap", gap=near)]


def keep_lines(plan: Plan, lot: str, steps: tuple[Step, ...], offer: float | None) -> list[Message]:
    """What the next tons of a lot are worth on the place, beside an offer.

    Parameters
    ----------
    plan
        The plan.
    lot
        Which.
    steps
        Its stretches.
    offer
        Net at the stack today [money per kg of dry matter]; ``None`` for none.
    """
    dm = next(hay.feed.dm for hay in plan.question.hays if hay.name == lot)
    lines = [
        message("winter.keep", lot=lot, price=ton_of(one.worth, dm), amount=_tons(one.amount, dm))
        for one in steps
    ]
    if offer is not None:
        beaten = sum(one.amount for one in steps if one.worth < offer)
        key = "winter.offer_beats" if beaten > 1 else "winter.offer_low"
        lines.append(message(key, lot=lot, offer=ton_of(offer, dm), amount=_tons(beaten, dm)))
    return lines


def pays_lines(plan: Plan) -> list[Message]:
    """At which price each feed that is not bought begins to pay."""
    q = plan.question
    eaten = _eaten(plan).sum(axis=0)
    lines = []
    for k, one in enumerate(plan.feeds):
        price = plan.pays_at().get(one.name)
        if k < len(q.hays) or price is None or eaten[k] > 1 or price < _GIFT:
            continue
        at = Amount(convert(price, "short_ton", "kg"), "$/short_ton", digits=0)
        lines.append(message("winter.pays_at", feed=one.name, price=at))
    return lines


def cost_line(plan: Plan) -> Message:
    """What a head costs a day, purchases and handling less sales of hay."""
    q = plan.question
    parts = plan.costs()
    spent = parts["feeds"] + parts["handling"] + parts["hay_bought"] + parts["hay_sold"]
    head = sum(plan.head_kept(herd.name) for herd in q.herds)
    each = spent / max(head * WEEK * q.weeks, 1.0)
    return message(
        "winter.cost", total=Amount(spent, "$", digits=0), each=Amount(each, "$", digits=2)
    )


def plan_lines(plan: Plan) -> list[Message]:
    """The plan in words: this week's cards, what to buy and sell, what is short, what it costs."""
    return [
        *card_lines(plan, 0),
        *buy_lines(plan),
        *sell_lines(plan),
        *short_lines(plan),
        *mineral_lines(plan),
        *water_lines(plan),
        *pays_lines(plan),
        cost_line(plan),
        *gap_lines(plan),
        message("winter.note"),
    ]
