"""Nitrate numbers as people type them, into mg/kg (mg/L) of nitrate-nitrogen.

A number without its chemical form, or a hay number without its basis, is refused with all that is
missing; the wrong guess is a factor of 4.4.
"""

from __future__ import annotations

import re

from haywright.measure.basis import (
    AS_FED,
    AS_RECEIVED,
    DRY_MATTER,
    Basis,
    DryMatters,
    parse_basis,
    rebase,
)
from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.measure.nitrate import NitrateForm, convert_form, parse_form, parse_nitrate_unit
from haywright.measure.parse import parse_number
from haywright.measure.units import convert

_MOST = 200_000
_WATER_UNIT = re.compile(r"^(mg\s*/\s*L|ppm)\b\s*", re.IGNORECASE)
_NUMBER = re.compile(r"^\s*(<?\s*[+-]?\d[\d.,]*)\s*(.*?)\s*$")


def hay_nitrate(
    value: float, unit: str, basis: str, *, dm: float | None = None
) -> tuple[float, NitrateForm]:
    """A hay's nitrate on dry matter, and the chemical form it came in.

    Parameters
    ----------
    value
        The number [``unit`` on ``basis``].
    unit
        "ppm NO3-N", "% NO3" ...
    basis
        "dry", "as fed" ...
    dm
        Dry matter [%], needed where the number is not on dry matter.

    Returns
    -------
    tuple
        [mg/kg NO3-N of DM] and the form.

    Raises
    ------
    Problems, Refused
        Everything that is missing or not possible, named.
    """
    problems: list[HaywrightError] = []
    plain, form, on = "mg/kg", NitrateForm.NO3_N, DRY_MATTER
    try:
        plain, form = parse_nitrate_unit(unit)
    except Refused as error:
        problems.append(error)
    try:
        on = parse_basis(basis)
    except Refused as error:
        problems.append(error)
    if problems:
        raise problems[0] if len(problems) == 1 else Problems(problems)
    dry = rebase(value, on, DRY_MATTER, dry=_dry_matters(on, dm))
    no3n = float(convert_form(convert(dry, plain, "mg/kg"), form, NitrateForm.NO3_N))
    if not 0 <= no3n <= _MOST:
        raise Refused("nitrate", value, key="bunk.nitrate.typed.range")
    return no3n, form


def _dry_matters(basis: Basis, dm: float | None) -> DryMatters:
    if dm is not None and not 0 < dm <= 100:
        raise Refused("dm", dm, key="measure.dry_matter_range")
    if basis == AS_FED:
        return DryMatters(fed=dm)
    return DryMatters(total=dm) if basis == AS_RECEIVED else DryMatters(laboratory=dm)


def water_nitrate(text: str, form: NitrateForm | None = None) -> float:
    """Nitrate of water from "5 mg/L NO3-N" [mg/L NO3-N]; a bare number takes ``form``.

    Raises
    ------
    Refused
        Where the chemical form is neither written nor given.
    """
    number, own = _split(text, "water")
    said = _WATER_UNIT.sub("", own)
    if said:
        form = parse_form(said)
    if form is None:
        raise Refused("water", text, key="bunk.nitrate.typed.water")
    found = float(convert_form(number, form, NitrateForm.NO3_N))
    if not 0 <= found <= _MOST:
        raise Refused("water", text, key="bunk.nitrate.typed.range")
    return found


def _split(text: str, field: str) -> tuple[float, str]:
    match = _NUMBER.match(text)
    if match is None:
        raise Refused(field, text, key="measure.not_a_number")
    return parse_number(match.group(1).lstrip("< ")), match.group(2)
