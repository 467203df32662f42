"""What a change is worth: the winter solved again with one thing different."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from haywright.bunk.hazards.nitrate.question import Fed, NitrateQuestion
from haywright.bunk.hazards.nitrate.verdict import decide
from haywright.bunk.requirements.condition import weight_share
from haywright.bunk.winter import feeding_out
from haywright.bunk.winter.lasts import hay_lasts
from haywright.bunk.winter.plan import solve_plan
from haywright.bunk.winter.question import Hay, Herd, WinterQuestion, needs_of
from haywright.bunk.winter.scenarios import in_winters
from haywright.measure.errors import HaywrightError
from haywright.measure.message import Message, message
from haywright.measure.units import convert
from haywright.sources.guides import default_guide, guide
from haywright.sources.tables import load_toml
from haywright.way.winter import WinterAnswer, most_of
from haywright.way.winter_asked import WeatherAsked
from haywright.way.winter_count import Counted
from haywright.way.winter_hay import shares_over

Shares = float | tuple[float, ...]
_MOST_SCORE = 9.0
_TON = "ranch_plan.change.ton"


@dataclass(frozen=True, slots=True)
class Change:
    """One change and what it brings.

    Parameters
    ----------
    what
        Is different.
    saves
        On the whole winter; below 0 where it costs more [money].
    until
        Until when the hay then lasts; ``None`` for to the end.
    """

    what: Message
    saves: float
    until: date | None


def changes(
    answer: WinterAnswer, rng: np.random.Generator, *, other_guide: str = ""
) -> tuple[Change, ...]:
    """The usual changes, each solved again; one that cannot be planned is left out.

    Parameters
    ----------
    answer
        The winter answered.
    rng
        Draws the other winters.
    other_guide
        Id of the nitrate guide to compare with; "" takes the program's default.
    """
    counted, prices = answer.counted, answer.prices
    now = solve_plan(answer.question, short=prices, near=answer.plan)
    found = []
    for what, q in _variants(counted, rng, other_guide):
        try:
            then = solve_plan(q, short=prices, near=now)
            # A ton more moves the day by hours; it is worth a solve only where that is asked.
            ton = what.key == _TON
            until = answer.lasts.until if ton else hay_lasts(q, near=answer.lasts).until
        except HaywrightError:
            continue
        found.append(Change(what, now.cost - then.cost, until))
    return tuple(found)


def _variants(
    counted: Counted, rng: np.random.Generator, other: str
) -> Iterator[tuple[Message, WinterQuestion]]:
    q = counted.question
    for hay in q.hays:
        if hay.stock > 0 and any(most_of(q, hay, herd.name) > 0 for herd in q.herds):
            yield message(_TON, lot=hay.name), _with_ton(q, hay)
    for herd in q.herds:
        if herd.reserves and herd.group.condition + 1.0 <= _MOST_SCORE:
            yield message("ranch_plan.change.condition", herd=herd.name), _fatter(counted, herd)
    for winter in ("mild", "hard"):
        if winter != counted.asked.weather.winter:
            there = counted.in_weather(_shifted(counted.asked.weather, winter), rng)
            yield message(f"ranch_plan.change.{winter}"), there
    yield from _other_guide(counted, other)
    for herd in q.herds:
        for fed in Fed:
            if fed.value != herd.fed and herd.group.species != "horse":
                what = message(
                    "ranch_plan.change.fed",
                    herd=herd.name,
                    way=message(f"ranch_plan.fed.{fed.value}"),
                )
                yield what, _fed_otherwise(counted, herd, fed)


def _with_ton(q: WinterQuestion, hay: Hay) -> WinterQuestion:
    ton = convert(1.0, "short_ton", "kg") * hay.feed.dm / 100.0
    return q.with_hays([replace(h, stock=h.stock + ton) if h is hay else h for h in q.hays])


def _fatter(counted: Counted, herd: Herd) -> WinterQuestion:
    """The same winter with one more score of condition on the first day, and its weight."""
    group, q = herd.group, counted.bare
    score = group.condition + 1.0
    heavier = replace(
        group, condition=score, weight=float(group.weight_at_5 * weight_share(score) / 100.0)
    )
    more = replace(herd, group=heavier, needs=needs_of(heavier, q.first, q.weeks))
    herds = [replace(more) if one.name == herd.name else one for one in q.herds]
    return in_winters(q.with_herds(herds), counted.cold.mean(axis=0, keepdims=True))[0]


def _shifted(weather: WeatherAsked, winter: str) -> WeatherAsked:
    """A mild or hard winter here: the months said, shifted as the table's winters differ."""
    if not weather.months:
        return replace(weather, winter=winter)
    table = load_toml("winters")
    order = [7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6]
    usual = dict(zip(order, table["usual"]["mean"], strict=True))
    there = dict(zip(order, table[winter]["mean"], strict=True))
    months = {m: t + there[m] - usual[m] for m, t in weather.months.items()}
    return replace(weather, winter=winter, months=months)


def _other_guide(counted: Counted, other: str) -> Iterator[tuple[Message, WinterQuestion]]:
    """The shares of another guide, where one holds a lot back."""
    chosen = guide(other) if other else default_guide("cattle")
    held = [
        (hay.name, herd, verdict)
        for hay in counted.hays
        for herd, verdict in hay.verdicts.items()
        if verdict.restricted and verdict.question.result is not None
        and not verdict.question.horse and verdict.question.guide.id != chosen.id
    ]  # fmt: skip
    if not held:
        return
    shares = {
        (lot, herd): _shares(counted, lot, replace(verdict.question, guide=chosen))
        for lot, herd, verdict in held
    }
    yield message("ranch_plan.change.guide", guide=chosen.name), _with_shares(counted, shares)


def _shares(counted: Counted, lot: str, question: NitrateQuestion) -> Shares:
    return shares_over(decide(question), counted.hay(lot).hay.loss)


def _with_shares(counted: Counted, shares: dict[tuple[str, str], Shares]) -> WinterQuestion:
    q = counted.question
    hays = [
        replace(hay, shares={h: shares.get((hay.name, h), s) for h, s in hay.shares.items()})
        for hay in q.hays
    ]
    return q.with_hays(hays)


def _fed_otherwise(counted: Counted, herd: Herd, fed: Fed) -> WinterQuestion:
    """Fed another way: the nitrate share of that way, and its usual waste."""
    shares = {
        (hay.name, herd.name): _shares(
            counted, hay.name, replace(hay.verdicts[herd.name].question, fed=fed)
        )
        for hay in counted.hays
        if hay.verdicts[herd.name].question.result is not None
    }
    way = feeding_out.way(load_toml("winter_usual")["feeder"][fed.value])
    q = _with_shares(counted, shares)
    return q.with_herds(
        [
            replace(one, fed=fed.value, waste=way.usual) if one.name == herd.name else one
            for one in q.herds
        ]
    )
