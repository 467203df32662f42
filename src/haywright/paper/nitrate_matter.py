"""What belongs to a nitrate verdict on paper: shares and what bound, guides, bales, next steps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from haywright.bunk.hazards.nitrate.told import LEAST, hardly_any, percent
from haywright.measure.message import Message
from haywright.measure.nitrate import NitrateForm, form_factor
from haywright.paper import blocks
from haywright.paper.charts import ChartWords
from haywright.paper.hill import GuideRow, Post, hill_chart
from haywright.paper.speaker import DAGGER, Speaker
from haywright.paper.svg import Picture, Table
from haywright.words.catalogue import HOUSE
from haywright.words.numbers import amount_text


@dataclass(frozen=True, slots=True)
class Share:
    """A share of the day's feed: what it rests on, the share [0 to 1], and why where it is none.

    ``share`` is ``None`` where the limit gives no number; ``binds`` marks the one that set it.
    """

    what: Message
    share: float | None
    why: Message | None = None
    binds: bool = False


@dataclass(frozen=True, slots=True)
class GuideSays:
    """What one guide says of this hay for these animals, in its own unit.

    Parameters
    ----------
    name, row
        The guide, and its row as printed with its unit.
    short
        One plain line.
    share
        Most of the day's feed [0 to 1]; ``None`` where the guide gives no number.
    instead
        Said in the place of a share that is not there.
    recalled
        Whether the row carries a dagger.
    """

    name: str
    row: str
    short: Message
    share: float | None
    instead: Message | None = None
    recalled: bool = False


@dataclass(frozen=True, slots=True)
class BalesOver:
    """Bales expected past a line [mg/kg NO3-N], with the likely least and most."""

    line: float
    whose: Message
    expected: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Hill:
    """The bales as a hill: one value per bale, the bag with its range, the chosen guide's rows.

    All in mg/kg NO3-N of dry matter; ``rows`` are (from, to or ``None``, words).
    """

    bales: tuple[float, ...]
    bag: tuple[float, float, float]
    rows: tuple[tuple[float, float | None, Message], ...]
    guide: str
    over: tuple[BalesOver, ...]


def shares_section(
    shares: Sequence[Share],
    fed: Sequence[Share],
    words: Speaker,
    *,
    step_up: Message | None = None,
) -> blocks.Block:
    """The three limits and which bound; then the share by the way of feeding."""
    limits = [
        [
            blocks.cell(words.said(one.what), small=words.said(one.why) if one.why else ""),
            words("paper.nitrate.binds") if one.binds else "",
            _share(one, words),
        ]
        for one in shares
    ]
    head = [words("paper.nitrate.limit"), "", words("paper.nitrate.share")]
    made = [blocks.table(head, limits, align="llr", widths=(4.4, 0.9, 0.9))]
    if fed:
        ways = [
            [blocks.cell(words.said(one.what), small=words.said(one.why) if one.why else ""),
             _share(one, words)]
            for one in fed
        ]  # fmt: skip
        columns = [words("paper.nitrate.fed"), words("paper.nitrate.share")]
        made.append(blocks.table(columns, ways, align="lr", widths=(4, 1)))
    if step_up is not None:
        made.append(blocks.text(words.said(step_up), kind="small"))
    return blocks.section(words("paper.nitrate.shares"), *made, note=words("paper.nitrate.least"))


def _share(one: Share, words: Speaker) -> str:
    if one.share is None:
        return words("paper.nitrate.no_number")
    return _at_most(one.share, words) if one.share > 0 else words("paper.nitrate.none")


def _at_most(share: float, words: Speaker) -> str:
    """A share that is a limit: whole per cent, never rounded up."""
    return amount_text(percent(share), words.reader)


def guides_section(guides: Sequence[GuideSays], words: Speaker) -> blocks.Block:
    """What each guide says: the chosen first, then strictest to mildest, then no number.

    Where many guides say nothing about the animals, they are named in one line.
    """
    silent = [one for one in guides[1:] if one.instead is not None]
    silent = silent if len(silent) > _FEW else []
    rows = [
        [
            blocks.cell(one.name, small=f"{DAGGER} {one.row}" if one.recalled else one.row),
            words.said(one.short),
            _guide_share(one, words),
        ]
        for one in guides
        if one not in silent
    ]
    head = [words("paper.nitrate.guide"), words("paper.nitrate.short"), words("paper.nitrate.most")]
    made = [blocks.table(head, rows, align="lll", widths=(3.2, 3.8, 0.8), tight=True, run_in=True)]
    if silent:
        named = "; ".join(one.name for one in silent)
        made.append(blocks.text(words("paper.nitrate.silent", guides=named), kind="small"))
    if words.reader.language != HOUSE:
        made.append(blocks.text(words("paper.nitrate.in_english"), kind="small"))
    if any(one.recalled for one in guides if one not in silent):
        made.append(blocks.text(words("paper.recalled", mark=DAGGER), kind="small"))
    return blocks.section(words("paper.nitrate.guides"), *made, wide=True)


_FEW = 3
_BAR = 15  # [mm], as wide as the column of shares


def _guide_share(one: GuideSays, words: Speaker) -> blocks.Cell:
    mark = f" {DAGGER}" if one.recalled else ""
    if one.share in (0.0, 1.0):
        key = "paper.nitrate.none" if one.share == 0 else "paper.nitrate.no_limit"
        return blocks.cell(words(key) + mark, share=one.share, bar=_BAR)
    if one.share is None:
        return words.said(one.instead) if one.instead else words("paper.nitrate.no_number")
    return blocks.cell(_at_most(one.share, words) + mark, share=one.share, bar=_BAR)


def settle_section(
    chances: Iterable[tuple[Message, float]], words: Speaker, *, step: Message | None = None
) -> blocks.Block | None:
    """The next step, and what would settle a case too close to call, in chances of 100."""
    rows = [
        [words.said(what), words("paper.nitrate.chances", chances=words.count(chance * 100))]
        for what, chance in chances
    ]
    made = [blocks.text(words.said(step), kind="strong")] if step is not None else []
    if rows:
        head = [words("paper.nitrate.way"), words("paper.nitrate.settles")]
        made.append(blocks.table(head, rows, align="lr", widths=(2, 1)))
    return blocks.section(words("paper.nitrate.settle"), *made) if made else None


def hill_picture(hill: Hill, words: Speaker, **size: Any) -> Picture:
    """The bales as a hill with a fence, with the table of bales past each line."""
    bales = len(hill.bales)
    factor = form_factor(NitrateForm.NO3_N, NitrateForm.NO3)
    posts = [_post(one, bales, words) for one in hill.over]
    value, low, high = hill.bag
    bag = words(
        "paper.nitrate.bag",
        value=words.figure(value, "nitrate_n"),
        likely=words.between(low, high, "nitrate_n"),
    )
    past = "; ".join(f"{one.above}, {one.past}" for one in posts)
    described = words("paper.nitrate.hill_described", bales=bales, past=past)
    return hill_chart(
        hill.bales,
        ChartWords(
            words("paper.nitrate.hill"),
            described,
            words("paper.nitrate.axis"),
            words("paper.nitrate.axis_no3"),
            over_table(hill.over, words),
        ),
        posts=posts,
        other_form=factor,
        bag=hill.bag,
        bag_words=bag,
        rows=[GuideRow(start, end, words.said(said)) for start, end, said in hill.rows],
        palette=words.palette,
        **size,
    )


def _post(one: BalesOver, bales: int, words: Speaker) -> Post:
    likely = words("paper.range", low=words.count(one.low), high=words.count(one.high))
    whose, line = words.said(one.whose), words.count(one.line)
    few = hardly_any(one.expected)
    n = words("paper.amount", amount=LEAST) if few else _count(one.expected, words)
    key = "paper.nitrate.hardly" if few else "paper.nitrate.about"
    return Post(
        one.line,
        words("paper.nitrate.past", whose=whose, line=line),
        words(key, n=n, bales=bales, likely=likely),
    )


def over_table(over: Sequence[BalesOver], words: Speaker) -> Table:
    """Bales past each line with their range: the table twin of the hill."""
    head = tuple(words(f"paper.nitrate.over.{c}") for c in ("line", "no3", "bales", "range"))
    factor = form_factor(NitrateForm.NO3_N, NitrateForm.NO3)
    rows = tuple(
        (
            words("paper.nitrate.over.row", line=words.count(one.line)),
            words.count(one.line * factor, -1),
            words("paper.nitrate.under", n=words("paper.amount", amount=LEAST))
            if hardly_any(one.expected)
            else _count(one.expected, words),
            words("paper.range", low=words.count(one.low), high=words.count(one.high)),
        )
        for one in over
    )
    return Table(head, rows)


def _count(bales: float, words: Speaker) -> str:
    """Bales to the whole one; fewer than two to the tenth, so that half a bale is seen."""
    return words.count(bales, 1 if bales < 2 else 0)


def over_section(over: Sequence[BalesOver], words: Speaker) -> blocks.Block | None:
    """Bales expected past each line, as a table."""
    if not over:
        return None
    table = over_table(over, words)
    return blocks.section(
        words("paper.nitrate.over"),
        blocks.twin(table, align="rrrr"),
        blocks.text(words("paper.nitrate.bag_hides"), kind="small"),
    )


def hill_section(hill: Hill, words: Speaker, **size: Any) -> blocks.Block:
    """The hill drawn, with its table; ``size`` is the drawing's (width, text)."""
    drawn = hill_picture(hill, words, **size)
    return blocks.section(
        words("paper.nitrate.hill_head"),
        blocks.picture(drawn, width=drawn.width),
        blocks.text(words("paper.nitrate.rows", guide=hill.guide), kind="small"),
        blocks.text(words("paper.nitrate.bag_hides"), kind="small"),
        blocks.twin(drawn.twin, align="rrrr"),
        note=words("paper.nitrate.hill_note"),
    )
