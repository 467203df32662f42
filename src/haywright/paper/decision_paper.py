"""The nitrate decision on paper: one sentence, how much, the bales as a hill, guides, the card."""

from __future__ import annotations

from typing import Any

from haywright.bunk.hazards.nitrate.verdict import NitrateVerdict
from haywright.paper import blocks
from haywright.paper.emergency import call_card, call_line, foot_line
from haywright.paper.nitrate_matter import hill_section
from haywright.paper.sheet_paper import PAPER_NAMES, About, Opening, bag_words
from haywright.paper.speaker import Speaker
from haywright.paper.tokens import PRINT, Palette
from haywright.paper.typeset import set_pdf
from haywright.paper.verdict_matter import hill_of, limits_section, next_section, opening_of
from haywright.words import Reader


def decision_pdf(verdict: NitrateVerdict, about: About, reader: Reader) -> bytes:
    """The nitrate decision as PDF."""
    return set_pdf("decision", decision_data(verdict, about, reader))


def decision_data(
    verdict: NitrateVerdict, about: About, reader: Reader, palette: Palette = PRINT
) -> dict[str, Any]:
    """The decision as the template takes it; every text is ready."""
    words = Speaker(reader, palette)
    name = about.lot_name or about.lot
    opening = opening_of(verdict, reader)
    hill = hill_of(verdict)
    sections = {
        "card": _card(about, words) if opening.restricted else None,
        "limits": limits_section(verdict, words) if verdict.shares else None,
        "cautions": _cautions(opening, words),
        "next": next_section(verdict, words),
        "hill": hill_section(hill, words) if hill else None,
        "guides": opening.guides[0] if opening.guides else None,
    }
    return {
        "language": reader.language,
        "paper": PAPER_NAMES[about.office.paper],
        "title": words("paper.decision.title", lot=name),
        "head": {
            "name": words("paper.name"),
            "office": about.office.name,
            "call": call_line(about.office, words),
        },
        "kicker": [p for p in (words("paper.decision.name"), name, bag_words(about, words)) if p],
        "mark": None,
        "verdict": words.every(opening.sentence),
        "lede": words.said(opening.reason) if opening.reason else "",
        "standing": [" ".join(words.every(opening.standing))] if opening.standing else [],
        "mind": words.every(opening.mind),
        "sections": [{**one, "id": name} for name, one in sections.items() if one is not None],
        "foot": {
            "left": f"{words('paper.decision.title', lot=name)}. {about.office.name}.",
            "emergency": foot_line(about.office, words) if opening.restricted else "",
            "page": words("paper.page", page="{page}", pages="{pages}"),
        },
    }


# For a phone's width of page [px].
NARROW = {"width": 330, "text": 14, "ring": 14, "wrap": 22}


def narrow_hill(verdict: NitrateVerdict, words: Speaker) -> blocks.Block | None:
    """The bales as a hill, drawn for a phone: nothing is shrunk, the same things stand closer."""
    hill = hill_of(verdict)
    return hill_section(hill, words, **NARROW) if hill else None


def _card(about: About, words: Speaker) -> blocks.Block:
    return blocks.section(words("paper.call.head"), call_card(about.office, words), heavy=True)


def _cautions(opening: Opening, words: Speaker) -> blocks.Block | None:
    if not opening.cautions:
        return None
    said = words.every(opening.cautions)
    return blocks.section(words("paper.mind"), blocks.caution(words("paper.caution"), said))
