"""Lots chosen whole: at most so many to a herd, or one fed up before the next is begun."""

from __future__ import annotations

import numpy as np

from haywright.bunk.ration.program import FREE, Floats, Ints
from haywright.bunk.winter.columns import Columns
from haywright.bunk.winter.question import WEEK
from haywright.bunk.winter.rows.making import One


def few_hays(one: One) -> None:
    """At most so many different lots over the winter: a whole number for each lot."""
    most = one.herd.most_hays
    if most is None:
        return
    lots = len(one.making.q.hays)
    used = one.making.build.columns(lots, upper=1.0, integer=True)
    rows = one.block("used", lots, upper=0.0)
    for week in range(one.weeks):
        one.add(rows, one.columns.eaten[week, :lots], 1.0)
    one.add(rows, used, -_hold(one).sum(axis=0))
    one.add(one.block("few_hays", 1, upper=most), used, 1.0)


def _hold(one: One) -> Floats:
    """The most of each lot that a herd could hold in a week [kg of dry matter], (T, I)."""
    fill = one.held.fill[:, : len(one.making.q.hays)]
    return np.asarray(WEEK * one.held.head / np.where(fill > 0, fill, FREE), dtype=np.float64)


def lots_in_turn(one: One, columns: Columns) -> None:
    """One lot is fed up before the next is begun; two are open in the week of the change."""
    if not one.herd.in_turn:
        return
    lots, weeks = len(one.making.q.hays), one.weeks
    made = one.making.build
    used = made.columns(weeks * lots, upper=1.0, integer=True).reshape(weeks, lots)
    begun = made.columns(weeks * lots, upper=1.0).reshape(weeks, lots)
    fed = one.block("used", used.size, upper=0.0)
    one.add(fed, one.columns.eaten[:, :lots].ravel(), 1.0)
    one.add(fed, used.ravel(), -_hold(one).ravel())
    begins = one.block("in_turn", used.size, lower=0.0).reshape(weeks, lots)
    one.add(begins, begun, 1.0)
    one.add(begins, used, -1.0)
    one.add(begins[1:], used[:-1], 1.0)
    real = one.block("in_turn:begun", used.size, upper=0.0)
    one.add(real, begun.ravel(), 1.0)
    one.add(real, used.ravel(), -1.0)
    one.add(one.block("in_turn:once", lots, upper=1.0)[None, :], begun, 1.0)
    at_once = np.where(np.arange(weeks) == 0, 2.0, 1.0)
    one.add(one.block("in_turn:begins", weeks, upper=at_once)[:, None], begun, 1.0)
    opened = one.block("in_turn:open", weeks, upper=at_once)
    one.add(opened[:, None], used, 1.0)
    one.add(opened[1:, None], begun[1:], -1.0)
    _fed_up(one, columns, used)


def _fed_up(one: One, columns: Columns, used: Ints) -> None:
    """Nothing is left of a lot in the week after it was fed for the last time."""
    for i, hay in enumerate(one.making.q.hays):
        most = hay.stock + _bought_most(one, i)
        rows = one.block(f"in_turn:{hay.name}", one.weeks - 1, upper=most)
        one.add(rows, columns.stock[i, 1:-1], 1.0)
        one.add(rows, used[:-1, i], most)
        one.add(rows, used[1:, i], -most)


def _bought_most(one: One, lot: int) -> float:
    """The most that can be bought of a lot and eaten [kg of dry matter]."""
    hay = one.making.q.hays[lot]
    if hay.buy is None:
        return 0.0
    if hay.buy_most is not None:
        return hay.buy_most
    return 2.0 * float(_hold(one)[:, lot].sum())
