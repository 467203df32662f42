"""Offers for hay at the command line, from a form or from plain arguments."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haywright.cli.common import Json, answer, command_errors

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from haywright.files.offers import OfferForm
    from haywright.gate.offers import HayOffer, Offers, Worked
    from haywright.gate.price import NutrientCost
    from haywright.gate.worth import FeedPrices
    from haywright.measure.message import Message

Lines = list["str | Message"]
HAY = "name=brome price=110 dm=88 cp=9 tdn=52 miles=60 rate=4.25 payload='44,000 lb'"
FERTILIZER = "n=0.57/lb p2o5=0.62/lb k2o=0.48/lb"
FEED = "name=corn row=corn-grain-n01 price=170"
_WHOLE = ("bales_that_fit",)

Worth = Annotated[
    list[str] | None,
    typer.Option(
        "--worth", help="What one more unit is worth on this ranch: “cp=0.35/lb”, “nem=0.11/Mcal”."
    ),
]
Feed = Annotated[
    list[str] | None,
    typer.Option("--feed", help=f"A feed with a known price, instead of --worth: “{FEED}”."),
]
PriceBy = Annotated[
    list[str] | None,
    typer.Option("--price-by", help="What the feeds price: tdn and cp if left out; ndf for fiber."),
]
Fertilizer = Annotated[
    str, typer.Option("--fertilizer", help=f"What the seller pays to put back: “{FERTILIZER}”.")
]


def add_to(app: typer.Typer) -> None:
    """Hang these commands on the gate."""
    app.command("offers")(offers)


@command_errors
def offers(
    file: Annotated[Path | None, typer.Argument(help="Offers as a form (TOML).")] = None,
    hay: Annotated[
        list[str] | None,
        typer.Option(
            "--hay",
            help=f"One hay: “{HAY}”; repeat for the others. where=yard for a delivered price; "
            "per=bale bale-weight='1,200 lb' bale-error='100 lb'; p=, k=, storage-loss=, "
            "feeding-loss=, barred=.",
        ),
    ] = None,
    short: Annotated[
        list[str] | None,
        typer.Option("--short", help="Nutrient the ranch is short of: cp, tdn, nem ..."),
    ] = None,
    worth: Worth = None,
    feed: Feed = None,
    price_by: PriceBy = None,
    fertilizer: Fertilizer = "",
    ranch: Annotated[
        Path | None,
        typer.Option("--ranch", help="A ranch's form: its winter plan prices the nutrients."),
    ] = None,
    energy: Annotated[
        str, typer.Option("--energy", help="Which energy, where herds are counted in several.")
    ] = "",
    per: Annotated[str, typer.Option("--per", help="Paid for what: short ton, tonne, lb ...")] = "",
    currency: Annotated[str, typer.Option("--currency", help="Three letters: USD, CAD ...")] = "",
    json: Json = False,
) -> None:
    """Offers side by side: delivered, after losses, by what this ranch is short of.

    Example: haywright gate offers --short cp --worth cp=0.30/lb --worth tdn=0.07/lb
    --hay "name=brome price=110 dm=88 cp=9 tdn=52 storage-loss=5 feeding-loss=15"
    --hay "name=alfalfa price=190 dm=88 cp=19 tdn=59 where=yard"
    """
    from haywright.files.offers import offers_of
    from haywright.files.reading import Checked, read_toml
    from haywright.gate.offers import side_by_side
    from haywright.measure.errors import Refused

    base = read_toml(file) if file is not None else None
    said: Lines = []
    if per:
        from haywright.cli.gate_input import unit_of_price

        per, said = unit_of_price(per)
    data = merged(
        base.data if base is not None else {},
        hay=hay,
        short=short,
        worth=worth,
        feed=feed,
        price_by=price_by,
        fertilizer=fertilizer,
        per=per,
        currency=currency,
    )
    form = offers_of(Checked(data, base.place if base is not None else "offers"))
    found_prices, prices = prices_of(form)
    if ranch is not None:
        if prices:
            raise Refused("--ranch", ranch, key="gate_offers.worth_or_feeds")
        prices = prices_of_ranch(ranch, energy, form.offers[0].price.currency)
    tested = {name for one in form.offers for name in one.contents}
    scarce = tuple(name for name, one in (prices or {}).items() if one.money and name in tested)
    found = side_by_side(
        form.offers, short=form.short or scarce, prices=prices, fertilizer=form.fertilizer
    )
    answer(
        offers_json(found, prices, found_prices),
        [*said, *offer_lines(found, form, prices, found_prices)],
        json=json,
    )


def merged(base: Mapping[str, Any], **given: Any) -> dict[str, Any]:
    """The data of a form with what was typed beside it; typed words win, hays and feeds add up."""
    data = dict(base)
    for field in ("hay", "feed"):
        rows = [pairs(f"--{field}", text, HAY if field == "hay" else FEED)
                for text in given[field] or ()]  # fmt: skip
        if rows:
            data[field] = [*data.get(field, []), *rows]
    if given["worth"]:
        joined = " ".join(given["worth"])
        data["worth"] = pairs("--worth", joined, "cp=0.35/lb")
    if given["fertilizer"]:
        data["fertilizer"] = pairs("--fertilizer", given["fertilizer"], FERTILIZER)
    for field in ("short", "price_by", "per", "currency"):
        if given[field]:
            data[field] = given[field]
    return data


def pairs(field: str, text: str, example: str) -> dict[str, Any]:
    """“name=brome price=110” as fields; a hyphen in a name counts as an underscore."""
    import shlex

    from haywright.measure.errors import Refused

    try:
        found = [part.split("=", 1) for part in shlex.split(text)]
    except ValueError:
        found = [[]]
    if not found or any(len(one) < 2 for one in found):
        raise Refused(field, text, example, key="gate_offers.form")
    named = {name.strip().replace("-", "_"): value.strip() for name, value in found}
    return {
        name: int(value) if name in _WHOLE and value.isdigit() else value
        for name, value in named.items()
    }


def prices_of(form: OfferForm) -> tuple[FeedPrices | None, Mapping[str, NutrientCost] | None]:
    """The ranch's own prices, or what its yardstick feeds make of them; neither when none."""
    from haywright.gate.worth import prices_from_feeds

    if form.worth:
        return None, form.worth
    if form.feeds:
        found = prices_from_feeds(form.feeds, form.price_by)
        return found, found.prices
    return None, None


