"""Minerals of a winter's diet: what each feed holds, what stock need, what one aside would cost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from haywright.bunk.ration.feed import RationFeed
from haywright.bunk.ration.program import Floats
from haywright.bunk.winter.question import Herd, WinterQuestion
from haywright.sources.tables import load_toml

MINERALS = ("ca", "p", "mg", "k")


def contents(feeds: tuple[RationFeed, ...], name: str) -> Floats:
    """What each feed holds in a kg of dry matter, NaN where not known [kg, mg or Mcal], (K,).

    A mineral holds what its tag names and nothing else.
    """
    return np.array(
        [
            (0.0 if "mineral" in one.carries else np.nan) if h is None else h
            for one, h in ((one, one.holds(name)) for one in feeds)
        ]
    )


@dataclass(frozen=True, slots=True)
class MineralArrays:
    """Minerals (M = 4) of one herd by week (T) and feed (K).

    Parameters
    ----------
    holds
        [kg per kg], (M, K); NaN where not known.
    known
        Whether all forage that may be fed is known, (M,).
    amount
        Needed by one head [kg a day], (T, M).
    share
        Least share of the diet [fraction], (T, M).
    asked
        Whether anything is needed, (M,).
    at_risk
        Weeks in which the tetany ratio counts, (T,).
    least_ratio, most_ratio
        Calcium to phosphorus of the diet.
    """

    holds: Floats
    known: NDArray[np.bool_]
    amount: Floats
    share: Floats
    asked: NDArray[np.bool_]
    at_risk: NDArray[np.bool_]
    least_ratio: float
    most_ratio: float


def mineral_arrays(
    herd: Herd, feeds: tuple[RationFeed, ...], may: NDArray[np.bool_]
) -> MineralArrays:
    """The arrays of one herd.

    Parameters
    ----------
    herd, feeds
        Whose, and what is there.
    may
        Whether a feed may be fed, (T, K) [yes or no].
    """
    holds = np.array([contents(feeds, name) for name in MINERALS])
    forage = np.array([one.forage for one in feeds]) & may.any(axis=0)
    needs = herd.needs
    amount = np.array([[n.amounts.get(m, 0.0) for m in MINERALS] for n in needs]) / 1000.0
    share = np.array([[n.shares.get(m, 0.0) for m in MINERALS] for n in needs]) / 100.0
    lines = load_toml("hazard_lines")["calcium_phosphorus"]
    horse = herd.group.family == "horse"
    stones = "wether" in herd.group.stock.traits
    return MineralArrays(
        holds=holds,
        known=~np.isnan(holds[:, forage]).any(axis=1),
        amount=amount,
        share=share,
        asked=np.any((amount > 0) | (share > 0), axis=0),
        at_risk=_at_risk(herd),
        least_ratio=float(lines["wether_least" if stones else "least"]["line"]),
        most_ratio=float(lines["horse_most" if horse else "most"]["line"]),
    )


def _at_risk(herd: Herd) -> NDArray[np.bool_]:
    """Weeks in which they nurse or are near to birth; never horses."""
    near = float(load_toml("winter_rules")["tetany"]["before_birth"])
    if herd.group.species == "horse":
        return np.zeros(len(herd.needs), dtype=bool)
    stages = [need.stage for need in herd.needs]
    return np.array(
        [
            one.milking or (one.days_to_birth is not None and one.days_to_birth <= near)
            for one in stages
        ],
        dtype=bool,
    )


def aside_price() -> float:
    """What a kg of a mineral costs that must be given beside the feed [$/kg].

    A stated price, above what common mineral supplements come to: one that is offered for less is
    bought first, and no ration is turned over for what a mineral mends. It is the same whatever
    is offered, or an offer could make a plan dearer.
    """
    return float(load_toml("winter_rules")["mineral"]["price"])


def dearest(q: WinterQuestion) -> float:
    """The dearest feed or hay [money per kg of dry matter]; minerals are not feed."""
    prices = [one.cost for one in q.feeds if "mineral" not in one.carries] + [
        hay.buy or hay.sell or hay.left_worth for hay in q.hays
    ]
    return max([*prices, 0.1])
