"""Commands of the stack: which bales to core, what the probe does, how hay keeps."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haywright.cli import stack_keep
from haywright.cli.common import Json, Units, answer, command_errors, reader
from haywright.cli.stack_input import (
    BaleLength,
    BaleWeight,
    Diameter,
    Height,
    PackageName,
    Width,
    amount,
    package_of,
)

if TYPE_CHECKING:
    from haywright.stack.lot import Lot
    from haywright.stack.packages import Package
    from haywright.stack.plan import Choices
    from haywright.stack.probe import Probe

app = typer.Typer(
    no_args_is_help=True,
    help="Your hay: which bales to core, what the probe does to them, how hay keeps.",
)

Length = Annotated[str, typer.Option("--length", help="Hay in the probe when full: “18 in”.")]
Bore = Annotated[str, typer.Option("--bore", help="Inside of the probe’s tip: “0.5 in”.")]
Rind = Annotated[str, typer.Option("--rind", help="Thickness of the weathered outside: “4 in”.")]
Purpose = Annotated[str, typer.Option("--for", help="feed or sale.")]


@app.command()
@command_errors
def plan(
    lot: Annotated[
        Path | None, typer.Argument(metavar="[LOT]", help="A lot file, such as lots/oats.toml.")
    ] = None,
    bales: Annotated[int | None, typer.Option(help="Bales in the lot.")] = None,
    crop: Annotated[
        str, typer.Option(help="What the hay is: oats, alfalfa. Several: alfalfa,bromegrass.")
    ] = "",
    events: Annotated[
        str, typer.Option(help="What happened to it, with commas: drought,hail,frost,heated.")
    ] = "",
    weeds: Annotated[str, typer.Option(help="Weeds and their share in %: “kochia 15”.")] = "",
    form: Annotated[
        str, typer.Option(help="cured-hay, standing-crop, cornstalks or baleage.")
    ] = "cured-hay",
    package: PackageName = "",
    diameter: Diameter = "",
    width: Width = "",
    height: Height = "",
    bale_length: BaleLength = "",
    bale_weight: BaleWeight = "",
    storage: Annotated[
        str, typer.Option(help="How it is kept: outside, pallets, tarped, shed, barn.")
    ] = "",
    rind: Rind = "",
    moisture: Annotated[float | None, typer.Option(help="Moisture when it was baled, %.")] = None,
    purpose: Purpose = "feed",
    face: Annotated[
        list[str] | None,
        typer.Option(help="A side of the stack, tiers x columns: “south side 3x10”. Repeat it."),
    ] = None,
    part: Annotated[
        list[str] | None,
        typer.Option(help="A part of the field and its bales: “low end 1-40”. Repeat it."),
    ] = None,
    unreached: Annotated[str, typer.Option(help="Bales you cannot reach: “41-50”.")] = "",
    test: Annotated[
        str, typer.Option(help="nitrate or nutrients; nitrate where it must be suspected.")
    ] = "",
    rule: Annotated[
        str, typer.Option(help="Sampling rule by name; see haywright stack rules.")
    ] = "",
    core: Annotated[int | None, typer.Option(help="Bales to core, above any rule.")] = None,
    each: Annotated[int | None, typer.Option(help="Cores from each bale.")] = None,
    bags: Annotated[int | None, typer.Option(help="Bags to fill.")] = None,
    within: Annotated[
        str, typer.Option(help="Precision wanted: “cp 0.5”, or “nitrate 20” for 20 % of it.")
    ] = "",
    sd: Annotated[
        list[str] | None,
        typer.Option(help="Spread between cores you know: “cp 0.9”. Repeat it."),
    ] = None,
    confidence: Annotated[float, typer.Option(help="How sure: 0.9 is nine times in ten.")] = 0.9,
    length: Length = "",
    bore: Bore = "",
    seed: Annotated[
        str, typer.Option(help="Text the bales are drawn with; another seed, other bales.")
    ] = "",
    draw: Annotated[str, typer.Option(help="random, or every-nth.")] = "random",
    spread_over: Annotated[
        str, typer.Option("--spread-over", help="Spread the draw over face, tier or none.")
    ] = "face",
    show: Units = "us",
    json: Json = False,
) -> None:
    """Which bales to core, in which order, how deep, and what precision that buys.

    Example: haywright stack plan --bales 80 --crop oats --events drought
    """
    from haywright.cli.stack_lines import plan_lines
    from haywright.stack.plan import make_plan

    described = {
        "--bales": bales, "--crop": crop, "--events": events, "--weeds": weeds,
        "--package": package, "--diameter": diameter, "--storage": storage, "--rind": rind,
        "--face": face, "--part": part, "--unreached": unreached, "--moisture": moisture,
        "--bale-weight": bale_weight,
    }  # fmt: skip
    if lot is not None:
        hay = _from_file(lot, described)
    else:
        shape = package_of(package, diameter, width, height, bale_length)
        hay = _from_words(described, form=form, shape=shape, purpose=purpose, face=face, part=part)
    choices = _choices(
        test=test, rule=rule, core=core, each=each, bags=bags, within=within, sd=sd,
        confidence=confidence, probe=_probe(length, bore), seed=seed, draw=draw, by=spread_over,
    )  # fmt: skip
    made = make_plan(hay, choices)
    lines = [] if json else plan_lines(made, reader(show))
    answer(_with_words(made.to_json(), made), lines, json=json, units=show)


def _with_words(payload: dict[str, Any], made: Any) -> dict[str, Any]:
    from haywright.words import say

    return {
        **payload,
        "notes": [say(m) for m in (*made.doubts, *made.notes)],
        "cautions": [say(m) for m in (*made.cautions, *made.always)],
        "nitrate_suspected_because": [say(m) for m in made.suspects],
    }


def _from_file(path: Path, described: dict[str, Any]) -> Lot:
    from haywright.files.lots import read_lot
    from haywright.measure.errors import Refused

    given = [name for name, value in described.items() if value]
    if given:
        raise Refused(", ".join(given), path, key="stack.plan.file_alone")
    return read_lot(path)


def _from_words(
    described: dict[str, Any],
    *,
    form: str,
    shape: Package | None,
    purpose: str,
    face: list[str] | None,
    part: list[str] | None,
) -> Lot:
    from haywright.files.lots import bale_numbers
    from haywright.measure.errors import Refused
    from haywright.stack.lot import Lot, Packages

    kind = form.replace("-", "_")
    if not described["--crop"]:
        raise Refused("--crop", "", key="stack.plan.lot_or_bales")
    packages = None
    if described["--bales"] is not None:
        weight = described["--bale-weight"]
        packages = Packages(
            described["--bales"], shape, amount(weight, "kg", "--bale-weight") if weight else None
        )
    elif kind in ("cured_hay", "baleage"):
        raise Refused("--bales", "", key="stack.plan.lot_or_bales")
    rind, unreached = described["--rind"], described["--unreached"]
    return Lot(
        id=described["--crop"],
        form=kind,  # type: ignore[arg-type]
        crops=_words(described["--crop"]),
        packages=packages,
        events=_words(described["--events"]),
        weeds=_weeds(described["--weeds"]),
        storage=described["--storage"],
        rind=amount(rind, "m", "--rind") if rind else None,
        moisture=described["--moisture"],
        faces=tuple(_face(one) for one in face or ()),
        field_parts=tuple(_part(one) for one in part or ()),
        unreached=bale_numbers(unreached, "--unreached") if unreached else (),
        purpose=purpose,  # type: ignore[arg-type]
    )


def _choices(
    *,
    test: str,
    rule: str,
    core: int | None,
    each: int | None,
    bags: int | None,
    within: str,
    sd: list[str] | None,
    confidence: float,
    probe: Probe | None,
    seed: str,
    draw: str,
    by: str,
) -> Choices:
    from haywright.measure.errors import Refused
    from haywright.stack.error import Spread
    from haywright.stack.plan import Choices

    if test and test not in ("nitrate", "nutrients"):
        raise Refused("--test", test, "nitrate, nutrients")
    spreads = {}
    for one in sd or ():
        name, value = _quantity_and_number(one, "--sd")
        # A spread of nitrate is given in per cent of its value, as it is said.
        spreads[name] = Spread(value / 100 if name == "nitrate_n" else value, split=False)
    return Choices(
        purpose=test or None,  # type: ignore[arg-type]
        rule=rule,
        bales=core,
        cores_per_bale=each,
        bags=bags,
        target=_quantity_and_number(within, "--within") if within else None,
        confidence=confidence,
        probe=probe,
        seed=seed,
        method=draw,  # type: ignore[arg-type]
        by=by,  # type: ignore[arg-type]
        spreads=spreads,
    )


def _words(text: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in text.split(",") if word.strip())


def _weeds(text: str) -> dict[str, float | None]:
    from haywright.measure.parse import parse_number

    found: dict[str, float | None] = {}
    for one in _words(text):
        name, _, last = one.rstrip("% ").rpartition(" ")
        if name and last[:1].isdigit():
            found[name] = parse_number(last)
        else:
            found[one] = None
    return found


def _quantity_and_number(text: str, field: str) -> tuple[str, float]:
    from haywright.measure.analytes import quantity
    from haywright.measure.errors import Refused
    from haywright.measure.parse import parse_number

    name, _, number = text.strip().rstrip("% ").rpartition(" ")
    if not name:
        raise Refused(field, text, key="stack.plan.target_text")
    plain = name.strip().lower()
    return quantity("nitrate_n" if plain == "nitrate" else plain).id, parse_number(number)


def _face(text: str) -> Any:
    import re

    from haywright.measure.errors import Refused
    from haywright.stack.lot import Face

    match = re.fullmatch(r"\s*(.*?)\s*[ ,:]\s*(\d{1,3})\s*[x×]\s*(\d{1,5})\s*", text)
    if match is None:
        raise Refused("--face", text, key="stack.plan.face_text")
    return Face(match[1], (int(match[3]),) * int(match[2]))


def _part(text: str) -> Any:
    import re

    from haywright.files.lots import bale_numbers
    from haywright.measure.errors import Refused
    from haywright.stack.lot import FieldPart

    match = re.fullmatch(r"\s*(\D.*?)\s*[ :]\s*(\d[\d\s,–-]*)\s*", text)
    if match is None and any(char.isdigit() for char in text):
        raise Refused("--part", text, key="stack.plan.part_text")
    if match is None:
        return FieldPart(text.strip())
    return FieldPart(match[1], bale_numbers(match[2], "--part"))


def _probe(length: str, bore: str) -> Probe | None:
    from haywright.stack.probe import Probe, usual_probe

    if not length and not bore:
        return None
    usual = usual_probe()
    return Probe(
        amount(length, "m", "--length") if length else usual.length,
        amount(bore, "m", "--bore") if bore else usual.bore,
    )


@app.command()
@command_errors
def probe(
    length: Length = "18 in",
    bore: Bore = "0.5 in",
    package: PackageName = "",
    diameter: Diameter = "",
    width: Width = "",
    height: Height = "",
    bale_length: BaleLength = "",
    bale_weight: BaleWeight = "",
    rind: Rind = "",
    ends: Annotated[
        bool, typer.Option("--ends", help="Both flat ends of a round bale are weathered as well.")
    ] = False,
    around: Annotated[
        float, typer.Option(help="Share of the way round that is weathered: 0.25 for the bottom.")
    ] = 1.0,
    face: Annotated[
        str, typer.Option(help="curved or flat; end, side or top of a square bale.")
    ] = "",
    across: Annotated[float, typer.Option(help="Tilt off the line to the middle, degrees.")] = 0.0,
    along: Annotated[float, typer.Option(help="Tilt along the bale, degrees.")] = 0.0,
    start: Annotated[
        str, typer.Option(help="Depth at which the core begins, the outside left out: “4 in”.")
    ] = "",
    layer: Annotated[
        str, typer.Option(help="Thickness of one wrapped layer, when you know it.")
    ] = "",
    cores: Annotated[int, typer.Option(help="Cores that go into one bag.")] = 20,
    need: Annotated[str, typer.Option(help="Hay your tests need in a bag: “150 g”.")] = "",
    outside_value: Annotated[
        float | None,
        typer.Option("--outside", help="What the outside would test: 42 (with --inside)."),
    ] = None,
    inside_value: Annotated[
        float | None, typer.Option("--inside", help="What the inside would test: 58.")
    ] = None,
    purpose: Annotated[str, typer.Option("--for", help="feed or sale, when settled.")] = "",
    show: Units = "us",
    json: Json = False,
) -> None:
    """What your probe sees of a bale, what it never sees, and how much hay it takes.

    Example: haywright stack probe --diameter "5 ft" --length "18 in" --bore "0.5 in" --rind "4 in"
    """
    from haywright.cli.stack_lines import probe_lines
    from haywright.measure.errors import Refused
    from haywright.stack.packages import nearest_size, usual_size
    from haywright.stack.probe import Outside, Probe, judge_probe
    from haywright.words import say

    if purpose not in ("", "feed", "sale"):
        raise Refused("--for", purpose, "feed, sale")
    shape = package_of(package, diameter, width, height, bale_length) or usual_size("round").package
    weight = amount(bale_weight, "kg", "--bale-weight") if bale_weight else None
    density = shape.density(weight) if weight else nearest_size(shape).planning_density
    report = judge_probe(
        shape,
        Probe(
            amount(length, "m", "--length"),
            amount(bore, "m", "--bore"),
            across,
            along,
            amount(start, "m", "--start") if start else 0.0,
        ),
        density=density,
        outside=Outside(
            amount(rind, "m", "--rind") if rind else 0.0,
            "with_ends" if ends else "curved",
            around,
        ),
        face=face or None,  # type: ignore[arg-type]
        cores=cores,
        layer=amount(layer, "m", "--layer") if layer else None,
        need_g=amount(need, "g", "--need") if need else None,
        purpose=purpose or None,  # type: ignore[arg-type]
    )
    values = None
    if outside_value is not None and inside_value is not None:
        values = (outside_value, inside_value)
    payload = report.to_json()
    if values is not None:
        payload["bag_less_whole_bale"] = report.bias(*values)
    payload["notes"] = [say(m) for m in report.notes]
    lines = [] if json else probe_lines(report, values)
    answer(payload, lines, json=json, units=show)


for command in (stack_keep.keep, stack_keep.weigh, stack_keep.rules):
    app.command()(command)
