"""A winter question solved and read back: who eats what, what it costs, what is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from haywright.bunk.ration.feed import RationFeed
from haywright.bunk.ration.program import Floats, Ints, Solution, Solver, Status
from haywright.bunk.requirements.condition import body_energy
from haywright.bunk.winter.arrays import every_feed
from haywright.bunk.winter.feeding_out import waste_fraction
from haywright.bunk.winter.minerals import MINERALS, dearest
from haywright.bunk.winter.model import Checks, Model, Short, build
from haywright.bunk.winter.no_plan import NoPlan, mended_by
from haywright.bunk.winter.question import WEEK, WinterQuestion
from haywright.bunk.winter.stepped_up import STILL_FED, low_forage, step_up_caps, too_fast
from haywright.measure.errors import Refused, UnknownName

__all__ = ["NoPlan", "Plan", "short_prices", "solve_plan", "step_up_caps"]

_SCORES = np.linspace(1.0, 9.0, 8 * 20 + 1)
_NOTHING = STILL_FED
_ROUNDS = 6
WHOLE_GAP = 1e-3  # of the cost: near enough where lots are chosen whole


@dataclass(frozen=True, slots=True)
class Plan:
    """A solved winter.

    Parameters
    ----------
    model
        The program with its meaning.
    solution
        What was found.
    before
        The plan that was looked through before this one; ``None`` for the first.
    """

    model: Model
    solution: Solution
    before: Plan | None = None

    @property
    def question(self) -> WinterQuestion:
        """What was asked."""
        return self.model.question

    @property
    def first(self) -> Plan:
        """The plan before anything was looked through."""
        return self if self.before is None else self.before.first

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

    def aside(self, herd: str) -> dict[str, Floats]:
        """Minerals to be given beside the feed to one head, by week [kg a day], (T,).

        Calcium, phosphorus, magnesium and potassium, by dictionary name; those that nobody can
        tell, since a forage has no result for them, stand in :meth:`unknown_minerals`.
        """
        g = self._herd(herd)
        columns, head = self.model.columns.herds[g].aside, self.head_kept(herd)
        if columns is None or not head:
            return {}
        held = self.model.herds[g].minerals
        return {
            name: self._x(columns[:, m]) / (WEEK * head)
            for m, name in enumerate(MINERALS)
            if held.known[m]
        }

    def aside_price(self, herd: str) -> float:
        """What a kg of a mineral to be given beside the feed is taken to cost [money per kg]."""
        columns = self.model.columns.herds[self._herd(herd)].aside
        return 0.0 if columns is None else float(self.model.program.cost[columns[0, 0]])

    def unknown_minerals(self, herd: str) -> dict[str, tuple[str, ...]]:
        """Mineral -> feeds that a herd gets and that have no result for it, by dictionary name."""
        held = self.model.herds[self._herd(herd)].minerals
        fed = self.eaten(herd).sum(axis=0) > _NOTHING
        bare = np.isnan(held.holds) & fed[None, :]
        return {
            name: tuple(one.name for k, one in enumerate(self.feeds) if bare[m, k])
            for m, name in enumerate(MINERALS)
            if held.asked[m] and bare[m].any()
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
            "minerals_aside": self._aside_cost(),
        }

    def _aside_cost(self) -> float:
        """What minerals to be given beside the feed are taken to cost [money]."""
        found = [c.aside.ravel() for c in self.model.columns.herds if c.aside is not None]
        if not found:
            return 0.0
        columns = np.concatenate(found)
        return float(self._x(columns) @ self.model.program.cost[columns])

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


def solve_plan(
    q: WinterQuestion,
    *,
    short: Short | None = None,
    selling: bool = True,
    near: Plan | None = None,
) -> Plan:
    """The cheapest plan.

    Two things are known only of a finished plan: from which week a lot held back for nitrate is
    fed, and where so little forage is fed that less sulfur is tolerated. The plan is solved,
    looked through, and solved again with what was found.

    Parameters
    ----------
    q
        What is asked.
    short
        What falling short costs; without it every need but that of minerals must be met.
    selling
        Whether hay and head may be sold.
    near
        The plan of a like question: what is alike is taken from it, and the search starts there.

    Raises
    ------
    NoPlan
        Nothing keeps everything; what conflicts is named, and what would mend it.
    """
    caps: dict[tuple[str, str], Floats] = {}
    sulfur: dict[str, Floats] = {}
    known = _rounds(near)
    like = None if near is None else near.first.model
    plan = _solved(build(q, short=short, selling=selling, like=like), known)
    tries = 0
    while any(found := (too_fast(plan), low_forage(plan, sulfur))):
        taken, less = found
        tries += 1
        for key, cap in taken.items():
            # After some rounds a lot that still jumps about is left out of that herd's feed.
            smaller = cap if tries <= _ROUNDS else np.zeros(q.weeks)
            caps[key] = np.minimum(caps.get(key, np.ones(q.weeks)), smaller)
        sulfur |= less
        held = Checks(dict(caps), dict(sulfur))
        model = build(q, short=short, selling=selling, checks=held, like=plan.model)
        plan = replace(_solved(model, known), before=plan)
    return plan


def _rounds(plan: Plan | None) -> list[Plan]:
    """A plan and those it was found through, the first first."""
    found: list[Plan] = []
    while plan is not None:
        found.insert(0, plan)
        plan = plan.before
    return found


def _solved(model: Model, known: Sequence[Plan] = ()) -> Plan:
    solver = Solver(model.program, gap=WHOLE_GAP)
    _start(solver, model, known)
    found = solver.solve()
    if found.status is Status.INFEASIBLE:
        raise NoPlan(model, solver.conflict(), mended_by(model, solver))
    if found.status is not Status.OPTIMAL:
        raise Refused("plan", found.status.value, key="winter.stopped")
    return Plan(model, found)


def _start(solver: Solver, model: Model, known: Sequence[Plan]) -> None:
    """Start from the plan with the same rows, else from the last one with the same columns."""
    rows, columns = model.program.shape
    if model.program.integer.any():
        return
    like = [p for p in known if p.solution.basis and p.model.program.shape[1] == columns]
    if not like:
        return
    same = next((p for p in like if p.model.rows == model.rows), None)
    if same is not None:
        solver.start_from(same.solution.basis)
        return
    old = {(kind, name, n): first for kind, name, first, n in like[-1].model.rows}
    was = np.full(rows, -1)
    for kind, name, first, n in model.rows:
        if (kind, name, n) in old:
            was[first : first + n] = old[kind, name, n] + np.arange(n)
    solver.start_from(like[-1].solution.basis, was.tolist())


def short_prices(q: WinterQuestion, *, times: float = 10.0) -> Short:
    """What falling short costs: so many times the dearest feed's energy and protein.

    Parameters
    ----------
    q
        What is asked.
    times
        How many times [factor].
    """
    price = dearest(q)
    return Short(energy=times * price, protein=times * price * 5.0, hunger=times * price * 10.0)
