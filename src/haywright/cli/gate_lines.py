"""What the gate answers, line by line."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from haywright.gate.compare import Comparison, Offer
    from haywright.gate.money import Price
    from haywright.gate.price import NutrientCost
    from haywright.gate.yardstick import YardstickValue
    from haywright.measure.message import Message

Lines = list["str | Message"]


def cost_json(cost: NutrientCost) -> dict[str, str]:
    """What a nutrient costs, for another program."""
    from haywright.gate.money import as_decimal
    from haywright.measure.rounding import round_decimal

    return {
        "nutrient": cost.nutrient,
        "cost": str(round_decimal(as_decimal(cost.money), 6)),
        "unit": cost.unit,
        "currency": cost.currency,
    }


def value_lines(found: Comparison, offer: Offer, spread: dict[str, Price] | None) -> Lines:
    """What one hay costs by dry matter, as eaten and by nutrient."""
    from haywright.gate.price import dry_matter_share, price_of_dry_matter
    from haywright.measure.message import message

    line = found.lines[0]
    share = dry_matter_share("--dm", offer.dm)
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
    said += [cost_line(cost) for cost in line.costs.values() if cost is not None]
    said.append(message("gate.value_caution" if line.costs else "gate.no_nutrient"))
    return said


def cost_line(cost: NutrientCost) -> Message:
    """One nutrient and what it costs."""
    from haywright.measure.message import message

    return message(
        "gate.cost", nutrient=message("measure.quantity", id=cost.nutrient), cost=cost.shown()
    )


def need_lines(
    tons: dict[str, float],
    bales: int | None,
    short: int | None,
    *,
    intake: float | None,
    dm: float,
    losses: bool,
) -> Lines:
    """Bales first, then how the need comes about."""
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
            dm=Amount(dm, "%", digits=0),
        )
    )
    if intake is not None:
        said.append(message("gate.need.intake", intake=Amount(intake, "%", digits=1)))
    if not losses:
        said.append(message("gate.need.no_loss"))
    return said


def delivered_lines(parts: dict[str, Price], load: float, by_room: bool, losses: str) -> Lines:
    """The sum of a delivered price, the load, and what is eaten."""
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


def compare_lines(found: Comparison) -> Lines:
    """Each hay, then the cheapest by each nutrient."""
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
            message("gate.compare.cost", line=cost_line(cost))
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


def worth_json(worth: YardstickValue) -> dict[str, Any]:
    """What the hay is worth by yardstick feeds, for another program."""
    from haywright.words import say

    return {
        "value": worth.value.to_json(),
        "tdn": worth.tdn_price.to_json(),
        "cp": worth.cp_price.to_json(),
        "shares": [round(float(worth.first_share), 6), round(float(worth.second_share), 6)],
        "notes": [say(one) for one in worth.notes],
    }


def worth_lines(worth: YardstickValue) -> Lines:
    """What the hay is worth by yardstick feeds, and what to know of it."""
    from haywright.gate.price import small_unit
    from haywright.measure.message import message

    unit = small_unit(worth.value.per)
    return [
        message(
            "gate.worth",
            value=worth.value.shown(),
            tdn=worth.tdn_price.to(unit).shown(),
            cp=worth.cp_price.to(unit).shown(),
        ),
        *worth.notes,
    ]
