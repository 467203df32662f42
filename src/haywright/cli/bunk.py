"""Bunk: may it be fed, to whom, in what share, and how."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haywright.cli import bunk_rations, bunk_winter
from haywright.cli.common import Json, Units, answer, command_errors

if TYPE_CHECKING:
    from haywright.bunk.hazards.nitrate.question import NitrateQuestion
    from haywright.bunk.hazards.nitrate.verdict import NitrateVerdict
    from haywright.measure.message import Message

app = typer.Typer(
    no_args_is_help=True,
    help="Feeding: may these animals eat it, in what share, and how.",
)


@app.command("nitrate")
@command_errors
def nitrate(
    value: Annotated[float, typer.Argument(help="The laboratory's nitrate number.")],
    unit: Annotated[
        str, typer.Option("--unit", help='Unit and form, as printed: "ppm NO3-N", "% NO3" ...')
    ] = "",
    basis: Annotated[
        str, typer.Option("--basis", help='Share of what: "dry", "as received", "90 % dm".')
    ] = "",
    animals: Annotated[
        str, typer.Option("--animals", help="Who eats it: bred-cows, steers, ewes, horses ...")
    ] = "",
    dry_matter: Annotated[
        float | None,
        typer.Option("--dry-matter", help="Dry matter of the hay, %, when not on dry basis."),
    ] = None,
    guide: Annotated[
        str, typer.Option("--guide", help="Whose guide; the list stands in the answer.")
    ] = "",
    bales: Annotated[int | None, typer.Option("--bales", help="Bales in the lot.")] = None,
    cored: Annotated[
        int | None, typer.Option("--cored", help="Bales cored into the bag; one when not said.")
    ] = None,
    cores: Annotated[int, typer.Option("--cores", help="Cores from each of them.")] = 1,
    taken: Annotated[
        str, typer.Option("--taken", help="How the bag was taken: probe, grab or spot-test.")
    ] = "probe",
    spread: Annotated[
        float | None,
        typer.Option("--spread", help="Spread between bales, % of the mean, if measured."),
    ] = None,
    fed: Annotated[
        str,
        typer.Option("--fed", help="mixed, limited (after a fill of clean hay) or free choice."),
    ] = "mixed",
    mixed: Annotated[
        int, typer.Option("--mixed-bales", help="Bales ground together into one mix.")
    ] = 1,
    rest: Annotated[
        float | None,
        typer.Option("--rest", help="Nitrate of the rest of the feed, ppm NO3-N of dry matter."),
    ] = None,
    water: Annotated[
        float | None, typer.Option("--water", help="Nitrate of the water, mg/L NO3-N.")
    ] = None,
    assume: Annotated[
        bool, typer.Option("--assume", help="Rest and water are assumed, not tested; printed.")
    ] = False,
    json: Json = False,
    units: Units = "us",
) -> None:
    """May it be fed? A nitrate number answered over the telephone.

    Example: haywright bunk nitrate 4200 --unit "ppm NO3" --basis dry --animals bred-cows
    """
    from haywright.bunk.hazards.nitrate.ask import asked
    from haywright.bunk.hazards.nitrate.verdict import decide

    question = asked(
        value,
        unit=unit,
        basis=basis,
        animals=animals,
        dry_matter=dry_matter,
        guide=guide,
        bales=bales,
        cored=cored,
        cores=cores,
        taken=taken,
        spread=spread,
        fed=fed,
        mixed=mixed,
        rest=rest,
        water=water,
        assumed=assume,
    )
    verdict = decide(question)
    answer(verdict.to_json(), verdict_lines(question, verdict), json=json, units=units)


def verdict_lines(q: NitrateQuestion, v: NitrateVerdict) -> Iterator[str | Message]:
    """The verdict for the terminal: sentence, standing line, shares, guides, whom to call."""
    from haywright.bunk.hazards.nitrate import told
    from haywright.measure.message import message

    yield from told.sentence(v)
    why = told.reason(v)
    if why is not None:
        yield why
    step = told.next_step(v)
    if step is not None:
        yield step
    yield ""
    yield from told.standing(v)
    if v.shares:
        yield from _share_lines(v)
    if v.over or v.over_share:
        yield ""
        yield from (told.over_line(one, q.sampling.bales or 0) for one in v.over)
        yield from map(told.over_share_line, v.over_share)
    if v.settle:
        yield ""
        yield message("bunk.cli.settle")
        yield from (
            message("bunk.cli.settle_row", way=way, chances=round(100 * chance))
            for way, chance in told.settle_lines(v)
        )
    yield from _guide_lines(v)
    yield ""
    yield from told.cautions(v)
    if v.restricted:
        yield ""
        yield from told.emergency()


def _share_lines(v: NitrateVerdict) -> Iterator[str | Message]:
    from haywright.bunk.hazards.nitrate import told
    from haywright.measure.message import message

    yield ""
    yield message("bunk.cli.shares")
    for one in v.shares:
        yield message(
            "bunk.cli.share_row",
            limit=message(f"bunk.cli.limit.{one.limit.name.lower()}"),
            share=_percent(one.share),
            why=one.why,
        )
    if v.governing is not None:
        yield ""
        yield message("bunk.cli.fed")
        for way, share in told.fed_shares(v):
            yield message("bunk.cli.fed_row", way=way, share=_percent(share))
        rise = told.step_up(v)
        if rise is not None:
            yield rise


def _percent(share: float | None) -> Any:
    from haywright.measure.message import Amount, message

    if share is None:
        return message("bunk.cli.no_share")
    return Amount(100 * share, "%", digits=0)


def _guide_lines(v: NitrateVerdict) -> Iterator[str | Message]:
    from haywright.bunk.hazards.nitrate import told
    from haywright.measure.message import message

    if not v.strip:
        return
    yield ""
    yield message("bunk.cli.guides", high=told.no3n(v.high))
    for one in v.strip:
        yield message(
            "bunk.cli.guide_row",
            guide=one.guide.name,
            id=one.guide.id,
            mark="†" if one.recalled else "",
            says=told.guide_line(one),
        )
    if any(one.recalled for one in v.strip):
        yield message("bunk.cli.dagger")


@app.command("prussic")
@command_errors
def prussic(
    value: Annotated[float, typer.Argument(help="Prussic acid (HCN), ppm as it stands.")],
    dry_matter: Annotated[float, typer.Option("--dry-matter", help="Dry matter, %.")],
    json: Json = False,
) -> None:
    """Prussic acid of green sorghum, sudangrass or johnsongrass by each published limit."""
    from haywright.bunk.hazards.prussic_acid import judge_prussic_acid

    judged = judge_prussic_acid(value, dry_matter)
    answer(judged.to_json(), judged.lines(), json=json)


@app.command("blend")
@command_errors
def blend(
    high: Annotated[float, typer.Argument(help="Nitrate of the high hay, ppm of dry matter.")],
    clean: Annotated[float, typer.Option("--clean", help="Nitrate of the clean feed, same form.")],
    target: Annotated[float, typer.Option("--target", help="Wanted for the mix, same form.")],
    json: Json = False,
) -> None:
    """How much of a high-nitrate hay a true mix can hold. One form of nitrate throughout."""
    from haywright.bunk.hazards.nitrate.blend import clean_per_high, share_at_target
    from haywright.measure.message import Amount, message

    share = float(share_at_target(high, clean, target))
    clean_to_one = None if share in (0.0, 1.0) else float(clean_per_high(high, clean, target))
    lines = [
        message("bunk.blend.share", share=Amount(100 * share, "%", digits=0))
        if 0 < share < 1
        else message("bunk.blend.all" if share == 1 else "bunk.blend.none"),
        message("bunk.nitrate.caution.mixing"),
        message("bunk.nitrate.caution.ask"),
    ]
    if clean_to_one is not None:
        lines.insert(1, message("bunk.blend.clean", clean=Amount(clean_to_one, "", digits=2)))
    answer({"share_of_dm": share, "clean_per_high": clean_to_one}, lines, json=json)


@app.command("dose")
@command_errors
def dose(
    feed: Annotated[float, typer.Argument(help="Nitrate of the whole ration, ppm NO3-N, dry.")],
    weight: Annotated[str, typer.Option("--weight", help='Body weight, e.g. "1,200 lb".')],
    intake: Annotated[str, typer.Option("--intake", help='Dry matter a day, e.g. "25 lb".')],
    water: Annotated[float, typer.Option("--water", help="Water nitrate, mg/L NO3-N.")] = 0.0,
    drinks: Annotated[str, typer.Option("--drinks", help='Water a day, e.g. "11 gal".')] = "",
    json: Json = False,
) -> None:
    """Nitrate taken in a day for the animal's weight: context beside a verdict, never instead."""
    from haywright.bunk.hazards.dose import nitrate_per_weight, ration_equivalent
    from haywright.bunk.hazards.nitrate.blend import feed_nitrate, water_nitrate
    from haywright.measure.message import Amount, message
    from haywright.measure.parse import parse_amount

    body = parse_amount(weight, to="kg", field="--weight")
    eaten = parse_amount(intake, to="kg", field="--intake")
    litres = parse_amount(drinks, to="L", field="--drinks") if drinks else 0.0
    total = float(feed_nitrate(eaten, feed) + water_nitrate(litres, water))
    per_weight = float(nitrate_per_weight(total, body))
    ration = float(ration_equivalent(total, eaten))
    answer(
        {
            "no3n_g_per_day": total,
            "no3_mg_per_kg_body_weight": per_weight,
            "ration_equivalent_no3n_mg_per_kg": ration,
        },
        [
            message(
                "bunk.dose.line",
                total=Amount(total, "g", digits=1),
                per_weight=Amount(per_weight, "mg/kg", digits=0),
                ration=Amount(ration, "mg/kg", analyte="nitrate_n"),
            ),
            message("bunk.dose.context"),
            message("bunk.nitrate.caution.ask"),
        ],
        json=json,
    )


bunk_rations.add_to(app)
bunk_winter.add_to(app)
