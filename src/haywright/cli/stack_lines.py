"""How the answers of the stack are set on a terminal."""

from __future__ import annotations

from collections.abc import Iterable

from haywright.measure.message import Amount, Message, message
from haywright.stack.plan import PlannedBag, SamplingPlan
from haywright.stack.precision import chances
from haywright.stack.probe import ProbeReport
from haywright.words import Reader, say
from haywright.words.numbers import number

Lines = list[str | Message]
WALK_SHOWN_UP_TO = 60
SHOWN_CORES = (1, 3, 5, 10, 20, 40)


def bullets(messages: Iterable[Message]) -> Lines:
    """Messages as the lines of a list."""
    return [message("stack.plan.bullet", text=one) for one in messages]


def section(head: str, lines: Lines) -> Lines:
    """Lines under a head; nothing where there are none."""
    return ["", message(head), *lines] if lines else []


def _percent(part: float, digits: int = 0) -> Amount:
    return Amount(100 * part, "%", digits=digits)


def plan_lines(plan: SamplingPlan, reader: Reader) -> Lines:
    """The plan: the act first, then the walk, what it buys, what to mind."""
    lines: Lines = [_plan_head(plan)]
    if plan.suspects:
        lines.append(message("stack.plan.suspect", why=plan.suspects))
    lines += [*plan.cautions, *plan.doubts]
    lines += section("stack.plan.bags", [_bag_line(plan, bag) for bag in plan.bags])
    lines += section("stack.plan.walk", _walk_lines(plan))
    if plan.probe is not None:
        indoors = plan.lot.kept is not None and plan.lot.kept.group == "indoors"
        lines += section("stack.plan.core", _core_lines(plan.probe, ask=not indoors))
    lines += section("stack.plan.buys", _buys_lines(plan, reader))
    if plan.when:
        lines += section("stack.plan.when", bullets(_when(plan)))
    lines += section("stack.plan.steps", bullets(_steps(plan)))
    lines += section("stack.plan.mind", bullets(plan.always))
    lines += section("stack.plan.know", bullets((*plan.notes, *_standing(plan))))
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
    mark = rule_mark(plan.rule.mark)
    if plan.chosen:
        asked = message("stack.rule.count", least=plan.asked.least)
        said = [message("stack.plan.rule_chosen", rule=plan.rule.name, asked=asked)]
    else:
        said = [message("stack.plan.rule", rule=plan.rule.name, mark=mark)]
    if plan.picks and len(plan.picks) < (plan.lot.bales or 0):
        key = "stack.plan.seed" if plan.method == "random" else "stack.plan.every_nth"
        said.append(message(key, seed=plan.seed))
    return said


def rule_mark(mark: str) -> Message | str:
    """How well a rule is known, where it was not simply read."""
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
        lines += bullets([one.spread.said for one in plan.precision])
        if any(one.spread.provisional for one in plan.precision):
            lines.append(message("stack.plan.bullet", text=message("stack.spread.replace")))
    lines += bullets(
        message("stack.precision.nobody", quantity=message("measure.quantity", id=name))
        for name in plan.unknown
    )
    return lines


def _buys_table(plan: SamplingPlan, reader: Reader) -> Lines:
    """Quantities down, cores across, the plan's own column in brackets."""
    at = plan.precision[0].at.cores
    unit_of = "places" if plan.protocol.takes == "plants" else "cores"
    points = plan.precision[0].points
    bales = [p.bales for p in points if p.cores == at or p.bales in SHOWN_CORES]
    cores = [str(next(p.cores for p in points if p.bales == n)) for n in bales]
    head = [f"[{n}]" if n == str(at) else n for n in cores]
    rows = [
        [say(message(f"stack.plan.buys_{unit_of}")), *head, say(message("stack.plan.buys_other"))]
    ]
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
    if report.nearest_true is not None:
        least, most = (Amount(one, "m", digits=0) for one in report.nearest_true)
        lines.append(message("stack.probe.said.between", least=least, most=most))
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
    lines += section(
        "stack.plan.mind", bullets(message(f"stack.caution.{one}") for one in cautions)
    )
    return lines
