"""How the answers of the stack are set on a terminal."""

from __future__ import annotations

from typing import Any

from haywright.measure.errors import Refused
from haywright.measure.message import Amount, Message, message
from haywright.sources.bibliography import cite
from haywright.stack.packages import Package
from haywright.stack.plan import PlannedBag, SamplingPlan
from haywright.stack.precision import chances
from haywright.stack.probe import ProbeReport
from haywright.words import Reader, say
from haywright.words.numbers import number

Lines = list[str | Message]
WALK_SHOWN_UP_TO = 60
SHOWN_CORES = (1, 3, 5, 10, 20, 40)


def _bullets(messages: Any) -> Lines:
    return [message("stack.plan.bullet", text=one) for one in messages]


def _section(head: str, lines: Lines) -> Lines:
    return ["", message(head), *lines] if lines else []


def _percent(part: float, digits: int = 0) -> Amount:
    return Amount(100 * part, "%", digits=digits)


def plan_lines(plan: SamplingPlan, reader: Reader) -> Lines:
    """The plan: the act first, then the walk, what it buys, what to mind."""
    lines: Lines = [_plan_head(plan)]
    if plan.suspects:
        lines.append(message("stack.plan.suspect", why=plan.suspects))
    lines += [*plan.cautions, *plan.doubts]
    lines += _section("stack.plan.bags", [_bag_line(plan, bag) for bag in plan.bags])
    lines += _section("stack.plan.walk", _walk_lines(plan))
    if plan.probe is not None:
        indoors = plan.lot.kept is not None and plan.lot.kept.group == "indoors"
        lines += _section("stack.plan.core", _core_lines(plan.probe, ask=not indoors))
    lines += _section("stack.plan.buys", _buys_lines(plan, reader))
    if plan.when:
        lines += _section("stack.plan.when", _bullets(_when(plan)))
    lines += _section("stack.plan.steps", _bullets(_steps(plan)))
    lines += _section("stack.plan.mind", _bullets(plan.always))
    lines += _section("stack.plan.know", _bullets((*plan.notes, *_standing(plan))))
    return lines


def _plan_head(plan: SamplingPlan) -> Message:
    if plan.probe is None:
        return message("stack.plan.head_field", places=plan.bags[0].units)
    return message(
        "stack.plan.head",
        n=plan.cores_per_bale,
        bales=len(plan.picks),
        of=plan.lot.bales or 0,
        depth=Amount(plan.probe.probe.length, "m", digits=0),
        face=message(f"stack.probe.said.face.{plan.probe.face}"),
    )


def _standing(plan: SamplingPlan) -> list[Message]:
    mark = _mark(plan.rule.mark)
    if plan.chosen:
        asked = message("stack.rule.count", least=plan.asked.least)
        said = [message("stack.plan.rule_chosen", rule=plan.rule.name, asked=asked)]
    else:
        said = [message("stack.plan.rule", rule=plan.rule.name, mark=mark)]
    if plan.picks and len(plan.picks) < (plan.lot.bales or 0):
        key = "stack.plan.seed" if plan.method == "random" else "stack.plan.every_nth"
        said.append(message(key, seed=plan.seed))
    return said


def _mark(mark: str) -> Message | str:
    return "" if mark == "read" else message(f"stack.mark.{mark}")


def _steps(plan: SamplingPlan) -> list[Message]:
    steps = [*plan.protocol.steps]
    if any(one.clock is not None for one in plan.picks):
        steps.append(message("stack.step.clock"))
    return steps


def _when(plan: SamplingPlan) -> list[Message]:
    return [
        one.reason
        if one.not_before is None
        else message("stack.when.not_before", advice=one.reason, day=one.not_before)
        for one in plan.when
    ]


def _bag_line(plan: SamplingPlan, bag: PlannedBag) -> Message:
    part = message("stack.plan.bag_part", part=bag.part) if bag.part else ""
    if bag.grams is None:
        return message("stack.plan.bag_field", bag=bag.number, part=part, places=bag.units)
    grams = Amount(bag.grams, "g", digits=0)
    if len(plan.bags) == 1:
        return message("stack.plan.bag_row_short", bag=bag.number, cores=bag.units, grams=grams)
    numbers = ", ".join(str(b) for b in bag.bales)
    return message("stack.plan.bag_row", bag=bag.number, part=part, bales=numbers, grams=grams)


def _walk_lines(plan: SamplingPlan) -> Lines:
    if not plan.picks:
        return []
    lines: Lines = []
    width = len(str(len(plan.picks)))
    plain = not plan.lot.faces and not any(one.clock for one in plan.picks)
    if plain or len(plan.picks) > WALK_SHOWN_UP_TO:
        walk = ", ".join(str(b) for b in plan.walk)
        lines.append(message("stack.plan.walk_short", bales=walk))
    else:
        for one in plan.picks:
            where: str | Message = ""
            if one.face:
                where = message("stack.plan.walk_where", face=one.face, tier=one.tier + 1,
                                column=one.column + 1)  # fmt: skip
            lines.append(
                message(
                    "stack.plan.walk_row",
                    walk=str(one.walk).rjust(width),
                    bale=str(one.bale),
                    where=where,
                    clock=message("stack.plan.walk_clock", clock=one.clock) if one.clock else "",
                    bag=message("stack.plan.walk_bag", bag=one.bag) if len(plan.bags) > 1 else "",
                )
            )
    if plan.unreached:
        lines.append(
            message(
                "stack.plan.unreached",
                share=_percent(plan.unreached_share),
                n=len(plan.unreached),
            )
        )
    return lines


