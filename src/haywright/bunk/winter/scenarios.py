"""What to sell and buy now, when the winter and the hay may turn out one way or another.

Two stages: what is traded in the first weeks is decided once; the rest of the winter answers each
scenario. Solved by cuts (L-shaped method): each scenario, with the trades held fixed, tells what it
costs and what one more of each trade would change; a small program of trades gathers these.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from haywright.bunk.ration.program import FREE, Build, Floats, Ints, Solution, Solver
from haywright.bunk.requirements.needs import with_cold
from haywright.bunk.weather import ColdRule, edge_and_slope, wind_chill
from haywright.bunk.winter.model import Checks, Model, Short, build
from haywright.bunk.winter.plan import Plan
from haywright.bunk.winter.question import WEEK, WinterQuestion
from haywright.measure.errors import Refused
from haywright.sources.tables import load_toml

_GAP = 1e-3
_ROUNDS = 60


@dataclass(frozen=True, slots=True)
class Winters:
    """Weather to draw winters from.

    Parameters
    ----------
    mean
        Usual mean temperature by week [°F], (T,).
    winter_sd
        How much whole winters differ [°F].
    week_sd, day_sd
        How much weeks of a winter, and days of a week, differ [°F].
    wind
        Mean wind [miles per hour].
    wet
        Share of days with soaked coats [fraction].
    """

    mean: Floats
    winter_sd: float
    week_sd: float
    day_sd: float
    wind: float = 0.0
    wet: float = 0.0


def cold_of_winters(
    winters: Winters, n: int, condition: float, rule: ColdRule, rng: np.random.Generator
) -> Floats:
    """More energy for cold in drawn winters, by winter and week [%], (n, T).

    Each week is the mean of its days, none below 0: a mild day does not pay back a cold one.

    Parameters
    ----------
    winters
        What to draw from.
    n
        How many [count].
    condition
        Body condition [score, 1 to 9].
    rule
        How cold is counted.
    rng
        Generator.
    """
    weeks = len(winters.mean)
    air = winters.mean[None, :, None] + winters.winter_sd * rng.standard_normal((n, 1, 1))
    air = air + winters.week_sd * rng.standard_normal((n, weeks, 1))
    air = air + winters.day_sd * rng.standard_normal((n, weeks, WEEK))
    most = float(load_toml("cold")["windy"]["most"])
    wind = np.minimum(winters.wind * rng.gamma(4.0, 0.25, size=air.shape), most)
    felt = wind_chill(air, wind)
    wet = rng.random(air.shape) < winters.wet
    found = np.zeros_like(felt)
    for soaked in (False, True):
        edge, slope = edge_and_slope(condition, rule, wet=soaked)
        here = np.maximum(slope * (edge - felt), 0.0)
        found = np.where(wet == soaked, here, found)
    return np.asarray(found.mean(axis=2), dtype=np.float64)


def in_winters(
    q: WinterQuestion,
    cold: Floats,
    *,
    rule: ColdRule | None = None,
    quality: Mapping[str, Mapping[str, Floats]] | None = None,
) -> list[WinterQuestion]:
    """The question in each drawn winter.

    Parameters
    ----------
    q
        The question.
    cold
        More energy for cold by winter and week [%], (n, T).
    rule
        How cold is counted.
    quality
        Lot -> dictionary name -> drawn content by winter [as the dictionary has it], (n,).
    """
    counted = rule or ColdRule()
    if cold.shape[1] != q.weeks:
        raise Refused("cold", cold.shape[1], key="winter.by_week", name="cold", weeks=q.weeks)
    return [_in_winter(q, cold[n], counted, quality or {}, n) for n in range(len(cold))]


def _in_winter(
    q: WinterQuestion,
    cold: Floats,
    rule: ColdRule,
    quality: Mapping[str, Mapping[str, Floats]],
    n: int,
) -> WinterQuestion:
    herds = tuple(
        replace(
            herd,
            needs=tuple(
                with_cold(need, float(more), rule)
                for need, more in zip(herd.needs, cold, strict=True)
            ),
        )
        for herd in q.herds
    )
    hays = tuple(
        replace(hay, feed=replace(hay.feed, values=_drawn(hay.feed.values, quality[hay.name], n)))
        if hay.name in quality
        else hay
        for hay in q.hays
    )
    return replace(q, herds=herds, hays=hays)


def _drawn(values: Mapping[str, float], draws: Mapping[str, Floats], n: int) -> dict[str, float]:
    return {**values, **{name: float(drawn[n]) for name, drawn in draws.items()}}


@dataclass(frozen=True, slots=True)
class TwoStage:
    """What to do now, and how the winters turn out then.

    Parameters
    ----------
    sold, bought
        Lot -> now [kg of dry matter].
    head_sold
        Herd -> now [count].
    cost
        Mean over the winters [money].
    bound
        No choice could cost less than this [money].
    plans
        The plan of each winter.
    """

    sold: dict[str, float]
    bought: dict[str, float]
    head_sold: dict[str, float]
    cost: float
    bound: float
    plans: tuple[Plan, ...]

    @property
    def gap(self) -> float:
        """How far the cost may be above the best [fraction]."""
        return max(self.cost - self.bound, 0.0) / max(abs(self.cost), 1.0)

    def runs_out(self) -> list[date | None]:
        """For each winter, the first day of the first week that falls short."""
        return [plan.enough_until() for plan in self.plans]


@dataclass
class _Winter:
    """One scenario: its model, and the needs that set it apart from others of the same program."""

    model: Model
    solver: Solver
    trades: Ints
    price: Floats
    rows: Ints
    need: Floats

    def answer(self, amounts: Floats) -> Solution:
        """What this winter costs with the trades of the first weeks held at these amounts."""
        self.solver.set_rows(self.rows, self.need, FREE)
        self.solver.set_columns(self.trades, amounts, amounts)
        return self.solver.solve()


def _trades(model: Model, now: int) -> Ints:
    """Columns decided now: hay sold and bought in the first weeks, head sold."""
    columns = model.columns
    head = [herd.head_sold for herd in columns.herds]
    parts = [columns.sold[:, :now].ravel(), columns.bought[:, :now].ravel(), *head]
    return np.concatenate(parts)


def two_stage(
    winters: Sequence[WinterQuestion],
    *,
    short: Short,
    now: int = 1,
    weights: Sequence[float] | None = None,
    gap: float = _GAP,
    checks: Checks | None = None,
) -> TwoStage:
    """What to trade now, best on the mean of the winters.

    Parameters
    ----------
    winters
        The same question in each winter.
    short
        What falling short costs, so that every winter answers.
    now
        Weeks decided now [count].
    weights
        Of the winters; equal when not given [fraction].
    gap
        How near to the best is near enough [fraction].
    checks
        What the plan of the usual winter, looked through, held: steps of held-back hay and so on.

    Whether lots are fed whole is left open here: that is decided later, and no trade hangs on it.
    """
    if not winters:
        raise Refused("winters", 0, key="winter.no_winters")
    winters = [_not_whole(q) for q in winters]
    chance = np.full(len(winters), 1.0 / len(winters)) if weights is None else np.array(weights)
    held = _held(winters, short, now, checks)
    master = _Master(held[0], winters[0], now, len(winters), chance)
    best, best_at, found = FREE, np.zeros(len(held[0].trades)), []
    bound = -FREE
    for _ in range(_ROUNDS):
        amounts, bound = master.choose()
        answers = [one.answer(amounts) for one in held]
        if not all(one.solved for one in answers):
            raise Refused("winters", len(held), key="winter.stopped")
        total = float(held[0].price @ amounts) + float(
            chance @ np.array([one.objective for one in answers])
        )
        if total < best:
            best, best_at, found = total, amounts, answers
        if best - bound <= gap * max(abs(best), 1.0):
            break
        for s, one in enumerate(answers):
            master.cut(s, one.objective, one.reduced[held[s].trades], amounts)
    return _read(held, found, best_at, best, bound, now)


def _not_whole(q: WinterQuestion) -> WinterQuestion:
    if not any(herd.whole for herd in q.herds):
        return q
    return q.with_herds([replace(herd, most_hays=None, in_turn=False) for herd in q.herds])


def _held(
    winters: Sequence[WinterQuestion], short: Short, now: int, checks: Checks | None
) -> list[_Winter]:
    """Each winter ready to answer; the trades' own prices are the master's business.

    Winters that differ only in what stock need share one program in the solver, so that each
    starts where the one before it ended.
    """
    found: list[_Winter] = []
    programs: list[tuple[WinterQuestion, _Winter]] = []
    basis = None
    for q in winters:
        warm = _but_for_cold(q)
        like = next((one for known, one in programs if known == warm), None)
        if like is not None and not any(herd.sale for herd in q.herds):
            found.append(_in_like(like, q))
            continue
        model = build(q, short=short, checks=checks)
        trades = _trades(model, now)
        price = model.program.cost[trades].copy()
        solver = Solver(model.program)
        solver.set_costs(trades, np.zeros(len(trades)))
        if basis is None:
            zero = np.zeros(len(trades))
            solver.set_columns(trades, zero, zero)
            solver.solve()
            basis = solver.basis()
        else:
            solver.start_from(basis)
        rows = np.concatenate([model.row_block("energy", herd.name) for herd in q.herds])
        one = _Winter(model, solver, trades, price, rows, _needs(model))
        programs.append((warm, one))
        found.append(one)
    return found


def _in_like(like: _Winter, q: WinterQuestion) -> _Winter:
    """A winter that has the program of another, and energy needs of its own."""
    herds = tuple(
        replace(held, energy=np.array([need.total for need in herd.needs]))
        for held, herd in zip(like.model.herds, q.herds, strict=True)
    )
    model = replace(like.model, question=q, herds=herds)
    return replace(like, model=model, need=_needs(model))


def _needs(model: Model) -> Floats:
    return np.concatenate([WEEK * held.head * held.energy for held in model.herds])


def _but_for_cold(q: WinterQuestion) -> WinterQuestion:
    """The question with the energy needs taken out: alike where only the cold differs."""
    herds = [
        replace(herd, needs=tuple(replace(n, parts={}, cold_increase=0.0) for n in herd.needs))
        for herd in q.herds
    ]
    return q.with_herds(herds)


class _Master:
    """The small program of trades: their price, and a floor under each winter's cost."""

    def __init__(self, one: _Winter, q: WinterQuestion, now: int, n: int, chance: Floats) -> None:
        program = one.model.program
        self.build = Build()
        upper = program.upper[one.trades]
        self.trades = self.build.columns(len(one.trades), cost=one.price, upper=upper)
        self.floor = self.build.columns(n, cost=chance, lower=-_FAR)
        lots = len(q.hays)
        sold = self.trades[: lots * now].reshape(lots, now)
        bought = self.trades[lots * now : 2 * lots * now].reshape(lots, now)
        # Nobody sells what is not there, nor more than is wanted, whatever the winter.
        for i, hay in enumerate(q.hays):
            for mine, most in ((sold[i], hay.sell_most), (bought[i], hay.buy_most)):
                if most is not None:
                    self.build.add(self.build.rows(1, upper=most), mine, 1.0)
            kept = np.cumprod([1.0, *(1.0 - np.array(hay.loss or np.zeros(q.weeks)))])
            for week in range(now):
                row = self.build.rows(1, upper=hay.stock * kept[week])
                self.build.add(row, sold[i, : week + 1], kept[week] / kept[: week + 1])
                self.build.add(row, bought[i, : week + 1], -kept[week] / kept[: week + 1])

    def cut(self, s: int, cost: float, slope: Floats, at: Floats) -> None:
        """Winter s costs at least cost + slope (trades - at)."""
        row = self.build.rows(1, lower=cost - float(slope @ at))
        self.build.add(row, self.floor[s : s + 1], 1.0)
        self.build.add(row, self.trades, -slope)

    def choose(self) -> tuple[Floats, float]:
        """Trades that look best so far, and the cost that no choice can beat."""
        found = Solver(self.build.program()).solve()
        return np.maximum(found.x[self.trades], 0.0), found.objective