def prices_of_ranch(form: Path, energy: str, currency: str) -> Mapping[str, NutrientCost]:
    """What one more unit of energy and protein is worth by a ranch's winter plan."""
    from haywright.cli.bunk_winter import plan_of_form
    from haywright.way.ranch_prices import ranch_prices
    from haywright.way.winter import nutrient_prices

    found, _ = plan_of_form(form)
    return ranch_prices(nutrient_prices(found.plan), energy=energy, currency=currency)


def offers_json(
    found: Offers, prices: Mapping[str, NutrientCost] | None, by_feeds: FeedPrices | None
) -> dict[str, Any]:
    """The offers for another program, the best buy first."""
    from haywright.cli.gate_lines import cost_json

    return {
        "offers": [_one_json(one, by_feeds) for one in found.worked],
        "cheapest": dict(found.cheapest),
        "prices": [cost_json(one) for one in (prices or {}).values()],
        "feeds": None if by_feeds is None else feeds_json(by_feeds),
    }


def feeds_json(found: FeedPrices) -> dict[str, Any]:
    """Prices read off feeds, for another program."""
    from haywright.words import say

    return {
        "fitted": {name: price.to_json() for name, price in found.fitted.items()},
        "spread_per_kg": found.spread,
        "notes": [say(one) for one in found.notes],
    }


def _one_json(one: Worked, by_feeds: FeedPrices | None) -> dict[str, Any]:
    from haywright.cli.gate_lines import cost_json
    from haywright.words import say

    def shown(price: Any) -> Any:
        return None if price is None else price.to_json()

    worth, offer = one.worth, one.offer
    return {
        "name": offer.name,
        "barred": None if offer.barred is None else say(offer.barred),
        "at_stack": shown(one.way.at_stack),
        "freight": shown(one.way.freight),
        "other": shown(one.way.other),
        "delivered": shown(one.way.delivered),
        "eaten": shown(one.way.eaten),
        "eaten_range": None if one.eaten_range is None else [shown(p) for p in one.eaten_range],
        "nutrients": [cost_json(c) for c in one.costs.values() if c is not None],
        "worth": None if worth is None else {
            "eaten": shown(worth.eaten),
            "delivered": shown(worth.delivered),
            "at_stack": shown(one.most_at_stack),
            "parts": {name: shown(part) for name, part in worth.parts.items()},
            "not_tested": list(worth.unknown),
            "standard_error_per_kg": None if by_feeds is None else
            by_feeds.standard_error(offer.dm, offer.contents),
        },
        "gain": shown(one.gain),
        "fertilizer": shown(one.fertilizer),
        "left_to_seller": shown(one.left),
    }  # fmt: skip


