"""The winter plan as a linear program, built from arrays (design: weeks t, feeds k, herds g).

Columns: eaten x[g,t,k], its part for gain, stock S[i,t], sold, bought, body reserve R[g,t], gained,
lost, minerals aside, and what falls short. A row of the program is one sentence of the design; the
rows stand by kind in ``rows``.
"""

from __future__ import annotations

from collections.abc import Mapping

from haywright.bunk.ration.program import Floats
from haywright.bunk.winter.arrays import herd_arrays
from haywright.bunk.winter.columns import Checks, Columns, HerdColumns, Model, Short
from haywright.bunk.winter.question import WinterQuestion
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
    """
    held_back = checks or Checks(caps or {})
    arrays = tuple(herd_arrays(q, one) for one in q.herds)
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
    return Model(q, arrays, making.build.program(), columns, tuple(making.rows), held_back)
