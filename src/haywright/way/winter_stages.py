"""What to trade now: sold and bought in the first weeks, best on the mean of many winters.

Winters differ in cold and in how good the hay turns out; afterwards each takes its own course.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from haywright.bunk.winter.plan import short_prices
from haywright.bunk.winter.question import WinterQuestion
from haywright.bunk.winter.scenarios import TwoStage, in_winters, two_stage
from haywright.sheet.sheet import Sheet
from haywright.way.winter_count import Counted, cold_of
from haywright.way.winter_hay import HayCounted

Floats = NDArray[np.float64]
LEAST_WINTERS = 200
NOW_WEEKS = 4
_SMALL = 50.0  # kg of dry matter: less is no trade
# What moves together when hay turns out better or worse than its sheet.
_ENERGY = ("tdn", "nem", "neg", "nel", "me", "de")


@dataclass(frozen=True, slots=True)
class Trade:
    """What of one lot is best sold or bought in the first weeks.

    Parameters
    ----------
    lot
        Its name.
    sold, bought
        On the mean of the winters [kg as it stands].
    """

    lot: str
    sold: float
    bought: float


@dataclass(frozen=True, slots=True)
class Stages:
    """What is best now, and how the winters turn out then.

    Parameters
    ----------
    winters, weeks
        How many were drawn, and how many weeks are decided now [count].
    trades
        Lot by lot; lots without one are left out.
    short
        In how many winters something falls short [count].
    gap
        How far the cost may be above the best [fraction].
    """

    winters: int
    weeks: int
    trades: tuple[Trade, ...]
    short: int
    gap: float


def trade_now(
    counted: Counted, rng: np.random.Generator, *, winters: int = LEAST_WINTERS
) -> Stages:
    """What to sell and buy in the first weeks, with many winters in view.

    Parameters
    ----------
    counted
        The question.
    rng
        Draws winters and hay.
    winters
        How many; at least 200 [count].
    """
    many = max(winters, LEAST_WINTERS)
    drawn = [cold_of(counted.asked.weather, counted.bare, rng)]
    while sum(map(len, drawn)) < many:
        drawn.append(cold_of(counted.asked.weather, counted.bare, rng))
    cold = np.concatenate(drawn)[:many]
    quality = {hay.name: one for hay in counted.hays if (one := _quality(hay, many, rng))}
    asked = in_winters(counted.bare, cold, quality=quality)
    now = min(NOW_WEEKS, counted.bare.weeks)
    found = two_stage(asked, short=short_prices(counted.question), now=now)
    return Stages(
        many,
        now,
        tuple(_trades(counted.question, found)),
        sum(day is not None for day in found.runs_out()),
        found.gap,
    )


def _quality(hay: HayCounted, n: int, rng: np.random.Generator) -> Mapping[str, Floats]:
    """Draws of protein and energy of a lot as far as its sheet leaves them open."""
    sheet = None if hay.sample is None else hay.sample.sheet
    if sheet is None:
        return {}
    held = hay.hay.feed.values
    drawn: dict[str, Floats] = {}
    for lead, names in (("cp", ("cp",)), ("tdn", _ENERGY)):
        open_by = _left_open(sheet, lead)
        if open_by > 0:
            factor = np.exp(rng.normal(-(open_by**2) / 2, open_by, n))
            drawn |= {name: held[name] * factor for name in names if name in held}
    return drawn


def _left_open(sheet: Sheet, name: str) -> float:
    """Relative standard uncertainty of a result [fraction]; 0 where it has none."""
    one = sheet.get(name)
    if one is None or not one.settled or not one.value > 0:
        return 0.0
    return one.estimate.u / one.value


def _trades(q: WinterQuestion, found: TwoStage) -> Iterator[Trade]:
    for hay in q.hays:
        sold, bought = found.sold.get(hay.name, 0.0), found.bought.get(hay.name, 0.0)
        if max(sold, bought) >= _SMALL:
            stands = hay.feed.dm / 100.0
            yield Trade(hay.name, sold / stands, bought / stands)
