"""Columns of the winter’s program: what is eaten, kept, traded, gained, lost, and missing."""

from __future__ import annotations

import numpy as np

from haywright.bunk.ration.program import FREE, Ints
from haywright.bunk.winter.arrays import HerdArrays
from haywright.bunk.winter.columns import HerdColumns, Short
from haywright.bunk.winter.feeding_out import waste_fraction
from haywright.bunk.winter.minerals import aside_price
from haywright.bunk.winter.question import Herd
from haywright.bunk.winter.rows.making import Making

_KEPT = 1e-4  # money per Mcal: what is eaten beyond need goes on the back, not nowhere


def herd_columns(making: Making, herd: Herd, held: HerdArrays) -> HerdColumns:
    """Columns of one herd."""
    q, made, weeks = making.q, making.build, making.q.weeks
    shape = (weeks, len(q.hays) + len(q.feeds))
    handling = np.array([hay.handling for hay in q.hays]) / (1.0 - waste_fraction(herd.waste))
    cost = np.concatenate([handling, [one.cost for one in q.feeds]])
    upper = np.where(held.may, FREE, 0.0).ravel()
    eaten = made.columns(upper.size, cost=np.tile(cost, weeks), upper=upper).reshape(shape)
    for_gain = made.columns(upper.size, upper=upper).reshape(shape) if held.gain.any() else None
    later = np.linspace(4.0, 1.0, weeks)  # what must fall short falls short late
    short = making.short
    missing = [
        made.columns(weeks, cost=worth * later, upper=0.0 if short is None else FREE)
        for worth in _prices(short)
    ]
    sale = herd.sale if making.selling else None
    head_sold = made.columns(
        1,
        cost=0.0 if sale is None else herd.replacement - sale,
        upper=0.0 if sale is None else held.head,
    )
    reserve, gained, lost = _reserve_columns(making, held) if herd.reserves else (None, None, None)
    energy, gain, protein, hungry = missing
    return HerdColumns(
        eaten, for_gain, reserve, gained, lost, energy, gain, protein, hungry, head_sold,
        _aside_columns(making, held),
    )  # fmt: skip


def _aside_columns(making: Making, held: HerdArrays) -> Ints | None:
    """What must be given as a mineral beside the feed, (T, M): never a reason to refuse."""
    short, minerals = making.short, held.minerals
    said = None if short is None else short.mineral
    price = aside_price() if said is None else said
    if not price or not (minerals.known & minerals.asked).any():
        return None
    weeks = making.q.weeks
    upper = np.tile(np.where(minerals.known, FREE, 0.0), weeks)
    return making.build.columns(upper.size, cost=price, upper=upper).reshape(weeks, -1)


def _prices(short: Short | None) -> tuple[float, float, float, float]:
    """What a unit of energy, gain, protein and feed costs to miss [money]."""
    if short is None:
        return 0.0, 0.0, 0.0, 0.0
    # A Mcal of gain takes about two of feed.
    return short.energy, 2.0 * short.energy, short.protein, short.hunger


def _reserve_columns(making: Making, held: HerdArrays) -> tuple[Ints, Ints, Ints]:
    made, weeks, head = making.build, making.q.weeks, held.head
    worth = np.zeros(weeks + 1)
    worth[-1] = -(making.q.condition_worth + _KEPT)
    reserve = made.columns(weeks + 1, cost=worth)
    gained = made.columns(weeks, upper=head * held.rate)
    lost = made.columns(weeks, upper=np.where(held.hold, 0.0, head * held.rate))
    return reserve, gained, lost


def lot_columns(making: Making) -> tuple[Ints, Ints, Ints]:
    """Columns of the lots: what stands, is sold, is bought."""
    q, made = making.q, making.build
    lots, weeks = len(q.hays), q.weeks
    standing = made.columns(lots * weeks).reshape(lots, weeks)
    left = made.columns(lots, cost=[-hay.left_worth for hay in q.hays])
    selling = making.selling
    offers = [(hay.sell if selling else None, hay.sell_most) for hay in q.hays]
    return (
        np.concatenate([standing, left[:, None]], axis=1),
        _traded(making, "wanted", offers, -1.0),
        _traded(making, "offered", [(hay.buy, hay.buy_most) for hay in q.hays], 1.0),
    )


def _traded(
    making: Making, kind: str, offers: list[tuple[float | None, float | None]], sign: float
) -> Ints:
    """Columns of hay sold or bought by lot and week, and their total against what is offered."""
    weeks, lots = making.q.weeks, len(offers)
    price = np.array([price or 0.0 for price, _ in offers])
    upper = np.array([0.0 if price is None else FREE for price, _ in offers])
    columns = making.build.columns(
        lots * weeks, cost=sign * np.repeat(price, weeks), upper=np.repeat(upper, weeks)
    ).reshape(lots, weeks)
    for hay, (one, most), mine in zip(making.q.hays, offers, columns, strict=True):
        if one is not None and most is not None:
            making.build.add(making.block(kind, hay.name, 1, upper=most), mine, 1.0)
    return columns
