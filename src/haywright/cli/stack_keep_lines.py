"""How the answers about keeping, rules and weight are set on a terminal."""

from __future__ import annotations

from typing import Any

from haywright.cli.stack_lines import Lines, bullets, rule_mark, section
from haywright.measure.errors import Refused
from haywright.measure.message import Amount, Message, message
from haywright.measure.units import convert
from haywright.sources.bibliography import cite
from haywright.stack.packages import Package
from haywright.words import say


def heat_lines(temperature: float, scale: str) -> tuple[dict[str, Any], Lines]:
    """What to do with hot hay, the most cautious scale first."""
    from haywright.stack.heating import heat_action, heat_actions, heat_cautions, order_heat_test

    chosen, every = heat_action(temperature, method=scale), heat_actions(temperature)
    shown = Amount(temperature, "degC", digits=0)
    cautions = heat_cautions(temperature)
    first = every[0]
    lines: Lines = []
    if first.action == "none":
        lines.append(message("stack.heat.quiet", temperature=shown))
    else:
        key = "stack.heat.head" if scale else "stack.heat.head_most"
        lines.append(message(key, temperature=shown, scale=chosen.name, action=chosen.said))
        if scale and first.caution > chosen.caution:
            lines.append(message("stack.heat.but", scale=first.name, action=first.said))
        lines += section("stack.plan.mind", bullets((*cautions, message("stack.caution.defer"))))
    lines += section(
        "stack.heat.scales",
        [
            message(
                "stack.heat.row",
                scale=one.name,
                action=one.said,
                mark=message("stack.heat.practice") if one.mark == "practice" else "",
            )
            for one in every
        ],
    )
    payload = {
        "temperature_c": temperature,
        "chosen": chosen.to_json(),
        "scales": [one.to_json() for one in every],
        "order_heat_damaged_protein": order_heat_test(temperature),
        "cautions": [say(one) for one in cautions],
    }
    return payload, lines


def degree_day_lines(daily: list[float]) -> tuple[dict[str, Any], Lines]:
    """Heating degree-days and what they mean."""
    from haywright.stack.heating import heating_degree_days, heating_said, in_fahrenheit_days

    found = heating_degree_days(daily)
    payload = {"degc_days": found, "degf_days": in_fahrenheit_days(found)}
    return payload, [heating_said(found)]


def weighed_lines(
    weights: list[float], bales: int, confidence: float
) -> tuple[dict[str, Any], Lines]:
    """Weight of a lot from weighed bales."""
    from haywright.stack.packages import lot_weight
    from haywright.stack.precision import chances

    found = lot_weight(weights, bales, confidence=confidence)
    lines: Lines = [
        message(
            "stack.weigh.lot",
            bales=bales,
            weighed=len(weights),
            mass=_tons(found.mass),
            half=_tons(found.half_width),
            chances=chances(confidence),
        ),
        message("stack.weigh.chance"),
    ]
    payload = {
        "mass_kg": found.mass,
        "half_width_kg": found.half_width,
        "se_mean_kg": found.se_mean,
        "confidence": confidence,
    }
    return payload, lines


def bale_lines(
    package: Package, weight: float | None, bales: int | None
) -> tuple[dict[str, Any], Lines]:
    """Volume and weight of a bale, and of the lot, by weight or by the usual density."""
    from haywright.stack.packages import nearest_size

    usual = nearest_size(package)
    density = package.density(weight) if weight else usual.planning_density
    mass = weight or package.weight(density)
    lines: Lines = [
        message(
            "stack.weigh.bale",
            volume=Amount(package.volume, "m3", digits=0 if package.round else 1),
            mass=Amount(mass, "kg", digits=0),
            density=Amount(density, "kg/m3", digits=1),
        )
    ]
    if weight is None:
        lines.append(message("stack.weigh.guess", line=cite(usual.source).line))
    if bales is not None:
        lines.append(message("stack.weigh.bales", bales=bales, mass=_tons(bales * mass)))
    payload = {
        "package": package.to_json(),
        "volume_m3": package.volume,
        "mass_kg": mass,
        "density_kg_m3": density,
        "weighed": weight is not None,
        "lot_kg": None if bales is None else bales * mass,
    }
    return payload, lines


def loose_lines(measured: dict[str, float], settled: str) -> tuple[dict[str, Any], Lines]:
    """A loose stack by every rule its measures allow."""
    from haywright.stack.loose import (
        loose_hay,
        loose_weight,
        rule_spread,
        stack_rules,
        stack_volumes,
    )

    volumes, room = stack_volumes(measured), loose_hay(settled)
    named = {one.id: one for one in stack_rules()}
    tight, open_ = room.per_kg
    # A rule that is only recalled stands in the list, marked, and never in the answer.
    read = [v for name, v in volumes.items() if named[name].mark != "recalled"]
    weighed = read or list(volumes.values())
    least = float(loose_weight(min(weighed), open_))
    most = float(loose_weight(max(weighed), tight))
    lines: Lines = [
        message("stack.weigh.loose", least=_tons(least), most=_tons(most), room=room.name.lower()),
        message("stack.weigh.spread", spread=Amount(100 * rule_spread(volumes), "%", digits=0)),
    ]
    for name, volume in volumes.items():
        lines.append(
            message(
                "stack.weigh.rule",
                rule=named[name].name,
                volume=Amount(volume, "m3", digits=0),
                mark=rule_mark(named[name].mark),
            )
        )
    payload = {
        "measured_m": measured,
        "volumes_m3": volumes,
        "settled": room.id,
        "mass_kg": [least, most],
        "rules": {
            name: {"source": named[name].source, "mark": named[name].mark} for name in volumes
        },
    }
    return payload, lines


