"""Hay over time: what stands, less what is sold, eaten, wasted and lost, and what is bought."""

from __future__ import annotations

import numpy as np

from haywright.bunk.winter.columns import Columns
from haywright.bunk.winter.feeding_out import waste_fraction
from haywright.bunk.winter.rows.making import Making


def stock_rows(making: Making, columns: Columns) -> None:
    """S[t+1] = (1 - loss)(S[t] + bought - sold - eaten/(1 - waste)); S[0] is what stands."""
    q, made = making.q, making.build
    for i, hay in enumerate(q.hays):
        start = making.block("stock", hay.name, 1, lower=hay.stock, upper=hay.stock)
        made.add(start, columns.stock[i, :1], 1.0)
        kept = 1.0 - np.array(hay.loss or np.zeros(q.weeks))
        rows = making.block("stock_week", hay.name, q.weeks, lower=0.0, upper=0.0)
        made.add(rows, columns.stock[i, 1:], 1.0)
        made.add(rows, columns.stock[i, :-1], -kept)
        made.add(rows, columns.sold[i], kept)
        made.add(rows, columns.bought[i], -kept)
        for herd, mine in zip(q.herds, columns.herds, strict=True):
            out = kept / (1.0 - waste_fraction(herd.waste))
            made.add(rows, mine.eaten[:, i], out)
