"""Commands of the gate: what hay costs by nutrient, by moisture, delivered, and how much to buy."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from haywright.cli.common import Json, answer, command_errors

if TYPE_CHECKING:
    from fractions import Fraction

    from haywright.gate.compare import Comparison, Offer
    from haywright.gate.money import Price
    from haywright.gate.price import NutrientCost
    from haywright.measure.message import Message

app = typer.Typer(
    no_args_is_help=True,
    help="Buying and selling: cost of a nutrient, moisture, freight, losses, hay needed.",
)

Lines = list["str | Message"]
Money = Annotated[str, typer.Option("--price", help="The price asked, such as 180.")]
Per = Annotated[
    str, typer.Option("--per", help="What it is for: short ton, long ton, tonne, cwt, lb, kg, bale.")
]
Dm = Annotated[float, typer.Option("--dm", help="Dry matter of the hay, %.")]
BaleWeight = Annotated[
    str, typer.Option("--bale-weight", help="Weight of one bale with its unit: “1,150 lb”.")
]
StorageLoss = Annotated[float, typer.Option("--storage-loss", help="Lost in storage, %.")]
FeedingLoss = Annotated[float, typer.Option("--feeding-loss", help="Lost at feeding, %.")]
Currency = Annotated[str, typer.Option("--currency", help="Three letters: USD, CAD, AUD ...")]
Losses = Annotated[
    str,
    typer.Option(
        "--losses", help="divided: by weight, the default; added: as some printed tables do."
    ),
]


def _exact(field: str, text: str) -> Fraction:
    from haywright.gate.money import exact
    from haywright.measure.errors import Refused
    from haywright.measure.parse import parse_number

    try:
        return exact(parse_number(text.strip().lstrip("$")))
    except Refused:
        raise Refused(field, text, key="measure.not_a_number") from None


def _unit(per: str) -> tuple[str, Lines]:
    """The unit of mass, and what to say when a person wrote a bare ton."""
    from haywright.gate.money import mass_unit
    from haywright.measure.message import message
    from haywright.measure.units import BARE_TONS

    if per.strip().lower() in BARE_TONS:
        return "short_ton", [message("gate.ton_is_short")]
    return mass_unit(per, "--per"), []


def _weight(field: str, text: str, unit: str) -> Fraction:
    """A weight with its unit, in ``unit``."""
    from haywright.gate.money import exact
    from haywright.measure.parse import parse_amount

    return exact(parse_amount(text, to=unit, field=field, bare_ton=True))


def _priced(price: str, per: str, bale_weight: str, currency: str) -> tuple[Price, Lines]:
    """The price per mass, from a price per mass or per bale."""
    from haywright.gate.money import Price
    from haywright.gate.price import bale_price, positive
    from haywright.measure.errors import Refused
    from haywright.measure.message import message

    money = positive("--price", _exact("--price", price))
    if per.strip().lower() != "bale":
        unit, said = _unit(per)
        return Price(money, unit, currency), said
    if not bale_weight:
        raise Refused("--bale-weight", None, key="gate.bale_weight_missing")
    found = bale_price(money, _weight("--bale-weight", bale_weight, "lb"), "lb", currency=currency)
    found = found.to("short_ton")
    return found, [message("gate.bale_price", price=found.shown())]


@app.command()
@command_errors
def value(
    price: Money,
    dm: Dm,
    per: Per = "short ton",
    cp: Annotated[float | None, typer.Option(help="Crude protein, % of dry matter.")] = None,
    tdn: Annotated[float | None, typer.Option(help="TDN, % of dry matter (TDN-100).")] = None,
    nem: Annotated[
        str, typer.Option(help="Net energy for maintenance with its unit: “0.55 Mcal/lb”.")
    ] = "",
    nel: Annotated[str, typer.Option(help="Net energy for milk with its unit.")] = "",
    bale_weight: BaleWeight = "",
    bale_error: Annotated[
        str, typer.Option(help="How far the bale weight may be out: “100 lb”.")
    ] = "",
    storage_loss: StorageLoss = 0.0,
    feeding_loss: FeedingLoss = 0.0,
    losses: Losses = "divided",
    currency: Currency = "USD",
    json: Json = False,
) -> None:
    """What a pound of protein or TDN costs in hay at a price.

    Example: haywright gate value --price 180 --per "short ton" --dm 88 --cp 12 --tdn 56
    """
    from haywright.gate.compare import Offer, compare
    from haywright.measure.parse import parse_amount

    asked, said = _priced(price, per, bale_weight, currency)
    contents: dict[str, Any] = {n: v for n, v in (("cp", cp), ("tdn", tdn)) if v is not None}
    for name, text in (("nem", nem), ("nel", nel)):
        if text:
            contents[name] = parse_amount(text, to="Mcal/kg", field=f"--{name}")
    offer = Offer(
        "hay", asked, dm, contents, storage_loss=storage_loss, feeding_loss=feeding_loss
    )
    found = compare([offer], list(contents), method=losses)  # type: ignore[arg-type]
    spread = _bale_spread(price, bale_weight, bale_error, currency) if bale_error else None
    line = found.lines[0]
    payload: dict[str, Any] = {
        "price": asked.to_json(),
        "dry_matter": asked.through(lambda p: p * 100 / _share(dm)).to_json(),
        "eaten": line.eaten.to_json(),
        "nutrients": [_cost_json(c) for c in line.costs.values() if c is not None],
        "losses": losses,
    }
    if spread is not None:
        payload["price_range"] = {k: p.to_json() for k, p in spread.items()}
    answer(payload, [*said, *_value_lines(found, offer, spread)], json=json)


def _share(dm: float) -> Fraction:
    from haywright.gate.price import dry_matter_share

    return dry_matter_share("--dm", dm)


def _bale_spread(price: str, weight: str, error: str, currency: str) -> dict[str, Price]:
    from haywright.gate.price import bale_price_range
    from haywright.measure.errors import Refused

    if not weight:
        raise Refused("--bale-weight", None, key="gate.bale_weight_missing")
    spread = bale_price_range(
        _exact("--price", price),
        _weight("--bale-weight", weight, "lb"),
        "lb",
        error=_weight("--bale-error", error, "lb"),
        currency=currency,
    )
    return {
        "if_heavy": spread.if_heavy.to("short_ton"),
        "if_light": spread.if_light.to("short_ton"),
    }


def _cost_json(cost: NutrientCost) -> dict[str, str]:
    from haywright.gate.money import as_decimal
    from haywright.measure.rounding import round_decimal

    return {
        "nutrient": cost.nutrient,
        "cost": str(round_decimal(as_decimal(cost.money), 6)),
        "unit": cost.unit,
        "currency": cost.currency,
    }


def _value_lines(found: Comparison, offer: Offer, spread: dict[str, Price] | None) -> Lines:
    from haywright.gate.price import price_of_dry_matter
    from haywright.measure.message import message

    line = found.lines[0]
    share = _share(float(offer.dm))
    said: Lines = []
    if spread is not None:
        said.append(
            message(
                "gate.bale_range",
                heavy=spread["if_heavy"].shown(),
                light=spread["if_light"].shown(),
            )
        )
    said.append(
        message(
            "gate.as_it_stands",
            price=offer.price.shown(),
            dry=offer.price.through(lambda p: price_of_dry_matter(p, share)).shown(),
        )
    )
    if offer.storage_loss or offer.feeding_loss:
        said.append(message("gate.eaten", price=line.eaten.shown(), dry=line.dry_matter.shown()))
    said += [_cost_line(cost) for cost in line.costs.values() if cost is not None]
    said.append(message("gate.value_caution" if line.costs else "gate.no_nutrient"))
    return said


def _cost_line(cost: NutrientCost) -> Message:
    from haywright.measure.message import message

    return message("gate.cost", nutrient=message("measure.quantity", id=cost.nutrient), cost=cost.shown())


@app.command("price")
@command_errors
def moisture_price(
    price: Annotated[str, typer.Argument(help="The price quoted, such as 180.")],
    per: Per = "short ton",
    quoted_moisture: Annotated[
        float | None, typer.Option(help="Moisture the quote speaks of, %.")
    ] = None,
    quoted_dm: Annotated[float | None, typer.Option(help="Or its dry matter, %.")] = None,
    lot_moisture: Annotated[float | None, typer.Option(help="Moisture of this hay, %.")] = None,
    lot_dm: Annotated[float | None, typer.Option(help="Or its dry matter, %.")] = None,
    currency: Currency = "USD",
    json: Json = False,
) -> None:
    """The same price for wetter or drier hay.

    Example: haywright gate price 180 --quoted-moisture 15 --lot-moisture 18
    """
    from haywright.gate.money import as_decimal
    from haywright.gate.price import price_at_dry_matter, weight_at_dry_matter
    from haywright.measure.message import Amount, message

    asked, said = _priced(price, per, "", currency)
    quoted = _dry("--quoted-moisture", quoted_moisture, quoted_dm)
    lot = _dry("--lot-moisture", lot_moisture, lot_dm)
    found = asked.through(lambda p: price_at_dry_matter(p, quoted, lot))
    weight = weight_at_dry_matter(_exact("", "1000"), lot, quoted)
    said.append(
        message(
            "gate.moisture",
            price=asked.shown(),
            quoted=Amount(float(100 - quoted), "%", digits=1),
            found=found.shown(),
            lot=Amount(float(100 - lot), "%", digits=1),
        )
    )
    said.append(message("gate.moisture_weight", weight=Amount(as_decimal(weight), digits=0)))
    answer(
        {
            "quoted": asked.to_json(),
            "quoted_dm_pct": float(quoted),
            "lot_dm_pct": float(lot),
            "price": found.to_json(),
            "pay_for_of_1000": float(weight),
        },
        said,
        json=json,
    )


def _dry(field: str, moisture: float | None, dm: float | None) -> Fraction:
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


@app.command()
@command_errors
def need(
    head: Annotated[list[int], typer.Option(help="How many animals; repeat for another class.")],
    weight: Annotated[
        list[str], typer.Option(help="Weight of one with its unit; one for each --head.")
    ],
    days: Annotated[float, typer.Option(help="Days on hay.")],
    dm: Dm = 88.0,
    intake: Annotated[
        float, typer.Option(help="Dry matter eaten a day, % of body weight.")
    ] = 2.5,
    storage_loss: StorageLoss = 0.0,
    feeding_loss: FeedingLoss = 0.0,
    bale_weight: BaleWeight = "",
    on_hand: Annotated[int | None, typer.Option(help="Bales in the stack now.")] = None,
    json: Json = False,
) -> None:
    """How much hay the herd needs: dry matter, then as it stands, then losses.

    Example: haywright gate need --head 46 --weight "1,250 lb" --days 150 --feeding-loss 15
    --bale-weight "1,150 lb"
    """
    from haywright.gate.money import convert_mass
    from haywright.gate.need import Eaters, hay_needed
    from haywright.measure.errors import Refused

    if len(head) != len(weight):
        raise Refused("--weight", len(weight), str(len(head)), key="gate.need.pairs")
    eaters = tuple(
        Eaters(h, _weight("--weight", w, "lb"), "lb", intake, days)
        for h, w in zip(head, weight, strict=True)
    )
    found = hay_needed(
        eaters,
        dm=dm,
        unit="lb",
        storage_loss=storage_loss,
        feeding_loss=feeding_loss,
        bale_weight=_weight("--bale-weight", bale_weight, "lb") if bale_weight else None,
    )
    tons = {
        name: float(convert_mass(mass, "lb", "short_ton"))
        for name, mass in (
            ("dry_matter", found.dry_matter),
            ("eaten", found.eaten),
            ("to_have", found.to_have),
        )
    }
    short = None if found.bales is None or on_hand is None else found.bales - on_hand
    answer(
        {
            "short_tons": {name: round(mass, 3) for name, mass in tons.items()},
            "bales": found.bales,
            "bales_short": short,
            "intake_pct_body_weight": intake,
            "dm_pct": dm,
            "storage_loss_pct": storage_loss,
            "feeding_loss_pct": feeding_loss,
        },
        _need_lines(tons, found.bales, short, intake, dm, storage_loss + feeding_loss > 0),
        json=json,
    )


def _need_lines(
    tons: dict[str, float],
    bales: int | None,
    short: int | None,
    intake: float,
    dm: float,
    losses: bool,
) -> Lines:
    from haywright.measure.message import Amount, message

    def of(name: str) -> Amount:
        return Amount(tons[name], "short_ton", digits=1)

    said: Lines = []
    if bales is not None:
        said.append(message("gate.need.bales", n=bales))
    if short is not None:
        key = "gate.need.short" if short > 0 else "gate.need.left"
        said.append(message(key, n=abs(short)))
    said.append(message("gate.need.have", mass=of("to_have")))
    said.append(
        message(
            "gate.need.steps",
            dry=of("dry_matter"),
            eaten=of("eaten"),
            intake=Amount(intake, "%", digits=1),
            dm=Amount(dm, "%", digits=0),
        )
    )
    if not losses:
        said.append(message("gate.need.no_loss"))
    return said


@app.command("delivered")
@command_errors
def delivered_price(
    price: Money,
    miles: Annotated[float, typer.Option(help="Miles with the load on.")],
    rate: Annotated[str, typer.Option(help="Freight per loaded mile, such as 4.25.")],
    payload: Annotated[
        str, typer.Option(help="Most the truck may carry, with its unit: “44,000 lb”.")
    ],
    per: Per = "short ton",
    bales: Annotated[int | None, typer.Option(help="Bales that fit on it.")] = None,
    bale_weight: BaleWeight = "",
    other: Annotated[
        str, typer.Option(help="Loading, unloading, brokerage, for the same unit as the price.")
    ] = "0",
    storage_loss: StorageLoss = 0.0,
    feeding_loss: FeedingLoss = 0.0,
    losses: Losses = "divided",
    currency: Currency = "USD",
    json: Json = False,
) -> None:
    """What hay costs in your yard, and what it costs once it is eaten.

    Example: haywright gate delivered --price 150 --miles 300 --rate 3.50 --payload "44,000 lb"
    --bales 30 --bale-weight "1,200 lb" --storage-loss 5 --feeding-loss 15
    """
    from haywright.gate.delivered import Haul, delivered, load_in

    asked, said = _priced(price, per, bale_weight, currency)
    haul = Haul(
        _exact("--rate", rate),
        miles,
        _weight("--payload", payload, "lb"),
        "lb",
        bales,
        _weight("--bale-weight", bale_weight, "lb") if bale_weight else None,
    )
    found = delivered(
        asked,
        haul,
        other=_exact("--other", other),
        storage_loss=storage_loss,
        feeding_loss=feeding_loss,
        method=losses,  # type: ignore[arg-type]
    )
    parts = {
        "at_stack": found.at_stack,
        "freight": found.freight,
        "other": found.other,
        "delivered": found.delivered,
        "eaten": found.eaten,
    }
    load = float(load_in(haul, "short_ton"))
    answer(
        {
            **{name: one.to_json() for name, one in parts.items()},
            "load_short_tons": round(load, 3),
            "limited_by_room": haul.limited_by_room,
            "losses": losses,
        },
        [*said, *_delivered_lines(parts, load, haul.limited_by_room, losses)],
        json=json,
    )


def _delivered_lines(
    parts: dict[str, Price], load: float, by_room: bool, losses: str
) -> Lines:
    from haywright.measure.message import Amount, message

    key = "gate.delivered.load_by_room" if by_room else "gate.delivered.load"
    said: Lines = [
        message(
            "gate.delivered.sum",
            stack=parts["at_stack"].shown(),
            freight=parts["freight"].shown(),
            other=parts["other"].shown(),
            delivered=parts["delivered"].shown(),
        ),
        message(key, load=Amount(load, "short_ton", digits=1)),
    ]
    if parts["eaten"].amount != parts["delivered"].amount:
        said.append(message(f"gate.delivered.eaten_{losses}", eaten=parts["eaten"].shown()))
    return said


@app.command("compare")
@command_errors
def compare_hays(
    hay: Annotated[
        list[str],
        typer.Option(
            help="One hay: “name=brome price=110 dm=88 cp=9 tdn=52”; repeat for the others. "
            "Delivered prices. storage-loss=, feeding-loss= if they differ."
        ),
    ],
    per: Per = "short ton",
    losses: Losses = "divided",
    currency: Currency = "USD",
    json: Json = False,
) -> None:
    """Several hays side by side: what each nutrient costs in each of them."""
    from haywright.gate.compare import compare

    unit, said = _unit(per)
    offers = [_offer(text, unit, currency) for text in hay]
    nutrients = list(dict.fromkeys(n for offer in offers for n in offer.contents))
    found = compare(offers, nutrients, method=losses)  # type: ignore[arg-type]
    answer(
        {
            "offers": [
                {
                    "name": line.offer.name,
                    "price": line.offer.price.to_json(),
                    "eaten": line.eaten.to_json(),
                    "dry_matter": line.dry_matter.to_json(),
                    "nutrients": [_cost_json(c) for c in line.costs.values() if c is not None],
                }
                for line in found.lines
            ],
            "cheapest": dict(found.cheapest),
        },
        [*said, *_compare_lines(found)],
        json=json,
    )


def _offer(text: str, unit: str, currency: str) -> Offer:
    import shlex

    from haywright.gate.compare import Offer
    from haywright.gate.money import Price
    from haywright.gate.price import positive
    from haywright.measure.errors import Refused

    try:
        given = dict(part.split("=", 1) for part in shlex.split(text))
    except ValueError:
        raise Refused("--hay", text, key="gate.compare.form") from None
    missing = [name for name in ("name", "price", "dm") if name not in given]
    if missing:
        raise Refused("--hay", text, ", ".join(missing), key="gate.compare.missing")
    name, money, dm = given.pop("name"), given.pop("price"), given.pop("dm")
    return Offer(
        name,
        Price(positive("price", _exact("price", money)), unit, currency),
        _exact("dm", dm),
        storage_loss=_exact("storage-loss", given.pop("storage-loss", "0")),
        feeding_loss=_exact("feeding-loss", given.pop("feeding-loss", "0")),
        contents={key: _exact(key, number) for key, number in given.items()},
    )


def _compare_lines(found: Comparison) -> Lines:
    from haywright.measure.message import message

    said: Lines = []
    for line in found.lines:
        said.append(
            message(
                "gate.compare.offer",
                name=line.offer.name,
                price=line.offer.price.shown(),
                dry=line.dry_matter.shown(),
            )
        )
        said += [
            message("gate.compare.cost", line=_cost_line(cost))
            for cost in line.costs.values()
            if cost is not None
        ]
    said += [
        message("gate.compare.cheapest", nutrient=message("measure.quantity", id=n), name=best)
        for n, best in found.cheapest.items()
    ]
    if found.disagree:
        said.append(message("gate.compare.disagree"))
    return said