def _tons(kg: float) -> Amount:
    return Amount(convert(kg, "kg", "tonne"), "tonne", digits=1)


def moisture_lines(
    moisture: float, package: Package | None, named: str
) -> tuple[dict[str, Any], Lines]:
    """What each source says of a moisture at baling."""
    from haywright.stack.keeping import moisture_at_baling

    if package is None:
        raise Refused("--package", named)
    found = moisture_at_baling(moisture, package)
    over = [one.label for one in found if not one.under]
    key = "stack.keep.moisture_over" if over else "stack.keep.moisture_under"
    shape = named.replace("-", " ")
    lines: Lines = [message(key, moisture=moisture, package=shape, names=tuple(over))]
    lines += [
        message("stack.keep.moisture_row", ceiling=one.ceiling, label=one.label) for one in found
    ]
    payload = {
        "moisture_pct": moisture,
        "ceilings": [
            {"method": o.name, "ceiling_pct": o.ceiling, "under": o.under, "source": o.source}
            for o in found
        ],
    }
    return payload, lines


def loss_lines(
    storage: str, months: float, rain: float | None, trial: str
) -> tuple[dict[str, Any], Lines]:
    """What stored hay loses: low, middle, high, and what other trials found."""
    from haywright.stack.keeping import (
        LossRow,
        content_after,
        hay_to_start,
        storage_loss,
        weathered_outside,
    )

    found = storage_loss(storage, months, rain=rain, method=trial)

    def pct(value: float) -> Amount:
        return Amount(value, "", digits=0)

    key = "stack.keep.head" if rain is None else "stack.keep.head_rain"
    lines: Lines = [
        message(key, storage=found.storage.name, months=months, low=pct(found.low),
                high=pct(found.high), middle=pct(found.middle), of=found.of)
    ]  # fmt: skip
    if found.of == "dry matter":
        lines.append(
            message(
                "stack.keep.start",
                low=pct(float(hay_to_start(100.0, found.low))),
                high=pct(float(hay_to_start(100.0, found.high))),
            )
        )
        lines.append(
            message(
                "stack.keep.rises",
                low=pct(float(content_after(1000.0, found.low, 0.0))),
                high=pct(float(content_after(1000.0, found.high, 0.0))),
            )
        )
    lines += [*found.notes]
    outside = weathered_outside(storage)
    if outside and max(row.high for row in outside) > 0:
        lines.append(
            message(
                "stack.keep.outside",
                high=Amount(max(row.high for row in outside), "m", digits=1),
            )
        )
    lines.append(message("stack.keep.source", line=cite(found.source).line))

    def row_line(row: LossRow) -> Message:
        low, high = row.loss
        loss = f"{low:g}" if low == high else f"{low:g}–{high:g}"
        months_said = ""
        if row.months is not None:
            first, last = row.months
            months_said = f"{first:g}" if first == last else f"{first:g}–{last:g}"
        what = message(
            "stack.keep.other_what",
            line=row.source and cite(row.source).line,
            wrap=message("stack.keep.other_wrap", wrap=row.wrap) if row.wrap else "",
            months=message("stack.keep.other_months", months=months_said) if months_said else "",
            of=message("stack.keep.other_weight") if row.of == "weight" else "",
        )
        return message("stack.keep.other_row", loss=loss.rjust(7), what=what)

    lines += section("stack.keep.others", [row_line(row) for row in found.others])
    return found.to_json(), lines


def rule_lines(bales: int | None, test: str, package: str) -> tuple[list[dict[str, Any]], Lines]:
    """Every rule, or those that speak of a package and a purpose, with what each asks."""
    from haywright.measure.errors import HaywrightError
    from haywright.stack.packages import KINDS
    from haywright.stack.rules import bales_by_rule, rules

    if test not in ("", "nitrate", "nutrients"):
        raise Refused("--test", test, "nitrate, nutrients")
    if package not in ("", "standing", *KINDS):
        raise Refused("--package", package, ", ".join((*KINDS, "standing")))
    payload: list[dict[str, Any]] = []
    lines: Lines = [message("stack.rule.head")]
    for one in rules().values():
        purposes = (test,) if test else ("nitrate", "nutrients")
        in_field = () if bales is not None else ("standing", "loose")
        kinds = (package,) if package else (*KINDS, *in_field)
        if not any(one.speaks_of(k, p) for k in kinds for p in purposes):  # type: ignore[arg-type]
            continue
        row: dict[str, Any] = {
            "id": one.id,
            "name": one.name,
            "source": one.source,
            "mark": one.mark,
        }
        if bales is None:
            lines.append(message("stack.rule.line", id=one.id, name=one.name))
        else:
            try:
                asked = bales_by_rule(one.id, bales=bales)
            except HaywrightError as error:
                said: Message = message("stack.rule.says_nothing")
                row["why_not"] = say(error.message)
            else:
                row |= {"least": asked.least, "most": asked.most, "bags": asked.bags_least}
                said = _count(asked.least, asked.most)
            lines.append(message("stack.rule.asks", id=one.id, name=one.name, count=said))
        lines.append(
            message(
                "stack.rule.source",
                line=cite(one.source).line,
                mark=rule_mark(one.mark),
            )
        )
        payload.append(row)
    return payload, lines


def _count(least: int, most: int | None) -> Message:
    if most is None:
        return message("stack.rule.count_up", least=least)
    if most <= least:
        return message("stack.rule.count", least=least)
    return message("stack.rule.span", least=least, most=most)