def offer_lines(
    found: Offers,
    form: OfferForm,
    prices: Mapping[str, NutrientCost] | None,
    by_feeds: FeedPrices | None,
) -> Lines:
    """Each offer with the buyer's and the seller's view, then what follows from them together."""
    from haywright.measure.message import message

    said: Lines = []
    if prices:
        said += price_lines(prices, by_feeds, form)
    for one in found.worked:
        said += _one_lines(one, by_feeds, seller=form.fertilizer is not None)
    if prices:
        said.append(_best_line(found.worked[0], by_feeds))
    if len(found.worked) > 1:
        said += [
            message("gate.compare.cheapest", nutrient=message("measure.quantity", id=n), name=best)
            for n, best in found.cheapest.items()
        ]
        if found.disagree:
            said.append(message("gate.compare.disagree"))
    if any(one.offer.storage_loss or one.offer.feeding_loss for one in found.worked):
        said.append(message("gate_offers.losses_divided"))
    said.append(message("gate.value_caution"))
    return said


def _best_line(best: Worked, by_feeds: FeedPrices | None) -> Message:
    """The best buy; none when nothing pays, or when the feeds disagree by more than it gains."""
    from haywright.gate.money import Price
    from haywright.measure.message import message

    if best.gain is None or best.gain.amount < 0:
        return message("gate_offers.none_pays")
    error = by_feeds and by_feeds.standard_error(best.offer.dm, best.offer.contents)
    if error and best.gain < Price(error, "kg", best.gain.currency):  # type: ignore[arg-type]
        return message("gate_offers.too_close", name=best.offer.name)
    key = "gate_offers.best_by_gain" if by_feeds is None else "gate_offers.best_by_feeds"
    return message(key, name=best.offer.name)


def price_lines(
    prices: Mapping[str, NutrientCost], by_feeds: FeedPrices | None, form: OfferForm
) -> Lines:
    """What a unit of each nutrient is counted at, and how well the feeds agree on it."""
    from haywright.gate.money import Price
    from haywright.measure.message import message

    priced = tuple(
        message("gate_offers.one_price", nutrient=message("measure.quantity", id=name),
                cost=cost.shown())
        for name, cost in prices.items()
    )  # fmt: skip
    said: Lines = [message("gate_offers.priced_at", prices=priced)]
    if by_feeds is None:
        return said
    if by_feeds.spread is not None:
        first = form.feeds[0].price
        apart = Price(by_feeds.spread, "kg", first.currency).to(first.per)  # type: ignore[arg-type]
        said.append(message("gate_offers.spread", n=len(form.feeds), spread=apart.shown()))
        said += [
            message("gate_offers.feed_off", feed=one.name, price=one.price.shown(),
                    fitted=by_feeds.fitted[one.name].shown())
            for one in form.feeds
        ]  # fmt: skip
    return [*said, *by_feeds.notes]


def _one_lines(one: Worked, by_feeds: FeedPrices | None, *, seller: bool) -> Lines:
    from haywright.cli.gate_lines import cost_line
    from haywright.measure.message import message

    key = "gate_offers.at_stack" if one.offer.where == "stack" else "gate_offers.delivered"
    way = one.way
    said: Lines = [
        message(key, name=one.offer.name, stack=way.at_stack.shown(),
                delivered=way.delivered.shown(), eaten=way.eaten.shown())
    ]  # fmt: skip
    if one.eaten_range is not None:
        heavy, light = one.eaten_range
        said.append(message("gate_offers.range", heavy=heavy.shown(), light=light.shown()))
    if one.offer.barred is not None:
        said.append(message("gate_offers.no_value", why=one.offer.barred))
    said += [message("gate.compare.cost", line=cost_line(c)) for c in one.costs.values() if c]
    said += _worth_lines(one, by_feeds)
    if seller and one.fertilizer is not None and one.left is not None:
        said.append(message("gate_offers.seller", fertilizer=one.fertilizer.shown(),
                            left=one.left.shown()))  # fmt: skip
    elif seller:
        said.append(message("gate_offers.seller_untested"))
    return said


