"""What stock need and hold: energy, condition, gain, room, protein."""

from __future__ import annotations

import numpy as np

from haywright.bunk.ration.program import FREE
from haywright.bunk.requirements.condition import condition_released
from haywright.bunk.winter.minerals import contents
from haywright.bunk.winter.question import WEEK
from haywright.bunk.winter.rows.making import One


def energy_rows(one: One) -> None:
    """What is eaten, with what the body gives, covers the need; a surplus becomes condition."""
    held, columns = one.held, one.columns
    rows = one.at_least("energy", WEEK * held.energy)
    one.of_feeds(rows, held.holds[None, :])
    one.add(rows, columns.short_energy, 1.0)
    if columns.for_gain is not None:
        one.add(rows[:, None], columns.for_gain, -held.holds[None, :])
    if columns.gained is not None and columns.lost is not None:
        one.add(rows, columns.gained, -held.charge)
        one.add(rows, columns.lost, float(condition_released(1.0)))


def condition_rows(one: One) -> None:
    """R[t+1] = R[t] + gained - lost, between its bounds, for as many head as are kept."""
    held, columns, weeks = one.held, one.columns, one.weeks
    if columns.reserve is None or columns.gained is None or columns.lost is None:
        return
    change = one.block("condition", weeks, lower=0.0, upper=0.0)
    one.add(change, columns.reserve[1:], 1.0)
    one.add(change, columns.reserve[:-1], -1.0)
    one.add(change, columns.gained, -1.0)
    one.add(change, columns.lost, 1.0)
    low, high = held.reserve_least.copy(), held.reserve_most.copy()
    low[0] = high[0] = held.reserve
    least = one.at_least("condition_least", low)
    one.add(least, columns.reserve, 1.0)
    most = one.block("condition_most", weeks + 1, upper=held.head * high)
    one.add(most, columns.reserve, 1.0)
    one.add(most, columns.head_sold, high)


def gain_rows(one: One) -> None:
    """Each feed of growing stock is split between maintenance and gain."""
    held, columns = one.held, one.columns
    if columns.for_gain is None:
        return
    within = one.block("split", columns.eaten.size, upper=0.0)
    one.add(within, columns.for_gain.ravel(), 1.0)
    one.add(within, columns.eaten.ravel(), -1.0)
    rows = one.at_least("gain", WEEK * held.gain)
    neg = np.nan_to_num(contents(one.feeds, "neg"))
    one.add(rows[:, None], columns.for_gain, neg[None, :])
    one.add(rows, columns.short_gain, 1.0)


def room_rows(one: One) -> None:
    """Free choice: they eat until full. Fed a limited amount: at most full, at least a share."""
    held, columns, weeks = one.held, one.columns, one.weeks
    free = one.herd.fed == "free"
    full = WEEK * held.head
    rows = one.block("room", weeks, lower=full if free else -FREE, upper=full)
    one.of_feeds(rows, held.fill)
    one.add(rows, columns.head_sold, float(WEEK))
    one.add(rows, columns.hungry, float(free))
    if held.least_dm.any():
        least = one.at_least("least_dry_matter", WEEK * held.least_dm)
        one.of_feeds(least, np.ones((1, 1)))
        one.add(least, columns.hungry, held.least_dm)


def protein_rows(one: One) -> None:
    """Protein, less what nitrate nitrogen feigns, as an amount and as a share of the diet."""
    held, columns = one.held, one.columns
    cp = np.nan_to_num(contents(one.feeds, "cp"))
    rows = one.at_least("protein", WEEK * held.cp)
    one.of_feeds(rows, cp[None, :])
    one.add(rows, columns.short_protein, 1.0)
    share = one.block("protein_share", one.weeks, lower=0.0)
    one.of_feeds(share, cp[None, :] - held.cp_share[:, None])
    one.add(share, columns.short_protein, 1.0)
