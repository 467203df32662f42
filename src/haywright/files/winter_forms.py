"""The winter of a ranch, in the ranch's own form: ranches/NAME.toml.

turnout = 2027-05-08                  # when they go to grass
plan_from = 2026-12-01                # left out: today

[[group]]                             # beside head, weight, water and so on (files/ranches.py)
calving = 2027-03-10                  # or lambing, kidding, foaling: the mean date
condition = 5.0
feeder = "open-ring"                  # or waste = "15 %"
sale = 1650                           # what one brings today; replacement = 2200

[[hay]]                               # left out: every lot the office has of this ranch
lot = "creek-oats"                    # its sheet, bales, weight and storage; part = "flat"
[[hay]]
name = "old meadow hay"               # or numbers as typed from any sheet, of dry matter
bales = 60
weight = "1,100 lb"
dry_matter = "88 %"
tdn = 54
cp = 8.4
nitrate = "300 ppm NO3-N"             # of dry matter; left out: not tested

[[hay_to_buy]]                        # the same, with a price at the stack and a haul
[[feed_to_buy]]
row = "corn-grain-n01"                # of the table of feeds, or name and numbers
price_per_short_ton = 210             # delivered

[[offer]]
lot = "creek-oats"
buyer = "feed store"
price_per_short_ton = 112
wanted = "10 short tons"
[offer.haul]                          # left out: they fetch it
miles = 60
rate_per_mile = 4.25
load = "24 short tons"

[weather]
winter = "usual"                      # usual, mild or hard; or your own months in °F
december = 21
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from haywright.bunk.animals import WORK, HerdGroup
from haywright.bunk.hazards.nitrate.typed import hay_nitrate
from haywright.bunk.ranch import FeedingGroup
from haywright.bunk.ration.feed import RationFeed, table_feed, with_energy
from haywright.bunk.winter import feeding_out
from haywright.files.reading import Checked
from haywright.gate.delivered import Haul
from haywright.gate.money import Price
from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.message import Message
from haywright.measure.parse import parse_number
from haywright.sources.crops import crop
from haywright.stack.lot import storage
from haywright.way.winter_asked import BidAsked, GroupAsked, HayAsked, WeatherAsked, WinterAsked

BIRTHS = ("calving", "lambing", "kidding", "foaling")
MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september",
          "october", "november", "december")  # fmt: skip
CONTENTS = ("tdn", "nem", "neg", "nel", "horse_de", "cp", "ndf", "adf", "fat", "ash", "ca", "p",
            "mg", "k", "na", "s", "cu", "zn", "mn", "se", "mo", "fe")  # fmt: skip
_AGES = ("calf", "yearling", "grown")
_MOST_MONEY, _MOST_BALES, _MOST_LITTER, _MOST_WASTE = 100_000, 100_000, 4, 90
_MOST_MILK, _MOST_GAIN, _MOST_WEIGHT, _MOST_LOTS = 60, 3, 1500, 50
_COLDEST, _WARMEST, _MOST_WIND, _MOST_MASS = -60, 110, 90, 90_000_000


@dataclass(frozen=True, slots=True)
class WinterForm:
    """The winter's part of a ranch form, before the groups are known to be sound."""

    first: date | None
    turnout: date | None
    hays: tuple[HayAsked, ...]
    to_buy: tuple[HayAsked, ...]
    feeds: tuple[RationFeed, ...]
    bids: tuple[BidAsked, ...]
    weather: WeatherAsked
    every_lot: bool

    def of(self, name: str, groups: Iterable[GroupAsked], guide: str) -> WinterAsked:
        """The question, with who eats."""
        return WinterAsked(
            name,
            tuple(groups),
            self.hays,
            self.first,
            self.turnout,
            self.to_buy,
            self.feeds,
            self.bids,
            self.weather,
            guide,
            self.every_lot,
        )


def winter_fields(form: Checked) -> WinterForm:
    """Read the fields of the winter; problems stay with the form."""
    hays = tuple(_hay(one) for one in form.tables("hay", default=[]))
    return WinterForm(
        first=form.day("plan_from", default=None),
        turnout=form.day("turnout", default=None),
        hays=hays,
        to_buy=tuple(_hay(one, to_buy=True) for one in form.tables("hay_to_buy", default=[])),
        feeds=tuple(feed for one in form.tables("feed_to_buy", default=[]) if (feed := _feed(one))),
        bids=tuple(bid for one in form.tables("offer", default=[]) if (bid := _bid(one))),
        weather=_weather(form.table("weather", default={})),
        every_lot=not form.has("hay"),
    )


