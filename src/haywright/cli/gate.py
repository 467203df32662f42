"""Commands of the gate: what hay costs by nutrient, by moisture, delivered, and how much to buy."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from haywright.cli import gate_offers, gate_seal
from haywright.cli.common import Json, answer, command_errors
from haywright.cli.gate_input import (
    bale_spread,
    dry_matter,
    dry_share,
    number,
    offer_of,
    priced,
    unit_of_price,
    weight_of,
    worth_by_yardsticks,
)
from haywright.cli.gate_lines import (
    compare_lines,
    cost_json,
    delivered_lines,
    need_lines,
    value_lines,
    worth_json,
    worth_lines,
)

app = typer.Typer(
    no_args_is_help=True,
    help="Buying and selling: cost of a nutrient, moisture, freight, losses, hay needed.",
)

Money = Annotated[str, typer.Option("--price", help="The price asked, such as 180.")]
Per = Annotated[
    str,
    typer.Option("--per", help="Paid for what: short ton, long ton, tonne, cwt, lb, kg, bale."),
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
    corn: Annotated[
        str, typer.Option(help="Price of corn for the same unit; with soybean meal, a yardstick.")
    ] = "",
    soybean_meal: Annotated[
        str, typer.Option(help="Price of soybean meal (44 %) for the same unit.")
    ] = "",
    alfalfa: Annotated[
        str, typer.Option(help="Price of alfalfa hay of grade 2 for the same unit; with --like.")
    ] = "",
    like: Annotated[
        str, typer.Option(help="Kind of hay in the printed table of three yardstick feeds.")
    ] = "",
    p: Annotated[float | None, typer.Option(help="Phosphorus (P), % of dry matter.")] = None,
    k: Annotated[float | None, typer.Option(help="Potassium (K), % of dry matter.")] = None,
    ndf: Annotated[float | None, typer.Option(help="NDF, % of dry matter.")] = None,
    worth: gate_offers.Worth = None,
    feed: gate_offers.Feed = None,
    price_by: gate_offers.PriceBy = None,
    fertilizer: gate_offers.Fertilizer = "",
    currency: Currency = "USD",
    json: Json = False,
) -> None:
    """What a pound of protein or TDN costs in hay at a price, and what the hay is worth.

    Example: haywright gate value --price 180 --per "short ton" --dm 88 --cp 12 --tdn 56

    With --corn 170 --soybean-meal 380 it also says what its protein and TDN would cost in
    those two feeds; with --worth cp=0.30/lb what it is worth at the ranch's own prices; with
    several --feed what it is worth by least squares over them; with --fertilizer what the seller
    must put back.
    """
    from haywright.gate.compare import Offer, compare
    from haywright.gate.offers import HayOffer
    from haywright.measure.parse import parse_amount

    asked, said = priced(price, per, bale_weight, currency)
    contents: dict[str, Any] = {n: v for n, v in (("cp", cp), ("tdn", tdn)) if v is not None}
    for name, text in (("nem", nem), ("nel", nel)):
        if text:
            contents[name] = parse_amount(text, to="Mcal/kg", field=f"--{name}")
    offer = Offer("hay", asked, dm, contents, storage_loss=storage_loss, feeding_loss=feeding_loss)
    found = compare([offer], list(contents), method=losses)  # type: ignore[arg-type]
    spread = bale_spread(price, bale_weight, bale_error, currency) if bale_error else None
    line = found.lines[0]
    payload: dict[str, Any] = {
        "price": asked.to_json(),
        "dry_matter": asked.through(lambda p: p * 100 / dry_share(dm)).to_json(),
        "eaten": line.eaten.to_json(),
        "nutrients": [cost_json(c) for c in line.costs.values() if c is not None],
        "losses": losses,
    }
    if spread is not None:
        payload["price_range"] = {k: p.to_json() for k, p in spread.items()}
    lines = value_lines(found, offer, spread)
    if (corn or soybean_meal) and not like:
        by_two = worth_by_yardsticks(corn, soybean_meal, offer)
        payload["worth"] = worth_json(by_two)
        lines += worth_lines(by_two)
    if like:
        more, told = gate_offers.value_like(
            like,
            corn=corn,
            soybean_meal=soybean_meal,
            alfalfa=alfalfa,
            per=asked.per,
            currency=currency,
        )
        payload, lines = payload | more, lines + told
    if worth or feed or fertilizer:
        tested = {name: one for name, one in (("ndf", ndf), ("p", p), ("k", k)) if one is not None}
        whole = HayOffer("hay", asked, dm, contents | tested, storage_loss=storage_loss,
                         feeding_loss=feeding_loss)  # fmt: skip
        more, told = gate_offers.value_beside(
            whole, worth=worth, feed=feed, price_by=price_by, fertilizer=fertilizer
        )
        payload, lines = payload | more, lines + told
    answer(payload, [*said, *lines], json=json)


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

    asked, said = priced(price, per, "", currency)
    quoted = dry_matter("--quoted-moisture", quoted_moisture, quoted_dm)
    lot = dry_matter("--lot-moisture", lot_moisture, lot_dm)
    found = asked.through(lambda p: price_at_dry_matter(p, quoted, lot))
    weight = weight_at_dry_matter(number("", "1000"), lot, quoted)
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


@app.command()
@command_errors
def need(
    head: Annotated[list[int], typer.Option(help="How many animals; repeat for another class.")],
    days: Annotated[float, typer.Option(help="Days on hay.")],
    weight: Annotated[
        list[str] | None,
        typer.Option(help="Weight of one with its unit; one for each --head: “1,250 lb”."),
    ] = None,
    daily: Annotated[
        list[str] | None,
        typer.Option(help="Or the dry matter one eats a day: “26 lb”, one for each --head."),
    ] = None,
    dm: Dm = 88.0,
    intake: Annotated[float, typer.Option(help="Dry matter eaten a day, % of body weight.")] = 2.5,
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

    given, field = (daily, "--daily") if daily else (weight or [], "--weight")
    if len(head) != len(given) or (daily and weight):
        raise Refused(field, len(given), str(len(head)), key="gate.need.pairs")
    pounds = [weight_of(field, text, "lb") for text in given]
    eaters = tuple(
        Eaters(h, each, "lb", days)
        if daily
        else Eaters.by_weight(h, each, unit="lb", intake=intake, days=days)
        for h, each in zip(head, pounds, strict=True)
    )
    found = hay_needed(
        eaters,
        dm=dm,
        unit="lb",
        storage_loss=storage_loss,
        feeding_loss=feeding_loss,
        bale_weight=weight_of("--bale-weight", bale_weight, "lb") if bale_weight else None,
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
            "intake_pct_body_weight": None if daily else intake,
            "dm_pct": dm,
            "storage_loss_pct": storage_loss,
            "feeding_loss_pct": feeding_loss,
        },
        need_lines(
            tons,
            found.bales,
            short,
            intake=None if daily else intake,
            dm=dm,
            losses=storage_loss + feeding_loss > 0,
        ),
        json=json,
    )


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

    asked, said = priced(price, per, bale_weight, currency)
    haul = Haul(
        number("--rate", rate),
        miles,
        weight_of("--payload", payload, "lb"),
        "lb",
        bales,
        weight_of("--bale-weight", bale_weight, "lb") if bale_weight else None,
    )
    found = delivered(
        asked,
        haul,
        other=number("--other", other),
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
        [*said, *delivered_lines(parts, load, haul.limited_by_room, losses)],
        json=json,
    )


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

    unit, said = unit_of_price(per)
    offers = [offer_of(text, unit, currency) for text in hay]
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
                    "nutrients": [cost_json(c) for c in line.costs.values() if c is not None],
                }
                for line in found.lines
            ],
            "cheapest": dict(found.cheapest),
        },
        [*said, *compare_lines(found)],
        json=json,
    )


gate_offers.add_to(app)
gate_seal.add_to(app)
