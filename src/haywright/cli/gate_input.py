"""What a person types at the gate: prices, weights, dry matter, offers."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fractions import Fraction

    from haywright.gate.compare import Offer
    from haywright.gate.money import Price
    from haywright.gate.yardstick import YardstickValue
    from haywright.measure.message import Message

Lines = list["str | Message"]


def number(field: str, text: str) -> Fraction:
    """An amount of money or a plain number, exactly as typed."""
    from haywright.gate.money import exact
    from haywright.measure.errors import Refused
    from haywright.measure.parse import parse_number

    try:
        return exact(parse_number(text.strip().lstrip("$")))
    except Refused:
        raise Refused(field, text, key="measure.not_a_number") from None


def unit_of_price(per: str) -> tuple[str, Lines]:
    """The unit of mass, and what to say when a person wrote a bare ton."""
    from haywright.gate.money import mass_unit
    from haywright.measure.message import message
    from haywright.measure.units import BARE_TONS

    if per.strip().lower() in BARE_TONS:
        return "short_ton", [message("gate.ton_is_short")]
    return mass_unit(per, "--per"), []


def weight_of(field: str, text: str, unit: str) -> Fraction:
    """A weight with its unit, in ``unit``."""
    from haywright.gate.money import exact
    from haywright.measure.parse import parse_amount

    return exact(parse_amount(text, to=unit, field=field, bare_ton=True))


def priced(price: str, per: str, bale_weight: str, currency: str) -> tuple[Price, Lines]:
    """The price per mass, from a price per mass or per bale."""
    from haywright.gate.money import Price
    from haywright.gate.price import bale_price, positive
    from haywright.measure.errors import Refused
    from haywright.measure.message import message

    money = positive("--price", number("--price", price))
    if per.strip().lower() != "bale":
        unit, said = unit_of_price(per)
        return Price(money, unit, currency), said
    if not bale_weight:
        raise Refused("--bale-weight", None, key="gate.bale_weight_missing")
    found = bale_price(
        money, weight_of("--bale-weight", bale_weight, "lb"), "lb", currency=currency
    )
    found = found.to("short_ton")
    return found, [message("gate.bale_price", price=found.shown())]


def dry_share(dm: float) -> Fraction:
    """A dry matter, in %, refused when it is none."""
    from haywright.gate.price import dry_matter_share

    return dry_matter_share("--dm", dm)


def dry_matter(field: str, moisture: float | None, dm: float | None) -> Fraction:
    """Dry matter in % from a moisture or a dry matter, whichever was given."""
    from haywright.gate.money import exact
    from haywright.gate.price import dry_matter_share
    from haywright.measure.errors import Refused

    if (moisture is None) == (dm is None):
        raise Refused(field, moisture, field.replace("moisture", "dm"), key="gate.moisture_or_dm")
    if dm is not None:
        return dry_matter_share(field.replace("moisture", "dm"), dm)
    if not 0 <= (moisture or 0.0) < 100:
        raise Refused(field, moisture, key="gate.moisture_range")
    return 100 - exact(moisture or 0.0)


def offer_of(spec: str, unit: str, currency: str) -> Offer:
    """One hay from “name=brome price=110 dm=88 cp=9 tdn=52”."""
    import shlex

    from haywright.gate.compare import Offer
    from haywright.gate.money import Price
    from haywright.gate.price import positive
    from haywright.measure.errors import Refused

    try:
        given = dict(part.split("=", 1) for part in shlex.split(spec))
    except ValueError:
        raise Refused("--hay", spec, key="gate.compare.form") from None
    missing = [name for name in ("name", "price", "dm") if name not in given]
    if missing:
        raise Refused("--hay", spec, ", ".join(missing), key="gate.compare.missing")
    name, money, dm = given.pop("name"), given.pop("price"), given.pop("dm")
    return Offer(
        name,
        Price(positive("price", number("price", money)), unit, currency),
        number("dm", dm),
        storage_loss=number("storage-loss", given.pop("storage-loss", "0")),
        feeding_loss=number("feeding-loss", given.pop("feeding-loss", "0")),
        contents={key: number(key, text) for key, text in given.items()},
    )


def bale_spread(price: str, weight: str, error: str, currency: str) -> dict[str, Price]:
    """The prices per mass that an unweighed bale may come to."""
    from haywright.gate.price import bale_price_range
    from haywright.measure.errors import Refused

    if not weight:
        raise Refused("--bale-weight", None, key="gate.bale_weight_missing")
    spread = bale_price_range(
        number("--price", price),
        weight_of("--bale-weight", weight, "lb"),
        "lb",
        error=weight_of("--bale-error", error, "lb"),
        currency=currency,
    )
    return {
        "if_heavy": spread.if_heavy.to("short_ton"),
        "if_light": spread.if_light.to("short_ton"),
    }


CORN, SOYBEAN_MEAL = "corn-grain-n01", "sbm44-n96"


def worth_by_yardsticks(corn: str, soybean_meal: str, offer: Offer) -> YardstickValue:
    """What the hay is worth by corn and soybean meal, priced for the unit of the hay."""
    from haywright.gate.money import Price
    from haywright.gate.price import positive
    from haywright.gate.yardstick import usual_yardstick, value_by_two
    from haywright.measure.errors import CannotDerive, Refused

    if not (corn and soybean_meal):
        raise Refused("--corn", corn, "--soybean-meal", key="gate.yardstick_pair")
    missing = [name for name in ("cp", "tdn") if name not in offer.contents]
    if missing:
        raise CannotDerive("worth", missing)
    per, currency = offer.price.per, offer.price.currency
    prices = [
        Price(positive(field, number(field, text)), per, currency)
        for field, text in (("--corn", corn), ("--soybean-meal", soybean_meal))
    ]
    return value_by_two(
        usual_yardstick(CORN, prices[0]),
        usual_yardstick(SOYBEAN_MEAL, prices[1]),
        dm=offer.dm,
        tdn=offer.contents["tdn"],
        cp=offer.contents["cp"],
    )
