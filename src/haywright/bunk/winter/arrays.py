"""A winter question as arrays: needs by herd and week, and what each feed holds and fills."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from haywright.bunk.hazards import feed_bars
from haywright.bunk.hazards.sulfur import water_sulfur
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
from haywright.bunk.winter.minerals import MineralArrays, contents, mineral_arrays
from haywright.bunk.winter.question import Herd, WinterQuestion
from haywright.bunk.winter.reserves import reserves
from haywright.measure.errors import CannotDerive
from haywright.measure.units import convert
from haywright.sources.tables import load_toml

_LEAST_RATIO, _MOST_RATIO = 1.4, 2.0  # feed at net energy for gain against one for one


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
        Most of the ration by nitrate [fraction], (T, K).
    holds
        Energy of each feed [Mcal or kg per kg], (K,).
    reserve
        Body energy of one head now [Mcal]; 0 where condition is no store.
    reserve_least, reserve_most
        By week [Mcal], (T + 1,).
    rate
        Most reserve gained or lost by week [Mcal], (T,).
    hold
        Weeks in which no condition may be lost, (T,).
    charge
        Feed energy for a Mcal of reserve gained [Mcal].
    minerals
        Calcium, phosphorus, magnesium and potassium.
    water_s
        Sulfur drunk by one head [kg a day].
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
    rate: Floats
    hold: NDArray[np.bool_]
    charge: float
    minerals: MineralArrays
    water_s: float


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
    share = _shares(herd, q)
    may &= share > 0
    weight = np.array([need.weight for need in needs])
    store = reserves(herd, q)
    neg = contents(feeds, "neg")
    return HerdArrays(
        head=herd.group.head,
        energy=np.array([need.total for need in needs]),
        gain=np.array([need.gain_energy for need in needs]),
        cp=np.array([need.cp for need in needs]) / 1000.0,
        cp_share=np.array([need.shares.get("cp", 0.0) for need in needs]) / 100.0,
        least_dm=_least_dm(herd, weight, room, may & ~_is_mineral(feeds)),
        forage=_least_forage(herd, weight),
        weight=weight,
        fill=np.where(may & ~_is_mineral(feeds), 1.0 / room, 0.0),
        may=may,
        share=share,
        holds=np.nan_to_num(holds),
        charge=_charge(q, holds[: len(q.hays)], neg[: len(q.hays)]),
        reserve=store.now,
        reserve_least=store.least,
        reserve_most=store.most,
        rate=store.rate,
        hold=store.hold,
        minerals=mineral_arrays(herd, feeds, may),
        water_s=_water_sulfur(herd),
    )


def _is_mineral(feeds: tuple[RationFeed, ...]) -> NDArray[np.bool_]:
    """Some ounces of a mineral take no room, (K,)."""
    return np.array(["mineral" in one.carries for one in feeds])


def _shares(herd: Herd, q: WinterQuestion) -> Floats:
    """Most of the ration by nitrate, (T, K); stock that eat their fill get no lot under the whole.

    At a rack, side by side, or lot by lot in turn, nobody sees to a share.
    """
    hays = np.array([hay.shares_for(herd.name, q.weeks) for hay in q.hays]).reshape(-1, q.weeks).T
    if herd.fed == "free" or herd.in_turn:
        hays = np.where(hays < 1.0, 0.0, hays)
    return np.concatenate([hays, np.ones((q.weeks, len(q.feeds)))], axis=1)


def _water_sulfur(herd: Herd) -> float:
    """Sulfur drunk by one head [kg a day]; nothing where the water is not tested, which is said."""
    if herd.water_sulfate is None or herd.drinks is None:
        return 0.0
    of_one_kg = water_sulfur(herd.water_sulfate, herd.drinks, 1.0)
    return float(of_one_kg) / 100.0


def _room(herd: Herd, feeds: tuple[RationFeed, ...]) -> Floats:
    """What would be eaten of each feed alone [kg a day], (T, K).

    The highest rule for stock that eat their fill, the lowest where a ration must fit.
    """
    group = herd.group
    if group.family not in ("cow", "heifer", "growing", "bull"):
        return np.repeat(_printed_room(herd)[:, None], len(feeds), axis=1)
    bare = _is_mineral(feeds)
    tdn, nem, ndf = (
        np.where(bare, np.nan, contents(feeds, name)) for name in ("tdn", "nem", "ndf")
    )
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
    free = herd.fed == "free"
    worst = -np.inf if free else np.inf
    known = np.where(rules > 0, rules, worst)  # no rule speaks of urea or of a mineral
    room = known.max(axis=0) if free else known.min(axis=0)
    if (np.isinf(room) & ~_is_mineral(feeds)).any():
        raise CannotDerive("dmi", ["tdn"])
    return np.asarray(np.abs(room), dtype=np.float64)


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


def _least_dm(herd: Herd, weight: Floats, room: Floats, may: NDArray[np.bool_]) -> Floats:
    """Least dry matter of cattle fed a limited amount, or what they can hold of the best [kg]."""
    if herd.fed == "free" or herd.group.family not in ("cow", "heifer", "bull"):
        return np.zeros_like(weight)
    least = float(load_toml("intake_rules")["limit_fed"]["least"]) / 100.0
    most = np.where(may, room, 0.0).max(axis=1, initial=0.0)
    return np.asarray(np.minimum(weight * least, most), dtype=np.float64)


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
