"""An office as the pure code knows it: who it is, what it prints, which choices it has made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Paper = Literal["letter", "a4"]


@dataclass(frozen=True, slots=True)
class Office:
    """A county hay office.

    Parameters
    ----------
    name, code, phone
        Printed on every paper; ``code`` begins its bag codes.
    call_name, call_phone
        Whom to call about a sick animal, day and night; a veterinarian's practice.
    guide
        Id of the nitrate guide the office has chosen; "" for the program's own default.
    tdn_method
        Name of the TDN equation the office has chosen; "" for the program's own default.
    units
        "us" or "si".
    paper
        "letter" or "a4".
    currency
        ISO 4217 code.
    """

    name: str
    code: str
    phone: str = ""
    call_name: str = ""
    call_phone: str = ""
    guide: str = ""
    tdn_method: str = ""
    units: Literal["us", "si"] = "us"
    paper: Paper = "letter"
    currency: str = "USD"
