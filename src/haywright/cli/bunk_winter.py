"""The winter plan at the command line: from a ranch's form, or from four questions."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haywright.cli.bunk_winter_lines import stages_json, stages_lines, winter_json, winter_lines
from haywright.cli.common import Json, Units, answer, command_errors, reader
from haywright.measure.message import Message, message

if TYPE_CHECKING:
    from datetime import date

    from haywright.files.office import OfficeFolder
    from haywright.way.lot import Sample
    from haywright.way.office import Office
    from haywright.way.winter import WinterAnswer
    from haywright.way.winter_changes import Change
    from haywright.way.winter_stages import Stages

_SEED = 1


def winter(
    ranch: Annotated[
        Path | None, typer.Argument(help="The ranch's form, ranches/NAME.toml of an office.")
    ] = None,
    head: Annotated[int | None, typer.Option("--head", help="How many, without a form.")] = None,
    animals: Annotated[str, typer.Option("--animals", help="What stock they are.")] = "bred cows",
    bales: Annotated[int | None, typer.Option("--bales", help="Bales on hand.")] = None,
    total: Annotated[
        str, typer.Option("--total", help="Or hay on hand by weight: “120 short tons”.")
    ] = "",
    calving: Annotated[
        str, typer.Option("--due", help="Mean date of calving, lambing or foaling: 2027-03-10.")
    ] = "",
    turnout: Annotated[str, typer.Option("--turnout", help="When they go to grass.")] = "",
    bale_weight: Annotated[
        str, typer.Option("--bale-weight", help="Weight of one bale: “1,200 lb”.")
    ] = "",
    weight: Annotated[str, typer.Option("--weight", help="Live weight of one: “1,250 lb”.")] = "",
    tdn: Annotated[float | None, typer.Option("--tdn", help="Of the hay, % of dry matter.")] = None,
    cp: Annotated[float | None, typer.Option("--cp", help="Protein, % of dry matter.")] = None,
    dry_matter: Annotated[
        float | None, typer.Option("--dry-matter", help="Dry matter of the hay, %.")
    ] = None,
    hay_price: Annotated[
        float | None, typer.Option("--hay-price", help="Such hay delivered, $ per short ton.")
    ] = None,
    condition: Annotated[
        float | None, typer.Option("--condition", help="Body condition now, 1 to 9.")
    ] = None,
    fed: Annotated[
        str, typer.Option("--fed", help="free (their fill), limited or mixed.")
    ] = "free",
    feeder: Annotated[
        str,
        typer.Option("--feeder", help="open-ring, cone, unrolled, bunk ...; decides the waste."),
    ] = "",
    weather: Annotated[str, typer.Option("--weather", help="usual, mild or hard.")] = "usual",
    plan_from: Annotated[
        str, typer.Option("--from", help="First day: 2026-12-01. Today when not said.")
    ] = "",
    week: Annotated[
        str, typer.Option("--week", help="A day of the week whose feeding is printed in full.")
    ] = "",
    other_guide: Annotated[
        str, typer.Option("--other-guide", help="Nitrate guide to compare with.")
    ] = "",
    pdf: Annotated[
        Path | None, typer.Option("--pdf", help="Print the plan into this file (PDF).")
    ] = None,
    cards: Annotated[
        Path | None, typer.Option("--cards", help="Print the feeding cards into this file (PDF).")
    ] = None,
    card_weeks: Annotated[
        int, typer.Option("--card-weeks", min=1, help="For how many weeks cards are printed.")
    ] = 8,
    winters: Annotated[
        int,
        typer.Option(
            "--winters",
            min=0,
            help="Say what to trade now with so many winters in view, 200 or more; takes longer.",
        ),
    ] = 0,
    units: Units = "us",
    json: Json = False,
) -> None:
    """How long the hay lasts, who gets what, what to buy and to sell.

    Example: haywright bunk winter --head 46 --bales 230 --due 2027-03-10 --turnout 2027-05-01
    """
    if ranch is not None:
        found, what = plan_of_form(ranch, other_guide=other_guide)
    else:
        asked = _asked(
            head, animals, bales, total, calving, turnout, bale_weight, weight,
            _numbers(tdn, cp), dry_matter, hay_price, condition, fed, feeder, weather, plan_from,
        )  # fmt: skip
        found, what = _answered(asked, other_guide=other_guide)
    number = _week(week, found)
    files = _printed(found, what, ranch, units, {"pdf": pdf, "cards": cards}, card_weeks)
    payload, lines = winter_json(found, what), winter_lines(found, what, week=number, units=units)
    stages = _stages(found, winters) if winters else None
    if stages is not None:
        payload["trade_now"] = stages_json(stages)
    told = [] if stages is None else stages_lines(stages, units)
    answer(payload, [*lines, *told, *files], json=json, units=units)


def _stages(found: WinterAnswer, winters: int) -> Stages:
    import numpy as np

    from haywright.way.winter_stages import trade_now

    return trade_now(found.counted, np.random.default_rng(_SEED), winters=winters)


def _printed(
    found: WinterAnswer,
    what: tuple[Change, ...],
    ranch: Path | None,
    units: str,
    wanted: dict[str, Path | None],
    weeks: int,
) -> list[Message]:
    """The papers that were asked for, written; each is told."""
    if not any(wanted.values()):
        return []
    from datetime import UTC, datetime

    from haywright.files.reading import write_atomic
    from haywright.paper.winter_answer import feeding_cards, winter_paper

    office, who = _office_of(ranch), reader(units)
    today, said = datetime.now(UTC).date(), []
    for name, path in wanted.items():
        if path is None:
            continue
        if name == "pdf":
            made = winter_paper(found, who, office=office, changes=what, made_on=today)
        else:
            made = feeding_cards(found, who, office=office, weeks=weeks, made_on=today)
        write_atomic(path, made)
        said.append(message("cli.sheet.wrote", path=str(path)))
    return said


def _office_of(form: Path | None) -> Office:
    """The office in whose folder a ranch's form lies; a nameless one without."""
    from haywright.files.office import read_office
    from haywright.way.office import Office

    folder = None if form is None else form.resolve().parent.parent
    if folder is None or not (folder / "office.toml").is_file():
        return Office("", "")
    return read_office(folder).office


