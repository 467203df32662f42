"""The worksheet of a run on paper: its order, a box for every reading, what to tick and to mind."""

from __future__ import annotations

from typing import Any

from haywright.bench.batch import Batch, Equipment, Position, PositionKind
from haywright.bench.pattern import Column, Determination, Method, determination
from haywright.measure.message import message
from haywright.paper import blocks
from haywright.paper.chosen import choice_name, choice_said
from haywright.paper.speaker import Speaker
from haywright.paper.typeset import set_pdf
from haywright.words import Reader
from haywright.words.numbers import NBSP

PAPER_NAMES = {"letter": "us-letter", "a4": "a4"}
BLANKS = ("analyst", "begun", "ended", "second", "room", "departures")
# Boxes that fit on a page, and on a page turned on its side.
_UPRIGHT, _TURNED = 5, 9
_BAGS = (PositionKind.BAG, PositionKind.DUPLICATE, PositionKind.SPIKE)
_CHECKED = ("checked_on", "should", "was")
_BOX: dict[str, Any] = {"box": True}
_OFF: dict[str, Any] = {"off": True}


def worksheet_pdf(
    batch: Batch, reader: Reader, *, paper: str = "letter", office: str = ""
) -> bytes:
    """The worksheet as PDF.

    Parameters
    ----------
    batch
        The batch as laid out; readings it has already are printed in their boxes.
    reader
        Who reads it.
    paper
        letter or a4.
    office
        Name of the office that prints it.
    """
    return set_pdf("worksheet", worksheet_data(batch, reader, paper=paper, office=office))


def worksheet_data(
    batch: Batch, reader: Reader, *, paper: str = "letter", office: str = ""
) -> dict[str, Any]:
    """The worksheet as the template takes it; every text is ready."""
    words = Speaker(reader)
    of = determination(batch.determination)
    method = of.method(batch.method)
    boxes = boxed(batch, method)
    day = words.day(batch.run_on)
    return {
        "language": reader.language,
        "paper": PAPER_NAMES[paper],
        "flipped": len(boxes) > _UPRIGHT,
        "title": words("bench_paper.sheet.title", batch=batch.id),
        "head": {"name": words("paper.name"), "office": office or batch.laboratory, "call": ""},
        "kicker": [words("bench_paper.sheet.name"), batch.id, day],
        "mark": None,
        "verdict": [
            words("bench_paper.sheet.sentence", what=of.name, bags=len(batch.bags),
                  places=len(batch.positions))
        ],
        "lede": method.label,
        "standing": [_order(batch, words)],
        "first": [one for one in _first(batch, of, method, words) if one is not None],
        "run": _run(batch, method, boxes, words),
        "foot": {
            "left": f"{words('bench_paper.sheet.title', batch=batch.id)}, {day}. "
            + words("bench_paper.sheet.keep"),
            "emergency": "",
            "page": words("paper.page", page="{page}", pages="{pages}"),
        },
    }  # fmt: skip


def _first(
    batch: Batch, of: Determination, method: Method, words: Speaker
) -> list[blocks.Block | None]:
    lines = [words(f"bench_paper.sheet.blank.{one}") for one in BLANKS]
    return [
        _cautions(of, words),
        _equipment(batch, method, words),
        _choices(batch, method, words),
        blocks.section(words("bench_paper.sheet.fill"), blocks.blanks(lines)),
    ]


def boxed(batch: Batch, method: Method) -> list[Column]:
    """The readings that get a box: those some place has, without what only an instrument writes.

    Where they all would not fit on a page, signals that no place must have by hand are left to
    the instrument's own table.
    """
    kinds = {one.kind for one in batch.positions}
    some = [c for c in method.columns if kinds & {*c.kinds, *c.may}]
    if len(some) <= _TURNED:
        return some
    return [c for c in some if c.instrument or c.kinds or c.name == "dilution"]


def _order(batch: Batch, words: Speaker) -> str:
    if not batch.ordered_by:
        return words("bench_paper.order.table")
    said = words(f"bench_paper.order.{batch.ordered_by}")
    if batch.ordered_by == "as_given":
        return said
    return f"{said} {words('bench_paper.order.seed', seed=batch.seed)}"


def _cautions(of: Determination, words: Speaker) -> blocks.Block:
    said = [*words.every(of.said_cautions()), words("bench_paper.local_rules")]
    return blocks.section(
        words("paper.mind"), blocks.caution(words("paper.caution"), said), heavy=True
    )


