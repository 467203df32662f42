"""A winter question as arrays: needs by herd and week, and what each feed holds and fills."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from haywright.bunk.hazards import feed_bars
from haywright.bunk.intake import (
    RULES_BY_AGE,
    dmi_1984,
    dmi_calves,
    dmi_fiber,
    dmi_of_weight,
    share_by_quality,
)
from haywright.bunk.ration.balance import eater_of
from haywright.bunk.ration.feed import RationFeed
from haywright.bunk.ration.program import Floats
from haywright.bunk.requirements.condition import body_energy
from haywright.bunk.winter.question import Herd, WinterQuestion
from haywright.measure.errors import CannotDerive
from haywright.measure.units import convert
from haywright.sources.tables import load_toml

_LEAST_RATIO, _MOST_RATIO = 1.4, 2.0  # feed at net energy for gain against one for one
_RATE_DAYS, _HOLD_BEFORE, _HOLD_AFTER = 60.0, 60, 60


@dataclass(frozen=True, slots=True)
class HerdArrays:
    """One herd by week (T) and feed (K); per head and day.

    Parameters
    ----------
    head
        Animals [count].
    energy
        Needed [Mcal or kg of TDN], (T,).
    gain
        Net energy for gain needed [Mcal], (T,).
    cp
        Protein needed [kg], (T,).
    cp_share
        Least protein of the diet [fraction], (T,).
    least_dm
        Least dry matter when fed a limited amount [kg], (T,).
    forage
        Least forage [kg], (T,).
    weight
        Live weight [kg], (T,).
    fill
        1 / what would be eaten of a feed alone [day/kg], (T, K); 0 where it may not be fed.
    may
        Whether a feed may be fed, (T, K).
    share
        Most of the ration by nitrate [fraction], (K,).
    holds
        Energy of each feed [Mcal or kg per kg], (K,).
    reserve
        Body energy of one head now [Mcal]; 0 where condition is no store.
    reserve_least, reserve_most
        By week [Mcal], (T + 1,).
    rate
        Most reserve gained or lost in a week [Mcal].
    hold
        Weeks in which no condition may be lost, (T,).
    charge
        Feed energy for a Mcal of reserve gained [Mcal].
    """

    head: float
    energy: Floats
    gain: Floats
    cp: Floats
    cp_share: Floats
    least_dm: Floats
    forage: Floats
    weight: Floats
    fill: Floats
    may: NDArray[np.bool_]
    share: Floats
    holds: Floats
    reserve: float
    reserve_least: Floats
    reserve_most: Floats
    rate: float
    hold: NDArray[np.bool_]
    charge: float


def contents(feeds: tuple[RationFeed, ...], name: str) -> Floats:
    """What each feed holds in a kg of dry matter, NaN where not known [kg, mg or Mcal], (K,)."""
    return np.array([np.nan if (h := one.holds(name)) is None else h for one in feeds])


def every_feed(q: WinterQuestion) -> tuple[RationFeed, ...]:
    """Lots first, then feeds to buy."""
    return (*(hay.feed for hay in q.hays), *q.feeds)


def herd_arrays(q: WinterQuestion, herd: Herd) -> HerdArrays:
    """The arrays of one herd."""
    feeds = every_feed(q)
    needs = herd.needs
    holds = contents(feeds, needs[0].energy)
    room = _room(herd, feeds)
    may = _may(herd, feeds)
    share = np.array([hay.share_for(herd.name) for hay in q.hays] + [1.0] * len(q.feeds))
    may &= share[None, :] > 0
    weight = np.array([need.weight for need in needs])
    store = _reserves(herd, q)
    neg = contents(feeds, "neg")
    return HerdArrays(
        head=herd.group.head,
        energy=np.array([need.total for need in needs]),
        gain=np.array([need.gain_energy for need in needs]),
        cp=np.array([need.cp for need in needs]) / 1000.0,
        cp_share=np.array([need.shares.get("cp", 0.0) for need in needs]) / 100.0,
        least_dm=_least_dm(herd, weight, room),
        forage=_least_forage(herd, weight),
        weight=weight,
        fill=np.where(may, 1.0 / room, 0.0),
        may=may,
        share=share,
        holds=np.nan_to_num(holds),
        charge=_charge(q, holds[: len(q.hays)], neg[: len(q.hays)]),
        reserve=store.now,
        reserve_least=store.least,
        reserve_most=store.most,
        rate=store.rate,
        hold=store.hold,
    )


def _room(herd: Herd, feeds: tuple[RationFeed, ...]) -> Floats:
    """What would be eaten of each feed alone [kg a day], (T, K).

    The highest rule for stock that eat their fill, the lowest where a ration must fit.
    """
    group = herd.group
    if group.family not in ("cow", "heifer", "growing", "bull"):
        return np.repeat(_printed_room(herd)[:, None], len(feeds), axis=1)
    tdn, nem, ndf = (contents(feeds, name) for name in ("tdn", "nem", "ndf"))
    eaters = [eater_of(group, need) for need in herd.needs]
    weight = np.array([one.weight for one in eaters])[:, None]
    shrunk = np.array([one.shrunk_weight for one in eaters])[:, None]
    milk = np.array([one.milk for one in eaters])[:, None]
    nursing = np.array([one.milking for one in eaters])
    found = []
    for rule in RULES_BY_AGE[eaters[0].age]:
        if rule in ("hibberd-thrift", "flat"):
            by = np.array([[_share(rule, t, milking=m) for t in tdn] for m in (False, True)])
            found.append(dmi_of_weight(weight, by[nursing.astype(int)]))
        elif rule in ("fiber-fill", "fiber-fill-high"):
            fiber = load_toml("intake_rules")[rule]["fiber"]
            found.append(dmi_fiber(weight, ndf[None, :] * 100.0, fiber))
        elif rule == "1984":
            found.append(dmi_1984(shrunk, nem[None, :], milk))
        else:
            found.append(dmi_calves(shrunk, nem[None, :]))
    rules = np.stack(np.broadcast_arrays(*found))
    pick = np.nanmax if herd.fed == "free" else np.nanmin
    if np.isnan(rules).all(axis=0).any():
        raise CannotDerive("dmi", ["tdn"])
    return np.asarray(pick(rules, axis=0), dtype=np.float64)


def _share(rule: str, tdn: float, *, milking: bool) -> float:
    if np.isnan(tdn) and rule != "flat":
        return float("nan")
    return share_by_quality(rule, 100.0 * tdn, milking=milking)


def _printed_room(herd: Herd) -> Floats:
    """Dry matter of the printed row with a little over, or a share of a horse's weight [kg]."""
    rules = load_toml("intake_rules")
    if herd.group.family == "horse":
        busy = herd.group.work != "idle"
        return np.array(
            [
                need.weight * rules["horse"]["most" if busy or need.stage.milking else "idle"] / 100
                for need in herd.needs
            ]
        )
    over = 1.0 + rules["small_stock"]["over"] / 100.0
    return np.array([(need.dmi or 0.0) * over for need in herd.needs])


