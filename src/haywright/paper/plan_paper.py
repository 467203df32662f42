"""The sampling plan on paper: which bales in which order, how deep, what that buys."""

from __future__ import annotations

from typing import Any

from haywright.measure.analytes import quantity
from haywright.measure.message import Amount
from haywright.paper import blocks
from haywright.paper.charts import ChartWords, half_width_chart
from haywright.paper.drawings import (
    CoreWords,
    MapWords,
    core_into_square,
    core_through_round,
    stack_map,
)
from haywright.paper.sheet_paper import PAPER_NAMES
from haywright.paper.speaker import Speaker
from haywright.paper.stack_matter import piece_of
from haywright.paper.svg import Picture, Table
from haywright.paper.tokens import PRINT, Palette
from haywright.paper.typeset import set_pdf
from haywright.paper.yard import Core, Precision, YardSheet
from haywright.words import Reader, reads

STEPS = ("probe", "core", "outside", "unreached")
BLANKS = ("date", "sampler", "helper", "code", "weight", "sent")


def plan_pdf(yard: YardSheet, reader: Reader) -> bytes:
    """The sampling plan as PDF."""
    return set_pdf("sampling_plan", plan_data(yard, reader))


def plan_data(yard: YardSheet, reader: Reader, palette: Palette = PRINT) -> dict[str, Any]:
    """The sampling plan as the template takes it; every text is ready."""
    words = Speaker(reads("paper.plan.title", reader), palette)
    name = yard.lot_name or yard.lot
    made = [words("paper.plan.made", day=words.day(yard.made_on))] if yard.made_on else []
    sections = [
        map_section(yard, words),
        _core_section(yard, words),
        _bags_section(yard, words),
        _walk_section(yard, words),
        precision_section(yard, words),
        blocks.section(
            words("paper.plan.steps" if yard.core else "paper.plan.field_steps"),
            blocks.ticks(_steps(yard, words)),
        ),
        _caution_section(yard, words),
        _notes_section(yard, words),
        blocks.section(
            words("paper.plan.fill"),
            blocks.blanks([words(f"paper.plan.blank.{b}") for b in BLANKS]),
        ),
    ]
    return {
        "language": words.reader.language,
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
        "standing": [" ".join(words.every(yard.standing))] if yard.standing else [],
        "sections": [one for one in sections if one is not None],
        "foot": {
            "left": ", ".join(p for p in (words("paper.plan.title", lot=name), yard.ranch) if p),
            "emergency": "",
            "page": words("paper.page", page="{page}", pages="{pages}"),
        },
    }


def _sentence(yard: YardSheet, words: Speaker) -> str:
    if yard.core is None:
        return words("paper.plan.cut", places=yard.places)
    return words("paper.plan.sentence", cored=len(yard.picked), bales=yard.bales)


def _reason(yard: YardSheet, words: Speaker) -> str:
    if yard.core is None:
        return words("paper.plan.cut_why")
    where = words(f"paper.plan.into.{yard.core.kind}")
    depth = _length(yard.core.length, words)
    return words("paper.plan.depth", n=yard.cores_per_bale, depth=depth, where=where)


def _length(metres: float, words: Speaker, digits: int = 0) -> str:
    """A length in inches or centimetres, whole ones unless told otherwise."""
    return words("paper.amount", amount=Amount(metres, "m", digits=digits))


