"""Text into amounts, at the edge only: the one module that wakes the Pint library, for compounds.

Pint is given our own short definitions file, so that a word a person writes and a factor used
inside can never disagree.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from haywright.measure.errors import Refused
from haywright.measure.message import Amount
from haywright.measure.units import BARE_TONS, TEMPERATURES, canonical_name, convert, definitions

_NUMBER = re.compile(r"^\s*([+-]?[\d.,   ']*\d)\s*(.*?)\s*$")
_FEET_INCHES = re.compile(r"""^\s*(\d+)\s*(?:ft|')\s*(\d+(?:\.\d+)?)\s*(?:in|")\s*$""")


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    registry: Any = pint.UnitRegistry(None)
    for kind, table in definitions().items():
        if kind in ("words", "ratio", "temperature"):
            continue
        canonical = table["canonical"]
        registry.define(f"{canonical} = [{kind}]")
        for name, factor in table.items():
            if name not in ("canonical", canonical):
                registry.define(f"{name} = {factor!r} * {canonical}")
    return registry


def parse_number(text: str) -> float:
    """A number as people write it: "1,150", "1 150", "0.5", "0,5".

    A comma with exactly three digits after it separates thousands; otherwise it is a decimal
    comma. Both kinds in one number are read by their order.
    """
    plain = text.strip().replace(" ", "").replace(" ", "").replace(" ", "")
    plain = plain.replace("'", "")
    if "," in plain and "." in plain:
        last = max(plain.rfind(","), plain.rfind("."))
        whole = plain[:last].replace(",", "").replace(".", "")
        plain = f"{whole}.{plain[last + 1 :]}"
    elif plain.count(",") > 1 or re.fullmatch(r"[+-]?\d{1,3},\d{3}", plain):
        plain = plain.replace(",", "")
    else:
        plain = plain.replace(",", ".")
    try:
        return float(plain)
    except ValueError:
        raise Refused("number", text, key="measure.not_a_number") from None


def parse_amount(
    text: str, *, to: str, field: str = "amount", default_unit: str = "", bare_ton: bool = False
) -> float:
    """A number with its unit, converted.

    Parameters
    ----------
    text
        "1,150 lb", "5 ft", "4 ft 6 in", "95 degF".
    to
        Unit wanted.
    field
        Name of the field, for the error.
    default_unit
        Unit taken when none is written; without one a bare number is refused.
    bare_ton
        Whether "ton" may stand for 2,000 lb (a person on US units); files and the API refuse it.

    Returns
    -------
    float
        The amount in ``to``.
    """
    feet = _FEET_INCHES.match(text)
    if feet:
        inches = float(feet.group(1)) * 12 + float(feet.group(2))
        return convert(inches, "in", to)
    match = _NUMBER.match(text)
    if not match:
        raise Refused(field, text, to, key="measure.amount")
    number, unit = parse_number(match.group(1)), match.group(2) or default_unit
    if not unit:
        raise Refused(field, text, to, key="measure.unit_missing")
    if unit.lower() in BARE_TONS and bare_ton:
        unit = "short_ton"
    try:
        return _through_pint(number, unit, to)
    except Refused as error:
        if error.message.key == "measure.bare_ton":
            raise Refused(field, text, key="measure.bare_ton") from None
        raise Refused(field, text, to, key="measure.amount") from None


def _through_pint(number: float, unit: str, to: str) -> float:
    name = "/".join(canonical_name(part.strip()) for part in unit.split("/"))
    # One unit into another is one factor; the library takes longer to wake than a form to read.
    plain = "/" not in name and "/" not in to
    if plain or name in TEMPERATURES or "%" in name or "pp" in name or not _registered(name, to):
        return convert(number, name, to)
    import pint

    registry = _registry()
    try:
        return float(registry.Quantity(number, name).to(to).magnitude)
    except (pint.DimensionalityError, pint.UndefinedUnitError):
        raise Refused("unit", unit, to, key="measure.wrong_dimension") from None


def _registered(*names: str) -> bool:
    known = {n for kind, table in definitions().items() if kind != "words" for n in table}
    ratios = set(definitions()["ratio"])
    return all(part in known and part not in ratios for name in names for part in name.split("/"))


def amount(text: str, *, to: str, field: str = "amount", default_unit: str = "") -> Amount:
    """Like :func:`parse_amount`, as an Amount to echo back."""
    return Amount(parse_amount(text, to=to, field=field, default_unit=default_unit), to)
