"""A winter question solved and read back: who eats what, what it costs, what is left."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from haywright.bunk.hazards.nitrate.rules import rules
from haywright.bunk.ration.feed import RationFeed
from haywright.bunk.ration.program import AT_BOUND, Floats, Ints, Solution, Solver, Status
from haywright.bunk.requirements.condition import body_energy
from haywright.bunk.winter.arrays import every_feed
from haywright.bunk.winter.feeding_out import waste_fraction
from haywright.bunk.winter.model import Model, Short, build
from haywright.bunk.winter.question import WEEK, WinterQuestion
from haywright.measure.errors import Refused, UnknownName
from haywright.measure.message import Amount, Message, message

_SCORES = np.linspace(1.0, 9.0, 8 * 20 + 1)
_NOTHING = 1e-4  # kg a week and head: below this a lot is not being fed
_ROUNDS = 6


@dataclass(frozen=True, slots=True)
class Plan:
    """A solved winter.

    Parameters
    ----------
    model
        The program with its meaning.
    solution
        What was found.
    """

    model: Model
    solution: Solution

    @property
    def question(self) -> WinterQuestion:
        """What was asked."""
        return self.model.question

    @property
    def cost(self) -> float:
        """Purchases and handling less sales and what is left [money]."""
        return self.solution.objective

    @property
    def feeds(self) -> tuple[RationFeed, ...]:
        """Lots first, then feeds to buy."""
        return every_feed(self.question)

    def _herd(self, name: str) -> int:
        names = [herd.name for herd in self.question.herds]
        if name not in names:
            raise UnknownName("herd", name, names)
        return names.index(name)

    def _lot(self, name: str) -> int:
        names = [hay.name for hay in self.question.hays]
        if name not in names:
            raise UnknownName("lot", name, names)
        return names.index(name)

    def _x(self, columns: Ints) -> Floats:
        """Amounts of columns, the solver's dust below 0 taken off."""
        return np.asarray(np.maximum(self.solution.x[columns], 0.0), dtype=np.float64)

    def eaten(self, herd: str) -> Floats:
        """What a herd eats by week and feed [kg of dry matter a week], (T, K)."""
        columns = self.model.columns.herds[self._herd(herd)]
        return self._x(columns.eaten)

    def head_kept(self, herd: str) -> float:
        """Head that stay [count]."""
        g = self._herd(herd)
        sold = float(self.solution.x[self.model.columns.herds[g].head_sold][0])
        return self.model.herds[g].head - sold

    def per_head(self, herd: str) -> Floats:
        """What one head eats by week and feed [kg of dry matter a day], (T, K)."""
        head = self.head_kept(herd)
        return self.eaten(herd) / (WEEK * head) if head else self.eaten(herd) * 0.0

    def put_out(self, lot: str) -> Floats:
        """Hay of a lot put out by week, with what is wasted [kg of dry matter a week], (T,)."""
        i = self._lot(lot)
        out = np.zeros(self.question.weeks)
        for herd in self.question.herds:
            out += self.eaten(herd.name)[:, i] / (1.0 - waste_fraction(herd.waste))
        return out

    def bales_per_day(self, lot: str) -> Floats | None:
        """Bales of a lot put out a day by week [count], (T,); ``None`` for loose hay."""
        bale = self.question.hays[self._lot(lot)].bale
        return None if bale is None else self.put_out(lot) / bale / WEEK

    def stock(self, lot: str) -> Floats:
        """What stands at the start of each week and at the end [kg of dry matter], (T + 1,)."""
        return self._x(self.model.columns.stock[self._lot(lot)])

    def sold(self, lot: str) -> Floats:
        """Sold by week [kg of dry matter], (T,)."""
        return self._x(self.model.columns.sold[self._lot(lot)])

    def bought(self, lot: str) -> Floats:
        """Bought by week [kg of dry matter], (T,)."""
        return self._x(self.model.columns.bought[self._lot(lot)])

    def lost(self, lot: str) -> float:
        """Lost in storage over the winter [kg of dry matter]."""
        hay = self.question.hays[self._lot(lot)]
        loss = np.array(hay.loss or np.zeros(self.question.weeks))
        standing = self.stock(lot)[:-1] + self.bought(lot) - self.sold(lot) - self.put_out(lot)
        return float(loss @ standing)

    def balance(self, lot: str) -> float:
        """What went in less what went out and is left; 0 but for rounding [kg of dry matter]."""
        went_in = self.question.hays[self._lot(lot)].stock + self.bought(lot).sum()
        out = self.put_out(lot).sum() + self.sold(lot).sum() + self.lost(lot)
        return float(went_in - out - self.stock(lot)[-1])

    def condition(self, herd: str) -> Floats | None:
        """Body condition at the start of each week and at the end [score], (T + 1,)."""
        g = self._herd(herd)
        columns = self.model.columns.herds[g].reserve
        head = self.head_kept(herd)
        if columns is None or not head:
            return None
        weight = self.question.herds[g].group.weight_at_5
        held = np.asarray(self.solution.x[columns] / head, dtype=np.float64)
        return np.interp(held, body_energy(weight, _SCORES), _SCORES)

    def days_short(self, herd: str) -> dict[str, float]:
        """Days' worth of energy, gain, protein and feed that are missing [day]."""
        g = self._herd(herd)
        held, columns = self.model.herds[g], self.model.columns.herds[g]
        x, head = self.solution.x, self.head_kept(herd) or 1.0
        return {
            "energy": float((x[columns.short_energy] / (held.energy * head)).sum()),
            "gain": float((x[columns.short_gain] / (np.maximum(held.gain, 1e-9) * head)).sum()),
            "protein": float((x[columns.short_protein] / (held.cp * head)).sum()),
            "feed": float(x[columns.hungry].sum() / head),
        }

    def enough_until(self) -> date | None:
        """The first day of the first week in which something falls short; ``None`` for none."""
        short = np.zeros(self.question.weeks)
        for held, columns in zip(self.model.herds, self.model.columns.herds, strict=True):
            x, head = self.solution.x, max(held.head, 1.0)
            short = np.maximum(short, x[columns.short_energy] / (held.energy * head * WEEK))
            short = np.maximum(short, x[columns.hungry] / (head * WEEK))
        weeks = np.flatnonzero(short > 1e-3)
        return self.question.day(int(weeks[0])) if len(weeks) else None

    def costs(self) -> dict[str, float]:
        """Parts of the cost [money]; sales and what is left are below 0."""
        q, x, columns = self.question, self.solution.x, self.model.columns
        feeds = handling = 0.0
        for herd in q.herds:
            eaten = self.eaten(herd.name).sum(axis=0)
            out = eaten[: len(q.hays)] / (1.0 - waste_fraction(herd.waste))
            handling += float(out @ np.array([hay.handling for hay in q.hays]))
            feeds += float(eaten[len(q.hays) :] @ np.array([one.cost for one in q.feeds]))
        head = sum(
            float(x[c.head_sold][0]) * ((herd.sale or 0.0) - herd.replacement)
            for herd, c in zip(q.herds, columns.herds, strict=True)
        )
        return {
            "feeds": feeds,
            "handling": handling,
            "hay_bought": sum(float(self.bought(h.name).sum()) * (h.buy or 0.0) for h in q.hays),
            "hay_sold": -sum(float(self.sold(h.name).sum()) * (h.sell or 0.0) for h in q.hays),
            "head_sold": -head,
            "hay_left": -sum(float(self.stock(h.name)[-1]) * h.left_worth for h in q.hays),
        }

    def pays_at(self) -> dict[str, float]:
        """Feed to buy -> the price at which buying it starts to pay [money per kg as fed].

        For one that is bought already, its own price.
        """
        q, reduced = self.question, self.solution.reduced
        found = {}
        for k, one in enumerate(self.feeds):
            if k < len(q.hays):
                continue
            columns = [c.eaten[:, k] for c in self.model.columns.herds]
            may = [held.may[:, k] for held in self.model.herds]
            over = np.concatenate([reduced[c][m] for c, m in zip(columns, may, strict=True)])
            if len(over):
                found[one.name] = (one.cost - float(max(over.min(), 0.0))) * one.dm / 100.0
        return found


