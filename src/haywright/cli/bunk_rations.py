"""Commands of feeding: what a group needs, one day's ration, and the hazards beside nitrate."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haywright.cli.common import Json, Units, answer, command_errors

if TYPE_CHECKING:
    from haywright.bunk.animals import HerdGroup
    from haywright.bunk.hazards.finding import Finding
    from haywright.bunk.ration.feed import RationFeed
    from haywright.bunk.requirements.need import DailyNeed
    from haywright.measure.message import Message

Animals = Annotated[
    str, typer.Option("--animals", help="Who: bred-cows, bred-heifers, steers, bulls, ewes ...")
]
Weight = Annotated[str, typer.Option("--weight", help='Live weight of one, with unit: "1250 lb".')]
Due = Annotated[
    str, typer.Option("--due", help="Mean date of calving, lambing or foaling: 2027-03-01.")
]
Weaned = Annotated[str, typer.Option("--weaned", help="When the young are weaned: 2027-10-01.")]
Condition = Annotated[float, typer.Option("--condition", help="Body condition, 1 to 9.")]
Breed = Annotated[str, typer.Option("--breed", help="Breed of beef cattle; a/b for a cross.")]
Milk = Annotated[
    str, typer.Option("--milk", help='Milk at the peak, or of the day for does: "20 lb".')
]
Gain = Annotated[str, typer.Option("--gain", help='Gain wanted a day, with unit: "1.5 lb".')]
Grown = Annotated[
    str, typer.Option("--grown", help='Weight grown or finished, with unit: "1250 lb".')
]
Age = Annotated[
    str, typer.Option("--age", help="Of growing cattle: calf (under 12 months) or yearling.")
]
Litter = Annotated[float, typer.Option("--litter", help="Young of a birth.")]
Work = Annotated[
    str, typer.Option("--work", help="Of horses: idle, light, moderate, heavy or very heavy.")
]
Protein = Annotated[
    str,
    typer.Option("--protein", help="printed (read figures) or 1996 (by day, recalled)."),
]
Air = Annotated[float | None, typer.Option("--air", help="Mean air temperature, °F.")]
Wind = Annotated[float, typer.Option("--wind", help="Wind, miles per hour.")]
Wet = Annotated[bool, typer.Option("--wet", help="Coats are soaked.")]
On = Annotated[str, typer.Option("--on", help="The day: 2027-02-01. Today when not said.")]


def _day(text: str, field: str) -> date:
    from haywright.measure.errors import Refused

    if not text:
        return date.today()  # noqa: DTZ011 - a rancher's day is the local one
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Refused(field, text, key="ration.date") from None


def _kilograms(text: str, field: str) -> float | None:
    from haywright.measure.parse import parse_amount

    return parse_amount(text, to="kg", field=field) if text else None


def _group(
    animals: str,
    weight: str,
    day: date,
    **more: Any,
) -> HerdGroup:
    from haywright.bunk.animals import HerdGroup
    from haywright.measure.errors import CannotDerive
    from haywright.sources.animals import animals as stock

    live = _kilograms(weight, "--weight")
    if live is None:
        raise CannotDerive("weight", ["weight"])
    due, weaned = more.pop("due"), more.pop("weaned")
    return HerdGroup(
        name=stock(animals).name,
        kind=animals,
        head=1,
        weight=live,
        weighed=day,
        due=_day(due, "--due") if due else None,
        weaned=_day(weaned, "--weaned") if weaned else None,
        peak_milk=_kilograms(more.pop("milk"), "--milk"),
        gain=_kilograms(more.pop("gain"), "--gain") or 0.0,
        mature_weight=_kilograms(more.pop("grown"), "--grown"),
        **more,
    )


def _needs(
    group: HerdGroup,
    days: Sequence[date],
    protein: str,
    air: float | None,
    wind: float,
    *,
    wet: bool,
) -> list[DailyNeed]:
    from haywright.bunk.requirements.need import PROTEIN, Choices
    from haywright.bunk.requirements.needs import need_on
    from haywright.bunk.weather import Day
    from haywright.measure.errors import UnknownName

    if protein not in PROTEIN:
        raise UnknownName("--protein", protein, PROTEIN)
    weather = [] if air is None else [Day(air, wind, wet)]
    choices = Choices(protein=protein)
    return [need_on(group, day, weather=weather, choices=choices) for day in days]


def need(
    animals: Animals = "bred-cows",
    weight: Weight = "",
    due: Due = "",
    until: Annotated[str, typer.Option("--until", help="Last day; a line for every week.")] = "",
    on: On = "",
    weaned: Weaned = "",
    condition: Condition = 5.0,
    breed: Breed = "british",
    milk: Milk = "",
    gain: Gain = "",
    grown: Grown = "",
    age: Age = "grown",
    litter: Litter = 1.0,
    work: Work = "idle",
    protein: Protein = "printed",
    air: Air = None,
    wind: Wind = 0.0,
    wet: Wet = False,
    units: Units = "us",
    json: Json = False,
) -> None:
    """What one head needs a day, by week: energy, protein, minerals, vitamin A."""
    from haywright.bunk.requirements.needs import weeks

    first = _day(on, "--on")
    group = _group(
        animals,
        weight,
        first,
        due=due,
        weaned=weaned,
        condition=condition,
        breed=breed,
        milk=milk,
        gain=gain,
        grown=grown,
        age=age,
        litter=litter,
        work=work,
    )
    last = _day(until, "--until") if until else first
    days = list(weeks(first, last)) or [first]
    found = _needs(group, days, protein, air, wind, wet=wet)
    answer(
        {"needs": [one.to_json() for one in found]},
        _need_lines(group, found),
        json=json,
        units=units,
    )


def _need_lines(group: HerdGroup, needs: Sequence[DailyNeed]) -> list[str | Message]:
    from haywright.measure.message import Amount, message

    first = needs[0]
    lines: list[str | Message] = [
        message(
            "animals.need.head",
            name=group.name,
            weight=Amount(group.weight, "kg", digits=0),
            condition=group.condition,
        )
    ]
    for one in needs:
        lines.append(
            message(
                "animals.need.week",
                day=one.day,
                stage=_stage(one),
                energy=one.energy_amount(),
                protein=Amount(one.cp / 1000.0, "kg", digits=2),
            )
        )
        if one.gain_energy:
            lines.append(
                message("animals.need.gain", gain=Amount(one.gain_energy, "Mcal", digits=1))
            )
    lines.append(message(f"animals.need.energy.{first.energy}"))
    if first.shares:
        lines.append(message("animals.need.shares", shares=_shares(needs)))
    if first.vitamin_a:
        amount = Amount(first.vitamin_a, "IU", digits=0)
        lines.append(message("animals.need.vitamin_a", amount=amount))
    marks = {str(mark): mark for one in needs for mark in one.marks()}
    return [*lines, *marks.values(), message("animals.need.note")]


def _stage(one: DailyNeed) -> Message:
    from haywright.measure.message import message

    stage = one.stage
    if stage.milking:
        return message("animals.need.stage.milking", week=int(stage.weeks_milking) + 1)
    if stage.days_to_birth is not None:
        return message("animals.need.stage.pregnant", days=int(stage.days_to_birth))
    return message("animals.need.stage.open")


def _shares(needs: Sequence[DailyNeed]) -> tuple[Message, ...]:
    from haywright.measure.analytes import dictionary
    from haywright.measure.message import Amount, message

    names = [name for name in needs[0].shares if name in dictionary()]
    most = {name: max(one.shares.get(name, 0.0) for one in needs) for name in names}
    return tuple(
        message(
            "animals.need.share",
            quantity=message("measure.quantity", id=name),
            value=Amount(value, dictionary()[name].unit, analyte=name),
        )
        for name, value in most.items()
    )


def _feed(text: str) -> RationFeed:
    """ "name=grass hay;tdn=52;cp=8;dm=88;price=90" -> a feed, price per short ton as fed."""
    from haywright.bunk.ration.feed import RationFeed, with_energy
    from haywright.measure.analytes import quantity
    from haywright.measure.errors import Refused
    from haywright.measure.parse import parse_number
    from haywright.measure.units import convert

    pairs = [part.partition("=") for part in text.split(";") if part.strip()]
    fields = {key.strip(): value.strip() for key, sign, value in pairs if sign}
    if len(fields) < len(pairs) or "name" not in fields:
        raise Refused("--feed", text, key="ration.feed_text")
    name, kind = fields.pop("name"), fields.pop("carries", "")
    forage = fields.pop("forage", "yes") == "yes"
    numbers = {key: parse_number(value) for key, value in fields.items()}
    dm, price = numbers.pop("dm", 100.0), numbers.pop("price", 0.0)
    for key in numbers:
        quantity(key)
    return RationFeed(
        name=name,
        values=with_energy(numbers),
        dm=dm,
        price=convert(price, "kg", "short_ton"),
        forage=forage and not kind,
        carries=tuple(word.strip() for word in kind.split(",") if word.strip()),
    )


def _table_feed(text: str) -> RationFeed:
    from haywright.bunk.ration.feed import table_feed
    from haywright.measure.errors import Refused
    from haywright.measure.parse import parse_number
    from haywright.measure.units import convert

    feed_id, sign, price = text.partition("=")
    if not sign:
        raise Refused("--table", text, key="ration.feed_text")
    return table_feed(feed_id.strip(), price=convert(parse_number(price), "kg", "short_ton"))


def ration(
    animals: Animals = "bred-cows",
    weight: Weight = "",
    feed: Annotated[
        list[str] | None,
        typer.Option(
            "--feed",
            help=(
                "A feed: “name=grass hay;tdn=52;cp=8;dm=88;price=90”, contents of dry matter, "
                "price in $ per short ton as fed; ;carries=grain for what bars or limits it."
            ),
        ),
    ] = None,
    table: Annotated[
        list[str] | None,
        typer.Option("--table", help="A feed of the table and its price: “corn-grain=200”."),
    ] = None,
    free_choice: Annotated[
        bool, typer.Option("--free-choice", help="They eat their fill of it, all mixed.")
    ] = False,
    on: On = "",
    due: Due = "",
    weaned: Weaned = "",
    condition: Condition = 5.0,
    breed: Breed = "british",
    milk: Milk = "",
    gain: Gain = "",
    grown: Grown = "",
    age: Age = "grown",
    litter: Litter = 1.0,
    work: Work = "idle",
    protein: Protein = "printed",
    air: Air = None,
    wind: Wind = 0.0,
    wet: Wet = False,
    units: Units = "us",
    json: Json = False,
) -> None:
    """The cheapest ration of one head on a day, what binds, and which prices would change it."""
    from haywright.bunk.ration.balance import balance
    from haywright.bunk.ration.says import ration_lines

    day = _day(on, "--on")
    group = _group(
        animals,
        weight,
        day,
        due=due,
        weaned=weaned,
        condition=condition,
        breed=breed,
        milk=milk,
        gain=gain,
        grown=grown,
        age=age,
        litter=litter,
        work=work,
    )
    feeds = [*map(_feed, feed or ()), *map(_table_feed, table or ())]
    (wanted,) = _needs(group, [day], protein, air, wind, wet=wet)
    found = balance(group, wanted, feeds, free_choice=free_choice)
    answer(_ration_json(found), ration_lines(found), json=json, units=units)


def _ration_json(found: Any) -> dict[str, Any]:
    import math

    def number(value: float) -> float | None:
        return value if math.isfinite(value) else None

    cooked = found.ration
    return {
        "cost_per_day": cooked.cost,
        "dry_matter_kg_per_day": cooked.diet.dmi,
        "need": found.need.to_json(),
        "feeds": [
            {
                "name": one.feed.name,
                "dry_matter_kg": one.dry_matter,
                "as_fed_kg": one.fed,
                "price_low_per_kg": number(one.price_low),
                "price_high_per_kg": number(one.price_high),
                "enters_at_per_kg": one.enters_at,
            }
            for one in cooked.feeds
        ],
        "limits": [
            {
                "id": kept.limit.id,
                "least": kept.limit.least,
                "most": kept.limit.most,
                "found": kept.found,
                "unit": kept.limit.unit,
                "cost_of_one_more": kept.worth,
            }
            for kept in cooked.limits
        ],
        "mineral_gaps": found.gaps,
        "left_out": [one.to_json() for one in found.left_out],
    }


def hazards(
    values: Annotated[
        list[str],
        typer.Argument(
            metavar="NAME=NUMBER...",
            help="Numbers of the whole diet's dry matter: k=2.4 ca=1.2 mg=0.2 s=0.3 cu=8 mo=2 ...",
        ),
    ],
    animals: Animals = "bred-cows",
    weight: Weight = "1200 lb",
    forage: Annotated[
        float, typer.Option("--forage", help="Forage of the diet, % of dry matter.")
    ] = 100.0,
    water_sulfur: Annotated[
        float | None,
        typer.Option("--water-sulfur", help="Sulfur from water, % of dry matter eaten."),
    ] = None,
    fescue: Annotated[float, typer.Option("--fescue", help="Fescue in the forage, %.")] = 100.0,
    days_baled: Annotated[
        float | None, typer.Option("--days-baled", help="Days since baling.")
    ] = None,
    days_to_birth: Annotated[
        float | None, typer.Option("--days-to-birth", help="Days until they calve, lamb or foal.")
    ] = None,
    sweetclover: Annotated[bool, typer.Option("--sweetclover", help="It is sweetclover.")] = False,
    mouldy: Annotated[bool, typer.Option("--mouldy", help="Mould or heat was seen.")] = False,
    baleage: Annotated[bool, typer.Option("--baleage", help="It is baleage.")] = False,
    torn: Annotated[bool, typer.Option("--torn", help="Plastic was torn.")] = False,
    units: Units = "us",
    json: Json = False,
) -> None:
    """The hazards beside nitrate, prussic acid and hot hay, from the numbers of a sheet or diet."""
    from haywright.bunk.hazards.other import Facts, Stock, check
    from haywright.sources.animals import animals as stock_of

    kind = stock_of(animals)
    in_foal = "mare_in_foal" in kind.traits
    stock = Stock(
        species=kind.species,
        weight=_kilograms(weight, "--weight") or 0.0,
        at_risk=bool({"lactating", "late_pregnancy"} & set(kind.traits))
        or days_to_birth is not None,
        stones="wether" in kind.traits,
        calves=kind.id == "calves",
        mare="mare_late" if in_foal else "",
        days_to_birth=days_to_birth,
    )
    facts = Facts(forage, water_sulfur, fescue, days_baled, sweetclover, mouldy, baleage, torn)
    found = check(_numbers(values), stock, facts)
    answer(
        {"hazards": [one.to_json() for one in found]}, _hazard_lines(found), json=json, units=units
    )


def _numbers(values: Sequence[str]) -> dict[str, Any]:
    from haywright.bunk.hazards.other import JUDGED
    from haywright.measure.errors import Refused, UnknownName
    from haywright.measure.estimate import Estimate
    from haywright.measure.parse import parse_number

    found: dict[str, Any] = {}
    for text in values:
        name, sign, number = text.partition("=")
        if not sign:
            raise Refused("value", text, key="hazards_other.name_value")
        if name.strip() not in JUDGED:
            raise UnknownName("value", name.strip(), JUDGED)
        below = number.strip().startswith("<")
        value = parse_number(number.strip().lstrip("<"))
        limit = Estimate.below(value, "as reported", raw=value) if below else value
        found[name.strip()] = limit
    return found


def _hazard_lines(found: Sequence[Finding]) -> list[str | Message]:
    from haywright.measure.message import message

    lines: list[str | Message] = []
    for one in found:
        level = message(f"hazards_other.level.{one.level}")
        lines.append(message("hazards_other.line", level=level, says=one.says))
        lines += [message("hazards_other.advice", advice=advice) for advice in one.advice]
        if one.recalled:
            lines.append(message("hazards_other.recalled"))
    return [*lines, message("hazards_other.defer")]


def add_to(app: typer.Typer) -> None:
    """Register the commands under a group."""
    for name, command in (("need", need), ("ration", ration), ("hazards", hazards)):
        app.command(name)(command_errors(command))
