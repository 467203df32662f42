"""What programs send and are sent; a field that is not known is refused."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any, ClassVar, Literal
from uuid import UUID

from ninja import Field, Schema
from pydantic import ConfigDict


class Sent(Schema):
    """Something a program sends."""

    model_config: ClassVar[ConfigDict] = ConfigDict(extra="forbid")


class LotOut(Schema):
    """A lot as it stands."""

    id: UUID
    number: int
    name: str
    ranch: UUID | None = Field(None, alias="ranch_id")
    crop: str
    hay_year: int
    state: str
    bales: int | None
    facts: dict[str, Any]
    version: int


class LotPage(Schema):
    """Lots, newest first; ``after`` begins the next page and is empty at the end."""

    items: list[LotOut]
    after: str


class Describe(Sent):
    """A new lot: its form, every amount with its unit."""

    facts: dict[str, Any]
    ranch: UUID | None = None


class Change(Sent):
    """A lot's form, and the version it was read at."""

    facts: dict[str, Any]
    version: int
    reason: str = Field("", max_length=500)


class Sell(Sent):
    """Bales that went."""

    bales: int
    on: date
    buyer: str = Field("", max_length=120)
    price: Decimal | None = Field(None, ge=0, max_digits=10, decimal_places=2)


class Heat(Sent):
    """The heat inside a bale [degC]."""

    celsius: Decimal = Field(max_digits=5, decimal_places=1)
    at: datetime
    bale: str = Field("", max_length=30)


class BagOut(Schema):
    """A bag, without its owner's name."""

    id: UUID
    code: str
    cored_on: date
    taken: str
    tests: list[str]
    stage: str
    stage_at: datetime
    version: int


class BagPage(Schema):
    """Bags, newest first."""

    items: list[BagOut]
    after: str


class Seal(Sent):
    """A new bag of a lot."""

    lot: UUID
    facts: dict[str, Any]
    at: datetime
    laboratory: str = Field("", max_length=120)


class PassOn(Sent):
    """A bag goes on."""

    stage: Literal["shipped", "received", "refused"]
    at: datetime
    who: str = Field(max_length=100)
    mass_g: Decimal | None = Field(None, gt=0, max_digits=8, decimal_places=2)
    reason: str = Field("", max_length=300)


class SheetOut(Schema):
    """Which sheet of which lot."""

    id: UUID
    number: int
    lot: UUID = Field(alias="lot_id")
    part: str


class SheetPage(Schema):
    """Sheets, newest first."""

    items: list[SheetOut]
    after: str


class VersionOut(Schema):
    """One frozen version of a sheet."""

    number: int
    interim: bool
    amended: bool
    reason: str
    made_at: datetime
    digest: str
    snapshot: dict[str, Any]
