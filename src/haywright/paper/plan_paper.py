"""The sampling plan on paper: which bales in which order, how deep, what that buys."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from haywright.measure.analytes import quantity
from haywright.measure.message import Amount, Message
from haywright.paper import blocks
from haywright.paper.charts import ChartWords, half_width_chart
from haywright.paper.drawings import (
    CoreWords,
    Face,
    MapWords,
    State,
    core_into_square,
    core_through_round,
    stack_map,
)
from haywright.paper.sheet_paper import PAPER_NAMES
from haywright.paper.speaker import Speaker
from haywright.paper.svg import Picture, Table
from haywright.paper.typeset import set_pdf
from haywright.stack.probe import ProbeReport
from haywright.way.office import Office
from haywright.words import Reader

STEPS = ("probe", "walk", "unreached", "core", "outside", "bag", "whole", "seal", "send")
CAUTIONS = ("drill", "stack", "hot", "dust")
BLANKS = ("date", "sampler", "helper", "code", "weight", "sent")


@dataclass(frozen=True, slots=True)
class Core:
    """The bale and the core into it; lengths in m.

    Parameters
    ----------
    kind
        "round" (core from the curved side) or "square" (core into the butt end).
    across
        Diameter of a round bale; length of a square one.
    high
        Height of a square bale.
    length, start
        Of the core, and how far under the surface it begins.
    rind
        Thickness of the weathered outside.
    once
        Core length that counts the outside once; ``None`` where it says nothing.
    rind_factor
        How many times the core counts the weathered outside.
    bore
        Inside diameter of the tip, when known.
    """

    kind: Literal["round", "square"]
    across: float
    length: float
    high: float = 0.0
    start: float = 0.0
    rind: float = 0.0
    once: float | None = None
    rind_factor: float | None = None
    bore: float | None = None


def core_of(report: ProbeReport) -> Core:
    """The core as a probe report judges it."""
    bale, probe = report.package, report.probe
    return Core(
        kind="round" if bale.round else "square",
        across=bale.diameter if bale.round else bale.length,
        high=bale.height,
        length=probe.length,
        start=probe.start,
        rind=report.outside.rind,
        once=report.once,
        rind_factor=report.factor,
        bore=probe.bore,
    )


@dataclass(frozen=True, slots=True)
class Precision:
    """What the cores buy in one quantity.

    Parameters
    ----------
    quantity
        Dictionary name.
    points
        (cores, half-width in the quantity's unit).
    target, floor
        Half-width asked for; what the laboratory alone leaves.
    rests_on
        Whose spread between bales it is worked with.
    relative
        Whether half-widths are in per cent of the value.
    """

    quantity: str
    points: tuple[tuple[int, float], ...]
    target: float | None = None
    floor: float | None = None
    rests_on: Message | None = None
    relative: bool = False


@dataclass(frozen=True, slots=True)
class YardSheet:
    """Everything the printed plan says; made from a sampling plan and its probe.

    Parameters
    ----------
    office, lot, lot_name, ranch, made_on
        Whose plan of which lot, and when it was made.
    bales, cores_per_bale
        Bales in the lot, and cores from each picked bale.
    faces
        The stack, with the picked bales in walking order.
    core
        The bale and the probe.
    precision
        One quantity, when its spread is known.
    sentence, reason, standing
        As on a page: what to do; why so many; rule, seed, source.
    rectangular, flat
        How bales are drawn on the map.
    confidence
        Of the half-widths [fraction].
    bags
        Bags by field part: part and its bales; empty for one bag.
    cautions
        Of this plan, before those that every plan carries.
    """

    office: Office
    lot: str
    bales: int
    faces: tuple[Face, ...]
    core: Core
    lot_name: str = ""
    ranch: str = ""
    made_on: date | None = None
    cores_per_bale: int = 1
    precision: Precision | None = None
    sentence: tuple[Message, ...] = ()
    reason: Message | None = None
    standing: tuple[Message, ...] = ()
    rectangular: bool = False
    flat: float = 0.5
    confidence: float = 0.9
    bags: tuple[tuple[str, tuple[int, ...]], ...] = ()
    cautions: tuple[Message, ...] = ()

    @property
    def picked(self) -> list[int]:
        """Numbers of the picked bales in walking order."""
        found = [b for face in self.faces for b in face.bales if b.state is State.PICKED]
        return [b.number for b in sorted(found, key=lambda b: b.walk or 0)]

    @property
    def unreached(self) -> list[int]:
        """Numbers of the bales that could not be reached."""
        return [b.number for f in self.faces for b in f.bales if b.state is State.UNREACHED]


def plan_pdf(yard: YardSheet, reader: Reader) -> bytes:
    """The sampling plan as PDF."""
    return set_pdf("sampling_plan", plan_data(yard, reader))


def plan_data(yard: YardSheet, reader: Reader) -> dict[str, Any]:
    """The sampling plan as the template takes it; every text is ready."""
    words = Speaker(reader)
    name = yard.lot_name or yard.lot
    made = [words("paper.plan.made", day=words.day(yard.made_on))] if yard.made_on else []
    sections = [
        _map_section(yard, words),
        _bags_section(yard, words),
        _core_section(yard, words),
        _precision_section(yard, words),
        blocks.section(words("paper.plan.steps"), blocks.ticks(_steps(yard, words))),
        _caution_section(yard, words),
        blocks.section(
            words("paper.plan.fill"),
            blocks.blanks([words(f"paper.plan.blank.{b}") for b in BLANKS]),
        ),
    ]
    return {
        "language": reader.language,
        "paper": PAPER_NAMES[yard.office.paper],
        "title": words("paper.plan.title", lot=name),
        "head": {
            "name": words("paper.name"),
            "office": yard.office.name,
            "call": yard.office.phone,
        },
        "kicker": [words("paper.plan.name"), name, *([yard.ranch] if yard.ranch else []), *made],
        "mark": None,
        "verdict": words.every(yard.sentence) or [_sentence(yard, words)],
        "lede": words.said(yard.reason) if yard.reason else _reason(yard, words),
        "standing": words.every(yard.standing),
        "sections": [one for one in sections if one is not None],
        "foot": {
            "left": ", ".join(p for p in (words("paper.plan.title", lot=name), yard.ranch) if p),
            "emergency": "",
            "page": words("paper.page", page="{page}", pages="{pages}"),
        },
    }


def _sentence(yard: YardSheet, words: Speaker) -> str:
    return words("paper.plan.sentence", cored=len(yard.picked), bales=yard.bales)


def _reason(yard: YardSheet, words: Speaker) -> str:
    where = words(f"paper.plan.into.{yard.core.kind}")
    depth = _length(yard.core.length, words)
    return words("paper.plan.depth", n=yard.cores_per_bale, depth=depth, where=where)


def _length(metres: float, words: Speaker, digits: int = 0) -> str:
    """A length in inches or centimetres, whole ones unless told otherwise."""
    return words("paper.amount", amount=Amount(metres, "m", digits=digits))


def _map_section(yard: YardSheet, words: Speaker) -> blocks.Block:
    head = tuple(words(f"paper.plan.map.{c}") for c in ("walk", "bale", "face", "tier"))
    described = words(
        "paper.plan.map.described",
        cored=len(yard.picked),
        bales=yard.bales,
        faces=tuple(face.name for face in yard.faces),
    )
    drawn = stack_map(
        yard.faces,
        MapWords(words("paper.plan.map.title"), described, head, words("paper.plan.map.unreached")),
        rectangular=yard.rectangular,
        flat=yard.flat,
    )
    said = [words("paper.plan.map.caption")]
    if yard.unreached:
        share = words.percent(len(yard.unreached) / yard.bales)
        said.append(words("paper.plan.map.crossed", n=len(yard.unreached), share=share))
    order = words("paper.plan.map.order", bales=", ".join(map(str, yard.picked)))
    return blocks.section(
        words("paper.plan.map.head"),
        blocks.picture(drawn, width=drawn.width),
        blocks.text(" ".join(said), kind="small"),
        blocks.text(order, kind="small"),
        heavy=True,
        wide=True,
    )


def _bags_section(yard: YardSheet, words: Speaker) -> blocks.Block | None:
    if len(yard.bags) < 2:
        return None
    rows = [(part, ", ".join(map(str, numbers))) for part, numbers in yard.bags]
    head = [words("paper.plan.bags.part"), words("paper.plan.bags.bales")]
    return blocks.section(
        words("paper.plan.bags.head"), blocks.table(head, rows, align="ll", widths=(1, 3)),
        note=words("paper.plan.bags.note"),
    )  # fmt: skip


def core_picture(core: Core, words: Speaker, **size: Any) -> Picture:
    """The core through the bale, to scale, with its lengths written."""
    depth, across = _length(core.length, words), _length(core.across, words)
    rind = words("paper.plan.core.rind", depth=_length(core.rind, words)) if core.rind else ""
    once = "" if core.once is None or not core.rind else _length(core.once, words, 1)
    rows = [
        (words(f"paper.plan.core.across.{core.kind}"), across),
        (words("paper.plan.core.length"), depth),
    ]
    if core.rind:
        rows.append((words("paper.plan.core.outside"), _length(core.rind, words)))
    if once:
        rows.append((words("paper.plan.core.once"), once))
    said = CoreWords(
        title=words("paper.plan.core.title"),
        description=words(f"paper.plan.core.described.{core.kind}", depth=depth, across=across),
        head=(words("paper.plan.core.what"), words("paper.plan.core.size")),
        rows=tuple(rows),
        across=across,
        core=depth,
        rind=rind,
        once=once,
        never_seen=tuple(words("paper.plan.core.never").split(" ")),
    )
    if core.kind == "square":
        return core_into_square(core.across, core.high, core.length, said, rind=core.rind,
                                start=core.start, **size)  # fmt: skip
    return core_through_round(core.across / 2, core.length, said, rind=core.rind, once=core.once,
                              start=core.start, **size)  # fmt: skip


def _core_section(yard: YardSheet, words: Speaker) -> blocks.Block:
    core = yard.core
    drawn = core_picture(core, words, width=200)
    said: list[blocks.Block] = [blocks.text(words(f"paper.plan.core.how.{core.kind}"))]
    if core.rind_factor is not None and core.rind:
        factor = words.count(core.rind_factor, 2)
        said.append(blocks.text(words("paper.plan.core.counted", times=factor), kind="strong"))
        if core.once is not None:
            once = _length(core.once, words, 1)
            said.append(blocks.text(words("paper.plan.core.mark", depth=once), kind="small"))
    if core.bore is not None:
        bore = words("paper.amount", amount=Amount(core.bore, "m", digits=2))
        said.append(blocks.text(words("paper.plan.core.bore", bore=bore), kind="small"))
    if core.rind:
        said.append(blocks.text(words("paper.plan.core.ask"), kind="small"))
    return blocks.section(
        words("paper.plan.core.head"),
        blocks.beside([blocks.picture(drawn, width=drawn.width)], said, widths=(1, 0.9)),
        note=words("paper.plan.core.note", depth=_length(core.length, words)),
    )


def precision_picture(yard: YardSheet, words: Speaker, **size: Any) -> Picture | None:
    """What each further core buys, as a curve."""
    one = yard.precision
    if one is None:
        return None
    cores = len(yard.picked) * yard.cores_per_bale
    at = dict(one.points)
    half = _half(at[cores], one, words)
    rows = [(words.count(n), _half(h, one, words)) for n, h in one.points]
    unit = "%" if one.relative else words.unit(one.quantity)
    said = ChartWords(
        title=words("paper.plan.buys.title"),
        description=words("paper.plan.buys.described", n=cores, half=half),
        x=words("paper.plan.buys.cores"),
        y=words("paper.plan.buys.axis", quantity=words.name(one.quantity), unit=unit),
        twin=Table((words("paper.plan.buys.cores"), words("paper.plan.buys.half")), tuple(rows)),
    )
    return half_width_chart(
        one.points,
        said,
        chosen=cores,
        chosen_words=words("paper.plan.buys.chosen", n=cores, half=half),
        target=one.target,
        target_words="" if one.target is None
        else words("paper.plan.buys.target", half=_half(one.target, one, words)),
        floor=one.floor,
        floor_words="" if one.floor is None
        else words("paper.plan.buys.floor", half=_half(one.floor, one, words)),
        **size,
    )  # fmt: skip


def _half(value: float, one: Precision, words: Speaker) -> str:
    digits = 0 if one.relative else (quantity(one.quantity).digits or 0) + 1
    return words("paper.plan.buys.plus_minus", value=words.count(value, digits))


def _precision_section(yard: YardSheet, words: Speaker) -> blocks.Block | None:
    drawn = precision_picture(yard, words)
    if drawn is None or yard.precision is None:
        return None
    said = [blocks.picture(drawn, width=drawn.width)]
    chances = words.count(yard.confidence * 10)
    said.append(blocks.text(words("paper.plan.buys.note", chances=chances), kind="small"))
    if yard.precision.rests_on is not None:
        said.append(blocks.text(words.said(yard.precision.rests_on), kind="small"))
    return blocks.section(
        words("paper.plan.buys.head"), *said, note=words.name(yard.precision.quantity)
    )


def _steps(yard: YardSheet, words: Speaker) -> list[blocks.Cell]:
    wanted = [s for s in STEPS if s != "outside" or yard.core.rind > 0]
    return [
        words(f"paper.plan.step.{s}.{yard.core.kind}" if s == "core" else f"paper.plan.step.{s}")
        for s in wanted
    ]


def _caution_section(yard: YardSheet, words: Speaker) -> blocks.Block:
    said = [*words.every(yard.cautions), *cautions_at_the_stack(words)]
    return blocks.section(words("paper.mind"), blocks.caution(words("paper.caution"), said))


def cautions_at_the_stack(words: Speaker) -> Sequence[str]:
    """What every plan says about drills, stacks, hot hay and dust."""
    return [words(f"paper.plan.caution.{one}") for one in CAUTIONS]
