"""What a rancher says of a winter as the plan's question; what nobody said is told as counted."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TypeVar

import numpy as np

from haywright.bunk.animals import FAMILIES, HerdGroup
from haywright.bunk.ranch import FeedingGroup, Ranch
from haywright.bunk.ration.program import Floats
from haywright.bunk.weather import ColdRule
from haywright.bunk.winter import feeding_out
from haywright.bunk.winter.question import WEEK, Fed, Herd, WinterQuestion, needs_of
from haywright.bunk.winter.scenarios import Winters, cold_of_winters, in_winters
from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.measure.message import Amount, Message, message
from haywright.measure.units import convert
from haywright.sources.tables import load_toml
from haywright.way.lot import Sample
from haywright.way.office import Office
from haywright.way.winter_asked import BidAsked, GroupAsked, HayAsked, WeatherAsked, WinterAsked
from haywright.way.winter_hay import HayCounted, Place, clean_for, count_hay, every_sample

T = TypeVar("T")
WINTERS = 100
_MIDDAY = 3


@dataclass(frozen=True)
class Counted:
    """A winter ready to be solved.

    Parameters
    ----------
    asked
        As it was said.
    question
        In a usual winter.
    bare
        The same without cold, to be asked in any winter.
    cold
        More energy for cold by drawn winter and week [%], (n, T).
    hays
        The lots, with their verdicts; hay to buy among them.
    groups
        Herd -> what was said of it.
    said
        What was counted that nobody said.
    remarks
        What looks odd in the question.
    """

    asked: WinterAsked
    question: WinterQuestion
    bare: WinterQuestion
    cold: Floats
    hays: tuple[HayCounted, ...]
    groups: tuple[GroupAsked, ...]
    said: tuple[Message, ...]
    remarks: tuple[Message, ...]

    def hay(self, name: str) -> HayCounted:
        """The lot of a name."""
        return next(one for one in self.hays if one.name == name)

    def group(self, name: str) -> GroupAsked:
        """What was said of a herd."""
        return next(one for one in self.groups if one.group.name == name)

    def in_weather(self, weather: WeatherAsked, rng: np.random.Generator) -> WinterQuestion:
        """The question in the usual course of another winter."""
        cold = cold_of(weather, self.bare, rng)
        return in_winters(self.bare, cold.mean(axis=0, keepdims=True))[0]


def count(
    asked: WinterAsked,
    *,
    today: date,
    rng: np.random.Generator,
    office: Office | None = None,
    ranch: Ranch | None = None,
    samples: Sequence[Sample] = (),
) -> Counted:
    """The question behind what was said.

    Parameters
    ----------
    asked
        What was said.
    today
        First day where none was said.
    rng
        Draws the winters.
    office, ranch
        Whose guide and whose lots.
    samples
        The office's samples with their sheets.

    Raises
    ------
    Refused, Problems
        Everything that keeps it from being planned, at once.
    """
    problems: list[HaywrightError] = []
    first = asked.first or today
    weeks = _try(problems, lambda: _weeks(asked, first)) or 1
    said: list[Message] = []
    mine = ranch or Ranch("", asked.name, tuple(one.group for one in asked.groups), asked.guide)
    place = Place(first, weeks, mine.groups, mine, office or Office("", ""), tuple(samples))
    wanted = every_sample(place) if asked.every_lot else asked.hays
    if not wanted and not asked.to_buy:
        problems.append(Refused("lot", None, key="ranch_plan.no_hay"))
    if not asked.groups or not any(one.group.head for one in asked.groups):
        problems.append(Refused("group", None, key="winter.no_animals"))
    herds = [
        herd
        for one in asked.groups
        if one.group.head
        and (herd := _try(problems, lambda one=one: _herd(one, first, weeks, asked, said)))  # type: ignore[misc]
    ]
    _check_bids(problems, asked, wanted)
    hays = _hays(problems, (*wanted, *asked.to_buy), place, asked.bids)
    if problems:
        raise problems[0] if len(problems) == 1 else Problems(problems)
    bare = WinterQuestion(first, weeks, tuple(one.hay for one in hays), asked.feeds, tuple(herds))
    cold = cold_of(asked.weather, bare, rng)
    said += [one for hay in hays for one in hay.said]
    said += _weather_said(asked.weather)
    if any(herd.reserves for herd in herds):
        said.append(message("ranch_plan.as.condition_left"))
    return Counted(
        asked,
        in_winters(bare, cold.mean(axis=0, keepdims=True))[0],
        bare,
        cold,
        hays,
        asked.groups,
        tuple(said),
        tuple(_remarks(asked)),
    )


def _try(problems: list[HaywrightError], make: Callable[[], T]) -> T | None:
    try:
        return make()
    except HaywrightError as error:
        problems += error.errors if isinstance(error, Problems) else [error]
        return None


def _weeks(asked: WinterAsked, first: date) -> int:
    if asked.turnout is None:
        raise Refused("turnout", None, key="ranch_plan.no_turnout")
    days = (asked.turnout - first).days
    longest = int(load_toml("winter_usual")["days"]["longest"])
    if not 0 < days <= longest:
        raise Refused("turnout", asked.turnout, key="ranch_plan.turnout", first=first, most=longest)
    return math.ceil(days / WEEK)


def _hays(
    problems: list[HaywrightError],
    every: Sequence[HayAsked],
    place: Place,
    bids: Sequence[BidAsked],
) -> tuple[HayCounted, ...]:
    found = []
    for one in every:

        def make(one: HayAsked = one) -> HayCounted:
            clean = clean_for(one, every, place)
            mine = [bid for bid in bids if bid.lot in (one.name, one.lot)]
            return count_hay(one, place, clean, mine)

        counted = _try(problems, make)
        if counted is not None:
            found.append(counted)
    return tuple(found)


def _check_bids(
    problems: list[HaywrightError], asked: WinterAsked, wanted: Sequence[HayAsked]
) -> None:
    names = {name for one in wanted for name in (one.name, one.lot) if name}
    problems += [
        Refused("offer", bid.lot, key="ranch_plan.offer_lot", lots=tuple(sorted(names)))
        for bid in asked.bids
        if bid.lot not in names
    ]


def _herd(
    asked: GroupAsked, first: date, weeks: int, winter: WinterAsked, said: list[Message]
) -> Herd:
    usual = load_toml("winter_usual")
    group = herd_group(asked, first, said)
    _check_due(asked, group, winter, first)
    fed: Fed = asked.group.fed.value
    waste = _waste(asked, group, said)
    reserves = group.family in ("cow", "heifer")
    least = (
        asked.least if asked.least is not None else usual["condition"]["least"].get(group.family, 1)
    )
    target = asked.target
    if target is None and reserves and group.due is not None:
        target = min(float(usual["condition"]["target"][group.family]), group.condition)
    if asked.target is not None and asked.target < least:
        raise Refused(
            "target_condition", target, key="ranch_plan.target", name=group.name, least=least
        )
    return Herd(
        group=group,
        needs=needs_of(group, first, weeks),
        fed=fed,
        waste=waste,
        target=target if reserves else None,
        least=float(least),
        sale=asked.sale,
        replacement=asked.replacement or 0.0,
        most_hays=asked.most_lots,
        water_sulfate=asked.water_sulfate,
        drinks=asked.group.drinks,
    )


def herd_group(asked: GroupAsked, first: date, said: list[Message]) -> HerdGroup:
    """One group as needs are worked out for it, with the usual weight where none was said."""
    usual = load_toml("winter_usual")
    group = HerdGroup(
        name=asked.group.name,
        kind=asked.group.stock.id,
        head=asked.group.head,
        weight=asked.group.weight or _usual_weight(asked.group, said),
        weighed=first,
        condition=_condition(asked, said),
        due=asked.due,
        weaned=asked.weaned,
        breed=asked.breed,
        peak_milk=asked.peak_milk,
        gain=asked.gain,
        mature_weight=asked.grown,
        age=asked.age,
        litter=asked.litter,
        work=asked.work,
    )
    if group.family != "growing":
        return group
    grown = asked.grown or convert(usual["weights"]["cow"], "lb", "kg")
    if asked.grown is None:
        said.append(
            message("ranch_plan.as.grown", name=group.name, weight=Amount(grown, "kg", digits=0))
        )
    return replace(group, mature_weight=grown, age="calf" if asked.age == "grown" else asked.age)


def _usual_weight(group: FeedingGroup, said: list[Message]) -> float:
    usual = load_toml("winter_usual")["weights"][FAMILIES[group.stock.id]]
    weight = float(convert(usual, "lb", "kg"))
    said.append(
        message("ranch_plan.as.weight", name=group.name, weight=Amount(weight, "kg", digits=0))
    )
    return weight


def _condition(asked: GroupAsked, said: list[Message]) -> float:
    if asked.condition is not None:
        return asked.condition
    now = float(load_toml("winter_usual")["condition"]["now"])
    if asked.group.stock.species == "cattle":
        said.append(message("ranch_plan.as.condition", name=asked.group.name, condition=now))
    return now


def _check_due(asked: GroupAsked, group: HerdGroup, winter: WinterAsked, first: date) -> None:
    bred = "pregnant" in asked.group.stock.classes and asked.group.pregnant is not False
    if asked.due is None:
        if bred and group.family not in ("growing", "bull"):
            raise Refused("calving", None, key="ranch_plan.no_due", name=group.name)
        return
    row = load_toml("reproduction")[group.family]
    latest = winter.turnout or first
    after = timedelta(days=int(load_toml("winter_usual")["days"]["due_after"]))
    earliest = first - timedelta(days=int(row["wean"]) + int(row["gestation"]))
    if not earliest <= asked.due <= latest + after:
        raise Refused("calving", asked.due, key="ranch_plan.due", name=group.name,
                      first=first, turnout=latest)  # fmt: skip


def _waste(asked: GroupAsked, group: HerdGroup, said: list[Message]) -> float:
    if asked.waste is not None:
        return asked.waste
    usual = load_toml("winter_usual")["feeder"]
    name = asked.feeder or usual["horse" if group.family == "horse" else asked.group.fed.value]
    way = feeding_out.way(name)
    said.append(
        message("ranch_plan.as.waste", name=group.name, way=way.name,
                waste=Amount(way.usual, "%", digits=0), low=Amount(way.low, "", digits=0),
                high=Amount(way.high, "%", digits=0))
    )  # fmt: skip
    return way.usual


def winters_of(weather: WeatherAsked, first: date, weeks: int) -> Winters:
    """The winter to draw from: mean temperature in the midst of each week, straight between months.

    Parameters
    ----------
    weather
        As it was asked.
    first
        First day.
    weeks
        How many [count].
    """
    table = load_toml("winters")
    spread = table["spread"]
    months = dict(
        zip([7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6], table[weather.winter]["mean"], strict=True)
    )
    months |= weather.months
    days = [first + timedelta(days=WEEK * n + _MIDDAY) for n in range(weeks)]
    mean = np.array([_temperature(months, day) for day in days])
    wind = 0.0 if weather.sheltered else spread["wind"] if weather.wind is None else weather.wind
    wet = spread["wet"] if weather.wet is None else weather.wet
    return Winters(mean, spread["winter"], spread["week"], spread["day"], float(wind), float(wet))


def _temperature(months: dict[int, float], day: date) -> float:
    at = (day.day - 0.5) / 30.0 - 0.5
    other = (day.month % 12) + 1 if at >= 0 else (day.month - 2) % 12 + 1
    return float(months[day.month] * (1 - abs(at)) + months[other] * abs(at))


def cold_of(weather: WeatherAsked, q: WinterQuestion, rng: np.random.Generator) -> Floats:
    """More energy for cold by drawn winter and week [%], (n, T), for stock in usual condition.

    Parameters
    ----------
    weather
        As it was asked.
    q
        The question.
    rng
        Generator.
    """
    now = float(load_toml("winter_usual")["condition"]["now"])
    drawn = winters_of(weather, q.first, q.weeks)
    return cold_of_winters(drawn, WINTERS, now, ColdRule(), rng)


def _weather_said(weather: WeatherAsked) -> list[Message]:
    if weather.months:
        return []
    table = load_toml("winters")
    mean = table[weather.winter]["mean"]
    december, january, march = (Amount(mean[n], "degF", digits=0) for n in (5, 6, 8))
    name = table[weather.winter]["name"]
    return [
        message(
            "ranch_plan.as.weather", winter=name, december=december, january=january, march=march
        )
    ]


def _remarks(asked: WinterAsked) -> list[Message]:
    return [
        message("ranch_plan.after_turnout", name=one.group.name, due=one.due, turnout=asked.turnout)
        for one in asked.groups
        if one.due is not None and asked.turnout is not None and one.due > asked.turnout
    ]
