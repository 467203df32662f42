"""The sealed sale paper: one lot, its results, and the code that anyone can check offline.

What is printed comes from the record that was sealed, so paper and code say the same. Whoever
doubts it reads the code: the paper beside it proves nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from haywright.gate.seal.keys import fingerprint
from haywright.gate.seal.paper import CODE_LEVEL, for_paper
from haywright.gate.seal.record import LotRecord, SealedResult
from haywright.measure.analytes import quantity
from haywright.measure.message import Amount, Message, message
from haywright.measure.units import convert
from haywright.paper import blocks
from haywright.paper.drawings import code_square
from haywright.paper.sheet_paper import PAPER_NAMES
from haywright.paper.speaker import Speaker
from haywright.paper.typeset import set_pdf
from haywright.sources.crops import crop
from haywright.way.office import Office
from haywright.way.sealed import guides_on_paper, judged_at, nitrate_forms, nitrate_missing
from haywright.words import Reader

# 45 mm with its quiet zone: at version 14 a module is over half a millimetre.
CODE_MM, _POINTS_PER_INCH = 45, 72


@dataclass(frozen=True, slots=True)
class Sealed:
    """A record as it was sealed: by whom, with which key, and the text of the code."""

    record: LotRecord
    issuer: str
    public: bytes
    text: str


def sale_pdf(sealed: Sealed, office: Office, reader: Reader) -> bytes:
    """The sale paper as PDF."""
    return set_pdf("decision", sale_data(sealed, office, reader))


def sale_data(sealed: Sealed, office: Office, reader: Reader) -> dict[str, Any]:
    """The sale paper as the template takes it; every text is ready."""
    words = Speaker(reader)
    record = sealed.record
    title = words("gate_seal.paper_title", name=record.name, serial=record.serial)
    return {
        "language": reader.language,
        "paper": PAPER_NAMES[office.paper],
        "title": title,
        "head": {"name": words("paper.name"), "office": sealed.issuer, "call": ""},
        "kicker": [
            words("gate_seal.paper_number", serial=record.serial),
            words("gate_seal.paper_issued", day=record.issued),
        ],
        "mark": None,
        "verdict": [record.name],
        "lede": words("gate_seal.paper_lede", issuer=sealed.issuer),
        "standing": [],
        "sections": [
            _code(sealed, words),
            _hay(record, words),
            _results(record, words),
            *_nitrate(record, words),
            _mind(words),
        ],
        "foot": {
            "left": f"{title}. {sealed.issuer}.",
            "emergency": "",
            "page": words("paper.page", page="{page}", pages="{pages}"),
        },
    }


def _code(sealed: Sealed, words: Speaker) -> blocks.Block:
    said = words("gate_seal.paper_code_says")
    drawn = code_square(
        sealed.text,
        title=words("gate_seal.paper_code"),
        description=said,
        head=(words("gate_seal.paper_code"),),
        level=CODE_LEVEL,
    )
    width = convert(CODE_MM, "mm", "in") * _POINTS_PER_INCH
    beside = [
        blocks.text(words("gate_seal.paper_check")),
        blocks.text(words("gate_seal.paper_fingerprint", fingerprint=fingerprint(sealed.public)),
                    kind="strong"),
        blocks.text(words("gate_seal.paper_typed"), kind="small"),
        *(blocks.text(line, kind="small") for line in for_paper(sealed.text)),
    ]  # fmt: skip
    pair = blocks.beside([blocks.picture(drawn, width=width)], beside, widths=(1, 1.4))
    return blocks.section(words("gate_seal.paper_code"), pair, heavy=True)


def _hay(record: LotRecord, words: Speaker) -> blocks.Block:
    unsaid = words("gate_seal.not_stated")

    def stated(key: str, value: Any) -> tuple[str, str]:
        shown = unsaid if value in (None, "") else value
        return words(key), words("gate_seal.paper_value", value=shown)

    weight = None if record.bale_weight is None else Amount(record.bale_weight, "kg")
    cored = None
    if record.bales_cored is not None:
        cored = words("gate_seal.paper_cores", bales=record.bales_cored,
                      cores=record.cores_per_bale)  # fmt: skip
    rows = [
        stated("paper.about.lot", record.lot),
        stated("paper.about.crop", crop(record.crop).name),
        stated("paper.about.bales", record.bales),
        stated("gate_seal.paper_weight", weight),
        stated("paper.about.cored", record.cored_on),
        stated("gate_seal.paper_taken", message(f"gate_seal.taken_{record.taken}")),
        stated("gate_seal.paper_cored", cored),
        stated("paper.about.sampler", record.sampler),
        stated("gate_seal.paper_laboratory", record.laboratory),
        stated("gate_seal.paper_until", record.expires),
    ]
    if record.supersedes:
        rows.append(stated("gate_seal.paper_supersedes", record.supersedes))
    return blocks.section(words("gate_seal.paper_hay"), blocks.data_list(rows, columns=2))


def _results(record: LotRecord, words: Speaker) -> blocks.Block:
    rows = [(words.name(one.quantity), _value(one, words), _range(one, words))
            for one in record.results]  # fmt: skip
    head = (words("gate_seal.paper_quantity"), words("gate_seal.paper_result"),
            words("gate_seal.paper_range"))  # fmt: skip
    found = blocks.table(head, rows, align="lrr", widths=(2, 1, 1.4), tight=True)
    note = words("gate_seal.on_dry_matter")
    return blocks.section(words("gate_seal.paper_results"), found, note=note)


def _shown(one: SealedResult, value: Any) -> Amount:
    return Amount(value, quantity(one.quantity).unit, analyte=one.quantity)


def _value(one: SealedResult, words: Speaker) -> str:
    key = {"": "value", "<": "below", ">": "above"}[one.beyond]
    return words(f"gate_seal.paper_{key}", value=_shown(one, one.value))


def _range(one: SealedResult, words: Speaker) -> str:
    if one.low is None:
        return words("gate_seal.not_stated")
    return words("gate_seal.paper_span", low=_shown(one, one.low), high=_shown(one, one.high))


def _nitrate(record: LotRecord, words: Speaker) -> list[blocks.Block]:
    """Every form and every guide's own rows; NOT TESTED in their place where it is owed."""
    head = words("gate_seal.paper_nitrate")
    level = judged_at(record)
    if level is None:
        if not nitrate_missing(record):
            return []
        untested = words("gate_seal.nitrate_not_tested")
        return [blocks.section(head, blocks.caution(words("paper.caution"), [untested]))]
    forms = [
        (one.form.value, *(words("gate_seal.paper_value", value=value) for value in (
            Amount(one.ppm, "mg/kg", analyte="nitrate_n"), Amount(one.percent, "%", digits=3))))
        for one in nitrate_forms(record)
    ]  # fmt: skip
    columns = (words("gate_seal.paper_form"), words("gate_seal.paper_result"),
               words("gate_seal.paper_share"))  # fmt: skip
    return [
        blocks.section(head, blocks.table(columns, forms, align="lrr", tight=True)),
        _guides(record, float(level), words),
    ]


