"""What a check of a sealed paper says, line by line: the seal first, then what it covers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence

    from haywright.gate.seal.paper import Checked
    from haywright.gate.seal.record import LotRecord, SealedResult
    from haywright.measure.message import Amount, Message

Lines = list["str | Message"]


def checked_lines(found: Checked, classes: Sequence[str]) -> Lines:
    """The seal, what is known of withdrawal, and the paper; nothing else of an altered one."""
    from haywright.measure.message import message

    if found.record is None:
        return [message("gate_seal.altered")]
    return [
        *_seal_lines(found),
        *_standing_lines(found),
        "",
        *_lot_lines(found.record),
        *(_result_line(one) for one in found.record.results),
        message("gate_seal.on_dry_matter"),
        "",
        *_nitrate_lines(found.record, classes),
        message("gate_seal.proves"),
        message("bunk.nitrate.caution.ask"),
    ]


def _seal_lines(found: Checked) -> Lines:
    from haywright.gate.seal.keys import key_text
    from haywright.measure.message import message

    if found.held_as:
        said: Lines = [message("gate_seal.held", name=found.held_as)]
        if found.held_as != found.says_issuer:
            said.append(message("gate_seal.held_other_name", name=found.held_as,
                                says=found.says_issuer))  # fmt: skip
        return said
    says = found.says_issuer
    return [
        message("gate_seal.not_held", says=says),
        message("gate_seal.compare", says=says, fingerprint=found.fingerprint),
        message("gate_seal.compare_command", says=says, letters=key_text(found.public)),
    ]


def _standing_lines(found: Checked) -> Lines:
    from haywright.gate.seal.paper import Standing
    from haywright.measure.message import message

    if found.standing is Standing.UNKNOWN:
        said: Lines = [message("gate_seal.standing_unknown")]
    elif found.standing is Standing.WITHDRAWN:
        said = [message("gate_seal.standing_withdrawn", day=found.known_on)]
    else:
        said = [message("gate_seal.standing_stands", day=found.known_on)]
    if found.expired and found.record is not None:
        said.append(message("gate_seal.expired", day=found.record.expires))
    return said


def _lot_lines(record: LotRecord) -> Lines:
    from haywright.measure.errors import Refused
    from haywright.measure.message import Amount, message
    from haywright.sources.crops import crop

    unsaid = message("gate_seal.not_stated")
    try:
        kind = crop(record.crop).name
    except Refused:
        kind = record.crop
    said: Lines = [
        message("gate_seal.lot", name=record.name, lot=record.lot, crop=kind,
                serial=record.serial, issued=record.issued)
    ]  # fmt: skip
    if record.supersedes:
        said.append(message("gate_seal.supersedes", serial=record.supersedes))
    if record.bales is not None:
        weight = unsaid if record.bale_weight is None else Amount(record.bale_weight, "kg")
        said.append(message("gate_seal.bales", n=record.bales, weight=weight))
    said.append(
        message(
            f"gate_seal.sampled_{record.taken}",
            day=record.cored_on,
            bales=unsaid if record.bales_cored is None else record.bales_cored,
            cores=record.cores_per_bale,
            sampler=record.sampler or unsaid,
            laboratory=record.laboratory or unsaid,
        )
    )
    return said


def _shown(one: SealedResult, value: Any) -> Amount:
    from haywright.measure.analytes import quantity
    from haywright.measure.message import Amount

    return Amount(value, quantity(one.quantity).unit, analyte=one.quantity)


def _result_line(one: SealedResult) -> Message:
    from haywright.measure.message import message

    named = message("measure.quantity", id=one.quantity)
    value = _shown(one, one.value)
    if one.beyond:
        key = "gate_seal.result_below" if one.beyond == "<" else "gate_seal.result_above"
        return message(key, quantity=named, value=value)
    if one.low is None:
        return message("gate_seal.result", quantity=named, value=value)
    return message("gate_seal.result_range", quantity=named, value=value,
                   low=_shown(one, one.low), high=_shown(one, one.high))  # fmt: skip


def _nitrate_lines(record: LotRecord, classes: Sequence[str]) -> Lines:
    from haywright.bunk.hazards.nitrate.told import no3n
    from haywright.measure.message import Amount, message
    from haywright.way.sealed import judged_at, nitrate_forms, nitrate_missing

    level = judged_at(record)
    if level is None:
        return [message("gate_seal.nitrate_not_tested")] if nitrate_missing(record) else []
    said: Lines = [message("gate_seal.nitrate_head")]
    for one in nitrate_forms(record):
        shown = {"form": one.form.value, "ppm": _ppm(one.ppm),
                 "percent": Amount(one.percent, "%", digits=3)}  # fmt: skip
        if one.ppm_low is None or one.ppm_high is None:
            said.append(message("gate_seal.nitrate_form", **shown))
        else:
            said.append(message("gate_seal.nitrate_form_range", **shown,
                                low=_ppm(one.ppm_low), high=_ppm(one.ppm_high)))  # fmt: skip
    ranged = record.result("nitrate_n")
    known = ranged is not None and ranged.high is not None
    head = "gate_seal.guides_head" if known else "gate_seal.guides_head_value"
    said += ["", message(head, level=no3n(float(level)))]
    said += _guide_lines(record, classes)
    if not classes:
        said.append(message("gate_seal.no_verdict"))
    return [*said, ""]


def _ppm(value: float) -> Amount:
    from haywright.measure.message import Amount

    return Amount(value, "mg/kg", analyte="nitrate_n")


def _guide_lines(record: LotRecord, classes: Sequence[str]) -> Lines:
    from haywright.measure.message import message
    from haywright.way.sealed import guides_on_paper

    said: Lines = []
    for one in guides_on_paper(record, classes):
        if not one.rows:
            said.append(message("gate_seal.guide_silent", guide=one.guide.name))
        for row in one.rows:
            key = "gate_seal.guide_row_recalled" if row.recalled else "gate_seal.guide_row"
            said.append(message(key, guide=one.guide.name, note=row.note,
                                who=message(f"bunk.class.{row.animal_class}")))  # fmt: skip
    return said


def checked_json(found: Checked, classes: Sequence[str]) -> dict[str, Any]:
    """What a check found, for another program; an altered paper says nothing more."""
    if found.record is None:
        return {"seal": found.seal.value}
    return {
        "seal": found.seal.value,
        "held_as": found.held_as or None,
        "says_issuer": found.says_issuer,
        "fingerprint": found.fingerprint,
        "withdrawn": found.standing.value,
        "withdrawn_known_on": None if found.known_on is None else found.known_on.isoformat(),
        "expired": found.expired,
        "paper": record_json(found.record),
        "guides": _guides_json(found.record, classes),
    }


def record_json(record: LotRecord) -> dict[str, Any]:
    """A signed lot, for another program."""
    from haywright.measure.analytes import quantity
    from haywright.way.sealed import nitrate_forms, nitrate_missing

    def plain(value: Any) -> Any:
        return None if value is None else float(value)

    days = {
        name: None if day is None else day.isoformat()
        for name, day in (
            ("issued", record.issued), ("expires", record.expires), ("cored_on", record.cored_on),
        )
    }  # fmt: skip
    return {
        "serial": record.serial,
        "supersedes": record.supersedes or None,
        **days,
        "lot": record.lot,
        "name": record.name,
        "crop": record.crop,
        "bales": record.bales,
        "bale_weight_kg": record.bale_weight,
        "bales_cored": record.bales_cored,
        "cores_per_bale": record.cores_per_bale,
        "taken": record.taken,
        "laboratory": record.laboratory or None,
        "sampler": record.sampler or None,
        "results": [
            {
                "quantity": one.quantity,
                "unit": quantity(one.quantity).unit,
                "value": plain(one.value),
                "beyond": one.beyond or None,
                "low": plain(one.low),
                "high": plain(one.high),
            }
            for one in record.results
        ],
        "nitrate_not_tested": nitrate_missing(record),
        "nitrate_mg_per_kg": {one.form.value: round(one.ppm, 1) for one in nitrate_forms(record)},
    }


def _guides_json(record: LotRecord, classes: Sequence[str]) -> list[dict[str, Any]]:
    from haywright.way.sealed import guides_on_paper

    return [
        {
            "guide": one.guide.id,
            "name": one.guide.name,
            "unit": one.guide.printed_unit,
            "value": round(one.value, 4),
            "rows": [
                {"for": row.animal_class, "note": row.note, "recalled": row.recalled}
                for row in one.rows
            ],
        }
        for one in guides_on_paper(record, classes)
    ]