def plan_of_form(path: Path, *, other_guide: str = "") -> tuple[WinterAnswer, tuple[Change, ...]]:
    """The winter of a ranch's form; the sheets come from the office whose folder it lies in."""
    from haywright.files.office import read_office
    from haywright.files.ranches import read_ranch_winter
    from haywright.measure.errors import UnknownName

    folder = path.resolve().parent.parent
    if not (folder / "office.toml").is_file():
        ranch, asked = read_ranch_winter(path)
        return _answered(asked, ranch=ranch, other_guide=other_guide)
    office = read_office(folder)
    if path.stem not in office.ranches:
        raise UnknownName("ranch", path.stem, office.ranches)
    return plan_of_office(office, path.stem, other_guide=other_guide)


def plan_of_office(
    office: OfficeFolder,
    name: str,
    *,
    samples: Sequence[Sample] | None = None,
    other_guide: str = "",
) -> tuple[WinterAnswer, tuple[Change, ...]]:
    """The winter of a ranch of an office that was read; its samples, where they are known."""
    ranch, asked = office.ranches[name], office.winters[name]
    if samples is None:
        wanted = {one.lot for one in (*asked.hays, *asked.to_buy)}
        samples = _samples(office, wanted, ranch.id if asked.every_lot else None)
    return _answered(
        asked, ranch=ranch, office=office.office, samples=samples, other_guide=other_guide
    )


def _samples(office: OfficeFolder, wanted: set[str], ranch: str | None) -> list[Sample]:
    from haywright.bench.panel import merge_results, run_batches
    from haywright.way.lot import samples_of

    merged = merge_results(run_batches(office.batches))
    return [
        sample
        for lot in office.lots.values()
        if lot.id in wanted or (ranch is not None and lot.ranch == ranch)
        for sample in samples_of(lot, office.bags.values(), merged)
    ]


