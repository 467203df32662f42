"""A typed report of any laboratory: numbers as a person copies them from paper.

A number without its basis, a nitrate without its chemical form, an energy without its unit are
refused, naming what is missing. A laboratory profile, set once, fills the fields and is printed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache

from haywright.measure.analytes import dictionary, quantity
from haywright.measure.basis import AS_RECEIVED, DRY_MATTER, Basis, at_dry_matter, parse_basis
from haywright.measure.errors import HaywrightError, Problems, Refused, UnknownName
from haywright.measure.estimate import Estimate, Source, exact
from haywright.measure.message import message
from haywright.measure.nitrate import NitrateForm, parse_nitrate_unit
from haywright.measure.parse import parse_number
from haywright.measure.result import Kind, Result, Results
from haywright.measure.units import convert
from haywright.sheet.normal import normalised, scales_with_moisture
from haywright.sheet.plausibility import Flag, check_columns
from haywright.sources.named import plain
from haywright.sources.tables import load_toml

# A space stands inside a number only between groups of three: "52.5 90 % dm" is 52.5.
_NUMBER = r"[+-]?(?:\d{1,3}(?:[ ,']\d{3})+(?:[.,]\d+)?|\d+(?:[.,]\d+)?|\.\d+)(?![\d.,])"
_ENTRY = re.compile(rf"^\s*([<>])?\s*({_NUMBER})\s*(.*?)\s*$")
_BASIS = re.compile(
    r"^(.*?)\s*\(?\b(as[ -](?:received|fed|is|analy[sz]ed)|dry(?:[ -](?:matter|basis))?|dm|"
    r"(?:at )?\d+(?:\.\d+)? ?% ?(?:dm|dry matter))\)?$",
    re.IGNORECASE,
)
_NINETY = 90.0
_NO_UNIT_NO_NUMBER = ("Mcal/kg",)
_UNITS = {
    "%": ("%", "g/kg", "mg/kg", "ppm"),
    "mg/kg": ("mg/kg", "ppm", "%"),
    "Mcal/kg": ("Mcal/lb", "Mcal/kg", "MJ/kg"),
}
_NITRATE_UNITS = tuple(
    f"{unit} {form}"
    for form in (NitrateForm.NO3_N, NitrateForm.NO3, NitrateForm.KNO3)
    for unit in ("ppm", "%")
)
_AS_PRINTED = "as printed"


@dataclass(frozen=True, slots=True)
class Laboratory:
    """A laboratory profile, set once.

    Parameters
    ----------
    name
        Printed on the sheet.
    basis
        Basis of its numbers, where an entry does not say; ``None`` asks each time.
    nitrate
        Unit and form of its nitrate, such as "ppm NO3"; "" asks each time.
    energy
        Unit of its energy values, such as "Mcal/lb"; "" asks each time.
    tdn_method
        The TDN equation it says it uses; "" when not known.
    """

    name: str = ""
    basis: Basis | None = None
    nitrate: str = ""
    energy: str = ""
    tdn_method: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """One number of a report as typed: what, how much, in which unit, form and basis.

    ``unit_said`` and ``basis_said`` tell whether the text itself named them; what it left out
    came from the laboratory's profile, or from the quantity's own unit.
    """

    analyte: str
    value: float
    decimals: int
    beyond: str
    unit: str
    form: NitrateForm | None
    basis: Basis
    unit_said: bool = True
    basis_said: bool = True


@dataclass(frozen=True, slots=True)
class TypedReport:
    """A report read: results on one footing, what the two columns say of each other.

    Parameters
    ----------
    results
        Canonical unit, dry matter, nitrate as nitrate-N.
    entries
        As typed.
    flags
        P14, where both columns were typed.
    laboratory
        The profile used.
    """

    results: Results
    entries: tuple[Entry, ...]
    flags: tuple[Flag, ...]
    laboratory: Laboratory


def read_typed(
    texts: Iterable[str],
    *,
    basis: Basis | None = None,
    laboratory: Laboratory | None = None,
    report: str = "",
    dated: date | None = None,
    pending: Iterable[str] = (),
) -> TypedReport:
    """Read a report typed as "name=value" texts.

    Parameters
    ----------
    texts
        "cp=18.2", "nitrate=4200 ppm NO3", "nem=0.62 Mcal/lb", "adf=28.3 as received", "mo=<0.5".
    basis
        Basis of the entries that do not name one; a percentage is refused where none is known.
    laboratory
        Profile; fills what the entries leave out.
    report, dated
        Number of the report and the day it bears, kept with each result.
    pending
        Quantities still to come.

    Raises
    ------
    Problems
        Everything that is missing or not accepted, at once.
    """
    lab = laboratory or Laboratory()
    entries = _entries(texts, replace(lab, basis=basis or lab.basis))
    kept, doubled = _columns(entries)
    results = normalised([_result(one, lab, report, dated) for one in kept], pending=pending)
    flags = _column_flags(doubled, kept)
    spread = Results(map(_spread, results.values()), pending=pending)
    return TypedReport(spread, entries, flags, lab)


@lru_cache(maxsize=1)
def _words() -> dict[str, str]:
    """What a person may write for a quantity -> dictionary name."""
    found = {plain(entry.name): name for name, entry in dictionary().items()}
    for name, also in load_toml("report_words").items():
        found |= {plain(word): name for word in (name, *also)}
    return found


def quantity_called(word: str) -> str:
    """The dictionary name of a word on a report; an unknown word is refused with near ones."""
    found = _words().get(plain(word)) or (word if word in dictionary() else None)
    if found is None:
        raise UnknownName("quantity", word, _words())
    return found


def _entries(texts: Iterable[str], lab: Laboratory) -> tuple[Entry, ...]:
    found, wrong = [], []
    for text in texts:
        try:
            found.append(entry_of(text, lab))
        except HaywrightError as error:
            wrong.append(error)
    if not found and not wrong:
        raise Refused("report", None, key="sheet.typed.nothing")
    if wrong:
        raise wrong[0] if len(wrong) == 1 else Problems(wrong)
    return tuple(found)


def entry_of(text: str, lab: Laboratory) -> Entry:
    """One "name=value" text by itself; what several say of each other is not looked at."""
    word, equals, rest = text.partition("=")
    match = _ENTRY.match(rest)
    if not equals or not match:
        raise Refused("entry", text, key="sheet.typed.entry")
    name = quantity_called(word)
    beyond, number, tail = match.group(1) or "", match.group(2).strip(), match.group(3)
    stated, unit_text = _basis_and_unit(tail)
    if name == "tdn_90":  # TDN-90 and TDN are one quantity on two bases
        name, stated = "tdn", at_dry_matter(_NINETY)
    unit, form = _unit(name, unit_text, lab, word)
    value = parse_number(number)
    _believable(name, value, unit)
    return Entry(
        analyte=name,
        value=value,
        decimals=len(number.partition(".")[2]),
        beyond=beyond,
        unit=unit,
        form=form,
        basis=_basis_of(name, stated, lab),
        unit_said=bool(unit_text),
        basis_said=stated is not None or not scales_with_moisture(name),
    )


def units_of(name: str) -> tuple[str, ...]:
    """The units a report may write a quantity in, the usual one first; nitrate with its form."""
    if name == "nitrate_n":
        return _NITRATE_UNITS
    unit = quantity(name).unit
    return _UNITS.get(unit, (unit,) if unit else ())


def parts_of(text: str) -> tuple[str, str, str]:
    """Number, unit and basis as a typed number writes them, "" for what it leaves out.

    A text that begins with no number is all number, so that it is refused as it was typed.
    """
    match = _ENTRY.match(text)
    if not match:
        return text.strip(), "", ""
    tail = match.group(3)
    based = _BASIS.match(tail)
    unit = _basis_and_unit(tail)[1] if based else tail
    return f"{match.group(1) or ''}{match.group(2).strip()}", unit, based.group(2) if based else ""


def on_reports() -> tuple[str, ...]:
    """The quantities reports commonly hold, by dictionary name."""
    return tuple(load_toml("report_words"))


def _basis_and_unit(tail: str) -> tuple[Basis | None, str]:
    match = _BASIS.match(tail)
    if not match:
        return None, tail
    written = match.group(2).lower().removeprefix("at ")
    return parse_basis(written), match.group(1).strip().removesuffix(" of").strip()


def _basis_of(name: str, stated: Basis | None, lab: Laboratory) -> Basis:
    if not scales_with_moisture(name):
        return AS_RECEIVED if quantity(name).basis == "as received" else DRY_MATTER
    found = stated or lab.basis
    if found is None:
        raise Refused(quantity(name).name, "", key="measure.basis_missing")
    return found


def _unit(name: str, text: str, lab: Laboratory, word: str) -> tuple[str, NitrateForm | None]:
    """Unit and nitrate form; a unit that cannot be guessed without harm is asked for."""
    wanted = quantity(name).unit
    if name == "nitrate_n":
        stated = _with_form(text or lab.nitrate, word)
        if not stated.strip():
            accepted = ", ".join(_NITRATE_UNITS)
            raise Refused(quantity(name).name, word, accepted, key="sheet.typed.nitrate_unit")
        return parse_nitrate_unit(stated)
    if not text and wanted in _NO_UNIT_NO_NUMBER:
        text = lab.energy
        if not text:
            raise Refused(quantity(name).name, word, key="sheet.typed.energy_unit")
    if not text or text == wanted:
        return wanted, None
    if wanted.startswith("%") and text in ("%", "pct", "percent"):
        return wanted, None
    try:
        convert(1.0, text, wanted)
    except HaywrightError:
        accepted = ", ".join(units_of(name))
        key = "sheet.typed.unit" if accepted else "sheet.typed.no_unit"
        raise Refused(quantity(name).name, text, accepted, key=key) from None
    return text, None


def _with_form(unit: str, word: str) -> str:
    """A form named on the left, "NO3-N=950 ppm", serves as well as one on the right."""
    form = word.strip()
    named = plain(form) in ("no3", "no3 n", "nitrate nitrogen", "nitrate n")
    return f"{unit} {form}" if named and unit.strip() in ("ppm", "%", "mg/kg", "g/kg") else unit


def _believable(name: str, value: float, unit: str) -> None:
    most = 100.0 if unit.startswith("%") else math.inf
    if not 0 <= value <= most and name != "dcad":
        key = "sheet.typed.percent" if most == 100.0 else "sheet.typed.negative"
        raise Refused(quantity(name).name, value, key=key)


def _columns(entries: Iterable[Entry]) -> tuple[list[Entry], list[tuple[Entry, Entry]]]:
    """One entry per quantity, dry matter first; and the pairs that stand in two columns."""
    kept: dict[str, Entry] = {}
    doubled: list[tuple[Entry, Entry]] = []
    for one in entries:
        other = kept.get(one.analyte)
        if other is None:
            kept[one.analyte] = one
            continue
        if one.basis == other.basis or not scales_with_moisture(one.analyte):
            raise Refused(quantity(one.analyte).name, one.value, key="sheet.typed.twice")
        dry, wet = (one, other) if one.basis == DRY_MATTER else (other, one)
        kept[one.analyte] = dry
        doubled.append((dry, wet))
    return list(kept.values()), doubled


def _column_flags(doubled: list[tuple[Entry, Entry]], kept: list[Entry]) -> tuple[Flag, ...]:
    by_name = {one.analyte: one for one in kept}
    total = by_name.get("dm")
    if total is None and "moisture" in by_name:
        wet = by_name["moisture"]
        total = replace(wet, value=100.0 - wet.value)
    if total is None:
        return ()
    return tuple(
        flag
        for dry, wet in doubled
        if dry.unit == wet.unit and wet.basis.dm_pct is None
        for flag in check_columns(
            dry.analyte,
            (wet.value, wet.decimals),
            (dry.value, dry.decimals),
            (total.value, total.decimals),
        )
    )


def _result(one: Entry, lab: Laboratory, report: str, dated: date | None) -> Result:
    estimate = {
        "<": lambda: Estimate.below(one.value, _AS_PRINTED, raw=one.value),
        ">": lambda: Estimate.above(one.value, _AS_PRINTED, raw=one.value),
    }.get(one.beyond, lambda: exact(one.value))()
    return Result(
        analyte=one.analyte,
        estimate=estimate,
        unit=one.unit,
        basis=one.basis,
        kind=Kind.OTHER_LABORATORY if lab.name else Kind.TYPED,
        form=one.form,
        method=lab.tdn_method if one.analyte == "tdn" else "",
        laboratory=lab.name,
        report=report,
        dated=dated.isoformat() if dated else "",
    )


def _spread(one: Result) -> Result:
    """The usual spread between laboratories, for a report that gives no uncertainty."""
    u = load_toml("between_laboratories")["u"].get(one.analyte)
    if u is None or not one.settled or one.estimate.u > u:
        return one
    label = message(
        "sheet.between_laboratories", quantity=message("measure.quantity", id=one.analyte)
    )
    source = Source(f"between-laboratories:{one.laboratory}:{one.report}:{one.analyte}", label)
    return replace(one, estimate=one.estimate.with_parts({source: u}))
