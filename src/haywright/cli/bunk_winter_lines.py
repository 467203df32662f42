"""The winter's answer for the terminal: the date first, then what to feed, buy, sell and change."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, Any

from haywright.measure.message import Amount, Message, message

if TYPE_CHECKING:
    from haywright.way.winter import FeedingWeek, OfferAnswer, WinterAnswer
    from haywright.way.winter_changes import Change
    from haywright.way.winter_stages import Stages

Lines = Iterator["str | Message"]
_BINDS = 6
_STEPS = 4
_DOLLAR = 0.5


@dataclass(frozen=True, slots=True)
class Ton:
    """The ton a reader counts in: short ton or tonne."""

    units: str

    @property
    def name(self) -> str:
        """Unit name."""
        return "tonne" if self.units == "si" else "short_ton"

    def price(self, per_kg: float) -> Amount:
        """Money per kg as money per ton [money per kg]."""
        from haywright.measure.units import convert

        return Amount(convert(per_kg, self.name, "kg"), f"$/{self.name}", digits=0)

    def mass(self, kg: float) -> Amount:
        """A mass in tons [kg]."""
        from haywright.measure.units import convert

        return Amount(convert(kg, "kg", self.name), self.name, digits=1)


def winter_lines(
    answer: WinterAnswer, changes: Sequence[Change], *, week: int = 0, units: str = "us"
) -> Lines:
    """The whole answer in sentences.

    Parameters
    ----------
    answer
        The winter answered.
    changes
        What a change is worth.
    week
        Whose card is printed in full, from 0 [count].
    units
        us or si.
    """
    ton, q = Ton(units), answer.question
    name, turnout = answer.counted.asked.name, answer.counted.asked.turnout
    if name:
        yield name
    yield message("ranch_plan.title", first=q.first, turnout=turnout, weeks=q.weeks)
    yield from answer.counted.remarks
    yield ""
    yield from _lasts(answer, ton)
    yield from _section("ranch_plan.head.week", _card(answer, week), day=q.day(week))
    yield from _section("ranch_plan.head.weeks", _weeks(answer.feeding()))
    yield from _section("ranch_plan.head.not_fed", _not_fed(answer))
    yield from _section("ranch_plan.head.buy", _buy(answer, ton))
    yield from _section("ranch_plan.head.keep", _keep(answer, ton))
    yield from _section("ranch_plan.head.heads", _heads(answer))
    yield from _section("ranch_plan.head.binds", _binds(answer))
    yield from _section("ranch_plan.head.changes", _changes(answer, changes))
    yield from _section("ranch_plan.head.cost", _cost(answer))
    yield from _section("ranch_plan.head.counted", _indented(answer.counted.said))
    yield from _cautions(answer)


def _section(key: str, lines: Iterable[str | Message], **args: Any) -> Lines:
    found = list(lines)
    if found:
        yield ""
        yield message(key, **args)
        yield from found


def _indented(said: Iterable[Message]) -> Lines:
    for one in dict.fromkeys(said):
        yield message("ranch_plan.item", what=one)


def _lasts(answer: WinterAnswer, ton: Ton) -> Lines:
    from haywright.bunk.winter.says import mineral_lines, short_lines, water_lines

    until = answer.lasts.until
    key = "ranch_plan.lasts_all" if until is None else "ranch_plan.lasts"
    yield message(key, day=until or answer.counted.asked.turnout)
    n = answer.sooner
    yield message("ranch_plan.sooner" if n else "ranch_plan.never_sooner", n=n, count=n)
    if answer.hardest is not None:
        yield message("ranch_plan.hardest", day=answer.hardest)
    if answer.missing > 1:
        lot = max(answer.question.hays, key=lambda hay: hay.stock).name
        yield message("ranch_plan.missing", amount=ton.mass(answer.missing), lot=lot)
    short = short_lines(answer.plan)
    yield from short or [message("ranch_plan.nothing_short")]
    yield from mineral_lines(answer.plan)
    yield from water_lines(answer.plan)


def _card(answer: WinterAnswer, week: int) -> Lines:
    for one in answer.feeding():
        if one.week != week:
            continue
        yield message("ranch_plan.card", herd=one.herd, head=Amount(one.head, digits=0))
        if not one.portions:
            yield message("ranch_plan.card_nothing")
        for portion in one.portions:
            yield message(
                "ranch_plan.portion" if portion.bales is None else "ranch_plan.portion_bales",
                feed=portion.feed,
                each=Amount(portion.each, "kg", digits=1),
                out=Amount(portion.put_out, "kg", digits=0),
                bales=Amount(portion.bales or 0.0, digits=2),
            )
            if portion.at_most < 1:
                yield message(
                    "ranch_plan.portion_share",
                    share=Amount(100 * portion.share, "%", digits=0),
                    most=Amount(100 * portion.at_most, "%", digits=0),
                )


def _weeks(every: Sequence[FeedingWeek]) -> Lines:
    """Runs of weeks in which a herd gets the same feeds, with the least and most of each."""
    for herd in dict.fromkeys(one.herd for one in every):
        yield message("ranch_plan.herd", herd=herd)
        mine = [one for one in every if one.herd == herd]
        for _, group in groupby(mine, key=lambda one: frozenset(p.feed for p in one.portions)):
            run = list(group)
            feeds = tuple(_range(run, portion.feed) for portion in run[0].portions)
            key = "ranch_plan.run" if feeds else "ranch_plan.run_nothing"
            yield message(key, day=run[0].day, weeks=len(run), n=len(run), feeds=feeds)


def _range(run: Sequence[FeedingWeek], feed: str) -> Message:
    mine = [p for one in run for p in one.portions if p.feed == feed]
    low, high = min(p.each for p in mine), max(p.each for p in mine)
    bales = [p.bales for p in mine if p.bales is not None]
    return message(
        f"ranch_plan.run_{'one' if high - low < _DOLLAR else 'range'}{'_bales' if bales else ''}",
        feed=feed,
        low=Amount(low, "kg", digits=0),
        high=Amount(high, "kg", digits=0),
        mean=Amount((low + high) / 2, "kg", digits=0),
        bales=Amount(sum(bales) / len(bales) if bales else 0.0, digits=1),
    )


def _not_fed(answer: WinterAnswer) -> Lines:
    for hay in answer.counted.hays:
        reasons: dict[Message, list[str]] = {}
        for herd in answer.question.herds:
            why = hay.why_not(herd.name)
            if why is not None:
                reasons.setdefault(why, []).append(herd.name)
        for why, herds in reasons.items():
            yield message("ranch_plan.not_fed", lot=hay.name, herds=tuple(herds), why=why)


def _buy(answer: WinterAnswer, ton: Ton) -> Lines:
    from haywright.bunk.winter.says import gap_lines
    from haywright.way.winter import purchases

    yield from gap_lines(answer.plan)
    for one in purchases(answer.plan):
        yield message("ranch_plan.buy", feed=one.feed, amount=ton.mass(one.amount), day=one.first,
                      cost=Amount(one.cost, "$", digits=0))  # fmt: skip
    bought = {one.feed for one in purchases(answer.plan)}
    for name, price in answer.plan.pays_at().items():
        if name not in bought:
            key = "ranch_plan.pays_at" if price > 0 else "ranch_plan.never_pays"
            yield message(key, feed=name, price=ton.price(price))


def _keep(answer: WinterAnswer, ton: Ton) -> Lines:
    if answer.conflict is not None:
        yield message("ranch_plan.keep_short")
        return
    for lot, steps in answer.keep.items():
        hay = answer.counted.hay(lot).hay
        for one in steps[:_STEPS]:
            price = ton.price(one.worth * hay.feed.dm / 100)
            amount = ton.mass(hay.feed.fed(one.amount))
            yield message("ranch_plan.keep", lot=lot, price=price, amount=amount)
        if len(steps) > _STEPS:
            yield message("ranch_plan.keep_more", lot=lot)
    for offer in answer.offers:
        yield _offer(answer, offer, ton)
    if len(answer.offers) > 1:
        yield message("ranch_plan.one_offer")


def _offer(answer: WinterAnswer, offer: OfferAnswer, ton: Ton) -> Message:
    hay = answer.counted.hay(offer.lot).hay
    net = ton.price(float(offer.net.price.to("kg").amount))
    buyer = offer.net.bid.buyer or message("ranch_plan.a_buyer")
    if offer.sell <= 1:
        return message("ranch_plan.offer_low", lot=offer.lot, buyer=buyer, net=net)
    return message(
        "ranch_plan.offer_pays",
        lot=offer.lot,
        buyer=buyer,
        net=net,
        amount=ton.mass(hay.feed.fed(offer.sell)),
        gain=Amount(offer.gain, "$", digits=0),
    )


def _heads(answer: WinterAnswer) -> Lines:
    if answer.conflict is not None:
        return
    for one in answer.heads:
        cost = Amount(one.cost, "$", digits=0)
        if one.sale is None:
            yield message("ranch_plan.one_head", herd=one.herd, cost=cost)
        elif one.replacement is None:
            yield message("ranch_plan.one_head_sale", herd=one.herd, cost=cost,
                          sale=Amount(one.sale, "$", digits=0))  # fmt: skip
        else:
            keeps = one.sale + one.cost < one.replacement
            yield message("ranch_plan.one_head_keep" if keeps else "ranch_plan.one_head_sell",
                          herd=one.herd, cost=cost, sale=Amount(one.sale, "$", digits=0),
                          replacement=Amount(one.replacement, "$", digits=0))  # fmt: skip


def _binds(answer: WinterAnswer) -> Lines:
    from haywright.way.winter import binding

    for kind, name, weeks in binding(answer.plan)[:_BINDS]:
        what = message(f"winter.row.{kind.partition(':')[0]}", name=name)
        yield message("ranch_plan.binds", what=what, n=weeks, weeks=weeks)


def _changes(answer: WinterAnswer, changes: Sequence[Change]) -> Lines:
    usual = answer.lasts.until
    for one in changes:
        money = Amount(abs(one.saves), "$", digits=0)
        if answer.conflict is not None:
            worth = None
        elif abs(one.saves) < _DOLLAR:
            worth = message("ranch_plan.change.nothing")
        else:
            worth = message(
                "ranch_plan.change.saves" if one.saves > 0 else "ranch_plan.change.costs",
                money=money,
            )
        until = None
        if one.until != usual:
            end = one.until or answer.counted.asked.turnout
            until = message("ranch_plan.change.until", day=end)
        said = tuple(part for part in (worth, until) if part is not None)
        yield message("ranch_plan.change.line", what=one.what,
                      worth=said or (message("ranch_plan.change.nothing"),))  # fmt: skip


def _cost(answer: WinterAnswer) -> Lines:
    parts = answer.plan.costs()
    for name in ("feeds", "hay_bought", "handling", "minerals_aside", "hay_sold"):
        if abs(parts[name]) >= _DOLLAR:
            yield message(f"ranch_plan.cost.{name}", money=Amount(abs(parts[name]), "$", digits=0))
    each = answer.spent / answer.head_days if answer.head_days else 0.0
    yield message("ranch_plan.cost.each", total=Amount(answer.spent, "$", digits=0),
                  each=Amount(each, "$", digits=2))  # fmt: skip


def _cautions(answer: WinterAnswer) -> Lines:
    from haywright.bunk.hazards.nitrate import told

    fed = {p.feed for one in answer.feeding() for p in one.portions}
    restricted = [
        (hay.name, verdict)
        for hay in answer.counted.hays
        for verdict in hay.verdicts.values()
        if verdict.restricted and (hay.name in fed or verdict.question.result is not None)
    ]
    steps = [
        message("ranch_plan.step_up", lot=name, herd=verdict.question.animals, how=rise)
        for name, verdict in restricted
        if name in fed and (rise := told.step_up(verdict)) is not None
    ]
    yield from _section("ranch_plan.head.steps", _indented(steps))
    said = dict.fromkeys(one for _, verdict in restricted for one in told.cautions(verdict))
    yield ""
    yield from said
    if restricted:
        yield ""
        yield from told.emergency()
        yield ""
    yield message("winter.note")


def winter_json(answer: WinterAnswer, changes: Sequence[Change]) -> dict[str, Any]:
    """The answer as plain JSON values; masses in kg, money in the file's own."""
    from haywright.way.winter import binding, nutrient_prices, purchases

    plan, q = answer.plan, answer.question
    worth = nutrient_prices(plan)
    each = answer.spent / answer.head_days if answer.head_days else 0.0
    return {
        "ranch": answer.counted.asked.name,
        "first": q.first.isoformat(),
        "turnout": str(answer.counted.asked.turnout),
        "weeks": q.weeks,
        "lasts_until": None if answer.lasts.until is None else answer.lasts.until.isoformat(),
        "sooner_in_ten_winters": answer.sooner,
        "one_in_ten_until": None if answer.hardest is None else answer.hardest.isoformat(),
        "winters_drawn": len(answer.ends),
        "hay_short_kg": round(answer.missing, 1),
        "days_short": {herd.name: plan.days_short(herd.name) for herd in q.herds},
        "minerals_aside_kg_per_head_and_day": {
            herd.name: {name: missing.tolist() for name, missing in plan.aside(herd.name).items()}
            for herd in q.herds
        },
        "minerals_unknown": {herd.name: plan.unknown_minerals(herd.name) for herd in q.herds},
        "conflict": None if answer.conflict is None else answer.conflict.to_json(),
        "feeding": [_feeding_json(one) for one in answer.feeding()],
        "stock_kg_dry_matter": {hay.name: plan.stock(hay.name).tolist() for hay in q.hays},
        "condition": {herd.name: _listed(plan.condition(herd.name)) for herd in q.herds},
        "shares": {hay.name: dict(hay.shares) for hay in q.hays},
        "not_tested": [hay.name for hay in q.hays if not hay.tested],
        "buy": [
            {"feed": one.feed, "kg": one.amount, "from": one.first.isoformat(), "cost": one.cost}
            for one in purchases(plan)
        ],
        "begins_to_pay_per_kg": plan.pays_at(),
        "keep_per_kg_dry_matter": {
            lot: [{"kg_dry_matter": s.amount, "worth": s.worth} for s in steps]
            for lot, steps in answer.keep.items()
        },
        "offers": [
            {
                "lot": one.lot,
                "buyer": one.net.bid.buyer,
                "net": one.net.price.to_json(),
                "sell_kg_dry_matter": one.sell,
                "gain": one.gain,
            }
            for one in answer.offers
        ],
        "one_more_head": [
            {"herd": h.herd, "cost": h.cost, "sale": h.sale, "replacement": h.replacement}
            for h in answer.heads
        ],
        "binds": [{"kind": k, "name": n, "weeks": w} for k, n, w in binding(plan)],
        "nutrient_prices": {"energy": dict(worth.energy), "cp_per_kg": worth.cp},
        "changes": [
            {"what": one.what.to_json(), "saves": one.saves,
             "lasts_until": None if one.until is None else one.until.isoformat()}
            for one in changes
        ],
        "cost": {**plan.costs(), "spent": answer.spent, "per_head_and_day": each},
        "counted_as": [one.to_json() for one in answer.counted.said],
        "remarks": [one.to_json() for one in answer.counted.remarks],
    }  # fmt: skip


