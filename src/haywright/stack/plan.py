"""The sampling plan of a lot: from the lot and a person's choices to what goes into the yard."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from haywright.measure.errors import Refused
from haywright.measure.message import Amount, Message, message
from haywright.sources.tables import load_toml
from haywright.stack.error import LARGE_LOT
from haywright.stack.keeping import moisture_at_baling
from haywright.stack.lot import Lot
from haywright.stack.packages import Package, usual_size
from haywright.stack.picking import (
    BAGS_UNKNOWN,
    Group,
    Pick,
    bag_groups,
    parts_known,
    pick,
    shares_of,
)
from haywright.stack.planned import Choices, PlannedBag, SamplingPlan
from haywright.stack.precision import USUAL, Precision, library_for, precision_of
from haywright.stack.probe import (
    Face,
    Outside,
    Probe,
    ProbeReport,
    cores_for_mass,
    judge_probe,
    usual_probe,
)
from haywright.stack.protocol import Protocol, protocol, standing_never_clears
from haywright.stack.rules import Bales, Purpose, bales_by_rule, default_rule, rule
from haywright.stack.spread import PlanSpread, choose_spread, library_row
from haywright.stack.timing import lot_doubts, when_to_sample

__all__ = ["Choices", "PlannedBag", "SamplingPlan", "make_plan"]

ALWAYS_CORED = ("drill", "hot_probe", "climb", "hot_stack", "dust", "defer")
ALWAYS_CUT = ("defer",)
FIRE_WATCH_DAYS = 42


def make_plan(
    lot: Lot, choices: Choices | None = None, *, today: date | None = None
) -> SamplingPlan:
    """The sampling plan of a lot.

    Parameters
    ----------
    lot
        What is sampled.
    choices
        What the person chose.
    today
        Day of the plan, when it should mind how fresh the hay is.

    Raises
    ------
    Refused
        More bales wanted than can be reached, or a rule that does not speak of the lot.
    """
    choice = choices or Choices()
    guessed = lot.packages is not None and lot.packages.package is None
    if lot.packages is not None and guessed:
        taken = replace(lot.packages, package=usual_size("round").package)
        lot = replace(lot, packages=taken)
    suspects = lot.suspects_nitrate()
    purpose: Purpose = choice.purpose or ("nitrate" if suspects else "nutrients")
    how = protocol(lot)
    one = rule(choice.rule) if choice.rule else default_rule(_kind(lot), purpose)
    asked = bales_by_rule(one.id, bales=lot.bales, tonnes=_tonnes(lot))
    if how.takes == "plants":
        return _field_plan(lot, choice, how, purpose, suspects, asked)
    plan = _bale_plan(lot, choice, how, purpose, suspects, asked, today)
    if guessed:
        note = message("stack.plan.package_taken", package=usual_size("round").name)
        plan = replace(plan, notes=(*plan.notes, note))
    return plan


def _kind(lot: Lot) -> str:
    package = None if lot.packages is None else lot.packages.package
    return "standing" if package is None else package.kind


def _tonnes(lot: Lot) -> float | None:
    mass = None if lot.packages is None else lot.packages.mass
    return None if mass is None else mass / 1000


def _bale_plan(
    lot: Lot,
    choice: Choices,
    how: Protocol,
    purpose: Purpose,
    suspects: tuple[Message, ...],
    asked: Bales,
    today: date | None,
) -> SamplingPlan:
    count = lot.bales or 0
    unreached = lot.out_of_reach()
    within = count - len(unreached)
    if within == 0:
        raise Refused("unreached", count, key="stack.plan.none_reached")
    groups = bag_groups(lot, apart=purpose == "nitrate", bags=choice.bags)
    if choice.bags is None and asked.bags_least > 1:
        groups = bag_groups(lot, apart=True, bags=asked.bags_least)
    hidden = [group for group in groups if set(group.bales) <= unreached]
    groups = [group for group in groups if group not in hidden]
    apart = len(groups) > 1 and parts_known(lot)
    wanted, chosen, target_note = _wanted(lot, choice, asked, apart=apart, bags=len(groups))
    bales = min(wanted, within)
    spread_out = 1 if chosen else math.ceil(wanted / bales)
    per_bale = choice.cores_per_bale or max(asked.cores_per_bale, spread_out)
    package = _package(lot)
    probe = choice.probe or usual_probe()
    face: Face = "curved" if package.round else "end"
    report = _judged(lot, package, probe, face, math.ceil(bales / len(groups)) * per_bale)
    least = 1 if chosen else math.ceil(cores_for_mass(report.core_g, _least_g()) / per_bale)
    shares = shares_of(groups, frozenset(range(1, count + 1)) - unreached, bales, least)
    seed = choice.seed or lot.seed or lot.id
    picks = pick(lot, groups, shares, seed=seed, method=choice.method, by=choice.by)
    bags = _bags(groups, picks, per_bale, report.core_g)
    bales = len(picks)
    smallest = min((bag.units for bag in bags), default=1)
    report = _judged(lot, package, probe, face, max(smallest, 1))
    precision, unknown = _precision(lot, choice, purpose, bales=bales, per_bale=per_bale,
                                    bags=len(bags), apart=apart)  # fmt: skip
    notes = [*asked.notes, *target_note, *_bag_notes(lot, purpose, groups, apart=apart)]
    if choice.probe is None:
        notes.append(_probe_taken(probe))
    notes += [message("stack.plan.part_hidden", part=one.part, n=len(one.bales)) for one in hidden]
    if bales > wanted and not chosen:
        notes.append(message("stack.plan.more_for_mass", bales=bales, wanted=wanted))
    return SamplingPlan(
        lot=lot,
        protocol=how,
        purpose=purpose,
        suspects=suspects,
        rule=asked.rule,
        asked=asked,
        chosen=chosen,
        seed=seed,
        method=choice.method,
        cores_per_bale=per_bale,
        picks=tuple(picks),
        bags=tuple(bags),
        unreached=tuple(sorted(unreached)),
        probe=report,
        precision=precision,
        unknown=unknown,
        when=when_to_sample(lot),
        doubts=lot_doubts(lot),
        notes=tuple(notes),
        cautions=tuple(_cautions(lot, suspects, package, today)),
        always=tuple(message(f"stack.caution.{name}") for name in ALWAYS_CORED),
    )


def _field_plan(
    lot: Lot,
    choice: Choices,
    how: Protocol,
    purpose: Purpose,
    suspects: tuple[Message, ...],
    asked: Bales,
) -> SamplingPlan:
    """Places over a field, each part of it in a bag of its own."""
    places = choice.bales or asked.least
    parts = [part.name for part in lot.field_parts] or [""]
    bags = tuple(PlannedBag(n, part, (), 0, places, None) for n, part in enumerate(parts, 1))
    precision, unknown = _precision(lot, choice, purpose, bales=places * len(parts), per_bale=1,
                                    bags=len(bags), apart=len(parts) > 1)  # fmt: skip
    notes = [standing_never_clears()] if lot.form == "standing_crop" else []
    if len(parts) == 1:
        notes.append(message("stack.plan.field_parts_ask"))
    return SamplingPlan(
        lot=lot,
        protocol=how,
        purpose=purpose,
        suspects=suspects,
        rule=asked.rule,
        asked=asked,
        chosen=choice.bales is not None,
        seed="",
        method=choice.method,
        cores_per_bale=1,
        picks=(),
        bags=bags,
        unreached=(),
        probe=None,
        precision=precision,
        unknown=unknown,
        when=(),
        doubts=(),
        notes=tuple(notes),
        cautions=(message("stack.caution.stock_out"),),
        always=tuple(message(f"stack.caution.{name}") for name in ALWAYS_CUT),
    )


def _package(lot: Lot) -> Package:
    package = None if lot.packages is None else lot.packages.package
    return package or usual_size("round").package


def _judged(lot: Lot, package: Package, probe: Probe, face: Face, cores: int) -> ProbeReport:
    density = None if lot.packages is None else lot.packages.density
    return judge_probe(
        package,
        probe,
        density=density or usual_size(package.kind).planning_density,
        outside=Outside(lot.rind or 0.0),
        face=face,
        cores=cores,
        purpose=lot.purpose,
    )


def _least_g() -> float:
    return float(load_toml("bag_mass")["least"]["value"])


def _wanted(
    lot: Lot, choice: Choices, asked: Bales, *, apart: bool, bags: int
) -> tuple[int, bool, list[Message]]:
    """Bales wanted, whether a person set the number, and what to say of a target."""
    if choice.bales is not None:
        if lot.bales is not None and choice.bales > lot.bales:
            raise Refused("bales", choice.bales, key="stack.more_than_lot", bales=lot.bales)
        return choice.bales, True, []
    if choice.target is None:
        return asked.wanted, False, []
    quantity, half = choice.target
    spread = _spread(quantity, lot, choice, apart=apart)
    found = precision_of(
        spread,
        bales=1,
        lot_bales=lot.bales or LARGE_LOT,
        bags=bags,
        confidence=choice.confidence,
        target=half,
    )
    needed = found.needed
    said = message("measure.quantity", id=quantity)
    if needed is not None and needed.attainable:
        note = message(
            "stack.plan.for_target", quantity=said, half=found.amount(half), bales=needed.bales
        )
        return needed.bales, True, [note]
    readings = None if needed is None else needed.analyses
    key = "stack.plan.not_attainable" if readings is None else "stack.plan.attainable_with"
    note = message(
        key,
        quantity=said,
        half=found.amount(half),
        floor=found.amount(found.floor),
        n=readings or 0,
        here=_in_one_laboratory(spread, half, lot, choice, bags),
    )
    return asked.wanted, False, [note]


def _in_one_laboratory(
    spread: PlanSpread, half: float, lot: Lot, choice: Choices, bags: int
) -> Message | str:
    """What a target that a laboratory's bias puts out of reach takes where the bias is shared."""
    here = replace(spread, spread=spread.spread.one_laboratory)
    found = precision_of(
        here,
        bales=1,
        lot_bales=lot.bales or LARGE_LOT,
        bags=bags,
        confidence=choice.confidence,
        target=half,
    ).needed
    if found is None or not found.attainable:
        return ""
    return message("stack.plan.one_laboratory", bales=found.bales, each=found.cores_per_bale)