_FAR = 1e9  # money: below any cost of a winter


def _read(
    held: list[_Winter],
    found: list[Solution],
    at: Floats,
    best: float,
    bound: float,
    now: int,
) -> TwoStage:
    q = held[0].model.question
    lots = len(q.hays)
    sold = at[: lots * now].reshape(lots, now).sum(axis=1)
    bought = at[lots * now : 2 * lots * now].reshape(lots, now).sum(axis=1)
    head = at[2 * lots * now :]
    return TwoStage(
        sold={hay.name: float(sold[i]) for i, hay in enumerate(q.hays)},
        bought={hay.name: float(bought[i]) for i, hay in enumerate(q.hays)},
        head_sold={herd.name: float(head[g]) for g, herd in enumerate(q.herds)},
        cost=best,
        bound=bound,
        plans=tuple(Plan(one.model, answer) for one, answer in zip(held, found, strict=True)),
    )


def winters_short_before(dates: Sequence[date | None], day: date) -> int:
    """In how many of ten winters it runs out before a day [count of ten].

    Parameters
    ----------
    dates
        First short day of each winter, or ``None``.
    day
        The day.
    """
    if not dates:
        raise Refused("winters", 0, key="winter.no_winters")
    return round(10.0 * sum(1 for one in dates if one is not None and one < day) / len(dates))
