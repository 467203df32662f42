"""Offers for hay as a form, checked whole: every error at once, each with its place.

::

    currency = "USD"  # ISO 4217; left out: USD
    per = "short ton"  # what prices are paid for, where a hay does not say
    short = ["cp"]  # nutrients the ranch is short of, the shortest first
    price_by = ["tdn", "cp"]  # what the feeds below price, when [worth] is left out

    [worth]  # what one more unit is worth on this ranch
    cp = "0.35 $/lb"
    nem = "0.11 $/Mcal"

    [fertilizer]  # what the seller pays to put back what the hay carries off
    n = "0.57 $/lb"
    p2o5 = "0.62 $/lb"
    k2o = "0.48 $/lb"
    nitrogen = "full"  # full, legume, quarter or fed

    [[feed]]  # instead of [worth]: at least as many as nutrients priced
    name = "corn"
    row = "corn-grain-n01"  # composition of the feed table, or dm, tdn, cp, ndf here
    price = 170

    [[hay]]
    name = "brome"
    price = 60
    per = "bale"
    bale_weight = "1,200 lb"
    bale_error = "100 lb"  # how far it may be out: the price becomes a range
    where = "stack"  # stack: the buyer fetches it; yard: delivered
    dm = 88  # %
    cp = 9  # % of dry matter; tdn, ndf, p, k likewise
    nem = "0.55 Mcal/lb"
    storage_loss = 5  # %
    feeding_loss = 15  # %
    miles = 120
    rate = 4.25  # a loaded mile
    payload = "44,000 lb"
    bales_that_fit = 34
    other = 3  # loading, unloading, brokerage, for the unit of the price
    barred = "nitrate"  # why your stock may not be fed it
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Any, TypeVar

from haywright.files.reading import Checked, read_toml
from haywright.gate.delivered import Haul
from haywright.gate.money import Price, currency_code, exact, mass_unit
from haywright.gate.offers import WHERE, FertilizerPrices, HayOffer
from haywright.gate.price import NutrientCost, PriceRange, bale_price_range, is_energy
from haywright.gate.removal import NITROGEN_COUNTED
from haywright.gate.worth import PricedFeed, counted_once, nutrient_price
from haywright.measure.analytes import quantity
from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.message import Message, message
from haywright.measure.parse import parse_number
from haywright.sources.feeds import feed

T = TypeVar("T")
SHARES = ("cp", "tdn", "ndf", "adf", "p", "k", "ca", "mp", "dcp")
MEGACALORIES = ("nem", "neg", "nel", "me", "de")
CONTENTS = (*SHARES, *MEGACALORIES)
_LEAST = {"cp": 1, "tdn": 20, "ndf": 5, "adf": 5}  # below: a share was written for a per cent
_LEAST_DM = 10
_BALE = "bale"
_MONEY = re.compile(r"^\s*\$?\s*([\d.,]+)\s*\$?\s*(?:/|per\b)\s*([A-Za-z_ ]+?)\s*$")
# A price beyond these is one for another unit; in currencies of about a dollar's size.
_DOLLARS = ("USD", "CAD", "AUD", "NZD", "EUR", "GBP", "CHF")
_LEAST_TON, _MOST_TON = 1, 5000


@dataclass(frozen=True, slots=True)
class OfferForm:
    """What a form or a command line says of offers."""

    offers: tuple[HayOffer, ...]
    short: tuple[str, ...]
    worth: Mapping[str, NutrientCost]
    feeds: tuple[PricedFeed, ...]
    price_by: tuple[str, ...]
    fertilizer: FertilizerPrices | None


def read_offers(path: Path) -> OfferForm:
    """The offers of a form.

    Raises
    ------
    Refused, Problems
        Everything that is wrong with the form, each with its place.
    """
    return offers_of(read_toml(path))


def offers_of(form: Checked, *, hay_needed: bool = True) -> OfferForm:
    """Offers, or prices alone, from a form that is read already; raises every problem found."""
    currency = _tried(form, lambda: currency_code(form.text("currency", default="USD"))) or "USD"
    per = _unit(form, form.text("per", default="short_ton")) or "short_ton"
    found = OfferForm(
        tuple(_hays(form, per, currency, needed=hay_needed)),
        form.choices("short", CONTENTS, default=[]),
        _worth(form, currency) if form.has("worth") else {},
        tuple(_feeds(form, per, currency)),
        form.choices("price_by", CONTENTS, default=["tdn", "cp"]),
        _fertilizer(form, currency) if form.has("fertilizer") else None,
    )
    if found.worth and found.feeds:
        form.refuse("worth", None, key="gate_offers.worth_or_feeds")
    form.done()
    return found


def _hays(form: Checked, per: str, currency: str, *, needed: bool) -> list[HayOffer]:
    rows = form.tables("hay", default=[])
    if needed and not form.data.get("hay"):
        form.refuse("hay", None, key="files.field_missing")
    found = [_hay(one, per, currency) for one in rows]
    names = [one.name for one in found if one is not None and one.name]
    for twice in sorted({one for one in names if names.count(one) > 1}):
        form.refuse("hay", twice, key="gate_offers.name_twice")
    return [one for one in found if one is not None]


def _hay(form: Checked, per: str, currency: str) -> HayOffer | None:
    before = len(form.problems)
    name = form.text("name")
    dm = form.number("dm", least=_LEAST_DM, most=100)
    contents = _contents(form)
    weight = form.number("bale_weight", unit="lb", least=1, default=None)
    by_bale = form.data.get("per") == _BALE
    spread = _bale_price(form, weight, currency) if by_bale else None
    price = None if by_bale else _price(form, per, currency)
    fields: dict[str, Any] = {
        "where": form.choice("where", WHERE, default="stack"),
        "haul": _haul(form, weight),
        "other": form.number("other", least=0, default=0.0),
        "storage_loss": _loss(form, "storage_loss"),
        "feeding_loss": _loss(form, "feeding_loss"),
    }
    barred = form.text("barred", default="", longest=100)
    form.finish()
    if spread is not None:
        fields["range"] = spread if spread.if_light.amount != spread.stated.amount else None
        price = spread.stated
    if barred:
        fields["barred"] = message("gate_offers.barred", why=barred)
    if len(form.problems) > before or price is None:
        return None
    return HayOffer(name, price, dm, contents, **fields)


def _contents(form: Checked) -> dict[str, float]:
    found = {
        name: form.number(name, least=_LEAST.get(name, 0.001), most=100)
        for name in SHARES
        if form.has(name)
    }
    found |= {
        name: form.number(name, unit="Mcal/kg", least=0.1, most=10)
        for name in MEGACALORIES
        if form.has(name)
    }
    return found


def _loss(form: Checked, field: str) -> float:
    return form.number(field, least=0, most=99, default=0.0)


def _money(form: Checked, field: str) -> Fraction | None:
    """An amount of money above nothing; “$180” is one."""
    value = form.raw(field)
    if isinstance(value, str):
        value = _tried(form, lambda: _plain_money(field, value))
    if value is None:
        return None
    number = not isinstance(value, bool) and isinstance(value, int | float | Fraction)
    found = _tried(form, lambda: exact(value, field)) if number else None
    if found is None or found <= 0:
        form.refuse(field, value if not isinstance(value, Fraction) else float(value),
                    key="gate.positive")  # fmt: skip
        return None
    return found


def _plain_money(field: str, text: str) -> Fraction:
    try:
        return exact(parse_number(text.strip().strip("$")))
    except Refused:
        raise Refused(field, text, key="measure.not_a_number") from None


def _price(form: Checked, per: str, currency: str) -> Price | None:
    unit = _unit(form, form.text("per")) if form.has("per") else per
    money = _money(form, "price")
    if money is None or unit is None:
        return None
    price = Price(money, unit, currency)
    ton = price.to("short_ton").amount
    if currency in _DOLLARS and not _LEAST_TON <= ton <= _MOST_TON:
        form.refuse("price", float(money), key="gate_offers.price_unlikely",
                    unit=unit.replace("_", " "), ton=price.to("short_ton").shown())  # fmt: skip
        return None
    return price


def _bale_price(form: Checked, weight: float | None, currency: str) -> PriceRange | None:
    """The price of hay sold by the bale, with what unweighed bales make of it."""
    error = form.number("bale_error", unit="lb", least=0, default=0.0)
    form.raw("per")
    money = _money(form, "price")
    if weight is None:
        form.refuse("bale_weight", None, key="gate.bale_weight_missing")
    if money is None or weight is None:
        return None
    found = _tried(
        form, lambda: bale_price_range(money, weight, "lb", error=error, currency=currency)
    )
    if found is None:
        return None
    ends = (found.if_heavy, found.stated, found.if_light)
    return PriceRange(*(one.to("short_ton") for one in ends))


def _haul(form: Checked, weight: float | None) -> Haul | None:
    given = any(form.has(name) for name in ("miles", "rate", "payload"))
    fit: int | None = form.whole("bales_that_fit", least=1, default=None)
    if not given:
        return None
    miles = form.number("miles", least=0, most=10_000)
    rate = form.number("rate", least=0)
    payload = form.number("payload", unit="lb", least=1)
    if fit is None:
        return Haul(rate, miles, payload, "lb")
    if weight is None:
        form.refuse("bale_weight", None, key="gate.bale_weight_missing")
    return Haul(rate, miles, payload, "lb", fit, weight)


def _worth(form: Checked, currency: str) -> dict[str, NutrientCost]:
    inside = form.table("worth")
    before = len(form.problems)
    told = {name: _one_worth(inside, name, currency) for name in inside.data}
    found = {name: one for name, one in told.items() if one is not None}
    if len(form.problems) == before:
        _tried(inside, lambda: counted_once(tuple(found)))
    return found


def _one_worth(form: Checked, name: str, currency: str) -> NutrientCost | None:
    text = form.raw(name)
    return _tried(form, lambda: nutrient_worth(name, text, currency=currency))


def nutrient_worth(name: str, text: object, *, currency: str = "USD") -> NutrientCost:
    """A price of a nutrient from “0.35 $/lb” or “0.11 $/Mcal”; the unit is never guessed."""
    quantity(name)
    energy = is_energy(name)
    example = "0.11 $/Mcal" if energy else "0.35 $/lb"
    match = _MONEY.match(text) if isinstance(text, str) else None
    if match is None:
        raise Refused(name, text, example, key="gate_offers.money_per_unit")
    unit = match.group(2)
    if unit.lower() == "mcal":
        unit = "Mcal"
    elif not energy:
        unit = mass_unit(unit, name)
    return nutrient_price(name, exact(parse_number(match.group(1))), unit, currency=currency)


def _fertilizer(form: Checked, currency: str) -> FertilizerPrices | None:
    inside = form.table("fertilizer")
    n, p2o5, k2o = (_mass_price(inside, name, currency) for name in ("n", "p2o5", "k2o"))
    counted = inside.choice("nitrogen", NITROGEN_COUNTED, default="full")
    inside.finish()
    if n is None or p2o5 is None or k2o is None:
        return None
    return FertilizerPrices(n, p2o5, k2o, counted)  # type: ignore[arg-type]


def _mass_price(form: Checked, field: str, currency: str) -> Price | None:
    text = form.raw(field)
    if text is None:
        return None
    return _tried(form, lambda: mass_price(field, text, currency=currency))


def mass_price(field: str, text: object, *, currency: str = "USD") -> Price:
    """A price per mass from “0.57 $/lb”."""
    match = _MONEY.match(text) if isinstance(text, str) else None
    if match is None:
        raise Refused(field, text, "0.57 $/lb", key="gate_offers.money_per_unit")
    return Price(exact(parse_number(match.group(1))), mass_unit(match.group(2), field), currency)


def _feeds(form: Checked, per: str, currency: str) -> list[PricedFeed]:
    found = [_feed(one, per, currency) for one in form.tables("feed", default=[])]
    return [one for one in found if one is not None]


def _feed(form: Checked, per: str, currency: str) -> PricedFeed | None:
    before = len(form.problems)
    row = None
    if form.has("row"):
        word = form.text("row")
        row = _tried(form, lambda: feed(word)) if word else None
    name = form.text("name", default="" if row is None else row.name)
    if not name:
        form.text("name")
    price = _price(form, per, currency)
    contents: dict[str, float] = {}
    notes: tuple[Message, ...] = ()
    if row is not None:
        contents = {n: value for n, value in row.values.items() if n in CONTENTS}
        key = "gate_offers.feed_recalled" if row.recalled else "gate_offers.feed_counted"
        notes = (message(key, feed=name, row=row.name),)
    typed = _contents(form)
    standard = None if row is None else row.values.get("dm")
    dm = form.number("dm", least=_LEAST_DM, most=100, default=... if standard is None else standard)
    form.finish()
    if len(form.problems) > before or price is None:
        return None
    return PricedFeed(name, price, dm, contents | typed, notes)


def _unit(form: Checked, text: str) -> str | None:
    return _tried(form, lambda: mass_unit(text, "per")) if text else None


def _tried(form: Checked, make: Callable[[], T]) -> T | None:
    """What ``make`` gives, or its refusal noted with the place of the form."""
    try:
        return make()
    except Refused as error:
        said = {**error.message.args, "field": f"{form.place}: {error.field}"}
        form.problems.append(HaywrightError(replace(error.message, args=said)))
        return None
