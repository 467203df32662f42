"""Until which day the hay on the place lasts, with nothing bought and nothing sold."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from haywright.bunk.ration.program import Floats
from haywright.bunk.winter.in_cold import plans_in_cold
from haywright.bunk.winter.model import Short
from haywright.bunk.winter.plan import Plan, solve_plan
from haywright.bunk.winter.question import WEEK, WinterQuestion

_ENOUGH = 0.25  # of a week’s energy: less is a matter of quality, and told as such
_DUST = 1e-3
_LITTLE = 0.02
_MANY = 100.0
# Hunger weighs far more than energy: cows may live on their backs, yet must have feed first.
_PRICES = Short(energy=0.1, protein=0.0, hunger=10.0)


def own_hay(q: WinterQuestion) -> WinterQuestion:
    """The question with nothing to buy and nothing for sale."""
    hays = [
        replace(hay, buy=None, buy_most=None, sell=None, sell_most=None, left_worth=0.0)
        for hay in q.hays
    ]
    herds = [replace(herd, sale=None) for herd in q.herds]
    return replace(q, hays=tuple(hays), feeds=(), herds=tuple(herds))


@dataclass(frozen=True, slots=True)
class Lasts:
    """How long the hay lasts.

    Parameters
    ----------
    until
        The last day for which there is enough; ``None`` when it lasts to the end.
    short
        Share of the need that is missing, by week [fraction], (T,).
    plan, plenty
        The plan it was read from, and the one with so much hay that only its quality falls short.
    """

    until: date | None
    short: Floats
    plan: Plan
    plenty: Plan


def hay_lasts(q: WinterQuestion, *, near: Lasts | None = None) -> Lasts:
    """How long the hay on the place lasts.

    Falling short costs less the later it comes, so the hay is stretched over the first weeks and
    the first week that is short is the day it runs out. What no amount of this hay could give (a
    gain that wants grain, say) is not counted as running out. Condition is used as far as it may.

    Parameters
    ----------
    q
        The question.
    near
        The answer to a like question, to start from.
    """
    mine = own_hay(q)
    plan = solve_plan(mine, short=_PRICES, near=near.plan if near else None)
    plenty = solve_plan(_plenty(mine), short=_PRICES, near=near.plenty if near else plan)
    short = np.maximum(_short(plan) - _short(plenty), 0.0)
    return Lasts(_until(q, short), short, plan, plenty)


def ends_in_cold(q: WinterQuestion, cold: Floats) -> tuple[date | None, ...]:
    """The last day with hay in each of many winters; ``None`` where it lasts to the end.

    Parameters
    ----------
    q
        The question without cold.
    cold
        More energy for cold by winter and week [%], (n, T).
    """
    mine = own_hay(q)
    short = np.zeros_like(cold)
    for n, plan in plans_in_cold(mine, cold, short=_PRICES):
        short[n] = _short(plan)
    # Where it lasts there is no need to ask what plenty of it would leave short.
    out = np.flatnonzero(short.max(axis=1) > _ENOUGH)
    if len(out):
        for n, plan in plans_in_cold(_plenty(mine), cold[out], short=_PRICES):
            short[out[n]] = np.maximum(short[out[n]] - _short(plan), 0.0)
    return tuple(_until(q, one) for one in short)


def _plenty(q: WinterQuestion) -> WinterQuestion:
    return q.with_hays([replace(hay, stock=hay.stock * _MANY) for hay in q.hays])


def _until(q: WinterQuestion, short: Floats) -> date | None:
    """The last day with enough, from what only more hay would mend [fraction by week]."""
    if short.max() <= _ENOUGH:
        return None
    # Falling short comes last, so all that is missing together is the stretch before the end.
    missing = WEEK * float(np.minimum(short, 1.0)[short > _LITTLE].sum())
    return q.last - timedelta(days=1 + int(np.ceil(missing - _DUST)))


def _short(plan: Plan) -> Floats:
    """Share of all herds' energy that is missing, by week [fraction], (T,).

    A herd without feed misses all of it, though it may live on its back for a while.
    """
    weeks = plan.question.weeks
    missing, needed = np.zeros(weeks), np.zeros(weeks)
    for held, columns in zip(plan.model.herds, plan.model.columns.herds, strict=True):
        need = held.head * WEEK * (held.energy + held.gain)
        x = plan.solution.x
        short = x[columns.short_energy] + x[columns.short_gain]
        hungry = x[columns.hungry] * (held.energy + held.gain)
        missing += np.minimum(np.maximum(short, hungry), need)
        needed += need
    return np.asarray(missing / np.maximum(needed, 1e-9), dtype=np.float64)
