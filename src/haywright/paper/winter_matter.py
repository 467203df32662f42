"""What the winter's papers are made from: the plan and what was found beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from haywright.bunk.ration.program import Floats
from haywright.bunk.winter.keep_price import Step, beaten_by
from haywright.bunk.winter.lasts import Lasts
from haywright.bunk.winter.plan import Plan
from haywright.bunk.winter.question import WEEK, Hay
from haywright.gate.need import mass_from_dry_matter
from haywright.measure.message import Amount, Message
from haywright.measure.units import convert
from haywright.paper.speaker import MINUS, Speaker
from haywright.way.office import Office
from haywright.words.numbers import shown_unit

_DUST = 1.0  # kg: less is rounding


@dataclass(frozen=True, slots=True)
class Offer:
    """What somebody pays for a lot.

    Parameters
    ----------
    who
        As the rancher calls them.
    lot
        Which.
    price
        Net at the stack [money per kg of dry matter].
    most
        How much is wanted [kg of dry matter]; ``None`` for any amount.
    sell
        How much it pays to sell [kg of dry matter]; ``None`` to read it off the steps.
    gain
        Over keeping it [money], where that was confirmed by solving without it.
    """

    who: str
    lot: str
    price: float
    most: float | None = None
    sell: float | None = None
    gain: float | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """One change of the plan and what it is worth.

    Parameters
    ----------
    what
        In words.
    saves
        Less cost of the winter [money]; below 0 where the change costs.
    """

    what: Message
    saves: float


@dataclass(frozen=True, slots=True)
class WinterMatter:
    """Everything the papers print.

    Parameters
    ----------
    office
        Who prints it, and whom to call.
    plan
        The plan of a usual winter.
    ranch
        Whose.
    made_on
        Day of the plan; ``None`` to leave it out.
    lasts
        How long the hay on the place lasts in a usual winter.
    in_ten
        Winters of ten in which it runs out sooner [count of ten]; ``None`` when not worked.
    drawn
        Winters worked for that [count].
    hardest
        When it runs out in one winter of ten; ``None`` when not worked or never.
    missing
        Hay short until turnout [kg as it stands].
    conflict
        What keeps every need from being met; ``None`` when all are.
    turnout
        When grass is ready.
    hard
        Hay on hand in a hard winter at the start of each week and at the end [kg as it stands],
        (T + 1,); ``None`` when not worked.
    keep
        Lot -> stretches and what each is worth on the place.
    offers
        For hay, today.
    one_more
        Herd -> what one more head costs to winter [money].
    changes
        What changes are worth.
    binds
        What stands in the way of a cheaper plan.
    fed_guides
        Lot -> what its sheet says about how it may be fed.
    defaults
        What was assumed because nobody said otherwise.
    cautions
        What to mind.
    """

    office: Office
    plan: Plan
    ranch: str = ""
    made_on: date | None = None
    lasts: Lasts | None = None
    in_ten: int | None = None
    drawn: int = 0
    hardest: date | None = None
    missing: float = 0.0
    conflict: Message | None = None
    turnout: date | None = None
    hard: Floats | None = None
    keep: Mapping[str, tuple[Step, ...]] = field(default_factory=dict)
    offers: tuple[Offer, ...] = ()
    one_more: Mapping[str, float] = field(default_factory=dict)
    changes: tuple[Change, ...] = ()
    binds: tuple[Message, ...] = ()
    fed_guides: Mapping[str, tuple[Message, ...]] = field(default_factory=dict)
    defaults: tuple[Message, ...] = ()
    cautions: tuple[Message, ...] = ()

    @property
    def held_back(self) -> tuple[Hay, ...]:
        """Lots that some herd may get only as a share of its feed, or not at all."""
        herds = [one.name for one in self.plan.question.herds]
        return tuple(
            hay
            for hay in self.plan.question.hays
            if hay.tested and any(self.least_share(hay, herd) < 1 for herd in herds)
        )

    def least_share(self, hay: Hay, herd: str) -> float:
        """Most of a herd's ration in the week that allows least of a lot [0 to 1]."""
        return min(hay.shares_for(herd, self.plan.question.weeks))

    @property
    def untested(self) -> tuple[Hay, ...]:
        """Lots that are left out because a nitrate test is called for and missing."""
        return tuple(hay for hay in self.plan.question.hays if not hay.tested)

    def hay(self, lot: str) -> Hay:
        """A lot by its name."""
        return next(one for one in self.plan.question.hays if one.name == lot)

    def offers_for(self, lot: str) -> tuple[Offer, ...]:
        """Offers for a lot, the best first."""
        mine = [one for one in self.offers if one.lot == lot]
        return tuple(sorted(mine, key=lambda one: -one.price))


