"""The winter plan as a linear program, built from arrays (design: weeks t, feeds k, herds g).

Columns: eaten x[g,t,k], its part for gain, stock S[i,t], sold, bought, body reserve R[g,t], gained,
lost, minerals aside, and what falls short. A row of the program is one sentence of the design; the
rows stand by kind in ``rows``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from operator import attrgetter

import numpy as np

from haywright.bunk.ration.program import Floats
from haywright.bunk.winter.arrays import HerdArrays, herd_arrays
from haywright.bunk.winter.columns import Checks, Columns, HerdColumns, Model, Short
from haywright.bunk.winter.question import Herd, WinterQuestion
from haywright.bunk.winter.rows.diet import (
    feed_rows,
    forage_rows,
    kind_rows,
    nitrate_rows,
    share_rows,
    sulfur_rows,
)
from haywright.bunk.winter.rows.layout import herd_columns, lot_columns
from haywright.bunk.winter.rows.making import Making, One
from haywright.bunk.winter.rows.minerals import mineral_rows
from haywright.bunk.winter.rows.needs import (
    condition_rows,
    energy_rows,
    gain_rows,
    protein_rows,
    room_rows,
)
from haywright.bunk.winter.rows.stock import stock_rows
from haywright.bunk.winter.rows.whole_lots import few_hays, lots_in_turn

__all__ = ["Checks", "Columns", "HerdColumns", "Model", "Short", "build"]

_OF_HERDS = (
    energy_rows, condition_rows, gain_rows, room_rows, protein_rows, mineral_rows, nitrate_rows,
    forage_rows, kind_rows, feed_rows, share_rows, sulfur_rows, few_hays,
)  # fmt: skip


def build(
    q: WinterQuestion,
    *,
    short: Short | None = None,
    selling: bool = True,
    caps: Mapping[tuple[str, str], Floats] | None = None,
    checks: Checks | None = None,
    like: Model | None = None,
) -> Model:
    """The program of a question.

    Parameters
    ----------
    q
        What is asked.
    short
        What falling short costs; without it every need but that of minerals must be met.
    selling
        Whether hay and head may be sold.
    caps
        (Herd, lot) -> most of the ration by week [fraction], for a lot that is stepped up.
    checks
        What an earlier plan, looked through, asks to be held; ``caps`` with more.
    like
        The program of a like question: what is the same there is taken from it.
    """
    held_back = checks or Checks(caps or {})
    bare = not (held_back.caps or held_back.sulfur)
    if like is not None and bare and (short, selling) == (like.short, like.selling):
        other = _restocked(like, q)
        if other is not None:
            return other
    arrays = tuple(_arrays(q, n, like) for n in range(len(q.herds)))
    making = Making(q, short, selling, held_back)
    columns = Columns(
        tuple(herd_columns(making, *pair) for pair in zip(q.herds, arrays, strict=True)),
        *lot_columns(making),
    )
    stock_rows(making, columns)
    for herd, held, mine in zip(q.herds, arrays, columns.herds, strict=True):
        one = One(making, herd, held, mine)
        for rows in _OF_HERDS:
            rows(one)
        lots_in_turn(one, columns)
    program, blocks = making.build.program(), tuple(making.rows)
    return Model(q, arrays, program, columns, blocks, held_back, short, selling)


_BUT_STOCK = attrgetter("feed", "loss", "shares", "tested", "buy", "buy_most", "sell", "sell_most",
                        "handling", "left_worth")  # fmt: skip
_BUT_HAY = attrgetter("herds", "feeds", "first", "weeks", "condition_worth", "charge")
_HOLDS = attrgetter("feed", "shares", "tested")


def _restocked(like: Model, q: WinterQuestion) -> Model | None:
    """The like program where nothing but what stands on the first day differs."""
    old, checks = like.question, like.checks
    same = (
        _BUT_HAY(q) == _BUT_HAY(old)
        and list(map(_BUT_STOCK, q.hays)) == list(map(_BUT_STOCK, old.hays))
        and not any(herd.whole for herd in q.herds)
    )
    if not same or checks.caps or checks.sulfur:
        return None
    low, high = like.program.row_lower.copy(), like.program.row_upper.copy()
    rows = np.concatenate([like.row_block("stock", hay.name) for hay in q.hays])
    low[rows] = high[rows] = [hay.stock for hay in q.hays]
    return replace(like, question=q, program=replace(like.program, row_lower=low, row_upper=high))


def _arrays(q: WinterQuestion, n: int, like: Model | None) -> HerdArrays:
    """The arrays of one herd, taken from a like question where it and what it may eat are alike."""
    herd = q.herds[n]
    if like is not None and n < len(like.herds):
        old = like.question
        if _ground(q, herd) == _ground(old, old.herds[n]):
            return like.herds[n]
    return herd_arrays(q, herd)


def _ground(q: WinterQuestion, herd: Herd) -> tuple[object, ...]:
    """All that the arrays of a herd rest on."""
    return herd, q.first, q.weeks, q.charge, q.feeds, list(map(_HOLDS, q.hays))
