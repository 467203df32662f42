"""From a nitrate verdict to what is printed of it; sentences are the verdict's own."""

from __future__ import annotations

import math
from collections.abc import Iterator

from haywright.bunk.hazards.nitrate import told
from haywright.bunk.hazards.nitrate.lookup import Says, edges
from haywright.bunk.hazards.nitrate.strip import GuideSays as Printed
from haywright.bunk.hazards.nitrate.verdict import NitrateVerdict
from haywright.measure.message import Message, message
from haywright.paper import blocks
from haywright.paper.nitrate_matter import (
    BalesOver,
    GuideSays,
    Hill,
    Share,
    guides_section,
    over_section,
    settle_section,
    shares_section,
)
from haywright.paper.sheet_paper import Opening
from haywright.paper.speaker import Speaker
from haywright.words import Reader


def opening_of(verdict: NitrateVerdict, reader: Reader) -> Opening:
    """What stands first, with the sections that belong to it."""
    words = Speaker(reader)
    known = math.isfinite(verdict.low) and math.isfinite(verdict.high)
    return Opening(
        sentence=told.sentence(verdict),
        reason=told.reason(verdict),
        standing=told.standing(verdict),
        mind=tuple(_mind(verdict)),
        restricted=verdict.restricted,
        cautions=told.cautions(verdict),
        matter=tuple(verdict_sections(verdict, words)),
        guides=guides_matter(verdict, words),
        likely={"nitrate_n": (verdict.low, verdict.high)} if known else {},
    )


# What weakens a verdict, and whom to ask before feeding by it: never folded away.
_IN_SIGHT = (
    "bunk.nitrate.caution.ask",
    "bunk.nitrate.caution.many",
    "bunk.nitrate.caution.household",
    "bunk.nitrate.caution.recalled",
    "bunk.nitrate.standing.assumed",
    "bunk.nitrate.standing.sampling.unknown",
)


def _mind(verdict: NitrateVerdict) -> Iterator[Message]:
    """What must be read with the verdict; of a verdict without such a thing, whom it speaks for."""
    said = {one.key: one for one in (*told.cautions(verdict), *told.standing(verdict))}
    yield from ([said[key] for key in _IN_SIGHT if key in said] or told.cautions(verdict)[:1])


def verdict_sections(verdict: NitrateVerdict, words: Speaker) -> Iterator[blocks.Block]:
    """Shares and what bound, the next step, bales past each line."""
    if verdict.shares:
        yield limits_section(verdict, words)
    more = (next_section(verdict, words), over_section(bales_over(verdict), words))
    yield from (one for one in more if one is not None)


def guides_matter(verdict: NitrateVerdict, words: Speaker) -> tuple[blocks.Block, ...]:
    """What each guide says; nothing without a result to hold against them."""
    if not verdict.strip:
        return ()
    return (guides_section(guide_rows(verdict, words), words),)


def limits_section(verdict: NitrateVerdict, words: Speaker) -> blocks.Block:
    """The three limits, which bound, the share by the way of feeding, and how to come up to it."""
    shares = [
        Share(
            message(f"paper.nitrate.limit.{one.limit.name.lower()}"),
            one.share,
            one.why,
            binds=one is verdict.governing,
        )
        for one in verdict.shares
    ]
    fed = [Share(way, share) for way, share in told.fed_shares(verdict)]
    return shares_section(shares, fed, words, step_up=told.step_up(verdict))


def next_section(verdict: NitrateVerdict, words: Speaker) -> blocks.Block | None:
    """The one next step, and the chance of each way to settle."""
    return settle_section(told.settle_lines(verdict), words, step=told.next_step(verdict))


def guide_rows(verdict: NitrateVerdict, words: Speaker) -> list[GuideSays]:
    """Every guide in the order of the verdict: the chosen first."""
    return [
        GuideSays(
            one.guide.institution,
            _row(one, words),
            told.guide_line(one),
            None if one.silent else one.share,
            message("paper.nitrate.nothing_said") if one.silent else None,
            recalled=one.recalled,
        )
        for one in verdict.strip
    ]


def _row(one: Printed, words: Speaker) -> str:
    """The guide's row in its own unit: "0.44 to 0.66 % NO3", "1,000 ppm NO3-N and over"."""
    year = str(one.guide.year) if one.guide.year else ""
    if one.silent:
        return year
    unit = one.guide.printed_unit
    low = words.plain(one.row.low)
    if one.row.high is None:
        said = words("paper.nitrate.row_over", low=low, unit=unit)
    else:
        said = words("paper.nitrate.row", low=low, high=words.plain(one.row.high), unit=unit)
    return f"{year} · {said}" if year else said


def bales_over(verdict: NitrateVerdict) -> tuple[BalesOver, ...]:
    """Bales past each line, each line once."""
    who = verdict.question.animals or message("bunk.animals.these")
    by_line: dict[float, BalesOver] = {}
    for one in verdict.over:
        whose = "all" if one.whose == "all" else "class"
        said = message(f"paper.nitrate.post.{whose}", animals=who)
        by_line.setdefault(
            one.line, BalesOver(one.line, said, one.expected, float(one.low), float(one.high))
        )
    return tuple(by_line.values())


def hill_of(verdict: NitrateVerdict) -> Hill | None:
    """The bales as a hill over the chosen guide's rows; nothing without counted bales."""
    if not verdict.hill:
        return None
    q = verdict.question
    steps = edges(q.guide, q.classes)
    ends: list[float | None] = [level for level, _ in steps[1:]]
    rows = tuple(
        (level, end, _row_words(said))
        for (level, said), end in zip(steps, [*ends, None], strict=True)
    )
    return Hill(
        verdict.hill,
        (verdict.x, verdict.low, verdict.high),
        rows,
        q.guide.institution,
        bales_over(verdict),
    )


def _row_words(one: Says) -> Message:
    if one.silent:
        return message("paper.nitrate.nothing_said")
    if one.share is None:
        return message("paper.nitrate.no_number")
    if one.share == 0:
        return message("paper.nitrate.row_none")
    if one.share == 1:
        return message("paper.nitrate.no_limit")
    return message("paper.nitrate.row_share", percent=round(100 * one.share))
