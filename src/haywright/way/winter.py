"""The winter answered: how long the hay lasts, who gets what, what to buy, sell and change.

Offers (gate) and plan (bunk) meet here; neither knows the other.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from haywright.bunk.winter.feeding_out import waste_fraction
from haywright.bunk.winter.keep_price import Step, keep_price, one_more, worth_of
from haywright.bunk.winter.lasts import Lasts, ends_in_cold, hay_lasts, own_hay
from haywright.bunk.winter.model import Short
from haywright.bunk.winter.plan import NoPlan, Plan, short_prices, solve_plan
from haywright.bunk.winter.question import WEEK, Hay, WinterQuestion
from haywright.measure.errors import Refused
from haywright.measure.message import Message
from haywright.way.winter_count import Counted
from haywright.way.winter_hay import Net

_SEEN = 0.05  # kg of dry matter a head and day: less is not put on a card
_MUCH = 1e3  # money per Mcal: nothing that can be bought is dearer
_BOUND = 1e-7
_KG = 1.0
_SPENT = ("feeds", "handling", "hay_bought", "minerals_aside", "hay_sold")
_PIECES = 12


@dataclass(frozen=True, slots=True)
class Portion:
    """One feed for one herd, on a day of a week.

    Parameters
    ----------
    feed
        Name of the lot or feed.
    hay
        Whether it is a lot of hay, not a feed from a sack.
    each
        What one head eats [kg as fed a day].
    put_out
        For all of them, with what is wasted [kg as fed a day].
    bales
        The same in bales a day [count]; ``None`` for what is not baled.
    share
        Of the dry matter eaten [0 to 1].
    at_most
        Most of the ration by nitrate [0 to 1]; 1 where nothing holds it back.
    """

    feed: str
    hay: bool
    each: float
    put_out: float
    bales: float | None
    share: float
    at_most: float = 1.0


@dataclass(frozen=True, slots=True)
class FeedingWeek:
    """What one herd gets in one week.

    Parameters
    ----------
    herd, week, day
        Who, which week counted from 0 [count], and its first day.
    head
        That stay [count].
    portions
        The feeds, most first.
    """

    herd: str
    week: int
    day: date
    head: float
    portions: tuple[Portion, ...]


@dataclass(frozen=True, slots=True)
class Purchase:
    """What is bought of one feed [kg as fed], from when, and its cost [money]."""

    feed: str
    amount: float
    first: date
    cost: float


@dataclass(frozen=True, slots=True)
class OfferAnswer:
    """One offer against what the hay is worth on the place.

    Parameters
    ----------
    lot
        Which.
    net
        The offer at the stack.
    sell
        How much of the lot it pays to sell [kg of DM].
    gain
        Over keeping it, by solving once more without it [money].
    """

    lot: str
    net: Net
    sell: float
    gain: float


@dataclass(frozen=True, slots=True)
class HeadAnswer:
    """One more head: what it costs to winter [money], what one brings today and costs in spring."""

    herd: str
    cost: float
    sale: float | None
    replacement: float | None


@dataclass(frozen=True)
class WinterAnswer:
    """The whole answer.

    Parameters
    ----------
    counted
        What was counted.
    plan
        The cheapest plan of the usual winter.
    conflict
        What kept every need from being met; ``None`` when all are.
    lasts
        How long the hay on the place lasts.
    ends
        The last day with hay in each drawn winter; ``None`` where it lasts to turnout.
    missing
        Hay short until turnout, as the largest lot [kg as it stands].
    keep
        Lot -> what its next tons are worth.
    offers, heads
        Each offer and each herd answered.
    prices
        What falling short was counted at.
    """

    counted: Counted
    plan: Plan
    conflict: Message | None
    lasts: Lasts
    ends: tuple[date | None, ...]
    missing: float
    keep: Mapping[str, tuple[Step, ...]]
    offers: tuple[OfferAnswer, ...]
    heads: tuple[HeadAnswer, ...]
    prices: Short

    @property
    def question(self) -> WinterQuestion:
        """What was solved."""
        return self.plan.question

    @property
    def sooner(self) -> int:
        """In how many winters of ten the hay runs out before it does in a usual one [count]."""
        return self.before(self.lasts.until or self.question.last)

    def before(self, day: date) -> int:
        """In how many winters of ten the hay runs out before a day [count]."""
        early = sum(1 for one in self.ends if one is not None and one < day)
        return round(10.0 * early / len(self.ends))

    @property
    def hardest(self) -> date | None:
        """When the hay runs out in one winter of ten."""
        ends = sorted(one or self.question.last for one in self.ends)
        tenth = ends[len(ends) // 10]
        return None if tenth >= self.question.last else tenth

    @property
    def spent(self) -> float:
        """Feed bought and handling less hay sold [money]."""
        parts = self.plan.costs()
        return sum(parts[name] for name in _SPENT)

    @property
    def head_days(self) -> float:
        """Head and days of the plan together [count]."""
        q = self.question
        return sum(self.plan.head_kept(one.name) for one in q.herds) * WEEK * q.weeks

    def feeding(self) -> tuple[FeedingWeek, ...]:
        """Who gets what, week by week."""
        return feeding_weeks(self.plan)


def plan_winter(counted: Counted) -> WinterAnswer:
    """Solve a winter and everything that is asked about it.

    Parameters
    ----------
    counted
        The question.

    Raises
    ------
    NoPlan
        Not even with what is short can it be done, such as a condition out of reach.
    Refused
        No lot may be fed to anybody, and there is nothing else.
    """
    q = counted.question
    _something_to_feed(counted)
    prices = short_prices(q)
    plan, conflict = _best(q, prices)
    kept = solve_plan(q, short=prices, selling=False)
    keep = {
        hay.name: keep_price(q, hay.name, short=prices, pieces=_PIECES, base=kept)
        for hay in q.hays
        if _kept(q, hay)
    }
    return WinterAnswer(
        counted,
        plan,
        conflict,
        hay_lasts(q),
        ends_in_cold(counted.bare, counted.cold),
        missing_hay(q),
        keep,
        tuple(_offers(counted, keep, kept)),
        tuple(_heads(counted, kept)),
        prices,
    )


def _something_to_feed(counted: Counted) -> None:
    q = counted.question
    if q.feeds or any(most_of(q, hay, herd.name) > 0 for hay in q.hays for herd in q.herds):
        return
    why = tuple(
        one
        for hay in counted.hays
        for herd in q.herds
        if (one := hay.why_not(herd.name)) is not None
    )
    raise Refused("lot", None, key="ranch_plan.nothing_may", why=tuple(dict.fromkeys(why)))


def _best(q: WinterQuestion, prices: Short) -> tuple[Plan, Message | None]:
    """The cheapest plan that meets every need; else the one that misses least, and why."""
    try:
        return solve_plan(q), None
    except NoPlan as error:
        return solve_plan(q, short=prices), error.message


def _kept(q: WinterQuestion, hay: Hay) -> bool:
    """Whether a lot is there and may be fed to anybody."""
    return hay.stock > _KG and any(most_of(q, hay, herd.name) > 0 for herd in q.herds)


def most_of(q: WinterQuestion, hay: Hay, herd: str) -> float:
    """Most of a herd's ration in the week that allows most [0 to 1]."""
    return max(hay.shares_for(herd, q.weeks))