def _may(herd: Herd, feeds: tuple[RationFeed, ...]) -> NDArray[np.bool_]:
    found = np.ones((len(herd.needs), len(feeds)), dtype=bool)
    carrying = [(k, one.carries) for k, one in enumerate(feeds) if one.carries]
    for week, need in enumerate(herd.needs):
        stock = feed_bars.traits_of(
            herd.group.species,
            family=herd.group.family,
            weight=need.weight,
            milking=need.stage.milking,
        )
        for k, carries in carrying:
            found[week, k] = not feed_bars.bars(carries, stock)
    return found


def _least_dm(herd: Herd, weight: Floats, room: Floats) -> Floats:
    if herd.fed == "free" or herd.group.family not in ("cow", "heifer", "bull"):
        return np.zeros_like(weight)
    least = float(load_toml("intake_rules")["limit_fed"]["least"]) / 100.0
    return np.asarray(np.minimum(weight * least, room.min(axis=1)), dtype=np.float64)


def _least_forage(herd: Herd, weight: Floats) -> Floats:
    if herd.group.family == "horse":
        share = float(load_toml("intake_rules")["horse"]["forage"])
        return np.asarray(weight * share / 100.0, dtype=np.float64)
    least = feed_bars.diet_limit("forage")
    if herd.group.family == "growing":
        return np.asarray(weight * float(least["of_weight"]) / 100.0, dtype=np.float64)
    if herd.group.family in ("cow", "heifer", "bull"):
        return np.full_like(weight, convert(float(least["least_lb"]), "lb", "kg"))
    return np.zeros_like(weight)


def _charge(q: WinterQuestion, nem: Floats, neg: Floats) -> float:
    """Feed energy for one Mcal of reserve gained [Mcal]."""
    if q.charge == "nem" or not len(nem) or np.isnan(neg).all():
        return 1.0 if q.charge == "nem" else _MOST_RATIO
    ratio = float(np.nanmean(nem)) / max(float(np.nanmean(neg)), 1e-9)
    return min(max(ratio, _LEAST_RATIO), _MOST_RATIO)


@dataclass(frozen=True, slots=True)
class Store:
    """Body energy of one head as a store [Mcal]: now, its bounds by week, its rate a week."""

    now: float
    least: Floats
    most: Floats
    rate: float
    hold: NDArray[np.bool_]


def _reserves(herd: Herd, q: WinterQuestion) -> Store:
    """Body energy as a store: bounds by week, rate, and the weeks in which none may be lost.

    Between whole scores the energy of a score is not the same; kept as energy, the store is
    exactly linear, and a score is read back from it.
    """
    weeks, group = q.weeks, herd.group
    if not herd.reserves:
        zero = np.zeros(weeks + 1)
        return Store(0.0, zero, zero, 0.0, np.zeros(weeks, dtype=bool))

    def energy(score: float) -> float:
        return float(body_energy(group.weight_at_5, score))

    days = np.array([(q.day(week) - (group.due or q.last)).days for week in range(weeks + 1)])
    least = np.full(weeks + 1, energy(herd.least))
    if group.due is not None and herd.target is not None:
        within = np.flatnonzero((days >= 0) & (days < 7))
        least[within] = np.maximum(least[within], energy(herd.target))
    near = (days[:-1] >= -_HOLD_BEFORE) & (days[:-1] < _HOLD_AFTER)
    hold = near if group.due is not None else np.zeros_like(near)
    step = energy(min(group.condition + 1.0, 9.0)) - energy(min(group.condition, 8.0))
    most = np.full(weeks + 1, energy(9.0))
    return Store(energy(group.condition), least, most, step * 7.0 / _RATE_DAYS, hold)