def _answered(
    asked: Any, *, other_guide: str = "", **more: Any
) -> tuple[WinterAnswer, tuple[Change, ...]]:
    from datetime import UTC, datetime

    import numpy as np

    from haywright.way.winter import plan_winter
    from haywright.way.winter_changes import changes
    from haywright.way.winter_count import count

    rng = np.random.default_rng(_SEED)
    counted = count(asked, today=datetime.now(UTC).date(), rng=rng, **more)
    found = plan_winter(counted)
    return found, changes(found, rng, other_guide=other_guide)


def _numbers(tdn: float | None, cp: float | None) -> dict[str, float]:
    from haywright.measure.errors import Refused

    if (tdn is None) != (cp is None):
        raise Refused("--tdn", tdn, key="ranch_plan.cli.both")
    return {} if tdn is None or cp is None else {"tdn": tdn, "cp": cp}


def _asked(
    head: int | None,
    animals: str,
    bales: int | None,
    total: str,
    due: str,
    turnout: str,
    bale_weight: str,
    weight: str,
    values: dict[str, float],
    dry_matter: float | None,
    hay_price: float | None,
    condition: float | None,
    fed: str,
    feeder: str,
    weather: str,
    plan_from: str,
) -> Any:
    from haywright.bunk.hazards.nitrate.question import Fed
    from haywright.bunk.ranch import FeedingGroup
    from haywright.gate.money import Price
    from haywright.measure.errors import HaywrightError, Problems, Refused, UnknownName
    from haywright.measure.parse import parse_amount
    from haywright.sources.animals import animals as stock
    from haywright.way.winter_asked import GroupAsked, HayAsked, WeatherAsked, WinterAsked

    problems: list[HaywrightError] = []
    if head is None or head < 1:
        problems.append(Refused("--head", head, key="ranch_plan.cli.head"))
    if not bales and not total:
        problems.append(Refused("--bales", bales, key="ranch_plan.cli.hay"))
    if not turnout:
        problems.append(Refused("--turnout", None, key="ranch_plan.no_turnout"))
    for field, word, names in (("--fed", fed, [f.value for f in Fed]),
                               ("--weather", weather, ["usual", "mild", "hard"])):  # fmt: skip
        if word not in names:
            problems.append(UnknownName(field, word, names))
    if problems:
        raise problems[0] if len(problems) == 1 else Problems(problems)

    def kilograms(text: str, field: str) -> float | None:
        return parse_amount(text, to="kg", field=field) if text else None

    kind = stock(animals)
    group = FeedingGroup(
        kind.name.lower(), kind, head or 1, Fed(fed), kilograms(weight, "--weight")
    )
    name = "hay"
    mine = HayAsked(name, bales=bales, bale_weight=kilograms(bale_weight, "--bale-weight"),
                    mass=kilograms(total, "--total"), values=values, dm=dry_matter)  # fmt: skip
    to_buy: tuple[HayAsked, ...] = ()
    if hay_price is not None:
        price = Price(hay_price, "short_ton")  # type: ignore[arg-type]
        to_buy = (HayAsked(f"{name}, bought", values=values, dm=dry_matter, price=price),)
    return WinterAsked(
        name="",
        groups=(GroupAsked(group, due=_day(due, "--due"), condition=condition, feeder=feeder),),
        hays=(mine,),
        first=_day(plan_from, "--from"),
        turnout=_day(turnout, "--turnout"),
        to_buy=to_buy,
        weather=WeatherAsked(weather),
    )


def _day(text: str, field: str) -> date | None:
    from datetime import date

    from haywright.measure.errors import Refused

    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Refused(field, text, key="ration.date") from None


def _week(text: str, found: WinterAnswer) -> int:
    from haywright.bunk.winter.question import WEEK
    from haywright.measure.errors import Refused

    day, q = _day(text, "--week"), found.question
    if day is None:
        return 0
    if not q.first <= day < q.last:
        raise Refused("--week", text, key="ranch_plan.cli.week", first=q.first, last=q.last)
    return (day - q.first).days // WEEK


def add_to(app: typer.Typer) -> None:
    """Register the command under a group."""
    app.command("winter")(command_errors(winter))
