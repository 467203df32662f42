"""What was understood of a typed report, before it is kept: numbers, and what looks odd of them."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from haywright.measure.analytes import quantity
from haywright.measure.basis import AS_RECEIVED, DRY_MATTER
from haywright.measure.estimate import Estimate
from haywright.measure.message import message
from haywright.measure.nitrate import NitrateForm, convert_form
from haywright.measure.result import Result as PureResult
from haywright.office.bag.models import Bag
from haywright.office.bench.models import Result
from haywright.office.stack.models import Lot
from haywright.office.way.pure import in_force, pure_lot
from haywright.paper.speaker import Speaker, capital
from haywright.sheet.plausibility import Flag
from haywright.sheet.typed import Entry, TypedReport
from haywright.way.lot import sample_of_report
from haywright.words import Reader, say

IMPOSSIBLE, UNUSUAL = "impossible", "unusual"
_NITRATE = "nitrate_n"
_FORMS = (NitrateForm.NO3_N, NitrateForm.NO3, NitrateForm.KNO3)


@dataclass(frozen=True)
class Looked:
    """A report as it was understood.

    Parameters
    ----------
    rows
        A row a number, ready to be shown.
    flags
        What the rules of belief say of them.
    token
        Stands for exactly these numbers and flags.
    """

    rows: tuple[dict[str, Any], ...]
    flags: tuple[Flag, ...]
    token: str

    def of_kind(self, kind: str) -> list[Flag]:
        """The flags of one kind."""
        return [one for one in self.flags if one.kind == kind]


def look_over(
    lot: Lot, bag: Bag | None, typed: TypedReport, reader: Reader, *, chosen: bool
) -> Looked:
    """Lay a report out as it was understood, on dry matter and as received, with what is odd.

    Parameters
    ----------
    lot, bag
        What the report speaks of; no bag where it was not one of ours.
    typed
        The report as it was read.
    reader
        Who looks it over.
    chosen
        Whether the basis of the whole paper was chosen on the page, not taken from a profile.
    """
    sheet = sample_of_report(pure_lot(lot), typed.results).sheet
    flags = (*typed.flags, *sheet.flags)
    words = Speaker(reader)
    rows = tuple(_rows(typed, sheet.as_received, in_force(lot, bag), words, chosen=chosen))
    told = [[one.to_json() for one in flags],
            [one.to_json() for one in typed.results.values()]]  # fmt: skip
    token = hashlib.sha256(json.dumps(told, sort_keys=True, default=str).encode()).hexdigest()
    return Looked(rows, flags, token)


def _rows(
    typed: TypedReport,
    received: Mapping[str, Estimate],
    there: Mapping[str, Result],
    words: Speaker,
    *,
    chosen: bool,
) -> Iterator[dict[str, Any]]:
    by_name: dict[str, list[Entry]] = {}
    for entry in typed.entries:
        by_name.setdefault(entry.analyte, []).append(entry)
    for name, one in typed.results.items():
        entries = by_name.get(name, [])
        wet = None if name == "dm" else received.get(name)
        filled = [part for entry in entries for part in _filled(entry, typed, words, chosen=chosen)]
        yield {
            "name": capital(words.name(name)),
            "typed": "; ".join(_typed(entry, words) for entry in entries),
            "filled": list(dict.fromkeys(filled)),
            "dry": words.value(one.estimate, name),
            "dry_forms": forms_of(one.estimate, words) if name == _NITRATE else [],
            "received": "" if wet is None else words.value(wet, name),
            "received_forms": forms_of(wet, words) if wet is not None and name == _NITRATE else [],
            "there": _already(one, there.get(name), words),
        }


def forms_of(estimate: Estimate, words: Speaker) -> list[str]:
    """A nitrate in each chemical form, the way reports write them; [] for one beyond a limit."""
    if not estimate.settled:
        return []
    unit = words.unit(_NITRATE)
    return [
        f"{words.figure(convert_form(estimate.value, NitrateForm.NO3_N, form), _NITRATE)}"
        f" {unit} {form.value}"
        for form in _FORMS
    ]


def _typed(entry: Entry, words: Speaker) -> str:
    form = entry.form.value if entry.form else ""
    parts = (entry.beyond, words.exactly(entry.value), entry.unit, form, _basis(entry, words))
    return " ".join(part for part in parts if part)


def _basis(entry: Entry, words: Speaker) -> str:
    named = str(entry.basis)
    plain = entry.basis in (DRY_MATTER, AS_RECEIVED)
    return words(f"office.basis.{named.replace(' ', '_')}") if plain else named


def _filled(entry: Entry, typed: TypedReport, words: Speaker, *, chosen: bool) -> Iterator[str]:
    """What the report left out, and whose word stands for it."""
    whose = typed.laboratory.name
    if not entry.unit_said and entry.unit:
        unit = " ".join(one for one in (entry.unit, entry.form.value if entry.form else "") if one)
        by_habit = entry.form is not None or quantity(entry.analyte).unit.startswith("Mcal")
        key = "unit_habit" if by_habit else "unit_usual"
        yield words(f"office.report.filled.{key}", unit=unit, whose=whose)
    if not entry.basis_said:
        key = "basis_chosen" if chosen else "basis_habit"
        yield words(f"office.report.filled.{key}", basis=_basis(entry, words), whose=whose)


def _already(one: PureResult, before: Result | None, words: Speaker) -> str:
    if before is None or before.whole == one.to_json():
        return ""
    value = words.value(PureResult.from_json(before.whole).estimate, one.analyte)
    said = message("office.report.there", value=value, whose=before.laboratory or "–")
    return say(said, words.reader)
