"""Kinds of things programs send and are sent, each as strict as the document says."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime
from decimal import Decimal, InvalidOperation
from typing import Annotated, Any, ClassVar
from uuid import UUID

from ninja import Field, Schema
from pydantic import (
    AwareDatetime,
    BeforeValidator,
    ConfigDict,
    PlainSerializer,
    StrictBool,
    StrictInt,
    WithJsonSchema,
)
from pydantic_core import PydanticCustomError

from haywright.measure.basis import Basis
from haywright.measure.errors import Refused
from haywright.measure.estimate import Estimate

_MOST = 1_000_000_000
_FIRST, _LAST = 1900, 2200
DECIMAL = r"^-?[0-9]{1,9}(\.[0-9]{1,9})?$"
DEGREES = ("degC", "degF")


def _only_text(value: Any) -> Any:
    """A text; a bare number is not taken for a day, an instant or a key."""
    if isinstance(value, int | float | Decimal):
        raise PydanticCustomError("text", "")
    return value


def _number(value: Any) -> Any:
    if isinstance(value, bool):
        raise PydanticCustomError("number", "")
    try:
        held = Decimal(str(value))
    except InvalidOperation:
        raise PydanticCustomError("number", "") from None
    if not held.is_finite() or abs(held) > _MOST:
        raise PydanticCustomError("number", "")
    return held


def _whole(value: Any) -> Any:
    return int(value) if isinstance(value, float) and value.is_integer() else value


Key = Annotated[UUID, BeforeValidator(_only_text)]
Day = Annotated[date, BeforeValidator(_only_text)]
Instant = Annotated[AwareDatetime, BeforeValidator(_only_text)]
# 64.0 is a whole number to JSON Schema (2020-12, section 6.1.1).
Whole = Annotated[StrictInt, Field(ge=-_MOST, le=_MOST), BeforeValidator(_whole)]
Number = Annotated[
    Decimal,
    BeforeValidator(_number),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "number", "minimum": -_MOST, "maximum": _MOST},
                {"type": "string", "pattern": DECIMAL},
            ]
        }
    ),
]
Money = Annotated[
    Decimal,
    PlainSerializer(str, return_type=str),
    WithJsonSchema({"type": "string", "pattern": DECIMAL}),
]
Yes = StrictBool


class Sent(Schema):
    """Something a program sends; a field that is not known is refused."""

    model_config: ClassVar[ConfigDict] = ConfigDict(extra="forbid")


class Quantity(Schema):
    """A number with its unit and what it is a share of."""

    value: float | None = Field(description="The number; null where there is none to give.")
    unit: str = Field(description='Unit of the number; "" for an index.')
    basis: str = Field(
        description='What it is a share of or counted for; "" where that says nothing.'
    )


class Measured(Quantity):
    """A number of a laboratory or an equation, with its doubt."""

    quantity: str = Field(description="Name in the dictionary of quantities.")
    name: str = Field(description="The same in words.")
    form: str = Field(description='Chemical form; "" where there is only one.')
    state: str = Field(description="measured, below limit, above range, between or held.")
    low: float | None = Field(description="Lower end of the likely range, or of what is known.")
    high: float | None = Field(description="Upper end of the likely range, or of what is known.")
    u: float | None = Field(description="Standard uncertainty, in the unit.")
    kind: str = Field(description="Where it comes from: measured, typed in, calculated ...")
    equation: str = Field(description='Equation of the register; "" for none.')
    laboratory: str
    report: str
    dated: Day | None = Field(description="The day the report bears, where it is known.")


class Priced(Sent):
    """Money, with whose it is."""

    amount: Number
    currency: str = Field(min_length=3, max_length=3, description="ISO 4217 code.")


class Weighed(Schema):
    """Money for a weight."""

    amount: Money
    currency: str
    per: str


class Temperature(Sent):
    """A temperature with its unit."""

    value: Number
    unit: str = Field(description="degC or degF.", json_schema_extra={"enum": [*DEGREES]})


def when(field: str, value: datetime) -> datetime:
    """An instant in universal time, of years a register is kept in.

    Parameters
    ----------
    field
        Where it was sent.
    value
        The instant, with its offset.
    """
    if not _FIRST < value.year < _LAST:
        raise Refused(field, value.isoformat(), f"{_FIRST} to {_LAST}", key="office.api.years")
    return value.astimezone(UTC)


def day(field: str, value: date) -> date:
    """A day, of years a register is kept in.

    Parameters
    ----------
    field
        Where it was sent.
    value
        The day.
    """
    if not _FIRST < value.year < _LAST:
        raise Refused(field, value.isoformat(), f"{_FIRST} to {_LAST}", key="office.api.years")
    return value


def places(field: str, value: Decimal, most: int) -> Decimal:
    """A number that is kept whole; one with more digits after the point is refused, not rounded.

    Parameters
    ----------
    field
        Where it was sent.
    value
        The number.
    most
        Digits after the point that are kept [count].
    """
    kept = round(value, most)
    if kept != value:
        raise Refused(field, value, str(kept), key="office.api.places", most=most)
    return kept


def number(value: float) -> float | None:
    """A number that JSON knows; ``None`` for any other."""
    return value if math.isfinite(value) else None


def measured(
    quantity: str,
    name: str,
    estimate: Estimate,
    *,
    unit: str,
    basis: Basis | str,
    likely: float,
    **more: str | None,
) -> dict[str, Any]:
    """A ``Measured`` of an estimate.

    Parameters
    ----------
    quantity, name
        Name in the dictionary, and in words.
    estimate
        The number with its doubt.
    unit, basis
        Of the number.
    likely
        Confidence of the range beside it [0 to 1].
    more
        Form, kind, equation, laboratory, report and its day.
    """
    low, high = estimate.low, estimate.high
    if estimate.settled and estimate.u > 0:
        low, high = estimate.interval(likely)
    return {
        "quantity": quantity,
        "name": name,
        "value": number(estimate.value) if estimate.settled else None,
        "unit": unit,
        "basis": str(basis),
        "state": estimate.state.value,
        "low": number(low),
        "high": number(high),
        "u": number(estimate.u) if estimate.settled else None,
        "form": "",
        "kind": "",
        "equation": "",
        "laboratory": "",
        "report": "",
        "dated": None,
        **more,
    }