def as_it_stands(dry_matter: float, dm: float) -> float:
    """Weight of hay as it stands [kg].

    Parameters
    ----------
    dry_matter
        [kg].
    dm
        Dry matter [% as fed].
    """
    return float(mass_from_dry_matter(dry_matter, dm))


def on_hand(plan: Plan, lot: str) -> Floats:
    """What stands of a lot at the start of each week and at the end [kg as it stands], (T + 1,)."""
    dm = next(hay.feed.dm for hay in plan.question.hays if hay.name == lot)
    return np.asarray(mass_from_dry_matter(plan.stock(lot), dm), dtype=np.float64)


def all_on_hand(plan: Plan) -> Floats:
    """All hay at the start of each week and at the end [kg as it stands], (T + 1,)."""
    return np.asarray(np.sum([on_hand(plan, hay.name) for hay in plan.question.hays], axis=0))


def sold_up_to(steps: tuple[Step, ...], offer: Offer) -> float:
    """How much to sell at an offer [kg of dry matter]."""
    if offer.sell is not None:
        return offer.sell
    beaten = beaten_by(steps, offer.price)
    return beaten if offer.most is None else min(beaten, offer.most)


def gain_over_keeping(steps: tuple[Step, ...], offer: Offer) -> float:
    """What selling so much brings more than keeping it is worth [money]."""
    if offer.gain is not None:
        return offer.gain
    left, gained = sold_up_to(steps, offer), 0.0
    for step in steps:
        part = min(step.amount, left)
        gained += part * (offer.price - step.worth)
        left -= part
    return gained


def purchases(plan: Plan) -> list[tuple[str, float, float, date, float]]:
    """What is bought: name, amount [kg of dry matter], dry matter [%], first day, cost [money]."""
    q, rows = plan.question, []
    by_week = {hay.name: plan.bought(hay.name) for hay in q.hays}
    eaten = np.sum([plan.eaten(herd.name) for herd in q.herds], axis=0)
    by_week |= {one.name: eaten[:, len(q.hays) + n] for n, one in enumerate(q.feeds)}
    prices = {hay.name: (hay.feed.dm, hay.buy or 0.0) for hay in q.hays}
    prices |= {one.name: (one.dm, one.cost) for one in q.feeds}
    for name, weekly in by_week.items():
        amount = float(weekly.sum())
        if amount > _DUST:
            week = int(np.flatnonzero(weekly > _DUST)[0]) if (weekly > _DUST).any() else 0
            dm, price = prices[name]
            rows.append((name, amount, dm, q.day(week), amount * price))
    return rows


def spent(plan: Plan) -> float:
    """Purchases and handling less hay sold [money]."""
    parts = plan.costs()
    return parts["feeds"] + parts["handling"] + parts["hay_bought"] + parts["hay_sold"]


def head_days(plan: Plan) -> float:
    """Head times days of the plan [day]."""
    q = plan.question
    return sum(plan.head_kept(herd.name) for herd in q.herds) * WEEK * q.weeks


@dataclass(frozen=True, slots=True)
class Scale:
    """How much hay and money is written for one reader: tons of 2,000 lb or tonnes."""

    words: Speaker
    currency: str = "$"

    @property
    def ton(self) -> str:
        """The unit of a stack."""
        return shown_unit("tonne", self.words.reader)

    def tons(self, dry_matter: float, dm: float) -> float:
        """A stack as it stands [short tons or tonnes].

        Parameters
        ----------
        dry_matter
            [kg].
        dm
            Dry matter [% as fed].
        """
        return self.of_kg(as_it_stands(dry_matter, dm))

    def of_kg(self, kg: float) -> float:
        """A weight as it stands [kg] in tons."""
        return float(convert(kg, "kg", self.ton))

    def per_ton(self, per_kg: float, dm: float) -> float:
        """A price of dry matter as one per ton as it stands [money].

        Parameters
        ----------
        per_kg
            [money per kg of dry matter].
        dm
            Dry matter [% as fed].
        """
        return float(convert(1.0, self.ton, "kg")) * per_kg * dm / 100.0

    def weight(self, kg: float, digits: int = 0) -> str:
        """A weight [kg] in the reader's unit."""
        return self.words("paper.amount", amount=Amount(kg, "kg", digits=digits))

    def money(self, value: float, digits: int = 0) -> str:
        """Money with its sign before it."""
        rounded = round(value, digits)
        sign = MINUS if rounded < 0 else ""
        said = self.words("paper.amount", amount=Amount(abs(rounded), self.currency, digits=digits))
        return sign + said


def scale_of(matter: WinterMatter, words: Speaker) -> Scale:
    """Tons and money as the office's reader writes them."""
    currency = matter.office.currency
    return Scale(words, "$" if currency == "USD" else currency)