class NoPlan(Refused):
    """No plan keeps everything that was asked: what conflicts, and what would mend it."""

    def __init__(self, model: Model, conflict: list[int], by: Floats) -> None:
        self.conflict = tuple(dict.fromkeys(model.meaning(row)[:2] for row in conflict))
        self.mends = tuple(
            (*model.meaning(int(row)), float(by[row]))
            for row in np.flatnonzero(np.abs(by) > AT_BOUND)
        )
        super().__init__(
            "plan",
            None,
            key="winter.no_plan",
            conflict=tuple(_named(kind, name) for kind, name in self.conflict),
            mends=tuple(self._mended()),
        )

    def _mended(self) -> list[Message]:
        """One sentence for each kind and herd, the amounts of the weeks added up."""
        total: dict[tuple[str, str], float] = {}
        for kind, name, _, by in self.mends:
            total[kind, name] = total.get((kind, name), 0.0) + abs(by)
        return [
            message("winter.mend", what=_named(kind, name), by=_amount(kind, by))
            for (kind, name), by in sorted(total.items())
        ]


def _named(kind: str, name: str) -> Message:
    return message(f"winter.row.{kind.partition(':')[0]}", name=name)


def _amount(kind: str, by: float) -> Amount:
    unit = _MAY_GIVE[kind][1]
    return Amount(by / 1000.0 if unit == "tonne" else by, unit, digits=0)