def _equipment(batch: Batch, method: Method, words: Speaker) -> blocks.Block:
    """A row for each thing that must be in order, what is known of it filled in."""
    named = {one.kind for one in batch.equipment}
    wanted = [*batch.equipment, *(Equipment(k, "") for k in method.equipment if k not in named)]
    head = [words(f"bench_paper.tool.{one}") for one in ("ok", "what", "name")]
    checked = [one for one in wanted if one.kind != "reagent"]
    opened = [one for one in wanted if one.kind == "reagent"]
    tables = []
    for tools, columns in ((checked, _CHECKED), (opened, ("lot", "expires"))):
        if tools:
            heads = [*head, *(words(f"bench_paper.tool.{one}") for one in columns)]
            rows = [_tool(one, columns, words) for one in tools]
            tables.append(
                _boxes(heads, rows, [0.35, 1, 1.6, *[1.1] * len(columns)], words, high=7.0)
            )
    return blocks.section(words("bench_paper.tool.head"), *tables)


def _tool(one: Equipment, columns: tuple[str, ...], words: Speaker) -> list[Any]:
    kind = words(f"bench.equipment.kind.{one.kind}")
    known = {
        "checked_on": words.day(one.checked_on) if one.checks and one.checked_on else "",
        "should": ", ".join(words.plain(should) for should, _ in one.checks),
        "was": ", ".join(words.plain(was) for _, was in one.checks),
        "lot": one.lot,
        "expires": words.day(one.expires) if one.lot and one.expires else "",
    }
    return [_BOX, kind, _filled(one.name), *(_filled(known[name]) for name in columns)]


def _choices(batch: Batch, method: Method, words: Speaker) -> blocks.Block | None:
    rows = [
        [words.said(choice_name(one)), _filled(choice_said(batch, one.name, words))]
        for one in method.choices
    ]
    if not rows:
        return None
    heads = [words("bench_paper.choice.what"), words("bench_paper.choice.how")]
    return blocks.section(
        words("bench_paper.choice.head"), _boxes(heads, rows, [1, 2], words, high=6.0)
    )


def _filled(said: str) -> dict[str, Any]:
    return {"box": True, "text": said} if said else _BOX


def _run(batch: Batch, method: Method, boxes: list[Column], words: Speaker) -> dict[str, Any]:
    """Every place in the order of the run, with a box for each reading it needs."""
    heads: list[Any] = [
        words(f"bench_paper.run.{one}") for one in ("place", "what", "portion", "vessel")
    ]
    heads += [{"text": words.name(c.name), "small": words.unit(c.name)} for c in boxes]
    heads.append({"text": words("bench_paper.run.read_at"), "small": words("bench_paper.run.at")})
    rows = [_place(one, boxes, words) for one in batch.positions]
    widths = [0.45, 1.7, 0.6, 0.9, *[1.0] * len(boxes), 0.9]
    kinds = {one.kind for one in batch.positions}
    left = [c for c in method.columns if c not in boxes and kinds & {*c.kinds, *c.may}]
    names = tuple(words.name(one.name) for one in left)
    return {
        "head": words("bench_paper.run.head"),
        "way": words("bench_paper.run.way"),
        "note": words("bench_paper.run.instrument", columns=names) if names else "",
        "table": _boxes(heads, rows, widths, words, high=7.6),
    }


def _place(one: Position, boxes: list[Column], words: Speaker) -> list[Any]:
    cells: list[Any] = [
        str(one.order),
        named(one, words),
        str(one.replicate) if one.kind in _BAGS else "",
        _BOX,
    ]
    for column in boxes:
        value = one.readings.get(column.name)
        wanted = one.kind in (*column.kinds, *column.may)
        cells.append(_filled("" if value is None else words.exactly(value)) if wanted else _OFF)
    return [*cells, _filled(one.read_at.strftime("%H:%M") if one.read_at else "")]


def named(one: Position, words: Speaker) -> dict[str, Any]:
    """What stands at a place: a bag by its code, a control by its kind and number or name."""
    kind = words.said(message(f"bench.kind.{one.kind.value}"))
    if one.kind not in _BAGS:
        number = _number(one.sample)
        text = f"{kind}{NBSP}{number}" if number else f"{kind}, {one.sample}"
        return {"text": text, "small": "", "bag": False}
    small = "" if one.kind is PositionKind.BAG else kind
    return {"text": one.sample, "small": small, "bag": True}


def _number(sample: str) -> str:
    """What tells one blank or standard from the next: "standard 3" is 3 of its kind; else ""."""
    first, _, last = sample.rpartition(" ")
    return last if last.isdigit() and first in _PLAIN else ""


_PLAIN = {kind.value.replace("_", " ") for kind in PositionKind}


def _boxes(
    heads: list[Any], rows: list[list[Any]], widths: list[float], words: Speaker, *, high: float
) -> dict[str, Any]:
    """A table with boxes to write in; ``high`` is a row's height [mm]."""
    return {
        "kind": "boxes",
        "head": [one if isinstance(one, dict) else {"text": one} for one in heads],
        "rows": [[c if isinstance(c, dict) else {"text": c} for c in row] for row in rows],
        "widths": widths,
        "high": high,
        "nothing": words("bench_paper.nothing"),
    }