def _listed(values: Any) -> list[float] | None:
    return None if values is None else [float(one) for one in values]


def _feeding_json(one: FeedingWeek) -> dict[str, Any]:
    return {
        "herd": one.herd,
        "day": one.day.isoformat(),
        "head": one.head,
        "feeds": [
            {
                "feed": p.feed,
                "eaten_kg_per_head": p.each,
                "put_out_kg_per_day": p.put_out,
                "bales_per_day": p.bales,
                "share_of_dry_matter": p.share,
                "share_at_most": p.at_most,
            }
            for p in one.portions
        ],
    }


def stages_lines(stages: Stages, units: str) -> Lines:
    """What to trade now with many winters in view."""
    ton = Ton(units)
    yield ""
    yield message("ranch_plan.stages.head", winters=stages.winters, weeks=stages.weeks)
    for one in stages.trades:
        for key, amount in (("sell", one.sold), ("buy", one.bought)):
            if amount > 0:
                yield message(f"ranch_plan.stages.{key}", lot=one.lot, amount=ton.mass(amount))
    if not stages.trades:
        yield message("ranch_plan.stages.nothing")
    yield message("ranch_plan.stages.short", n=stages.short, winters=stages.winters)


def stages_json(stages: Stages) -> dict[str, Any]:
    """The same for another program."""
    return {
        "winters": stages.winters,
        "weeks": stages.weeks,
        "trades": [
            {"lot": one.lot, "sold_kg": one.sold, "bought_kg": one.bought} for one in stages.trades
        ],
        "winters_short": stages.short,
        "gap": stages.gap,
    }