def _guides(record: LotRecord, level: float, words: Speaker) -> blocks.Block:
    rows = [
        (one.guide.name, words(f"bunk.class.{row.animal_class}"), _quoted(row, words))
        for one in guides_on_paper(record)
        for row in one.rows
    ]
    columns = (words("gate_seal.paper_guide"), words("gate_seal.paper_who"),
               words("gate_seal.paper_prints"))  # fmt: skip
    one = record.result("nitrate_n")
    known = one is not None and one.high is not None
    head = "gate_seal.guides_head" if known else "gate_seal.guides_head_value"
    at = words(head, level=Amount(level, "mg/kg NO3-N", analyte="nitrate_n"))
    return blocks.section(
        words("gate_seal.paper_guides"),
        blocks.text(at),
        blocks.table(columns, rows, widths=(1.3, 0.8, 3), tight=True),
        blocks.text(words("gate_seal.paper_no_verdict"), kind="strong"),
    )


def _quoted(row: Any, words: Speaker) -> str:
    key = "gate_seal.paper_quoted_recalled" if row.recalled else "gate_seal.paper_quoted"
    return words(key, note=row.note)


def _mind(words: Speaker) -> blocks.Block:
    said: list[Message] = [
        message("gate_seal.proves"),
        message("bunk.nitrate.caution.sample"),
        message("bunk.nitrate.caution.ask"),
    ]
    return blocks.section(
        words("paper.mind"), blocks.caution(words("paper.caution"), words.every(said))
    )
