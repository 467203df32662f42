"""Chemical forms of nitrate: a number without its form is refused, never guessed.

The wrong guess is a factor 4.4 (NO3 read as NO3-N) to 7.2 (KNO3 read as NO3-N).
"""

from __future__ import annotations

import re
from enum import StrEnum
from functools import lru_cache
from typing import Any, TypeVar

from haywright.measure.atoms import molar_mass
from haywright.measure.errors import Refused

T = TypeVar("T", bound=Any)


class NitrateForm(StrEnum):
    """How a nitrate number is expressed; each holds one nitrogen atom."""

    NO3_N = "NO3-N"
    NO3 = "NO3"
    KNO3 = "KNO3"
    NANO3 = "NaNO3"


_FORMULA = {
    NitrateForm.NO3_N: "N",
    NitrateForm.NO3: "NO3",
    NitrateForm.KNO3: "KNO3",
    NitrateForm.NANO3: "NaNO3",
}
_WRITTEN = {
    "no3-n": NitrateForm.NO3_N,
    "no3n": NitrateForm.NO3_N,
    "nitrate-n": NitrateForm.NO3_N,
    "nitrate-nitrogen": NitrateForm.NO3_N,
    "no3": NitrateForm.NO3,
    "nitrate ion": NitrateForm.NO3,
    "kno3": NitrateForm.KNO3,
    "potassium nitrate": NitrateForm.KNO3,
    "nano3": NitrateForm.NANO3,
    "sodium nitrate": NitrateForm.NANO3,
}
_UNIT = re.compile(r"^\s*(%|ppm|mg/kg|g/kg|percent|pct)?\s*(.*?)\s*$", re.IGNORECASE)
UNITS = ("%", "ppm", "mg/kg", "g/kg")


@lru_cache(maxsize=16)
def form_factor(from_form: NitrateForm, to_form: NitrateForm) -> float:
    """Mass of ``to_form`` that holds the nitrogen of one mass unit of ``from_form`` [mass/mass]."""
    return molar_mass(_FORMULA[to_form]) / molar_mass(_FORMULA[from_form])


def convert_form(value: T, from_form: NitrateForm, to_form: NitrateForm) -> T:
    """Restate a nitrate number or array in another chemical form, same unit and basis."""
    if from_form is to_form:
        return value
    return value * form_factor(from_form, to_form)  # type: ignore[no-any-return]


def parse_form(text: str) -> NitrateForm:
    """The chemical form from what a person or a report writes; a missing one is refused."""
    found = _WRITTEN.get(text.strip().lower().replace("_", "-"))
    if found is None:
        raise Refused("nitrate form", text, key="measure.nitrate_form", forms=tuple(NitrateForm))
    return found


def parse_nitrate_unit(text: str) -> tuple[str, NitrateForm]:
    """Unit and form from "ppm NO3-N", "% NO3", "mg/kg KNO3".

    Raises
    ------
    Refused
        When the unit or the chemical form is missing or not known.
    """
    match = _UNIT.match(text)
    unit, form = (match.group(1), match.group(2)) if match else (None, text)
    if not unit:
        raise Refused("nitrate unit", text, ", ".join(UNITS), key="measure.nitrate_unit")
    plain = {"percent": "%", "pct": "%", "ppm": "mg/kg"}.get(unit.lower(), unit.lower())
    return plain, parse_form(form)