def _spread(quantity: str, lot: Lot, choice: Choices, *, apart: bool) -> PlanSpread:
    return choose_spread(
        quantity,
        library=library_for(quantity, lot, parts_apart=apart),
        given=choice.spreads.get(quantity),
        office=choice.office.get(quantity, ()),
        lot=choice.repeats.get(quantity, ()),
    )


def _precision(
    lot: Lot,
    choice: Choices,
    purpose: Purpose,
    *,
    bales: int,
    per_bale: int,
    bags: int,
    apart: bool,
) -> tuple[tuple[Precision, ...], tuple[str, ...]]:
    names = ["nitrate_n"] if purpose == "nitrate" else []
    names += [*USUAL] if lot.bales is not None else []
    names += [name for name in choice.spreads if name not in names]
    if choice.target is not None and choice.target[0] not in names:
        names.append(choice.target[0])
    found, unknown = [], []
    for name in names:
        known = library_row(library_for(name, lot, parts_apart=apart)) is not None
        given = name in choice.spreads or choice.office.get(name) or choice.repeats.get(name)
        if not known and not given:
            unknown.append(name)
            continue
        target = choice.target[1] if choice.target and choice.target[0] == name else None
        found.append(
            precision_of(
                _spread(name, lot, choice, apart=apart),
                bales=bales,
                cores_per_bale=per_bale,
                lot_bales=lot.bales or LARGE_LOT,
                bags=bags,
                confidence=choice.confidence,
                target=target,
            )
        )
    return tuple(found), tuple(unknown)