def group_fields(form: Checked) -> dict[str, Any]:
    """What the plan asks of a group beside what the nitrate verdict does."""
    due = [(word, form.day(word, default=None)) for word in BIRTHS if form.has(word)]
    if len(due) > 1:
        form.refuse(due[1][0], due[1][1], key="ranch_plan.form.two_dates", other=due[0][0])
    feeder = form.choice("feeder", feeding_out.ways(), default="")
    if feeder and form.has("waste"):
        form.refuse("waste", form.data["waste"], key="ranch_plan.form.feeder_and_waste")
    return {
        "due": due[0][1] if due else None,
        "weaned": form.day("weaning", default=None),
        "condition": form.number("condition", least=1, most=9, default=None),
        "breed": form.text("breed", default="british"),
        "litter": form.number("litter", least=1, most=_MOST_LITTER, default=1.0),
        "work": form.choice("work", WORK, default="idle"),
        "age": form.choice("age", _AGES, default="grown"),
        "peak_milk": form.number("milk", unit="kg", least=0, most=_MOST_MILK, default=None),
        "gain": form.number("gain", unit="kg", least=0, most=_MOST_GAIN, default=0.0),
        "grown": form.number("grown", unit="kg", least=1, most=_MOST_WEIGHT, default=None),
        "feeder": feeder,
        "waste": _percent(form, "waste", least=0, most=_MOST_WASTE),
        "target": form.number("target_condition", least=1, most=9, default=None),
        "least": form.number("least_condition", least=1, most=9, default=None),
        "most_lots": form.whole("most_lots", least=1, most=_MOST_LOTS, default=None),
        "water_sulfate": form.number("water_sulfate_mg_per_l", least=0, most=20_000, default=None),
        "sale": form.number("sale", least=0, most=_MOST_MONEY, default=None),
        "replacement": form.number("replacement", least=0, most=_MOST_MONEY, default=None),
    }


def group_asked(
    form: Checked, group: FeedingGroup | None, fields: dict[str, Any]
) -> GroupAsked | None:
    """The group with its fields, checked as a herd; ``None`` after a problem."""
    if group is None:
        return None
    asked = GroupAsked(group, **fields)
    if group.weight is None or not group.head:  # a missing count is refused with the form
        return asked
    try:
        herd = HerdGroup(
            group.name, group.stock.id, group.head, group.weight, date.min, due=asked.due,
            condition=asked.condition or 5.0, breed=asked.breed, gain=asked.gain,
        )  # fmt: skip
        _ = herd.breed_factor  # an unknown breed is refused here, with its place
    except HaywrightError as error:
        form.problems += [_placed(one, form.place) for one in error.messages()]
        return None
    return asked


def _hay(form: Checked, *, to_buy: bool = False) -> HayAsked:
    lot = form.text("lot", default="")
    name = form.text("name", default="") if lot else form.text("name")
    dm = _percent(form, "dry_matter", least=1, most=100)
    found = HayAsked(
        name=name,
        lot=lot,
        part=form.text("part", default=""),
        bales=form.whole("bales", least=0, most=_MOST_BALES, default=None),
        bale_weight=form.number("weight", unit="kg", least=1, most=_MOST_WEIGHT, default=None),
        mass=form.number("total", unit="kg", least=0, most=_MOST_MASS, default=None),
        values=_contents(form),
        dm=dm,
        crop=_word(form, "crop", crop),
        nitrate=_nitrate(form, dm),
        storage=_word(form, "storage", storage),
        baled_on=form.day("baled_on", default=None),
        left_worth=_price(form, "left_worth_per_short_ton", needed=False),
        price=_price(form, "price_per_short_ton", needed=True) if to_buy else None,
        haul=_haul(form) if to_buy else None,
        most=form.number("on_offer", unit="kg", least=1, default=None) if to_buy else None,
    )
    form.finish()
    return found