def map_section(yard: YardSheet, words: Speaker, **size: float) -> blocks.Block | None:
    """The map of the stack with its walk; ``size`` is the width and text of the drawing."""
    if not yard.faces:
        return None
    head = tuple(words(f"paper.plan.map.{c}") for c in ("walk", "bale", "face", "tier"))
    described = words(
        "paper.plan.map.described",
        cored=len(yard.picked),
        bales=yard.bales,
        faces=tuple(face.name for face in yard.faces),
    )
    drawn = stack_map(
        yard.faces,
        MapWords(
            words("paper.plan.map.title"),
            described,
            head,
            words("paper.plan.map.unreached"),
            piece_of(words),
        ),
        rectangular=yard.rectangular,
        flat=yard.flat,
        palette=words.palette,
        **size,
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
    rows = [
        (words("paper.plan.bags.number", number=n, part=part) if part
         else words("paper.plan.bags.plain", number=n), ", ".join(map(str, numbers)))
        for n, (part, numbers) in enumerate(yard.bags, 1)
    ]  # fmt: skip
    head = [words("paper.plan.bags.part"), words("paper.plan.bags.bales")]
    return blocks.section(
        words("paper.plan.bags.head"), blocks.table(head, rows, align="ll", widths=(1, 3)),
        note=words("paper.plan.bags.note"),
    )  # fmt: skip


_WALK_COLUMNS = 4


def _walk_section(yard: YardSheet, words: Speaker) -> blocks.Block | None:
    """Where on each bale to core it, where that is drawn by chance too."""
    if not yard.clocks:
        return None
    rows = [
        (str(n), str(bale), words("paper.plan.walk.hour", hour=yard.clocks[bale]))
        for n, bale in enumerate(yard.picked, 1)
        if bale in yard.clocks
    ]
    head = [words(f"paper.plan.walk.{c}") for c in ("order", "bale", "clock")]
    each = -(-len(rows) // _WALK_COLUMNS)
    parts = [rows[n : n + each] for n in range(0, len(rows), each)]
    tables = [
        [blocks.table(head, part, align="lrl", widths=(1, 1, 2.2), tight=True)] for part in parts
    ]
    return blocks.section(
        words("paper.plan.walk.head"), blocks.beside(*tables), note=words("paper.plan.walk.note")
    )


def _notes_section(yard: YardSheet, words: Speaker) -> blocks.Block | None:
    said = list(dict.fromkeys(words.every(yard.notes)))
    if not said:
        return None
    return blocks.section(words("paper.plan.know"), *(blocks.text(t, kind="small") for t in said))


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
                                start=core.start, palette=words.palette, **size)  # fmt: skip
    return core_through_round(core.across / 2, core.length, said, rind=core.rind, once=core.once,
                              start=core.start, palette=words.palette, **size)  # fmt: skip


def _core_section(yard: YardSheet, words: Speaker) -> blocks.Block | None:
    core = yard.core
    if core is None:
        return None
    drawn = core_picture(core, words, width=160)
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
    cores = one.at or len(yard.picked) * yard.cores_per_bale
    at = dict(one.points)
    half = _half(at[cores], one, words)
    rows = [(words.count(n), _half(h, one, words)) for n, h in one.points]
    kind = "cores" if yard.core else "places"
    unit = "%" if one.relative else words.unit(one.quantity)
    said = ChartWords(
        title=words("paper.plan.buys.title"),
        description=words("paper.plan.buys.described", n=cores, half=half),
        x=words(f"paper.plan.buys.{kind}"),
        y=words("paper.plan.buys.axis", unit=unit),
        twin=Table((words(f"paper.plan.buys.{kind}"), words("paper.plan.buys.half")), tuple(rows)),
    )
    return half_width_chart(
        one.points,
        said,
        chosen=cores,
        chosen_words=words(f"paper.plan.buys.chosen.{kind}", n=cores, half=half),
        target=one.target,
        target_words="" if one.target is None
        else words("paper.plan.buys.target", half=_half(one.target, one, words)),
        floor=one.floor,
        floor_words="" if one.floor is None
        else words("paper.plan.buys.floor", half=_half(one.floor, one, words)),
        palette=words.palette,
        **size,
    )  # fmt: skip


def _half(value: float, one: Precision, words: Speaker) -> str:
    digits = 0 if one.relative else (quantity(one.quantity).digits or 0) + 1
    return words("paper.plan.buys.plus_minus", value=words.count(value, digits))


def precision_section(yard: YardSheet, words: Speaker, **size: float) -> blocks.Block | None:
    """The curve of what cores buy, with what it rests on; ``size`` is that of the drawing."""
    drawn = precision_picture(yard, words, **({"height": 80} | size))
    if drawn is None or yard.precision is None:
        return None
    said = [blocks.picture(drawn, width=drawn.width)]
    chances = words.count(yard.confidence * 10)
    said.append(blocks.text(words("paper.plan.buys.note", chances=chances), kind="small"))
    if yard.precision.rests_on is not None:
        said.append(blocks.text(words.said(yard.precision.rests_on), kind="small"))
    head = "paper.plan.buys.head" if yard.core else "paper.plan.buys.head_places"
    return blocks.section(words(head), *said, note=words.name(yard.precision.quantity))


def _steps(yard: YardSheet, words: Speaker) -> list[blocks.Cell]:
    """What every yard asks for around what the form of the lot asks for."""
    core = yard.core
    own = words.every(yard.steps)
    if core is None:
        return list(own)
    wanted = [s for s in STEPS if s != "outside" or core.rind > 0]
    first = [
        words(f"paper.plan.step.{s}.{core.kind}" if s == "core" else f"paper.plan.step.{s}")
        for s in wanted
    ]
    return [*first, *own]


def _blanks_section(words: Speaker) -> blocks.Block:
    lines = blocks.blanks([words(f"paper.plan.blank.{one}") for one in BLANKS])
    return blocks.section(words("paper.plan.fill"), lines)


def _caution_section(yard: YardSheet, words: Speaker) -> blocks.Block | None:
    if not yard.cautions:
        return None
    said = list(dict.fromkeys(words.every(yard.cautions)))
    return blocks.section(words("paper.mind"), blocks.caution(words("paper.caution"), said))