def _bags(
    groups: Sequence[Group], picks: Sequence[Pick], per_bale: int, core_g: float
) -> list[PlannedBag]:
    found = []
    for number, group in enumerate(groups, 1):
        mine = tuple(one.bale for one in picks if one.bag == number)
        cores = len(mine) * per_bale
        found.append(PlannedBag(number, group.part, mine, len(group.bales), cores, cores * core_g))
    return found


def _bag_notes(
    lot: Lot, purpose: Purpose, groups: Sequence[Group], *, apart: bool
) -> list[Message]:
    if purpose != "nitrate":
        return []
    if apart:
        return [message("stack.plan.bags_by_part", n=len(groups))]
    if len(groups) == BAGS_UNKNOWN:
        return [message("stack.plan.bags_by_halves")]
    return [] if len(groups) > 1 else [message("stack.plan.one_bag_hides", bales=lot.bales or 0)]


def _probe_taken(probe: Probe) -> Message:
    return message(
        "stack.plan.probe_taken",
        depth=Amount(probe.length, "m", digits=0),
        bore=Amount(probe.bore, "m", digits=2),
    )


def _nitrate_caution(suspects: Sequence[Message]) -> list[Message]:
    return [message("stack.caution.nitrate_unknown")] if suspects else []


def _cautions(
    lot: Lot, suspects: Sequence[Message], package: Package, today: date | None
) -> list[Message]:
    said = _nitrate_caution(suspects)
    wet = {"heated", "baled-wet"} & set(lot.events)
    if lot.moisture is not None and lot.form == "cured_hay":
        strictest = moisture_at_baling(lot.moisture, package)[0]
        if not strictest.under:
            said.append(
                message(
                    "stack.caution.baled_over",
                    moisture=lot.moisture,
                    ceiling=strictest.ceiling,
                    source=strictest.label,
                )
            )
            wet.add("moisture")
    fresh = (
        lot.baled_on is not None
        and today is not None
        and timedelta(0) <= today - lot.baled_on <= timedelta(days=FIRE_WATCH_DAYS)
    )
    if wet or fresh:
        said.append(message("stack.caution.heating_first"))
    return said