def _feed(form: Checked) -> RationFeed | None:
    row = form.text("row", default="")
    name = form.text("name", default="") if row else form.text("name")
    price = _price(form, "price_per_short_ton", needed=True)
    per_kg = float(price.to("kg").amount) if price is not None else 0.0
    carries = form.raw("carries", default=[])
    kinds = tuple(carries) if isinstance(carries, list) else (str(carries),)
    values = _contents(form)
    dm = _percent(form, "dry_matter", least=1, most=100)
    forage = form.yes_no("forage", default=False)
    form.finish()
    try:
        if row:
            return table_feed(row, price=per_kg, carries=kinds)
        if not {"cp"} <= set(values) or not {"tdn", "nem"} & set(values):
            form.refuse("tdn", None, key="ranch_plan.form.feed_numbers")
        return RationFeed(name, with_energy(values), dm or 90.0, per_kg, forage, kinds)
    except HaywrightError as error:
        form.problems += [_placed(one, form.place) for one in error.messages()]
        return None


def _bid(form: Checked) -> BidAsked | None:
    lot, price = form.text("lot"), _price(form, "price_per_short_ton", needed=True)
    found = {
        "buyer": form.text("buyer", default=""),
        "most": form.number("wanted", unit="kg", least=1, default=None),
        "haul": _haul(form),
    }
    form.finish()
    return None if price is None else BidAsked(lot, price, **found)  # type: ignore[arg-type]


def _haul(form: Checked) -> Haul | None:
    if not form.has("haul"):
        return None
    inside = form.table("haul")
    miles = inside.number("miles", least=0, most=10_000)
    rate = inside.number("rate_per_mile", least=0, most=100)
    load = inside.number("load", unit="lb", least=1)
    inside.finish()
    return Haul(rate or 0.0, miles or 0.0, load or 1.0, "lb")


def _weather(form: Checked) -> WeatherAsked:
    months = {
        n: form.number(month, least=_COLDEST, most=_WARMEST)
        for n, month in enumerate(MONTHS, 1)
        if form.has(month)
    }
    wet = _percent(form, "wet_days", least=0, most=100)
    found = WeatherAsked(
        winter=form.choice("winter", ("usual", "mild", "hard"), default="usual"),
        months=months,
        wind=form.number("wind_mph", least=0, most=_MOST_WIND, default=None),
        wet=None if wet is None else wet / 100.0,
        sheltered=form.yes_no("windbreak", default=False),
    )
    form.finish()
    return found


def _contents(form: Checked) -> dict[str, float]:
    """Contents of dry matter: % where the dictionary has it, Mcal/kg or mg/kg else."""
    found = {}
    for name in CONTENTS:
        value = form.raw(name, default=None)
        if value is None:
            continue
        number = _content(form, name, value)
        if number is not None:
            found[name] = number
    return found


def _content(form: Checked, name: str, value: object) -> float | None:
    if isinstance(value, str):
        try:
            value = parse_number(value.strip().removesuffix("%"))
        except Refused:
            form.refuse(name, value, key="measure.not_a_number")
            return None
    fits = isinstance(value, int | float) and not isinstance(value, bool)
    if not fits or not 0 <= float(value) <= _MOST_MONEY:  # type: ignore[arg-type]
        form.refuse(name, value, key="files.out_of_range", least="0", most="", unit="")
        return None
    return float(value)  # type: ignore[arg-type]


def _nitrate(form: Checked, dm: float | None) -> float | None:
    """Nitrate written 300 ppm NO3-N, of dry matter, or with "as received" behind it."""
    value = form.raw("nitrate", default=None)
    if value is None:
        return None
    number, _, unit = str(value).strip().partition(" ")
    basis = "dry"
    for word in ("as received", "as fed"):
        if unit.lower().endswith(word):
            unit, basis = unit[: -len(word)].strip(), word
    try:
        return hay_nitrate(parse_number(number), unit, basis, dm=dm)[0]
    except HaywrightError as error:
        form.problems += [_placed(one, form.place) for one in error.messages()]
        return None


def _price(form: Checked, field: str, *, needed: bool) -> Price | None:
    if not form.has(field):
        if needed:
            form.refuse(field, None, key="ranch_plan.form.price")
        return None
    money = form.number(field, least=0, most=_MOST_MONEY)
    return Price(money, "short_ton")  # type: ignore[arg-type]


def _percent(form: Checked, field: str, *, least: float, most: float) -> float | None:
    return form.number(field, unit="%", least=least, most=most, default=None)


def _word(form: Checked, field: str, find: Any) -> str:
    word = form.text(field, default="")
    if not word:
        return ""
    try:
        return str(find(word).id)
    except HaywrightError as error:
        form.problems += [_placed(one, form.place) for one in error.messages()]
        return ""


def _placed(said: Message, place: str) -> HaywrightError:
    return HaywrightError(
        Message(said.key, {**said.args, "field": f"{place}: {said.args.get('field', '')}"})
    )
