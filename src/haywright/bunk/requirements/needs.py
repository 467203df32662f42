"""Needs of any group on any day, and by week."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from haywright.bunk.animals import HerdGroup
from haywright.bunk.requirements.beef import beef_need, cold_base
from haywright.bunk.requirements.need import Choices, DailyNeed
from haywright.bunk.requirements.others import dairy_need, doe_need, ewe_need, horse_need
from haywright.bunk.weather import ColdRule, Day, increase_over

_OTHERS: dict[str, Callable[[HerdGroup, date], DailyNeed]] = {
    "ewe": ewe_need,
    "doe": doe_need,
    "horse": horse_need,
    "dairy": dairy_need,
}


def need_on(
    group: HerdGroup, day: date, *, weather: Sequence[Day] = (), choices: Choices | None = None
) -> DailyNeed:
    """Needs of one head of a group on a day.

    Parameters
    ----------
    group
        Which animals.
    day
        The day.
    weather
        The days whose cold counts; cold is counted for beef cattle only.
    choices
        Editions and rules.
    """
    chosen = choices or Choices()
    if group.family in _OTHERS:
        return _OTHERS[group.family](group, day)
    cold = increase_over(weather, group.condition, chosen.cold) if weather else 0.0
    return beef_need(group, day, cold_increase=cold, choices=chosen)


def need_of_week(
    group: HerdGroup,
    first: date,
    *,
    weather: Sequence[Day] = (),
    choices: Choices | None = None,
) -> DailyNeed:
    """Mean need of the seven days from a first one, stage and shares as on the middle day.

    Calving and weaning in the midst of a week fall where they fall.

    Parameters
    ----------
    group, first
        Whose, and the first day of the week.
    weather
        The week's days.
    choices
        Editions and rules.
    """
    days = [
        need_on(group, first + timedelta(days=n), weather=weather, choices=choices)
        for n in range(7)
    ]
    middle = days[3]
    names = {name: None for one in days for name in one.parts}
    return replace(
        middle,
        day=first,
        parts={name: _mean([one.parts.get(name, 0.0) for one in days]) for name in names},
        gain_energy=_mean([one.gain_energy for one in days]),
        cp=_mean([one.cp for one in days]),
        amounts={n: _mean([one.amounts[n] for one in days]) for n in middle.amounts},
        shares={n: max(one.shares.get(n, 0.0) for one in days) for n in middle.shares},
        vitamin_a=None if middle.vitamin_a is None else max(one.vitamin_a or 0.0 for one in days),
        mp=None if middle.mp is None else _mean([one.mp or 0.0 for one in days]),
        dmi=None if middle.dmi is None else _mean([one.dmi or 0.0 for one in days]),
        grounds=tuple(dict.fromkeys(g for one in days for g in one.grounds)),
    )


def with_cold(need: DailyNeed, increase: float, rule: ColdRule) -> DailyNeed:
    """The same need in other weather; needs of stock whose cold is not counted stay as they are.

    Parameters
    ----------
    need
        Of a day or week.
    increase
        More energy for cold [%].
    rule
        How cold is counted.
    """
    if need.energy != "nem":
        return need
    base = cold_base(need.parts, need.stage, rule)
    parts = {**need.parts, "cold": base * increase / 100.0}
    return replace(need, parts=parts, cold_increase=increase)


def _mean(values: list[float]) -> float:
    return sum(values) / len(values)


def weeks(first: date, last: date) -> Iterator[date]:
    """The first days of the weeks that begin between two dates, the first included."""
    day = first
    while day < last:
        yield day
        day += timedelta(days=7)