def _buys_lines(plan: SamplingPlan, reader: Reader) -> Lines:
    lines: Lines = []
    if plan.precision:
        lines += _buys_table(plan, reader)
        lines.append(message("stack.plan.buys_note", chances=chances(plan.precision[0].confidence)))
        lines += _bullets([one.spread.said for one in plan.precision])
        if any(one.spread.provisional for one in plan.precision):
            lines.append(message("stack.plan.bullet", text=message("stack.spread.replace")))
    lines += _bullets(
        message("stack.precision.nobody", quantity=message("measure.quantity", id=name))
        for name in plan.unknown
    )
    return lines


def _buys_table(plan: SamplingPlan, reader: Reader) -> Lines:
    """Quantities down, cores across, the plan's own column in brackets."""
    at = plan.precision[0].at.cores
    points = plan.precision[0].points
    bales = [p.bales for p in points if p.cores == at or p.bales in SHOWN_CORES]
    cores = [str(next(p.cores for p in points if p.bales == n)) for n in bales]
    head = [f"[{n}]" if n == str(at) else n for n in cores]
    rows = [[say(message("stack.plan.buys_cores")), *head, say(message("stack.plan.buys_other"))]]
    for one in plan.precision:
        name = message("measure.quantity", id=one.quantity)
        key = "stack.plan.buys_relative" if one.relative else "stack.plan.buys_plain"
        halves = [next(p.one_laboratory for p in one.points if p.bales == n) for n in bales]
        figures = [_figure(one.amount(half), reader) for half in (*halves, one.at.half)]
        unit = one.amount(0.0).unit
        rows.append([say(message(key, quantity=name, unit=unit)), *figures])
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    text = [
        "   ".join(
            cell.ljust(width) if i == 0 else cell.rjust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        for row in rows
    ]
    return [
        message("stack.plan.buys_head", cores=text[0]),
        *(message("stack.plan.buys_row", row=row) for row in text[1:]),
    ]


def _figure(amount: Amount, reader: Reader) -> str:
    return "±" + number(amount.value, reader, digits=amount.digits)


def _core_lines(report: ProbeReport, *, ask: bool = True) -> Lines:
    lines: Lines = []
    if report.factor is not None:
        lines.append(
            message(
                "stack.probe.said.rind",
                rind=Amount(report.outside.rind, "m", digits=1),
                mass=_percent(report.mass_share),
                core=_percent(report.core_share),
                factor=Amount(report.factor, "", digits=2),
            )
        )
    elif report.package.round and ask:
        lines.append(message("stack.probe.said.no_rind"))
    if report.once is not None:
        lines.append(message("stack.probe.said.once", once=Amount(report.once, "m", digits=1)))
    lines += _seen_lines(report)
    lines.append(
        message(
            "stack.probe.said.mass",
            one=Amount(report.core_g, "g", digits=1),
            density=Amount(report.density, "kg/m3", digits=1),
            cores=report.cores,
            bag=Amount(report.bag_g, "g", digits=0),
        )
    )
    return [*lines, *report.notes]


def _seen_lines(report: ProbeReport) -> Lines:
    if report.face == "end":
        return [message("stack.probe.said.flakes", seen=_percent(report.seen_to))]
    if report.face != "curved":
        return []
    lines: Lines = []
    seen, unseen = _percent(report.seen_to - report.seen_from), _percent(report.mass_unseen)
    if report.seen_from < 1e-9:
        lines.append(message("stack.probe.said.seen_all"))
    elif report.probe.start > 0:
        start = Amount(report.probe.start, "m", digits=1)
        lines.append(message("stack.probe.said.seen_under", start=start, seen=seen, unseen=unseen))
    else:
        lines.append(message("stack.probe.said.seen", seen=seen, unseen=unseen))
    if report.wraps is not None:
        lines.append(message("stack.probe.said.wraps", wraps=round(report.wraps)))
    return lines


def probe_lines(report: ProbeReport, values: tuple[float, float] | None) -> Lines:
    """The probe judged, each face with what it would show."""
    package = report.package
    face = message(f"stack.probe.said.face.{report.face}")
    core = Amount(report.probe.length, "m", digits=1)
    if package.round:
        head = message(
            "stack.probe.said.round",
            diameter=Amount(package.diameter, "m", digits=0),
            width=Amount(package.width, "m", digits=0),
            core=core,
            face=face,
        )
    else:
        head = message("stack.probe.said.square", length=Amount(package.length, "m", digits=0),
                       core=core, face=face)  # fmt: skip
    lines: Lines = [head, *_core_lines(report)]
    if values is not None:
        off = report.bias(*values)
        way = message(f"stack.probe.said.{'higher' if off > 0 else 'lower'}")
        lines.append(
            message("stack.probe.said.bias", rind=values[0], sound=values[1],
                    bias=Amount(abs(off), "", digits=2), way=way)
        )  # fmt: skip
    lines += ["", message("stack.probe.said.faces")]
    lines += [
        message(
            "stack.probe.said.advised" if view.advised else "stack.probe.said.not_advised",
            reason=view.reason,
        )
        for view in report.views
    ]
    lines += ["", message("stack.probe.said.steps")]
    cautions = ("drill", "hot_probe", "hot_stack", "defer")
    lines += _section(
        "stack.plan.mind", _bullets(message(f"stack.caution.{one}") for one in cautions)
    )
    return lines


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
        lines += _section("stack.plan.mind", _bullets((*cautions, message("stack.caution.defer"))))
    lines += _section(
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

    lines += _section("stack.keep.others", [row_line(row) for row in found.others])
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
                mark=_mark(one.mark),
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
