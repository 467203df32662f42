"""The test sheet on paper: a Sheet, its bag and the verdict become one PDF."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from haywright.bag.bag import Bag
from haywright.measure.message import Message, message
from haywright.paper import blocks
from haywright.paper.emergency import call_card, call_line, foot_line, unparted
from haywright.paper.issue import Issue, mark_of
from haywright.paper.large import large_rows
from haywright.paper.sheet_sections import (
    about_section,
    behind_sections,
    found_sections,
    working_sections,
)
from haywright.paper.speaker import Speaker
from haywright.paper.tokens import PRINT, Palette
from haywright.paper.typeset import set_pdf
from haywright.sheet.sheet import Sheet
from haywright.way.office import Office
from haywright.words import Reader

PAPER_NAMES = {"letter": "us-letter", "a4": "a4"}


@dataclass(frozen=True, slots=True)
class Said:
    """What the office says to this rancher in its own words: who, on which day.

    ``version`` is the version of the sheet they were written for; 0 for the one they stand on.
    """

    text: str
    by: str
    day: date
    version: int = 0


@dataclass(frozen=True, slots=True)
class About:
    """Which sheet of which hay.

    Parameters
    ----------
    office
        Who prints it.
    lot, lot_name, ranch
        Id and name of the lot; whose it is.
    number, released
        Number of the sheet and the day it was released, when it was.
    bag
        The bag; ``None`` for results typed from a report.
    bales
        Bales in the lot, when counted.
    laboratory
        Who tested it.
    issue
        Which version it is; ``None`` for a sheet that has none.
    said
        The office's own words.
    aside
        What was worked out another way here than when the sheet was written, in words.
    """

    office: Office
    lot: str
    lot_name: str = ""
    ranch: str = ""
    number: int = 1
    released: date | None = None
    bag: Bag | None = None
    bales: int | None = None
    laboratory: str = ""
    issue: Issue | None = None
    said: Said | None = None
    aside: str = ""


@dataclass(frozen=True, slots=True)
class Opening:
    """What stands first on paper and page alike.

    Parameters
    ----------
    sentence
        The verdict, a line each; doubt first.
    reason
        The second sentence.
    standing
        Guide, class, basis, bound, margin, water, how it is fed, what set the limit.
    mind
        What stays in sight under the verdict where a page folds the rest away.
    restricted
        Whether the emergency card must be there.
    cautions
        What to mind.
    matter, guides
        Sections that belong to the verdict: shares and next steps; what each guide says.
    likely
        The likely range with sampling counted, by quantity, where the verdict worked it.
    """

    sentence: tuple[Message, ...] = ()
    reason: Message | None = None
    standing: tuple[Message, ...] = ()
    mind: tuple[Message, ...] = ()
    restricted: bool = False
    cautions: tuple[Message, ...] = ()
    matter: tuple[blocks.Block, ...] = ()
    guides: tuple[blocks.Block, ...] = ()
    likely: dict[str, tuple[float, float]] = field(default_factory=dict)


def sheet_pdf(sheet: Sheet, about: About, opening: Opening | None, reader: Reader) -> bytes:
    """The test sheet as PDF."""
    return set_pdf("test_sheet", sheet_data(sheet, about, opening, reader))


def sheet_data(
    sheet: Sheet,
    about: About,
    opening: Opening | None,
    reader: Reader,
    palette: Palette = PRINT,
) -> dict[str, Any]:
    """The test sheet as the template takes it; every text is ready."""
    words = Speaker(reader, palette)
    first = opening or unasked(sheet)
    title = words("paper.sheet.title", number=about.number, lot=about.lot_name or about.lot)
    return {
        "language": reader.language,
        "paper": PAPER_NAMES[about.office.paper],
        "title": title,
        "head": {
            "name": words("paper.name"),
            "office": about.office.name,
            "call": call_line(about.office, words),
        },
        "kicker": _kicker(about, words),
        "mark": mark_of(sheet, about.issue, words),
        "verdict": _verdict(sheet, first, words),
        "lede": words.said(first.reason) if first.reason else "",
        "standing": [" ".join(words.every(first.standing))] if first.standing else [],
        "mind": words.every(first.mind),
        "aside": about.aside,
        "five": large_rows(sheet, first.likely, words),
        "first": _first_page(sheet, about, first, words),
        "rest": [
            *first.matter,
            *behind_sections(sheet, words),
            about_section(sheet, about, words),
            *found_sections(sheet, first.likely, words),
            *working_sections(sheet, words),
            *first.guides,
        ],
        "foot": {
            "left": _foot(about, words),
            "emergency": foot_line(about.office, words) if first.restricted else "",
            "page": words("paper.page", page="{page}", pages="{pages}"),
        },
    }


def unasked(sheet: Sheet) -> Opening:
    """What stands first when nobody asked who eats it: an untested accumulator is NOT TESTED."""
    if sheet.crop.accumulator and sheet.get("nitrate_n") is None:
        untested = message("bunk.nitrate.answer.not_tested")
        return Opening(sentence=(untested,), restricted=True)
    return Opening()


def _kicker(about: About, words: Speaker) -> list[str]:
    bag = about.bag
    said = [_number(about, words), about.lot_name or about.lot]
    if bag is not None:
        said.append(bag_words(about, words))
    if bag is not None and about.released is not None:
        cored, released = words.day(bag.cored_on), words.day(about.released)
        said.append(words("paper.sheet.cored_released", cored=cored, released=released))
    elif bag is not None:
        said.append(words("paper.sheet.cored", cored=words.day(bag.cored_on)))
    elif about.released is not None:
        said.append(words("paper.sheet.released", released=words.day(about.released)))
    return said


def _number(about: About, words: Speaker) -> str:
    """Number of the sheet, with that of its version where there are several."""
    if about.issue is None or about.issue.newest == 1:
        return words("paper.sheet.number", number=about.number)
    return words("paper.sheet.numbers", number=about.number, version=about.issue.number)


def bag_words(about: About, words: Speaker) -> str:
    """The bag and how many bales it speaks for: "bag TFK-0117-38, 20 of 64 bales"."""
    bag = about.bag
    if bag is None:
        return ""
    if bag.bales_cored is None or about.bales is None:
        return words("paper.bag", code=str(bag.code))
    return words("paper.bag_of", code=str(bag.code), cored=bag.bales_cored, bales=about.bales)


def _verdict(sheet: Sheet, first: Opening, words: Speaker) -> list[str]:
    if first.sentence:
        return words.every(first.sentence)
    cp, tdn = sheet.get("cp"), sheet.get("tdn")
    if cp is None or tdn is None or not (cp.settled and tdn.settled):
        return [words("paper.sheet.plain_crop", crop=sheet.crop.name)]
    return [
        words(
            "paper.sheet.plain",
            crop=sheet.crop.name,
            cp=words.value(cp.estimate, "cp"),
            tdn=words.value(tdn.estimate, "tdn"),
        )
    ]


def _first_page(sheet: Sheet, about: About, first: Opening, words: Speaker) -> list[blocks.Block]:
    now = about.issue.number if about.issue else 1
    out = [] if about.said is None else [said_section(about.said, words, now=now)]
    if first.restricted:
        out.append(blocks.section(words("paper.call.head"), call_card(about.office, words)))
    cautions = [*words.every(first.cautions), *_cautions(sheet, about, words)]
    if cautions:
        box = blocks.caution(words("paper.caution"), list(dict.fromkeys(cautions)))
        out.append(blocks.section(words("paper.mind"), box))
    return out


def said_section(said: Said, words: Speaker, *, now: int = 1) -> blocks.Block:
    """The office's own words, with who wrote them when; those for another version say so first.

    Parameters
    ----------
    said, words
        The words, and who prints them.
    now
        Number of the version they stand on here.
    """
    lines = [blocks.text(one.strip()) for one in said.text.splitlines() if one.strip()]
    if said.version:
        earlier = words("paper.sheet.said_earlier", n=said.version, now=now)
        lines.insert(0, blocks.caution(words("paper.caution"), [earlier]))
    by = words("paper.sheet.said_by", name=said.by, day=words.day(said.day))
    return blocks.section(words("paper.sheet.said"), *lines, note=by)


def _cautions(sheet: Sheet, about: About, words: Speaker) -> list[str]:
    said = words.every(flag.message for flag in sheet.flags if flag.kind == "impossible")
    less, cp = sheet.cp_less_nitrate, sheet.get("cp")
    if less is not None and cp is not None:
        said.append(
            words(
                "paper.sheet.cp_less",
                cp=words.value(cp.estimate, "cp", unit=False),
                less=words.value(less.estimate, "cp"),
            )
        )
    if about.bag is not None:
        said += words.every(about.bag.notes())
    return said


def _foot(about: About, words: Speaker) -> str:
    parts = [_number(about, words), words("paper.lot", lot=about.lot)]
    if about.ranch:
        parts.append(about.ranch)
    line = ", ".join(parts) + "."
    if about.bag is not None:
        line = f"{line} {words('paper.sheet.speaks_for', cored=words.day(about.bag.cored_on))}"
    phone = about.office.phone
    return f"{line} {about.office.name}{f', {unparted(phone)}' if phone else ''}."
