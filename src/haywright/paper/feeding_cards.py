"""Feeding cards to hang in the shed: what each group gets, from day to day, with boxes to tick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import timedelta
from typing import Any

from haywright.bunk.hazards.nitrate.stepup import step_up_to
from haywright.bunk.winter.question import WEEK, Herd
from haywright.paper import blocks
from haywright.paper.emergency import call_card, call_line
from haywright.paper.sheet_paper import PAPER_NAMES
from haywright.paper.speaker import Speaker, capital
from haywright.paper.stretches import Portion, Stretch, stretches
from haywright.paper.typeset import set_pdf
from haywright.paper.winter_matter import Scale, WinterMatter, scale_of
from haywright.paper.winter_paper import foot
from haywright.paper.winter_sections import bales, held_line
from haywright.words import Reader

# What stands on a card is as high as this [mm]; it decides how many stretches one card holds.
_CARD, _WARNED, _PLAIN = 210, 80, 10
_HEAD, _FEED, _TALLY_HEAD, _ROW = 15, 12, 5, 6.7
_MARKS = "ABCDEFGHIJKLMNOP"
_SMALL = 0.5  # of a bale a day: then a bale is told by the days it lasts


def cards_pdf(matter: WinterMatter, reader: Reader, *, weeks: int | None = None) -> bytes:
    """The feeding cards as PDF, a page each.

    Parameters
    ----------
    matter
        The plan and what belongs to it.
    reader
        Whom they speak to.
    weeks
        Only the first weeks [count]; ``None`` for the whole winter.
    """
    return set_pdf("feeding_card", cards_data(matter, reader, weeks=weeks))


def cards_data(matter: WinterMatter, reader: Reader, *, weeks: int | None = None) -> dict[str, Any]:
    """The cards as the template takes them; every text is ready.

    Parameters
    ----------
    matter
        The plan and what belongs to it.
    reader
        Whom they speak to.
    weeks
        Only the first weeks [count]; ``None`` for the whole winter.
    """
    words = Speaker(reader)
    title = words("winter_paper.card.title")
    return {
        "language": reader.language,
        "paper": PAPER_NAMES[matter.office.paper],
        "title": f"{title}, {matter.ranch}" if matter.ranch else title,
        "head": {
            "name": words("paper.name"),
            "office": matter.office.name,
            "call": call_line(matter.office, words),
        },
        "cards": [
            card
            for herd in matter.plan.question.herds
            for card in _herd_cards(matter, herd, words, weeks)
        ],
        "foot": foot(matter, words, words("winter_paper.card.one")),
    }


def _herd_cards(
    matter: WinterMatter, herd: Herd, words: Speaker, weeks: int | None
) -> Iterator[dict[str, Any]]:
    until = matter.plan.question.weeks if weeks is None else weeks
    every = [_until(one, until) for one in stretches(matter.plan, herd) if one.weeks[0] < until]
    packs = list(packed(every))
    for n, pack in enumerate(packs, 1):
        yield _card(matter, herd, pack, words, (n, len(packs)))


def _until(one: Stretch, week: int) -> Stretch:
    """A stretch that ends where the cards end."""
    start, end = one.weeks
    if end <= week:
        return one
    last = one.first + timedelta(days=WEEK * (week - start) - 1)
    return replace(one, weeks=(start, week), last=last)


def packed(every: Sequence[Stretch]) -> Iterator[list[Stretch]]:
    """Stretches in order, as many to a card as it holds; at least one."""
    pack: list[Stretch] = []
    for one in (part for whole in every for part in _in_parts(whole)):
        if pack and sum(_height(other) for other in (*pack, one)) > _room((*pack, one)):
            yield pack
            pack = []
        pack.append(one)
    if pack:
        yield pack


def _room(pack: Sequence[Stretch]) -> float:
    return _CARD - (_WARNED if any(one.held_back for one in pack) else _PLAIN)


def _in_parts(one: Stretch) -> Iterator[Stretch]:
    """A stretch too long for one card as several of the same feeding, each of whole weeks."""
    feeds = max(len(one.portions), 1)
    room = _room((one,)) - _HEAD - _TALLY_HEAD - feeds * _FEED
    most = max(int(room / (_ROW * feeds)), 1)
    start, end = one.weeks
    for week in range(start, end, most):
        last = min(week + most, end)
        yield replace(
            one,
            weeks=(week, last),
            first=one.first + timedelta(days=WEEK * (week - start)),
            last=one.first + timedelta(days=WEEK * (last - start) - 1),
        )


def _height(one: Stretch) -> float:
    feeds = max(len(one.portions), 1)
    weeks = -(-one.days // WEEK)
    return _HEAD + feeds * _FEED + _TALLY_HEAD + weeks * feeds * _ROW


def _card(
    matter: WinterMatter, herd: Herd, pack: list[Stretch], words: Speaker, number: tuple[int, int]
) -> dict[str, Any]:
    held = any(one.held_back for one in pack)
    scale = scale_of(matter, words)
    n, cards = number
    return {
        "herd": capital(herd.name),
        "fed": words("winter_paper.group_fed", herd=capital(herd.name), n=round(pack[0].head),
                     fed=words(f"winter_paper.fed.{herd.fed}")),
        "number": words("winter_paper.card.number", herd=capital(herd.name), n=n, cards=cards),
        "dates": words("winter_paper.card.from_to", first=words.season_day(pack[0].first),
                       last=words.day(pack[-1].last)),
        "columns": [words(f"winter_paper.card.{one}") for one in ("bales", "each", "out")],
        "tally": words("winter_paper.card.tally"),
        "goal": words("winter_paper.card.week_goal"),
        "nothing": words("winter_paper.card.nothing"),
        "stretches": [_stretch(one, words, scale) for one in pack],
        "none": _never(matter, herd, words),
        "caution": blocks.caution(
            words("paper.caution"), _cautions(matter, herd, pack, words, scale)
        ) if held else None,
        "call": call_card(matter.office, words) if held else None,
        "note": words("winter_paper.card.mean"),
    }  # fmt: skip


def _stretch(one: Stretch, words: Speaker, scale: Scale) -> dict[str, Any]:
    marks = dict(zip((part.name for part in one.portions), _MARKS, strict=False))
    return {
        "dates": words("winter_paper.card.from_to", first=words.season_day(one.first),
                       last=words.season_day(one.last)),
        "stepping": words("winter_paper.card.stepping") if one.stepping else "",
        "feeds": [_feed(part, marks[part.name], words, scale) for part in one.portions],
        "days": [words.weekday(one.first + timedelta(days=n)) for n in range(WEEK)],
        "weeks": [
            {
                "label": words.short_day(one.first + timedelta(days=n)),
                "days": min(WEEK, one.days - n),
                "rows": [
                    {"mark": marks[p.name], "goal": _goal(p, min(WEEK, one.days - n), words, scale)}
                    for p in one.portions
                ],
            }
            for n in range(0, one.days, WEEK)
        ],
    }  # fmt: skip


def _feed(part: Portion, mark: str, words: Speaker, scale: Scale) -> dict[str, Any]:
    return {
        "mark": mark,
        "name": part.name,
        "small": _small(part, words, scale),
        "held": part.held_back,
        "bales": "" if part.bales is None else bales(part.bales, words),
        "each": scale.weight(part.each, 1),
        "out": scale.weight(part.out),
    }


def _small(part: Portion, words: Speaker, scale: Scale) -> str:
    if part.held_back:
        return words("winter_paper.card.held", weight=scale.weight(part.most, 1))
    if part.bales is None or part.bale is None:
        return ""
    weight = scale.weight(part.bale)
    if part.bales < _SMALL:
        return words("winter_paper.card.lasts", weight=weight, days=_days(1.0 / part.bales, words))
    return words("winter_paper.card.bale_of", weight=weight)


def _days(days: float, words: Speaker) -> str:
    return words.count(days, 0 if days >= 10 else 1)


def _goal(part: Portion, days: int, words: Speaker, scale: Scale) -> str:
    if part.bales is None:
        return scale.weight(part.out * days)
    return bales(part.bales * days, words)


def _never(matter: WinterMatter, herd: Herd, words: Speaker) -> list[str]:
    """Lots this group never gets: not tested, or none by its share."""
    said = []
    if matter.untested:
        names = tuple(hay.name for hay in matter.untested)
        said.append(words("winter_paper.card.untested", lots=names))
    none = tuple(hay.name for hay in matter.held_back if hay.share_for(herd.name) <= 0)
    if none:
        said.append(words("winter_paper.card.none_of", herd=herd.name, lots=none))
    return said


def _cautions(
    matter: WinterMatter, herd: Herd, pack: list[Stretch], words: Speaker, scale: Scale
) -> list[str]:
    said, seen = [], set()
    for one in pack:
        for part in one.held_back:
            if part.name not in seen:
                hay = matter.hay(part.name)
                said.append(words.said(held_line(matter, hay, herd.name)))
            key = (part.name, part.since)
            if key not in seen and one.stepping:
                said.append(_steps(part, words, scale))
            seen |= {part.name, key}
    keys = ("every_feeding", "mixing", "ask")
    said += [words(f"bunk.nitrate.caution.{key}") for key in keys]
    return list(dict.fromkeys(said))


def _steps(part: Portion, words: Speaker, scale: Scale) -> str:
    """The days of the step-up, each with the most a head may get."""
    rise = step_up_to(part.share)
    each = tuple(
        words(
            "winter_paper.card.step_from",
            day=words.season_day(part.since + timedelta(days=day - 1)),
            weight=scale.weight(part.most * share / part.share, 1),
        )
        for day, share in rise.schedule
        if part.since is not None
    )
    return words("winter_paper.card.step_up", lot=part.name, each=each)