# Rows that may give way when nothing keeps them all, with what giving way by one costs beside the
# others: more hay before less of what stock need, and never how nature works.
_MAY_GIVE = {
    "stock": (1.0, "tonne"),
    "offered": (1.0, "tonne"),
    "energy": (100.0, "Mcal"),
    "gain": (100.0, "Mcal"),
    "condition_least": (100.0, "Mcal"),
    "protein": (500.0, "kg"),
}


def solve_plan(q: WinterQuestion, *, short: Short | None = None, selling: bool = True) -> Plan:
    """The cheapest plan.

    A lot held back for nitrate is stepped up from the week it is first fed: the plan is solved,
    looked through, and solved again with that week's smaller share where it took more.

    Parameters
    ----------
    q
        What is asked.
    short
        What falling short costs; without it every need must be met.
    selling
        Whether hay and head may be sold.

    Raises
    ------
    NoPlan
        Nothing keeps everything; what conflicts is named, and what would mend it.
    """
    caps: dict[tuple[str, str], Floats] = {}
    plan = _solved(build(q, short=short, selling=selling))
    tries = 0
    while taken := _too_fast(plan):
        tries += 1
        for key, cap in taken.items():
            # After some rounds a lot that still jumps about is left out of that herd's feed.
            smaller = cap if tries <= _ROUNDS else np.zeros(q.weeks)
            caps[key] = np.minimum(caps.get(key, np.ones(q.weeks)), smaller)
        plan = _solved(build(q, short=short, selling=selling, caps=caps))
    return plan


def _solved(model: Model) -> Plan:
    solver = Solver(model.program)
    found = solver.solve()
    if found.status is Status.INFEASIBLE:
        may = np.full(model.program.shape[0], -1.0)
        for kind, _, first, n in model.rows:
            if kind in _MAY_GIVE:
                may[first : first + n] = _MAY_GIVE[kind][0]
        raise NoPlan(model, solver.conflict(), solver.concessions(may))
    if found.status is not Status.OPTIMAL:
        raise Refused("plan", found.status.value, key="winter.stopped")
    return Plan(model, found)


def step_up_caps(first_week: int, weeks: int, share: float) -> Floats:
    """Most of the ration by week when a lot is first fed in a week [fraction], (T,).

    Each week holds to the step of its first day.

    Parameters
    ----------
    first_week
        First week fed, from 0 [count].
    weeks
        How many [count].
    share
        Full share [fraction].
    """
    r = rules()
    days = WEEK * (np.arange(weeks) - first_week)
    step = np.floor(np.maximum(days, 0) / (r.step_up_days / r.step_up_steps)) + 1.0
    return share * np.minimum(step / r.step_up_steps, 1.0)


def _too_fast(plan: Plan) -> dict[tuple[str, str], Floats]:
    """Held-back lots fed faster than their steps, with the caps that would hold them."""
    found = {}
    for herd, held in zip(plan.question.herds, plan.model.herds, strict=True):
        eaten = plan.eaten(herd.name)
        total = np.maximum(eaten.sum(axis=1), 1e-9)
        for i, hay in enumerate(plan.question.hays):
            share = float(held.share[i])
            fed = eaten[:, i] > _NOTHING * max(held.head, 1.0)
            if not 0 < share < 1 or not fed.any():
                continue
            caps = _caps_of_runs(fed, share)
            if (eaten[:, i] / total > caps + 1e-6).any():
                found[herd.name, hay.name] = caps
    return found


def _caps_of_runs(fed: NDArray[np.bool_], share: float) -> Floats:
    """Caps by week where every run of fed weeks begins at the first step again."""
    weeks = len(fed)
    caps = np.full(weeks, step_up_caps(0, 1, share)[0])
    start = -1
    for week in range(weeks):
        if not fed[week]:
            start = -1
            continue
        start = week if start < 0 else start
        caps[week] = step_up_caps(start, weeks, share)[week]
    return caps


def short_prices(q: WinterQuestion, *, times: float = 10.0) -> Short:
    """What falling short costs: so many times the dearest feed's energy and protein.

    Parameters
    ----------
    q
        What is asked.
    times
        How many times [factor].
    """
    prices = [one.cost for one in q.feeds] + [
        hay.buy or hay.sell or hay.left_worth for hay in q.hays
    ]
    dearest = max([*prices, 0.1])
    return Short(
        energy=times * dearest, protein=times * dearest * 5.0, hunger=times * dearest * 10.0
    )