def _worth_lines(one: Worked, by_feeds: FeedPrices | None) -> Lines:
    from haywright.gate.money import Price
    from haywright.measure.message import message

    if one.worth is None or one.most_at_stack is None or one.gain is None:
        return []
    said: Lines = [
        message("gate_offers.worth", eaten=one.worth.eaten.shown(),
                delivered=one.worth.delivered.shown(), stack=one.most_at_stack.shown())
    ]  # fmt: skip
    error = None if by_feeds is None else by_feeds.standard_error(one.offer.dm, one.offer.contents)
    if error is not None:
        price = one.offer.price
        shown = Price(error, "kg", price.currency).to(price.per).shown()  # type: ignore[arg-type]
        said.append(message("gate_offers.give_or_take", error=shown))
    if one.worth.unknown:
        said.append(message("gate_offers.not_tested_for", nutrients=_named(one.worth.unknown)))
    ahead = one.gain.amount >= 0
    size = one.gain.through(abs).shown()
    said.append(message("gate_offers.ahead" if ahead else "gate_offers.behind", gain=size))
    return said


def _named(nutrients: Sequence[str]) -> tuple[Message, ...]:
    from haywright.measure.message import message

    return tuple(message("measure.quantity", id=one) for one in nutrients)


def value_beside(
    hay: HayOffer,
    *,
    worth: list[str] | None,
    feed: list[str] | None,
    price_by: list[str] | None,
    fertilizer: str,
) -> tuple[dict[str, Any], Lines]:
    """What one hay is worth by the ranch's own prices or by feeds, and what leaves with it."""
    from haywright.files.offers import offers_of
    from haywright.files.reading import Checked
    from haywright.gate.offers import side_by_side
    from haywright.measure.message import message

    data = merged(
        {"currency": hay.price.currency, "per": hay.price.per},
        hay=None, short=None, worth=worth, feed=feed, price_by=price_by, fertilizer=fertilizer,
        per="", currency="",
    )  # fmt: skip
    form = offers_of(Checked(data, "value"), hay_needed=False)
    by_feeds, prices = prices_of(form)
    found = side_by_side([hay], prices=prices, fertilizer=form.fertilizer)
    one = found.worked[0]
    said: Lines = []
    if prices:
        said += [*price_lines(prices, by_feeds, form), *_worth_lines(one, by_feeds)]
    if one.fertilizer is not None and one.left is not None:
        said.append(message("gate_offers.fertilizer", fertilizer=one.fertilizer.shown(),
                            left=one.left.shown()))  # fmt: skip
    elif form.fertilizer is not None:
        said.append(message("gate_offers.seller_untested"))
    return {"by_nutrients": offers_json(found, prices, by_feeds)}, said


def value_like(
    like: str, *, corn: str, soybean_meal: str, alfalfa: str, per: str, currency: str
) -> tuple[dict[str, Any], Lines]:
    """What a kind of hay is worth by the printed table of three yardstick feeds."""
    from haywright.cli.gate_input import number
    from haywright.gate.money import Price
    from haywright.gate.price import positive
    from haywright.gate.yardstick import stretches, three_factors, value_by_three
    from haywright.measure.errors import Refused
    from haywright.measure.message import message

    given = {"--soybean-meal": soybean_meal, "--corn": corn, "--alfalfa": alfalfa}
    missing = [name for name, text in given.items() if not text]
    if missing:
        raise Refused("--like", like, ", ".join(missing), key="gate_offers.like_needs")
    row = three_factors(like)
    money = [positive(name, number(name, text)) for name, text in given.items()]
    factors = [number("", str(one)) for one in (row.meal, row.corn, row.alfalfa)]
    value = Price(value_by_three(*factors, *money), per, currency)
    said: Lines = [message("gate_offers.by_three", hay=row.name, value=value.shown())]
    if stretches(row):
        said.append(message("gate_offers.stretched"))
    return {
        "by_three": {"hay": row.id, "value": value.to_json(), "stretched": stretches(row)}
    }, said
