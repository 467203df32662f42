"""Commands of the stack: how hay keeps, what it weighs, the sampling rules by name."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from haywright.cli.common import Json, Units, answer, command_errors
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


@command_errors
def keep(
    storage: Annotated[
        str, typer.Option(help="How it is kept: outside, pallets, tarped, shed, barn.")
    ] = "",
    months: Annotated[float | None, typer.Option(help="For how many months.")] = None,
    rain: Annotated[str, typer.Option(help="Rain in a year: “20 in”.")] = "",
    trial: Annotated[
        str, typer.Option(help="Whose table: oklahoma, tennessee, ohio, fescue ...")
    ] = "oklahoma",
    hot: Annotated[
        str, typer.Option(help="Temperature deep in the hay, the hottest point: “155 F”.")
    ] = "",
    scale: Annotated[
        str,
        typer.Option(help="Whose scale: california, cornell, kentucky, mississippi, penn_state."),
    ] = "",
    moisture: Annotated[float | None, typer.Option(help="Moisture when it was baled, %.")] = None,
    package: PackageName = "5x5",
    daily: Annotated[
        str, typer.Option(help="Highest temperature in the hay, day by day: “92, 101, 108 F”.")
    ] = "",
    show: Units = "us",
    json: Json = False,
) -> None:
    """What stored hay loses, what to do when it is hot, whether it was baled too moist.

    Example: haywright stack keep --storage outside --months 7 --rain "22 in"

    Example: haywright stack keep --hot "155 F"
    """
    from haywright.cli.stack_keep_lines import (
        degree_day_lines,
        heat_lines,
        loss_lines,
        moisture_lines,
    )
    from haywright.measure.errors import Refused

    payload: dict[str, Any] = {}
    lines: list[Any] = []
    if hot:
        found, said = heat_lines(amount(hot, "degC", "--hot"), scale)
        payload["heat"] = found
        lines += said
    if daily:
        found, said = degree_day_lines(_series(daily, "degC", "--daily"))
        payload["heating_degree_days"] = found
        lines += ["", *said] if lines else said
    if moisture is not None:
        shape = package_of(package, "", "", "", "")
        found, said = moisture_lines(moisture, shape, package)
        payload["moisture"] = found
        lines += ["", *said] if lines else said
    if storage:
        if months is None:
            raise Refused("--months", "", key="stack.keep.months_missing")
        wet = amount(rain, "m", "--rain") if rain else None
        found, said = loss_lines(storage, months, wet, trial)
        payload["storage"] = found
        lines += ["", *said] if lines else said
    if not payload:
        raise Refused("keep", "", key="stack.keep.nothing_asked")
    answer(payload, lines, json=json, units=show)


def _series(text: str, to: str, field: str) -> list[float]:
    """Numbers with one unit at the end: "92, 101, 108 F", "1,210; 1,185 lb"."""
    parts = [one.strip() for one in text.split(";" if ";" in text else ", ") if one.strip()]
    unit = parts[-1].lstrip("-+0123456789.,\N{NO-BREAK SPACE} ") if parts else ""
    return [amount(one if one.endswith(unit) else f"{one} {unit}", to, field) for one in parts]


@command_errors
def weigh(
    bales: Annotated[int | None, typer.Option(help="Bales in the lot.")] = None,
    weights: Annotated[
        str, typer.Option(help="Bales weighed, drawn by chance: “1210, 1185, 1240 lb”.")
    ] = "",
    package: PackageName = "",
    diameter: Diameter = "",
    width: Width = "",
    height: Height = "",
    bale_length: BaleLength = "",
    bale_weight: BaleWeight = "",
    over: Annotated[
        str, typer.Option(help="Loose stack, from the ground over the top to the ground: “44 ft”.")
    ] = "",
    stack_width: Annotated[str, typer.Option(help="Loose stack, width: “18 ft”.")] = "",
    stack_length: Annotated[str, typer.Option(help="Loose stack, length: “40 ft”.")] = "",
    eaves: Annotated[str, typer.Option(help="Loose stack, height of the eaves: “12 ft”.")] = "",
    roof: Annotated[str, typer.Option(help="Loose stack, eaves to ridge: “9 ft”.")] = "",
    around: Annotated[str, typer.Option(help="Round stack, circumference: “60 ft”.")] = "",
    stack_height: Annotated[str, typer.Option(help="Hay in a mow, height: “15 ft”.")] = "",
    settled: Annotated[
        str,
        typer.Option(help="How loose hay lies: settled-30-days, new-in-mow, cube-30-days ..."),
    ] = "settled-30-days",
    confidence: Annotated[float, typer.Option(help="How sure: 0.9 is nine times in ten.")] = 0.9,
    show: Units = "us",
    json: Json = False,
) -> None:
    """What a lot weighs: from a few weighed bales, a bale's size, or a loose stack's measures.

    Example: haywright stack weigh --bales 148 --weights "1210, 1185, 1240, 1195 lb"

    Example: haywright stack weigh --over "44 ft" --stack-width "18 ft" --stack-length "40 ft"
    """
    from haywright.cli.stack_keep_lines import bale_lines, loose_lines, weighed_lines
    from haywright.measure.errors import Refused

    payload: dict[str, Any] = {}
    lines: list[Any] = []
    shape = package_of(package, diameter, width, height, bale_length)
    if weights:
        if bales is None:
            raise Refused("--bales", "", key="stack.bales_missing")
        found, said = weighed_lines(_series(weights, "kg", "--weights"), bales, confidence)
        payload["lot"] = found
        lines += said
    if shape is not None:
        weight = amount(bale_weight, "kg", "--bale-weight") if bale_weight else None
        found, said = bale_lines(shape, weight, bales)
        payload["bale"] = found
        lines += ["", *said] if lines else said
    lengths = {
        "over": over, "width": stack_width, "length": stack_length, "eaves": eaves, "roof": roof,
        "around": around, "height": stack_height,
    }  # fmt: skip
    measured = {name: amount(text, "m", f"--{name}") for name, text in lengths.items() if text}
    if measured:
        found, said = loose_lines(measured, settled)
        payload["loose"] = found
        lines += ["", *said] if lines else said
    if not payload:
        raise Refused("weigh", "", key="stack.weigh.nothing_asked")
    answer(payload, lines, json=json, units=show)


@command_errors
def rules(
    bales: Annotated[int | None, typer.Option(help="Bales in the lot.")] = None,
    test: Annotated[str, typer.Option(help="nitrate or nutrients; both when left out.")] = "",
    package: Annotated[
        str, typer.Option(help="round, small_square, large_square or standing.")
    ] = "",
    json: Json = False,
) -> None:
    """The published sampling rules by name, and how many bales each asks for."""
    from haywright.cli.stack_keep_lines import rule_lines

    payload, lines = rule_lines(bales, test, package)
    answer({"rules": payload}, lines, json=json)
