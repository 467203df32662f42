"""The winter plan on paper: the sentence, hay on hand, what to buy and to sell, weeks, cautions."""

from __future__ import annotations

from typing import Any

from haywright.paper import winter_sections as parts
from haywright.paper.emergency import call_line, foot_line
from haywright.paper.sheet_paper import PAPER_NAMES
from haywright.paper.speaker import Speaker
from haywright.paper.typeset import set_pdf
from haywright.paper.winter_matter import WinterMatter
from haywright.words import Reader


def winter_pdf(matter: WinterMatter, reader: Reader) -> bytes:
    """The winter plan as PDF."""
    return set_pdf("winter", winter_data(matter, reader))


def winter_data(matter: WinterMatter, reader: Reader) -> dict[str, Any]:
    """The winter plan as the template takes it; every text is ready."""
    words = Speaker(reader)
    sections = [
        parts.hand_section(matter, words),
        parts.call_section(matter, words),
        parts.cautions_section(matter, words),
        parts.short_section(matter, words),
        parts.now_section(matter, words),
        parts.buy_section(matter, words),
        parts.sell_section(matter, words),
        parts.keep_section(matter, words),
        parts.cost_section(matter, words),
        parts.strips_section(matter, words),
        parts.condition_section(matter, words),
        parts.worth_section(matter, words),
        parts.out_section(matter, words),
        parts.weeks_section(matter, words),
        parts.defaults_section(matter, words),
    ]
    title = words("winter_paper.title")
    return {
        "language": reader.language,
        "paper": PAPER_NAMES[matter.office.paper],
        "title": f"{title}, {matter.ranch}" if matter.ranch else title,
        "head": {
            "name": words("paper.name"),
            "office": matter.office.name,
            "call": call_line(matter.office, words),
        },
        "kicker": _kicker(matter, words),
        "mark": None,
        "verdict": sentence(matter, words),
        "lede": " ".join(_second(matter, words)),
        "standing": [" ".join(_standing(matter, words))],
        "sections": [one for one in sections if one is not None],
        "foot": foot(matter, words, title),
    }


def foot(matter: WinterMatter, words: Speaker, title: str) -> dict[str, str]:
    """The foot of every page; with the emergency line where a lot is held back or not tested."""
    parts_of = [title, *([matter.ranch] if matter.ranch else [])]
    if matter.made_on is not None:
        parts_of.append(words("winter_paper.made", day=words.day(matter.made_on)))
    warned = matter.held_back or matter.untested
    return {
        "left": ", ".join(parts_of) + f". {matter.office.name}.",
        "emergency": foot_line(matter.office, words) if warned else "",
        "page": words("paper.page", page="{page}", pages="{pages}"),
    }


def _kicker(matter: WinterMatter, words: Speaker) -> list[str]:
    herds = [
        words("winter_paper.group", herd=one.name, n=round(one.group.head))
        for one in matter.plan.question.herds
    ]
    q = matter.plan.question
    days = words("winter_paper.from_to", first=words.day(q.first), last=words.day(q.last))
    said = [words("winter_paper.title"), matter.ranch, ", ".join(herds), days]
    return [one for one in said if one]


def sentence(matter: WinterMatter, words: Speaker) -> list[str]:
    """Until when the hay lasts in a usual winter; NOT TESTED first where a lot is."""
    said = [words("winter_paper.not_tested", lots=tuple(h.name for h in matter.untested))] * bool(
        matter.untested
    )
    if matter.lasts is None:
        return [*said, words("winter_paper.plain", day=words.season_day(matter.plan.question.last))]
    if matter.lasts.until is None:
        key = "winter_paper.lasts_turnout" if matter.turnout else "winter_paper.lasts_all"
        day = matter.turnout or matter.plan.question.last
        return [*said, words(key, day=words.season_day(day))]
    return [*said, words("winter_paper.lasts", day=words.season_day(matter.lasts.until))]


def _second(matter: WinterMatter, words: Speaker) -> list[str]:
    said = []
    if matter.turnout is not None:
        said.append(words("winter_paper.grass", day=words.season_day(matter.turnout)))
    if matter.in_ten is not None:
        said.append(words("winter_paper.in_ten", n=matter.in_ten) if matter.in_ten
                    else words("winter_paper.in_none"))  # fmt: skip
    if matter.hardest is not None:
        said.append(words("winter_paper.hardest", day=words.season_day(matter.hardest)))
    return said


def _standing(matter: WinterMatter, words: Speaker) -> list[str]:
    said = []
    if matter.drawn:
        said.append(words("winter_paper.drawn", winters=matter.drawn))
    said.append(words("winter_paper.standing"))
    return said
