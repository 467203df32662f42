"""A ration in sentences: what is fed, what binds and costs, which prices would change it."""

from __future__ import annotations

import math

from haywright.bunk.ration.balance import Balanced, recalled_feeds
from haywright.bunk.ration.least_cost import Kept, Priced, Ration
from haywright.measure.message import Amount, Message, message
from haywright.measure.units import convert

_NOTHING = 0.005  # half a cent a day


def ton_price(per_kg: float) -> Amount:
    """A price per kg as fed as one per short ton [money per kg]."""
    return Amount(convert(per_kg, "short_ton", "kg"), "$/short_ton", digits=0)


def money(value: float) -> Amount:
    """An amount of money to the cent [money]."""
    return Amount(value, "$", digits=2)


def fed_lines(ration: Ration) -> list[Message]:
    """What is fed, heaviest first."""
    used = sorted((f for f in ration.feeds if f.dry_matter > 0), key=lambda f: -f.fed)
    return [
        message(
            "ration.fed",
            feed=one.feed.name,
            fed=Amount(one.fed, "kg", digits=1),
            dry_matter=Amount(one.dry_matter, "kg", digits=1),
            cost=money(one.feed.cost * one.dry_matter),
        )
        for one in used
    ]


def binding_lines(ration: Ration) -> list[Message]:
    """What binds and what one more of it costs; the dearest first by share of the cost."""
    bound = [kept for kept in ration.limits if kept.binds]
    return [_binding(kept) for kept in sorted(bound, key=lambda kept: -abs(kept.worth))]


def _binding(kept: Kept) -> Message:
    limit = kept.limit
    if limit.id == "room":
        return message("ration.binds_room")
    if limit.named is not None:
        return message("ration.binds_share", limit=limit.says, bound=limit.named)
    bound = limit.least if kept.worth > 0 else limit.most
    cost = abs(kept.worth) * _step(limit.unit)
    if cost < _NOTHING:
        return message(
            "ration.binds_little", limit=limit.says, bound=Amount(bound or 0.0, limit.unit)
        )
    return message(
        "ration.binds_least" if kept.worth > 0 else "ration.binds_most",
        limit=limit.says,
        bound=Amount(bound or 0.0, limit.unit),
        one=Amount(_step(limit.unit), limit.unit, digits=0),
        cost=money(cost),
    )


def _step(unit: str) -> float:
    """One unit as a rancher would count it: a pound, a megacalorie, a milligram."""
    return convert(1.0, "lb", "kg") if unit == "kg" else 1.0


def price_lines(ration: Ration) -> list[Message]:
    """For each feed: over which prices its amount stays, or at which price it begins to pay."""
    return [line for one in ration.feeds if (line := _price(one)) is not None]


def _price(one: Priced) -> Message | None:
    if one.dry_matter <= 0:
        if one.enters_at is None:
            return message("ration.never_pays", feed=one.feed.name)
        return message("ration.enters_at", feed=one.feed.name, price=ton_price(one.enters_at))
    low, high = max(one.price_low, 0.0), one.price_high
    if low == 0:
        return message("ration.price_up_to", feed=one.feed.name, high=ton_price(high))
    if math.isinf(high):
        return message("ration.price_from", feed=one.feed.name, low=ton_price(low))
    return message(
        "ration.price_range", feed=one.feed.name, low=ton_price(low), high=ton_price(high)
    )


def mineral_lines(balanced: Balanced) -> list[Message]:
    """What a mineral must bring, and which minerals cannot be judged."""
    short = [(name, by) for name, by in balanced.gaps.items() if by]
    unknown = tuple(
        message("measure.quantity", id=name) for name, by in balanced.gaps.items() if by is None
    )
    lines = []
    if short:
        lines.append(
            message(
                "ration.minerals_short",
                minerals=tuple(
                    message(
                        "ration.mineral_short",
                        mineral=message("measure.quantity", id=name),
                        by=Amount(by or 0.0, _mineral_unit(name), digits=0),
                    )
                    for name, by in short
                ),
            )
        )
    if unknown:
        lines.append(message("ration.minerals_unknown", minerals=unknown))
    return lines


def _mineral_unit(name: str) -> str:
    return "g" if name in ("ca", "p", "mg", "k", "na", "s") else "mg"


def ration_lines(balanced: Balanced) -> list[Message]:
    """The whole ration in words."""
    ration = balanced.ration
    return [
        message(
            "ration.head",
            name=balanced.group.name,
            day=balanced.need.day,
            dmi=Amount(ration.diet.dmi, "kg", digits=1),
            cost=money(ration.cost),
        ),
        *fed_lines(ration),
        *binding_lines(ration),
        *price_lines(ration),
        *mineral_lines(balanced),
        *balanced.left_out,
        *recalled_feeds([one for one in ration.diet.feeds if ration.diet.amounts[one.name] > 0]),
        *balanced.need.marks(),
        message("ration.note"),
    ]