def missing_hay(q: WinterQuestion) -> float:
    """Hay short until turnout, as the largest lot that may be fed to all [kg as it stands]."""
    mine = own_hay(q)
    main = max(mine.hays, key=lambda hay: (_for_all(mine, hay.name), hay.stock), default=None)
    if main is None or not main.tested:
        return 0.0
    more = replace(
        main, feed=replace(main.feed, name=f"{main.name} +"), stock=0.0, loss=(), shares={}, buy=1.0
    )
    plan = solve_plan(
        mine.with_hays([*mine.hays, more]), short=Short(energy=0.0, protein=0.0, hunger=_MUCH)
    )
    return float(plan.bought(more.name).sum()) * 100.0 / main.feed.dm


def _for_all(q: WinterQuestion, lot: str) -> float:
    hay = next(hay for hay in q.hays if hay.name == lot)
    return min(min(hay.shares_for(herd.name, q.weeks)) for herd in q.herds)


def _offers(
    counted: Counted, keep: Mapping[str, tuple[Step, ...]], kept: Plan
) -> list[OfferAnswer]:
    """Each offer, the most that pays found step by step and confirmed by solving without it."""
    q, prices, found = counted.question, kept.model.short, []
    for hay in counted.hays:
        steps = keep.get(hay.name, (Step(hay.hay.stock, hay.hay.left_worth),))
        for net in hay.nets:
            pays = sum(one.amount for one in steps if one.worth < net.per_dry)
            most = net.bid.most
            sell = pays if most is None else min(pays, most * hay.hay.feed.dm / 100.0)
            sell = min(sell, hay.hay.stock)
            gain = 0.0
            if sell > _KG:
                worth = worth_of(q, hay.name, sell, short=prices, base=kept)
                gain = sell * net.per_dry - worth
            found.append(OfferAnswer(hay.name, net, sell if gain > 0 else 0.0, max(gain, 0.0)))
    return found


