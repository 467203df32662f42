"""What programs send and are sent of lots."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any

from ninja import Field, Schema

from haywright.office.api.kinds import Day, Instant, Key, Priced, Quantity, Sent, Temperature, Whole
from haywright.office.sheet.queries import leading_first

Text = Annotated[str, Field(max_length=120)]
Reason = Annotated[str, Field(max_length=500)]


class Facts(Sent):
    """The form of a lot; every amount is a text with its unit, as on paper: "1,120 lb"."""

    name: Text | None = None
    form: Text | None = Field(None, description="cured_hay, standing_crop, cornstalks or baleage.")
    crop: Text | list[Text] | None = Field(None, description="The chief one first.")
    field: Text | None = None
    variety: Text | None = None
    cutting: Whole | None = Field(None, description="Which cutting of the year [count].")
    maturity: Text | None = None
    cut_on: Day | None = None
    baled_on: Day | None = None
    baling_hours: Text | None = Field(None, description='From cutting to baling: "40 h".')
    moisture: Text | None = Field(None, description='When it was baled: "16 %".')
    events: list[Text] | None = Field(None, description="drought, frost, hail ...")
    weeds: dict[str, Text] | None = Field(None, description='Share of each: {"kochia": "15 %"}.')
    storage: Text | None = None
    weathered_outside: Text | None = Field(None, description='How thick: "3 in".')
    purpose: Text | None = None
    preservative: Text | None = None
    nitrogen: Text | None = None
    seed: Text | None = Field(None, description="From which the bales to core are chosen.")
    bales: dict[str, Any] | None = Field(
        None, description='{"count": 64, "package": "5x4", "weight": "1,120 lb"}, or "total".'
    )
    faces: list[dict[str, Any]] | None = None
    field_parts: list[dict[str, Any]] | None = None
    unreached: Text | None = Field(None, description='Numbers of the bales: "1-12, 30".')

    def told(self) -> dict[str, Any]:
        """What was sent; ``None`` for what is to be taken out."""
        held = self.model_dump(mode="json", exclude_unset=True)
        return {name: _given(one) for name, one in held.items()}


class NewFacts(Facts):
    """The form of a new lot: its name and its crop, and whatever else is known."""

    name: Text
    crop: Text | list[Text]

    def told(self) -> dict[str, Any]:
        """What was sent, without what was left empty."""
        held: dict[str, Any] = _given(self.model_dump(mode="json", exclude_none=True))
        return held


def _given(held: Any) -> Any:
    """What was sent of something, without the nulls inside: they say that nothing is known."""
    if isinstance(held, dict):
        return {name: _given(one) for name, one in held.items() if one is not None}
    return [_given(one) for one in held] if isinstance(held, list) else held


class Leading(Schema):
    """The sheet that stands for a lot: of hay judged in parts, the one with the most nitrate."""

    sheet: Key
    part: str = Field(description='Part of the field it speaks of; "" for all the rest of the lot.')
    parts: int = Field(description="Parts that are judged apart, each on a sheet of its own.")


class LotOut(Schema):
    """A lot as it stands."""

    id: Key
    number: int
    name: str
    ranch: Key | None
    crop: str
    hay_year: int
    state: str = Field(description="here, fed, sold, split, merged or carried.")
    bales: int | None = Field(description="Bales that are left [count]; null when not counted.")
    bale_weight: Quantity | None = Field(description="What one bale weighs, as it stands.")
    suspect: bool = Field(description="Whether it must be tested for nitrate before it is fed.")
    leading: Leading | None = Field(description="The sheet that stands for it; null: none yet.")
    seller: str
    came_from: list[Key] = Field(description="Lots it was divided from, stacked of, carried from.")
    went_into: list[Key]
    facts: dict[str, Any] = Field(description="Its form, as it was written down.")
    version: int

    @staticmethod
    def resolve_ranch(lot: Any) -> Any:
        """Key of the ranch."""
        return lot.ranch_id

    @staticmethod
    def resolve_leading(lot: Any) -> dict[str, Any] | None:
        """Which sheet stands for the lot, as on its page."""
        rows = leading_first(lot.sheets.all())
        if not rows:
            return None
        return {"sheet": rows[0].pk, "part": rows[0].part, "parts": len(rows)}

    @staticmethod
    def resolve_bale_weight(lot: Any) -> dict[str, Any] | None:
        """The weight with its unit."""
        if lot.mean_bale_kg is None:
            return None
        return {"value": float(lot.mean_bale_kg), "unit": "kg", "basis": "as it stands"}

    @staticmethod
    def resolve_came_from(lot: Any) -> list[Any]:
        """Keys of the lots before."""
        return [one.of_id for one in lot.came.all()]

    @staticmethod
    def resolve_went_into(lot: Any) -> list[Any]:
        """Keys of the lots after."""
        return [one.into_id for one in lot.went.all() if one.into_id]


class LotPage(Schema):
    """Lots, newest first; ``after`` begins the next page and is "" at the end."""

    items: list[LotOut]
    after: str


class LotList(Schema):
    """Lots that came of one deed."""

    items: list[LotOut]


class Describe(Sent):
    """A new lot."""

    facts: NewFacts
    ranch: Key | None = None
    seller: str = Field("", max_length=120, description="Of a lot bought in.")
    seller_paper: str = Field("", max_length=2000, description="What stands on the seller's paper.")


class Replace(Sent):
    """A lot's whole form, and the version it was read at."""

    facts: NewFacts
    version: Whole
    reason: Reason = ""


class Change(Sent):
    """Facts that change; null takes one out. The version is the one the lot was read at."""

    facts: Facts
    version: Whole
    reason: Reason = ""


class Part(Sent):
    """One part of a lot."""

    name: str = Field(min_length=1, max_length=120)
    bales: Whole


class Split(Sent):
    """Parts that together hold all bales of the lot."""

    parts: list[Part] = Field(max_length=20)
    on: Day


class Merge(Sent):
    """Lots of one ranch and one crop that are stacked as one."""

    lots: list[Key] = Field(max_length=20)
    name: str = Field(min_length=1, max_length=120)
    on: Day


class Sell(Sent):
    """Bales that went."""

    bales: Whole
    on: Day
    buyer: str = Field("", max_length=120)
    price_per_short_ton: Priced | None = Field(None, description="Of hay as it stands.")


class Carry(Sent):
    """Bales that are left, and the hay year they go into."""

    bales: Whole
    year: Whole
    on: Day


class Heat(Sent):
    """The heat inside a bale."""

    temperature: Temperature
    at: Instant
    bale: str = Field("", max_length=30)


class HeatOut(Schema):
    """The heat inside a bale, as it was read."""

    id: Key
    temperature: Quantity
    at: datetime
    bale: str

    @staticmethod
    def resolve_temperature(row: Any) -> dict[str, Any]:
        """The heat with its unit."""
        return {"value": float(row.celsius), "unit": "degC", "basis": ""}

    @staticmethod
    def resolve_at(row: Any) -> Any:
        """When it was read."""
        return row.taken_at


class HeatPage(Schema):
    """Temperatures, newest first."""

    items: list[HeatOut]
    after: str


class EntryOut(Schema):
    """One entry of the history of a lot."""

    number: int
    at: datetime
    deed: str
    says: str = Field(description="What happened, in words.")
    thing: str
    thing_id: Key
    before: dict[str, Any]
    after: dict[str, Any]
    reason: str
    digest: str


class EntryPage(Schema):
    """History, newest first; ``after`` begins the next page and is "" at the end."""

    items: list[EntryOut]
    after: str
