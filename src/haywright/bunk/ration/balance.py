"""One group balanced for one day: its needs, what it can hold, and the feeds it may have."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haywright.bunk.animals import HerdGroup
from haywright.bunk.hazards import feed_bars
from haywright.bunk.intake import Eater, Forage, dmi_of_weight, intake_range
from haywright.bunk.ration import limits
from haywright.bunk.ration.feed import RationFeed
from haywright.bunk.ration.least_cost import Gain, Ration, least_cost
from haywright.bunk.ration.limits import Limit
from haywright.bunk.ration.supplements import grain_cap
from haywright.bunk.requirements.lactation import milk_yield
from haywright.bunk.requirements.maintenance import shrunk_weight
from haywright.bunk.requirements.need import DailyNeed
from haywright.measure.errors import CannotDerive, Refused
from haywright.measure.message import Message, message
from haywright.measure.units import convert
from haywright.sources.tables import load_toml

MINERALS = ("ca", "p", "mg", "k", "na", "s", "cu", "zn", "mn", "se", "co", "fe")


@dataclass(frozen=True, slots=True)
class Balanced:
    """A balanced ration of one head.

    Parameters
    ----------
    group
        Whose.
    need
        What it was balanced for.
    ration
        The cheapest.
    left_out
        Feeds kept out, and why.
    gaps
        Mineral -> short of the need [g a day; mg for trace ones]; ``None`` where a feed's content
        is not known.
    """

    group: HerdGroup
    need: DailyNeed
    ration: Ration
    left_out: tuple[Message, ...]
    gaps: dict[str, float | None]


def eater_of(group: HerdGroup, need: DailyNeed) -> Eater:
    """One head as the intake rules see it on the day of a need."""
    milking = need.stage.milking
    peak = group.peak_milk or load_toml("reproduction")["usual"]["peak_milk"]
    return Eater(
        weight=need.weight,
        shrunk_weight=float(shrunk_weight(need.weight)),
        milk=float(milk_yield(peak, need.stage.weeks_milking)) if milking else 0.0,
        milking=milking,
        pregnant=need.stage.settled,
        age=group.age if group.family == "growing" else "grown",
    )


def capacity(
    group: HerdGroup, need: DailyNeed, feed: RationFeed, *, free_choice: bool = False
) -> float:
    """What one head would eat of a feed given nothing else [kg of dry matter a day].

    The lowest of the rules tests whether a ration fits; stock that eat their fill from a rack
    are taken at the highest.

    Parameters
    ----------
    group, need
        Who, and on what day.
    feed
        What is eaten.
    free_choice
        Whether they eat their fill.
    """
    rules = load_toml("intake_rules")
    if group.family == "horse":
        busy = need.stage.milking or group.work != "idle"
        return need.weight * float(rules["horse"]["most" if busy else "idle"]) / 100.0
    if group.family in ("ewe", "doe", "dairy"):
        if need.dmi is None:
            raise CannotDerive("dmi", ["weight"])
        return need.dmi * (1.0 + float(rules["small_stock"]["over"]) / 100.0)
    known = {name: feed.values.get(name) for name in ("tdn", "nem", "ndf", "cp")}
    found = intake_range(eater_of(group, need), Forage(**known))
    return found.highest if free_choice else found.lowest


def allowed(
    group: HerdGroup, need: DailyNeed, feeds: Sequence[RationFeed]
) -> tuple[list[RationFeed], list[Message]]:
    """The feeds the stock may have, and a sentence for each that is kept out."""
    stock = feed_bars.traits_of(
        group.species, family=group.family, weight=need.weight, milking=need.stage.milking
    )
    kept, out = [], []
    for one in feeds:
        found = feed_bars.bars(one.carries, stock)
        if found:
            out += [bar.says(one.name, group.name) for bar in found]
        else:
            kept.append(one)
    return kept, out


def limits_of(
    group: HerdGroup, need: DailyNeed, feeds: Sequence[RationFeed], *, free_choice: bool = False
) -> list[Limit]:
    """Every limit a ration of one head must keep."""
    room = {one.name: capacity(group, need, one, free_choice=free_choice) for one in feeds}
    found = [limits.amount("cp", feeds, least=need.cp / 1000.0)]
    if not need.gain_energy:
        found.append(limits.amount(need.energy, feeds, least=need.total))
    if "cp" in need.shares:
        found.append(limits.share("cp", feeds, least=need.shares["cp"]))
    found.append(limits.room(feeds, room, full=free_choice))
    if group.species == "cattle" and group.family != "dairy":
        found.append(limits.dry_matter(feeds, least=_least_dry_matter(need, room)))
    found += _mineral_limits(need, feeds)
    found += _feed_limits(group, need, feeds)
    return found


def _least_dry_matter(need: DailyNeed, room: Mapping[str, float]) -> float:
    """Least dry matter of cattle fed a limited amount, or what they can hold of it [kg a day]."""
    share = float(load_toml("intake_rules")["limit_fed"]["least"])
    return min(float(dmi_of_weight(need.weight, share)), *room.values())


def _known_in_all(name: str, feeds: Sequence[RationFeed]) -> bool:
    return all(one.holds(name) is not None for one in feeds)


def _mineral_limits(need: DailyNeed, feeds: Sequence[RationFeed]) -> list[Limit]:
    """Calcium and phosphorus where a mineral is offered; else what is short is told.

    Hay alone seldom holds the phosphorus a table asks for: without a mineral to give, a ration
    would be refused that every rancher feeds with a mineral beside it.
    """
    found = []
    if _known_in_all("fat", feeds):
        found.append(limits.share("fat", feeds, most=feed_bars.diet_limit("fat")["most"]))
    if not any("mineral" in one.carries for one in feeds):
        return found
    for name in ("ca", "p"):
        if not _known_in_all(name, feeds):
            continue
        if name in need.amounts:
            found.append(limits.amount(name, feeds, least=need.amounts[name] / 1000.0))
        elif name in need.shares:
            found.append(limits.share(name, feeds, least=need.shares[name]))
    if _known_in_all("ca", feeds) and _known_in_all("p", feeds):
        lines = load_toml("hazard_lines")["calcium_phosphorus"]
        found.append(limits.ratio("ca", "p", feeds, least=lines["least"]["line"]))
        found.append(limits.ratio("ca", "p", feeds, most=lines["most"]["line"]))
    return found


def _feed_limits(group: HerdGroup, need: DailyNeed, feeds: Sequence[RationFeed]) -> list[Limit]:
    found = []
    for kind in feed_bars.kinds():
        if not any(kind in one.carries for one in feeds):
            continue
        most = feed_bars.limit_of(kind)
        name = load_toml("feed_bars")[kind]["name"]
        if "of_weight" in most:
            cap = float(grain_cap(need.weight, most["of_weight"]))
            found.append(limits.of_kind(kind, name, feeds, most=cap))
        if "of_dm" in most:
            share = most["of_dm"] / 100.0
            found.append(limits.of_kind(kind, name, feeds, most=share, share=True))
    if group.family == "horse":
        least = need.weight * float(load_toml("intake_rules")["horse"]["forage"]) / 100.0
        found.append(limits.forage(feeds, least=least))
    elif group.family == "growing":
        least = need.weight * float(feed_bars.diet_limit("forage")["of_weight"]) / 100.0
        found.append(limits.forage(feeds, least=least))
    elif group.family in ("cow", "heifer", "bull"):
        least = convert(float(feed_bars.diet_limit("forage")["least_lb"]), "lb", "kg")
        found.append(limits.forage(feeds, least=least))
    return found


def balance(
    group: HerdGroup, need: DailyNeed, feeds: Sequence[RationFeed], *, free_choice: bool = False
) -> Balanced:
    """The cheapest ration of one head of a group on a day.

    Parameters
    ----------
    group, need
        Who, and what it needs.
    feeds
        What is offered.
    free_choice
        Whether they eat their fill of it all mixed.

    Raises
    ------
    NoRation
        What conflicts and what would mend it.
    Refused
        No feed is left that they may have.
    """
    if not feeds:
        raise Refused("feeds", None, key="ration.no_feeds")
    kept, out = allowed(group, need, feeds)
    if not kept:
        raise Refused("feeds", None, key="ration.all_barred", why=tuple(out))
    gain = Gain(need.total, need.gain_energy) if need.gain_energy else None
    found = least_cost(
        kept, limits_of(group, need, kept, free_choice=free_choice), gain=gain,
        held=("room",),
    )  # fmt: skip
    return Balanced(group, need, found, tuple(out), mineral_gaps(need, found))


def mineral_gaps(need: DailyNeed, ration: Ration) -> dict[str, float | None]:
    """What a mineral must bring: need less supply, by name [g a day; mg a day for trace ones]."""
    diet = ration.diet
    found: dict[str, float | None] = {}
    for name in MINERALS:
        major = name in ("ca", "p", "mg", "k", "na", "s")
        if name in need.amounts:
            wanted = need.amounts[name]
        elif name in need.shares:
            wanted = need.shares[name] * diet.dmi * (10.0 if major else 1.0)
        else:
            continue
        if diet.unknown(name):
            found[name] = None
        else:
            found[name] = max(wanted - diet.supply(name) * (1000.0 if major else 1.0), 0.0)
    return found


def recalled_feeds(feeds: Sequence[RationFeed]) -> list[Message]:
    """A remark naming the feeds whose figures are recalled."""
    names = tuple(one.name for one in feeds if one.recalled)
    return [message("ration.recalled_feeds", feeds=names)] if names else []
