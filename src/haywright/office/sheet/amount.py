"""How much of a hay: what was asked for in weight and bales, never past what is allowed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from haywright.measure.errors import Refused
from haywright.measure.units import convert
from haywright.office.sheet.who_form import MASS
from haywright.paper import blocks
from haywright.paper.speaker import Speaker
from haywright.way.how_much import HowMuch
from haywright.words import Reader
from haywright.words.numbers import number

_STEP = {"us": 0.5, "si": 0.2}
_DUST = 1e-9
TRACK = 1000  # lengths of the drawn track


@dataclass(frozen=True, slots=True)
class Follows:
    """A number in proportion to the weight: how much for one unit of it, and what it is now."""

    name: str
    label: str
    per: float
    digits: int
    now: str
    unit: str


@dataclass(frozen=True, slots=True)
class Amount:
    """The slider of a reader.

    Parameters
    ----------
    most, whole, now, step
        The most for one animal, what would be all its feed, what was asked for, and the step
        [the reader's unit of weight a day, as fed].
    unit
        Name of the reader's unit.
    post, mark
        Where the most and what was asked for stand on the drawn track [lengths of it].
    follows
        What goes with it, in proportion.
    most_said, whole_said
        The most, and all of the feed, as a page prints them.
    """

    most: float
    whole: float
    now: float
    step: float
    unit: str
    post: float
    mark: float
    follows: tuple[Follows, ...]
    most_said: str
    whole_said: str


def amount_of(much: HowMuch, asked: float | None, reader: Reader) -> Amount:
    """The slider for a reader.

    Parameters
    ----------
    much
        What is allowed.
    asked
        What one animal is to get [the reader's unit, as fed]; ``None`` for the most.
    reader
        Whose units.

    Raises
    ------
    Refused
        More than is allowed was asked for.
    """
    unit, step = MASS[reader.units], _STEP[reader.units]
    most = int(convert(much.per_head, "kg", unit) / step + _DUST) * step
    whole = convert(much.weight_of(1.0), "kg", unit)
    if asked is not None and not 0 <= asked <= most:
        raise Refused("amount", f"{asked:g}", f"{most:g} {unit}", key="office.feed.too_much")
    now = most if asked is None else asked
    return Amount(
        most=round(most, 1),
        whole=whole,
        now=round(now, 1),
        step=step,
        unit=unit,
        post=TRACK * most / whole,
        mark=TRACK * now / whole,
        follows=tuple(_follows(much, now, unit, reader)),
        most_said=number(most, reader, digits=1),
        whole_said=number(whole, reader, digits=1),
    )


def _follows(much: HowMuch, now: float, unit: str, reader: Reader) -> Iterator[Follows]:
    words = Speaker(reader)
    each = convert(1.0, unit, "kg")
    rows = [("share", words("office.feed.of_day"), 100 * much.share_of(each), 0, "%")]
    if much.head > 1:
        rows.append(("group", words("office.feed.for_group", n=much.head), much.head, 0, unit))
    bales = much.bales(each)
    if bales is not None:
        rows.append(("bales", words("office.feed.bales_a_day", n=much.head), bales, 1, ""))
        rows.append(("week", words("office.feed.bales_a_week"), 7 * bales, 1, ""))
    for name, label, per, digits, of in rows:
        yield Follows(name, label, per, digits, number(now * per, reader, digits=digits), of)


def amount_section(one: Amount, words: Speaker) -> blocks.Block:
    """The same on paper: what was asked for, and what goes with it."""
    unit = f" {one.unit}"
    items = [(words("office.feed.amount"), f"{number(one.now, words.reader, digits=1)}{unit}")]
    items += [(row.label, f"{row.now} {row.unit}".strip()) for row in one.follows]
    if one.now < one.most:
        items.append((words("office.feed.most"), f"{one.most_said}{unit}"))
    return blocks.section(
        words("office.feed.amount_head"),
        blocks.data_list(items),
        blocks.text(words("office.feed.step_up"), kind="small"),
    )