def _heads(counted: Counted, kept: Plan) -> list[HeadAnswer]:
    return [
        HeadAnswer(
            herd.name,
            one_more(counted.question, herd.name, short=kept.model.short, base=kept),
            counted.group(herd.name).sale,
            counted.group(herd.name).replacement,
        )
        for herd in counted.question.herds
    ]


def feeding_weeks(plan: Plan) -> tuple[FeedingWeek, ...]:
    """Who gets what, week by week, from a solved plan."""
    return tuple(
        _week(plan, herd.name, week)
        for week in range(plan.question.weeks)
        for herd in plan.question.herds
    )


def _week(plan: Plan, name: str, week: int) -> FeedingWeek:
    q = plan.question
    herd = next(one for one in q.herds if one.name == name)
    head, each = plan.head_kept(name), plan.per_head(name)[week]
    total = float(each.sum())
    portions = []
    for k, feed in enumerate(plan.feeds):
        if each[k] <= _SEEN:
            continue
        hay = q.hays[k] if k < len(q.hays) else None
        as_fed = feed.fed(float(each[k]))
        kept = 1.0 - waste_fraction(herd.waste) if hay is not None else 1.0
        out = as_fed * head / kept
        bales = None if hay is None or hay.bale is None else out / feed.fed(hay.bale)
        most = 1.0 if hay is None else hay.shares_for(name, q.weeks)[week]
        portions.append(
            Portion(feed.name, hay is not None, as_fed, out, bales, float(each[k]) / total, most)
        )
    portions.sort(key=lambda one: -one.each)
    return FeedingWeek(name, week, q.day(week), head, tuple(portions))


def purchases(plan: Plan) -> tuple[Purchase, ...]:
    """What is bought: hay, then other feeds."""
    q, found = plan.question, []
    eaten = np.sum([plan.eaten(herd.name) for herd in q.herds], axis=0)
    for k, feed in enumerate(plan.feeds):
        hay = q.hays[k] if k < len(q.hays) else None
        by_week = plan.bought(feed.name) if hay is not None else eaten[:, k]
        if by_week.sum() <= _KG:
            continue
        price = (hay.buy or 0.0) if hay is not None else feed.cost
        day = q.day(int(np.flatnonzero(by_week > _BOUND)[0]))
        dry = float(by_week.sum())
        found.append(Purchase(feed.name, feed.fed(dry), day, dry * price))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class NutrientPrices:
    """What nutrients are worth on a ranch by its own plan; nothing where a need is met anyhow.

    Parameters
    ----------
    energy
        Unit of the herds' energy (nem, tdn, horse_de, nel) -> money per Mcal, or per kg of TDN.
    cp
        [money per kg of crude protein].
    """

    energy: Mapping[str, float]
    cp: float


def nutrient_prices(plan: Plan) -> NutrientPrices:
    """What one more unit of energy and protein is worth, over the winter's needs.

    The mean of the weeks and herds, each by how much it needs.

    Parameters
    ----------
    plan
        A solved winter.
    """
    worth, model = plan.solution.worth, plan.model
    energy: dict[str, list[tuple[float, float]]] = {}
    protein: list[tuple[float, float]] = []
    for herd, held in zip(plan.question.herds, model.herds, strict=True):
        pairs = energy.setdefault(herd.needs[0].energy, [])
        pairs += zip(
            held.energy * held.head, worth[model.row_block("energy", herd.name)], strict=True
        )
        protein += zip(
            held.cp * held.head, worth[model.row_block("protein", herd.name)], strict=True
        )
    return NutrientPrices({name: _mean(pairs) for name, pairs in energy.items()}, _mean(protein))


def _mean(pairs: list[tuple[float, float]]) -> float:
    total = sum(float(weight) for weight, _ in pairs)
    return sum(float(weight) * float(value) for weight, value in pairs) / total if total else 0.0


def binding(plan: Plan) -> tuple[tuple[str, str, int], ...]:
    """What binds: kind, herd or lot, and in how many weeks [count]; the most often first."""
    worth = np.abs(plan.solution.worth)
    found = [
        (kind, name, int((worth[first : first + n] > _BOUND).sum()))
        for kind, name, first, n in plan.model.rows
        if kind.partition(":")[0] not in _BOOK_KEEPING
    ]
    return tuple(sorted((one for one in found if one[2]), key=lambda one: -one[2]))


_BOOK_KEEPING = ("stock_week", "condition", "split", "used")
