"""Messages: what pure code says. A key and quantities, never a sentence.

``words`` owns the sentences; a Message can be kept, compared, sent as JSON and said in
another language later.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any, TypeAlias


@dataclass(frozen=True, slots=True)
class Amount:
    """A number inside a message, with what is needed to print it.

    Parameters
    ----------
    value
        The number, in ``unit``.
    unit
        Unit name as in :mod:`haywright.measure.units`; "" for a bare count or index.
    basis
        Text of the basis, e.g. "dry matter", or "".
    analyte
        Dictionary name; decides rounding when ``digits`` is not given.
    digits
        Decimals to print.
    """

    value: float | Decimal
    unit: str = ""
    basis: str = ""
    analyte: str = ""
    digits: int | None = None


MessageValue: TypeAlias = (
    "str | int | float | Decimal | bool | date | Amount | Message | tuple[MessageValue, ...] | None"
)


@dataclass(frozen=True, slots=True)
class Message:
    """A key into the catalogue of words, and the quantities that go into its sentence."""

    key: str
    args: Mapping[str, MessageValue] = field(default_factory=dict)

    def __str__(self) -> str:
        inside = ", ".join(f"{k}={_plain(v)}" for k, v in self.args.items())
        return f"{self.key}({inside})"

    def __hash__(self) -> int:
        return hash((self.key, tuple(sorted((k, str(v)) for k, v in self.args.items()))))

    def to_json(self) -> dict[str, object]:
        """The message as plain JSON values."""
        return {"key": self.key, "args": {k: _json(v) for k, v in self.args.items()}}

    @classmethod
    def from_json(cls, held: Mapping[str, Any]) -> Message:
        """Read back what :meth:`to_json` wrote, messages and amounts within it too.

        Parameters
        ----------
        held
            "key" and "args".
        """
        return cls(held["key"], {name: _restored(one) for name, one in held["args"].items()})


def message(key: str, **args: MessageValue) -> Message:
    """Build a Message from keyword quantities."""
    return Message(key, args)


def _plain(value: MessageValue) -> str:
    if isinstance(value, tuple):
        return "[" + "; ".join(_plain(v) for v in value) + "]"
    if isinstance(value, Amount):
        return f"{value.value} {value.unit}".strip()
    return str(value)


def _json(value: MessageValue) -> object:
    if isinstance(value, tuple):
        return [_json(v) for v in value]
    if isinstance(value, Message):
        return value.to_json()
    if isinstance(value, Amount):
        held = {"value": _json(float(value.value)), "unit": value.unit, "basis": value.basis}
        more = {"analyte": value.analyte, "digits": value.digits}
        return held | {name: one for name, one in more.items() if one not in ("", None)}
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, date):  # a day is told from a name that looks like one
        return {"instant" if isinstance(value, datetime) else "day": value.isoformat()}
    if isinstance(value, float) and not math.isfinite(value):  # JSON knows no infinity
        return None if math.isnan(value) else {"beyond": "any" if value > 0 else "none"}
    return value


def _restored(held: Any) -> Any:
    if isinstance(held, list):
        return tuple(_restored(one) for one in held)
    if not isinstance(held, Mapping):
        return held
    if "day" in held:
        return date.fromisoformat(held["day"])
    if "instant" in held:
        return datetime.fromisoformat(held["instant"])
    if "beyond" in held:
        return math.inf if held["beyond"] == "any" else -math.inf
    if "args" in held:
        return Message.from_json(held)
    return Amount(
        _restored(held["value"]),
        held["unit"],
        held.get("basis", ""),
        held.get("analyte", ""),
        held.get("digits"),
    )
