"""The winter plan as a linear program, built from arrays (design: weeks t, feeds k, herds g).

Columns: eaten x[g,t,k], its part for gain, stock S[i,t], sold, bought, body reserve R[g,t], gained,
lost, and what falls short. A row of the program is one sentence of the design.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from haywright.bunk.hazards import feed_bars
from haywright.bunk.ration.feed import RationFeed
from haywright.bunk.ration.program import FREE, Build, Floats, Ints, LinearProgram
from haywright.bunk.requirements.condition import condition_released
from haywright.bunk.winter.arrays import HerdArrays, contents, every_feed, herd_arrays
from haywright.bunk.winter.feeding_out import waste_fraction
from haywright.bunk.winter.question import WEEK, Herd, WinterQuestion
from haywright.sources.tables import load_toml

_KEPT = 1e-4  # money per Mcal: what is eaten beyond need goes on the back, not nowhere


@dataclass(frozen=True, slots=True)
class Short:
    """What falling short costs; ``None`` allows none.

    Parameters
    ----------
    energy
        [money per Mcal, or per kg of TDN].
    protein
        [money per kg].
    hunger
        [money per head and day without feed].
    """

    energy: float
    protein: float
    hunger: float


@dataclass(frozen=True, slots=True)
class HerdColumns:
    """Where the columns of one herd are: T weeks, K feeds; ``None`` where it has no such."""

    eaten: Ints
    for_gain: Ints | None
    reserve: Ints | None
    gained: Ints | None
    lost: Ints | None
    short_energy: Ints
    short_gain: Ints
    short_protein: Ints
    hungry: Ints
    head_sold: Ints


@dataclass(frozen=True, slots=True)
class Columns:
    """Where the columns are: I lots, T weeks."""

    herds: tuple[HerdColumns, ...]
    stock: Ints
    sold: Ints
    bought: Ints


@dataclass(frozen=True, slots=True)
class Model:
    """The program with the meaning of its rows and columns.

    Parameters
    ----------
    question
        What was asked.
    herds
        Arrays by herd.
    program
        The program.
    columns
        Where the columns are.
    rows
        (kind, herd or lot, first row, how many): "energy", "protein", "protein_share", "room" ...
    """

    question: WinterQuestion
    herds: tuple[HerdArrays, ...]
    program: LinearProgram
    columns: Columns
    rows: tuple[tuple[str, str, int, int], ...]

    def row_block(self, kind: str, name: str) -> Ints:
        """Numbers of the rows of a kind, by week."""
        for one, whose, first, n in self.rows:
            if (one, whose) == (kind, name):
                return np.arange(first, first + n, dtype=np.int32)
        return np.empty(0, dtype=np.int32)

    def meaning(self, row: int) -> tuple[str, str, int]:
        """Kind, herd or lot, and week of a row."""
        for kind, name, first, n in self.rows:
            if first <= row < first + n:
                return kind, name, row - first
        raise IndexError(row)


@dataclass
class _Making:
    q: WinterQuestion
    short: Short | None
    selling: bool
    build: Build = field(default_factory=Build)
    rows: list[tuple[str, str, int, int]] = field(default_factory=list)

    def block(self, kind: str, name: str, n: int, **bounds: Any) -> Ints:
        found = self.build.rows(n, **bounds)
        self.rows.append((kind, name, int(found[0]), n))
        return found


def build(
    q: WinterQuestion,
    *,
    short: Short | None = None,
    selling: bool = True,
    caps: Mapping[tuple[str, str], Floats] | None = None,
) -> Model:
    """The program of a question.

    Parameters
    ----------
    q
        What is asked.
    short
        What falling short costs; without it every need must be met.
    selling
        Whether hay and head may be sold.
    caps
        (Herd, lot) -> most of the ration by week [fraction], for a lot that is stepped up.
    """
    arrays = tuple(herd_arrays(q, one) for one in q.herds)
    making = _Making(q, short, selling)
    columns = Columns(
        tuple(_herd_columns(making, *pair) for pair in zip(q.herds, arrays, strict=True)),
        *_lot_columns(making),
    )
    _stock_rows(making, columns)
    for herd, held, mine in zip(q.herds, arrays, columns.herds, strict=True):
        one = _One(making, herd, held, mine)
        _energy_rows(one)
        _condition_rows(one)
        _gain_rows(one)
        _room_rows(one)
        _protein_rows(one)
        _nitrate_rows(one, caps or {})
        _feed_rows(one)
        _few_hays(one)
    return Model(q, arrays, making.build.program(), columns, tuple(making.rows))


@dataclass(frozen=True, slots=True)
class _One:
    """One herd while its rows are made."""

    making: _Making
    herd: Herd
    held: HerdArrays
    columns: HerdColumns

    @property
    def weeks(self) -> int:
        return self.making.q.weeks

    @property
    def feeds(self) -> tuple[RationFeed, ...]:
        return every_feed(self.making.q)

    def block(self, kind: str, n: int, **bounds: Any) -> Ints:
        return self.making.block(kind, self.herd.name, n, **bounds)

    def add(self, rows: ArrayLike, columns: ArrayLike, values: ArrayLike) -> None:
        self.making.build.add(rows, columns, values)

    def at_least(self, kind: str, need: Floats) -> Ints:
        """Rows of a need of so much a head and week; head sold at the start lower it."""
        rows = self.block(kind, len(need), lower=self.held.head * need)
        self.add(rows, self.columns.head_sold, need)
        return rows

    def of_feeds(self, rows: Ints, values: Floats) -> None:
        """Entries of what is eaten, by week and feed."""
        self.add(rows[:, None], self.columns.eaten, values)


def _herd_columns(making: _Making, herd: Herd, held: HerdArrays) -> HerdColumns:
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
        eaten, for_gain, reserve, gained, lost, energy, gain, protein, hungry, head_sold
    )


def _prices(short: Short | None) -> tuple[float, float, float, float]:
    """What a unit of energy, gain, protein and feed costs to miss [money]."""
    if short is None:
        return 0.0, 0.0, 0.0, 0.0
    # A Mcal of gain takes about two of feed.
    return short.energy, 2.0 * short.energy, short.protein, short.hunger


def _reserve_columns(making: _Making, held: HerdArrays) -> tuple[Ints, Ints, Ints]:
    made, weeks, head = making.build, making.q.weeks, held.head
    worth = np.zeros(weeks + 1)
    worth[-1] = -(making.q.condition_worth + _KEPT)
    reserve = made.columns(weeks + 1, cost=worth)
    gained = made.columns(weeks, upper=head * held.rate)
    lost = made.columns(weeks, upper=np.where(held.hold, 0.0, head * held.rate))
    return reserve, gained, lost


def _lot_columns(making: _Making) -> tuple[Ints, Ints, Ints]:
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
    making: _Making, kind: str, offers: list[tuple[float | None, float | None]], sign: float
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


def _stock_rows(making: _Making, columns: Columns) -> None:
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


def _energy_rows(one: _One) -> None:
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


def _condition_rows(one: _One) -> None:
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


def _gain_rows(one: _One) -> None:
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


def _room_rows(one: _One) -> None:
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


def _protein_rows(one: _One) -> None:
    held, columns = one.held, one.columns
    cp = np.nan_to_num(contents(one.feeds, "cp"))
    rows = one.at_least("protein", WEEK * held.cp)
    one.of_feeds(rows, cp[None, :])
    one.add(rows, columns.short_protein, 1.0)
    share = one.block("protein_share", one.weeks, lower=0.0)
    one.of_feeds(share, cp[None, :] - held.cp_share[:, None])
    one.add(share, columns.short_protein, 1.0)


def _nitrate_rows(one: _One, caps: Mapping[tuple[str, str], Floats]) -> None:
    """Lots held back for nitrate share one tolerance: the sum of amount / share fits the diet.

    Each share was found with the rest of the ration at what is known of it; two held-back lots
    together would each count the other as clean. So they compete.
    """
    share = one.held.share
    back = (share > 0) & (share < 1)
    if back.any():
        rows = one.block("nitrate", one.weeks, upper=0.0)
        one.of_feeds(rows, (np.where(back, 1.0 / np.where(back, share, 1.0), 0.0) - 1.0)[None, :])
    for k, hay in enumerate(one.making.q.hays):
        cap = caps.get((one.herd.name, hay.name))
        if cap is not None:
            rows = one.block(f"step_up:{hay.name}", one.weeks, upper=0.0)
            mine = np.zeros(len(one.feeds))
            mine[k] = 1.0
            one.of_feeds(rows, mine[None, :] - cap[:, None])


def _feed_rows(one: _One) -> None:
    """Forage floor, the most of feeds that carry something, fat and sulfur of the diet."""
    held, columns, feeds = one.held, one.columns, one.feeds
    if held.forage.any():
        rows = one.at_least("forage", WEEK * held.forage)
        one.of_feeds(rows, np.array([[float(feed.forage) for feed in feeds]]))
        one.add(rows, columns.hungry, held.forage)
    for kind in sorted({carried for feed in feeds for carried in feed.carries}):
        carried = np.array([[float(kind in feed.carries) for feed in feeds]])
        most = feed_bars.limit_of(kind)
        if "of_weight" in most:
            cap = WEEK * held.weight * most["of_weight"] / 100.0
            rows = one.block(f"most:{kind}", one.weeks, upper=held.head * cap)
            one.of_feeds(rows, carried)
            one.add(rows, columns.head_sold, cap)
        if "of_dm" in most:
            rows = one.block(f"most:{kind}", one.weeks, upper=0.0)
            one.of_feeds(rows, carried - most["of_dm"] / 100.0)
    sulfur = load_toml("hazard_lines")["sulfur"]["high_forage"]["line"]
    for what, bound in (("fat", feed_bars.diet_limit("fat")["most"]), ("s", sulfur)):
        content = contents(feeds, what)
        if not np.isnan(content).any() and content.max() > bound / 100.0:
            rows = one.block(f"share:{what}", one.weeks, upper=0.0)
            one.of_feeds(rows, (content - bound / 100.0)[None, :])


def _few_hays(one: _One) -> None:
    """At most so many different lots over the winter: a whole number for each lot."""
    most = one.herd.most_hays
    if most is None:
        return
    hays = one.making.q.hays
    used = one.making.build.columns(len(hays), upper=1.0, integer=True)
    rows = one.block("used", len(hays), upper=0.0)
    for week in range(one.weeks):
        one.add(rows, one.columns.eaten[week, : len(hays)], 1.0)
    one.add(rows, used, [-(hay.stock + (hay.buy_most or 0.0)) for hay in hays])
    one.add(one.block("few_hays", 1, upper=most), used, 1.0)
