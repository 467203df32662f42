"""Commands of the bench's quality: control charts, detection limits, comparisons."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haywright.cli.common import EXIT_HELD, Json, Units, answer, command_errors, reader

if TYPE_CHECKING:
    from haywright.bench.charts import Chart
    from haywright.bench.limits import DetectionLimit
    from haywright.measure.message import Message


def add_to(app: typer.Typer) -> None:
    """Hang these commands on the bench."""
    app.command("chart")(chart)
    app.command("limit")(limit)
    app.command("compare")(compare)


@command_errors
def chart(
    where: Annotated[
        Path,
        typer.Argument(
            help="A folder of batches with their results, or a table with the columns day and "
            "value."
        ),
    ],
    check: Annotated[str, typer.Option("--check", help="Name of the check sample.")],
    of: Annotated[str, typer.Option("--of", help="What of it, such as cp or nitrate_n.")],
    by: Annotated[
        str,
        typer.Option(
            "--rules",
            help="action_limits, western_electric, multi_rule, nelson or harmonised.",
        ),
    ] = "action_limits",
    limits_from: Annotated[
        int,
        typer.Option(
            "--limits-from",
            help="How many of the oldest runs draw the limits; all but the newest when left out.",
        ),
    ] = 0,
    draw: Annotated[
        Path | None, typer.Option("--draw", help="Draw the chart into this file (SVG).")
    ] = None,
    show: Units = "us",
    json: Json = False,
) -> None:
    """The control chart of a check sample: its limits from history, and which rules fired.

    The newest run that fires a stopping rule ends the command with exit code 3.

    Example: haywright bench chart batches --check "house hay" --of cp --draw cp.svg
    """
    from haywright.bench import charts
    from haywright.files.check_history import history_of
    from haywright.measure.analytes import quantity
    from haywright.measure.errors import Refused

    quantity(of)
    rules = charts.rule_set(by)
    history = history_of(where, check, of)
    count = limits_from or len(history) - 1
    if not 2 <= count <= len(history):
        raise Refused("--limits-from", limits_from, str(len(history)), key="bench.charts.count")
    made = charts.chart([one.found for one in history[:count]])
    fired = charts.judged([one.found for one in history], made, rules)
    stops = [r for r in rules.rules if not r.warns and len(history) in fired[r.id]]
    if draw is not None:
        from haywright.files.reading import write_atomic
        from haywright.paper.control_chart import control_chart
        from haywright.paper.speaker import Speaker

        runs = [(one.day, one.found) for one in history]
        picture = control_chart(runs, made, fired, Speaker(reader(show)), check=check, analyte=of)
        write_atomic(draw, picture.svg)
    payload = {
        "check": check,
        "analyte": of,
        "rules": by,
        "center": made.center,
        "sd": made.sd,
        "runs": made.runs,
        "provisional": made.provisional,
        "warning": list(made.warning),
        "action": list(made.action),
        "results": [{"day": one.day.isoformat(), "found": one.found} for one in history],
        "fired": {name: list(places) for name, places in fired.items()},
        "run_length": rules.run_length,
    }
    answer(payload, _chart_lines(made, fired, by, check, of), json=json, units=show)
    if stops:
        raise typer.Exit(EXIT_HELD)


def _chart_lines(
    made: Chart, fired: dict[str, tuple[int, ...]], by: str, check: str, of: str
) -> list[str | Message]:
    from haywright.bench.charts import LEAST_RUNS, rule_set
    from haywright.measure.analytes import quantity
    from haywright.measure.message import Amount, message

    entry = quantity(of)
    digits = None if entry.digits is None else entry.digits + 1

    def amount(value: float) -> Amount:
        return Amount(value, entry.unit, analyte=of, digits=digits)

    rules = rule_set(by)
    lines: list[str | Message] = [
        message(
            "bench.chart.limits",
            name=check,
            quantity=message("measure.quantity", id=of),
            center=amount(made.center),
            low=amount(made.action[0]),
            high=amount(made.action[1]),
            warning_low=amount(made.warning[0]),
            warning_high=amount(made.warning[1]),
            runs=made.runs,
        )
    ]
    if made.provisional:
        lines.append(message("bench.chart.provisional", runs=made.runs, least=LEAST_RUNS))
    for rule in rules.rules:
        key = "bench.chart.quiet" if not fired[rule.id] else "bench.chart.fired_at"
        warns = "bench.chart.warns" if rule.warns else "bench.chart.stops"
        lines.append(
            message(key, rule=rule.name, runs=tuple(map(str, fired[rule.id])), kind=message(warns))
        )
    if rules.run_length is not None:
        lines.append(message("bench.chart.run_length", rules=rules.name, n=round(rules.run_length)))
    return lines


@command_errors
def limit(
    table: Annotated[
        Path,
        typer.Argument(
            help="A table: columns known and signal of standards, or columns spike and blank."
        ),
    ],
    alpha: Annotated[
        float, typer.Option(help="Chance of claiming what is not there, between 0 and 0.5.")
    ] = 0.01,
    beta: Annotated[
        float, typer.Option(help="Chance of missing what is there, between 0 and 0.5.")
    ] = 0.05,
    k: Annotated[
        float, typer.Option(help="For quantification: the amount over its half-width.")
    ] = 3.0,
    readings: Annotated[int, typer.Option(help="Readings a result is the mean of.")] = 1,
    json: Json = False,
) -> None:
    """Detection limits from standards, or from spikes and blanks; each with what it means.

    Example: haywright bench limit standards.csv --alpha 0.01
    """
    from haywright.bench import limits
    from haywright.bench.calibration import calibrate
    from haywright.files.series import columns_of
    from haywright.measure.errors import Refused
    from haywright.measure.message import Amount, message

    for name, chance in (("--alpha", alpha), ("--beta", beta)):
        if not 0 < chance < 0.5:
            raise Refused(name, chance, key="bench.limits.chance")
    if readings < 1:
        raise Refused("--readings", readings, "1", key="bench.statistics.too_few")
    found = columns_of(table)
    if {"known", "signal"} <= found.keys():
        pairs = list(zip(found["known"], found["signal"], strict=True))
        rows = [(x, y) for x, y in pairs if x is not None and y is not None]
        curve = calibrate([x for x, _ in rows], [y for _, y in rows])
        every: list[DetectionLimit] = [
            limits.critical_of_curve(curve, alpha=alpha, readings=readings),
            limits.detection_of_curve(curve, alpha=alpha, readings=readings),
            limits.detection_by_band(curve, alpha=alpha, beta=beta, readings=readings),
            limits.quantification_of_curve(curve, alpha=alpha, k=k, readings=readings),
        ]
    elif {"spike", "blank"} <= found.keys():
        spikes = [one for one in found["spike"] if one is not None]
        every = [limits.method_detection_limit(spikes, found["blank"]).limit()]
    else:
        raise Refused(f"{table}: columns", ", ".join(found), key="bench.file.limit_columns")
    lines: list[Any] = [
        message(
            "bench.limits.line",
            definition=one.definition.value,
            revision=one.revision,
            value=Amount(one.value, ""),
            alpha=one.alpha,
        )
        for one in every
    ]
    answer({"limits": [one.to_json() for one in every]}, lines, json=json)


@command_errors
def compare(
    first: Annotated[float, typer.Argument(help="Mean of the first laboratory.")],
    second: Annotated[float, typer.Argument(help="Mean of the second laboratory.")],
    of: Annotated[str, typer.Option("--of", help="What was tested, such as cp or ndf.")],
    within: Annotated[
        float | None,
        typer.Option(help="SD within a laboratory, unit of the results; planning figure if not."),
    ] = None,
    between: Annotated[
        float | None,
        typer.Option(help="SD between laboratories, same unit; planning figure if not given."),
    ] = None,
    portions: Annotated[
        tuple[int, int], typer.Option(help="Portions behind each mean, two numbers.")
    ] = (1, 1),
    json: Json = False,
) -> None:
    """Two laboratories on one split powder: whether they differ by more than laboratories do.

    Example: haywright bench compare 31.2 33.1 --of ndf --portions 2 2
    """
    import math

    from haywright.bench.compare import laboratories
    from haywright.bench.scatter import library_scatter
    from haywright.measure.analytes import quantity
    from haywright.measure.errors import Refused
    from haywright.measure.message import Amount, message

    entry = quantity(of)
    if min(portions) < 1:
        raise Refused("--portions", " ".join(map(str, portions)), "1", key="bench.file.whole")
    for name, sd in (("--within", within), ("--between", between)):
        if sd is not None and not sd > 0:
            raise Refused(name, sd, key="bench.choice_number")
    level = (first + second) / 2
    usual = library_scatter(of, level, entry.unit)
    repeat, bias = usual.repeat_at(level), usual.bias_at(level)
    s_r = repeat if within is None else within
    s_both = math.hypot(repeat, bias) if between is None else between
    found = laboratories(first, second, s_r=s_r, s_R=s_both, n1=portions[0], n2=portions[1])

    def amount(value: float) -> Amount:
        digits = None if entry.digits is None else entry.digits + 1
        return Amount(value, entry.unit, analyte=of, digits=digits)

    planning = within is None or between is None
    lines: list[Any] = [
        message(
            "bench.compare.agree" if found.agree else "bench.compare.differ",
            quantity=message("measure.quantity", id=of),
            difference=amount(abs(found.difference)),
            allowed=amount(found.allowed),
        ),
        message("bench.compare.limits", r=amount(found.r), R=amount(found.R)),
    ]
    if planning:
        lines.append(message("bench.compare.planning"))
    payload = {
        "analyte": of,
        "difference": found.difference,
        "allowed": found.allowed,
        "r": found.r,
        "R": found.R,
        "agree": found.agree,
        "s_r": s_r,
        "s_R": s_both,
        "planning_figures": planning,
    }
    answer(payload, lines, json=json)
