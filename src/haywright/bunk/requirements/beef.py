"""Beef cattle by day: cows, first-calf heifers, growing cattle, bulls."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, cast

from haywright.bunk.animals import HerdGroup, Stage, stage_on, weight_on
from haywright.bunk.requirements import gestation, growth, lactation, maintenance, minerals, protein
from haywright.bunk.requirements.need import Choices, DailyNeed, Ground, ground
from haywright.bunk.requirements.rows import between, grounds_of
from haywright.bunk.requirements.vitamins import VitaminClass, vitamin_a_need
from haywright.bunk.weather import ColdRule
from haywright.measure.errors import CannotDerive
from haywright.measure.register import Mark
from haywright.measure.units import convert
from haywright.sources.requirements import Row, beef_rows
from haywright.sources.tables import load_toml


def _stages() -> dict[str, Any]:
    return cast("dict[str, Any]", load_toml("requirement_stages")["cow"])


def beef_need(
    group: HerdGroup, day: date, *, cold_increase: float = 0.0, choices: Choices | None = None
) -> DailyNeed:
    """Needs of one head of a beef group on a day.

    Parameters
    ----------
    group
        Cows, heifers, growing cattle or bulls.
    day
        The day.
    cold_increase
        More energy for cold [%]; on the whole ration of dry stock, on maintenance of milking
        cows and where the choice says so.
    choices
        Editions and rules.
    """
    chosen = choices or Choices()
    head = _head(group, day)
    parts, grounds = _energy(group, head, chosen)
    if cold_increase:
        base = cold_base(parts, head.stage, chosen.cold)
        parts["cold"] = base * cold_increase / 100.0
    retained = _retained(group, head)
    fed = _protein(group, head, retained, chosen)
    return DailyNeed(
        group=group.name,
        day=day,
        stage=head.stage,
        weight=head.weight,
        energy="nem",
        parts=parts,
        gain_energy=retained,
        cold_increase=cold_increase,
        vitamin_a=vitamin_a_need(_vitamin_class(group, head.stage), weight=head.weight),
        cp=fed.cp,
        mp=fed.mp,
        shares=fed.shares,
        amounts=fed.amounts,
        grounds=(*grounds, *fed.grounds),
    )


def cold_base(parts: Mapping[str, float], stage: Stage, rule: ColdRule) -> float:
    """What the per cent of cold is of [Mcal a day].

    The whole ration of dry stock, as the sources have it; else maintenance alone.
    """
    warm = {name: part for name, part in parts.items() if name != "cold"}
    if rule.base == "ration" and not stage.milking:
        return sum(warm.values())
    return warm["maintenance"]


@dataclass(frozen=True, slots=True)
class _Head:
    stage: Stage
    weight: float
    shrunk: float
    milk: float
    equivalent: float


def _head(group: HerdGroup, day: date) -> _Head:
    stage = stage_on(group, day)
    weight = weight_on(group, day)
    shrunk = float(maintenance.shrunk_weight(weight))
    milk = 0.0
    if stage.milking:
        peak = group.peak_milk or load_toml("reproduction")["usual"]["peak_milk"]
        if group.family == "heifer":
            peak = lactation.peak_milk_at_age(peak, 2.0)
        milk = float(lactation.milk_yield(peak, stage.weeks_milking))
    grown = group.grown_weight if group.mature_weight else shrunk
    return _Head(stage, weight, shrunk, milk, float(growth.equivalent_weight(shrunk, grown)))


def _energy(
    group: HerdGroup, head: _Head, choices: Choices
) -> tuple[dict[str, float], list[Ground]]:
    bull = group.family == "bull"
    parts = {
        "maintenance": float(
            maintenance.nem_maintenance(
                head.shrunk,
                breed_factor=group.breed_factor,
                lactation_factor=maintenance.lactation_factor(float(head.stage.milking)),
                sex_factor=maintenance.bull_factor() if bull else 1.0,
            )
        )
    }
    grounds = [ground(maintenance.nem_maintenance)]
    if group.breed_recalled:
        grounds.append(Ground("breed", "nrc-beef-1996-cows", Mark.RECALLED))
    if bull:
        grounds.append(ground(maintenance.bull_factor))
    if choices.previous_temperature is not None:
        more = maintenance.acclimatised_increase(choices.previous_temperature)
        parts["maintenance"] *= 1.0 + float(more) / 100.0
        grounds.append(ground(maintenance.acclimatised_increase))
    if group.walking:
        parts["walking"] = float(maintenance.nem_walking(parts["maintenance"], group.walking))
    if head.milk:
        parts["milk"] = float(lactation.ne_milk(head.milk, group.milk_fat, group.milk_snf))
        grounds.append(ground(lactation.ne_milk))
        if group.family == "heifer":
            grounds.append(ground(lactation.peak_milk_at_age))
    if head.stage.days_pregnant:
        parts["pregnancy"] = float(gestation.nem_pregnancy(group.calf, head.stage.days_pregnant))
        grounds.append(ground(gestation.nem_pregnancy))
    return parts, grounds


def _retained(group: HerdGroup, head: _Head) -> float:
    if not group.gain:
        return 0.0
    if group.mature_weight is None:
        raise CannotDerive("gain", ["mature_weight"])
    return float(growth.energy_retained(head.equivalent, group.gain))


@dataclass(frozen=True, slots=True)
class _Protein:
    """Protein and minerals: amounts [g a day] and least shares of the diet."""

    cp: float
    shares: dict[str, float]
    amounts: dict[str, float]
    grounds: list[Ground]
    mp: float | None = None


def _protein(group: HerdGroup, head: _Head, retained: float, choices: Choices) -> _Protein:
    stage = _mineral_stage(group, head.stage)
    shares = dict(minerals.mineral_needs(stage, edition=choices.minerals))
    shares["cp"] = float(load_toml("hazard_lines")["protein"]["rumen_floor"]["line"])
    gained = float(growth.protein_gain(group.gain, retained)) if group.gain else 0.0
    grounds = [Ground("merck-beef-minerals", "merck-beef-minerals", Mark.READ)]
    if choices.protein == "printed":
        printed = printed_row(group, head.stage)
        shares["cp"] = max(shares["cp"], printed.low("cp_pct_dm"))
        shares["ca"], shares["p"] = printed.high("ca_pct_dm"), printed.high("p_pct_dm")
        grounds += grounds_of([printed])
        cp = _printed_protein(group, head, gained, grounds)
        return _Protein(cp, shares, {}, grounds)
    mp = _metabolizable(group, head, gained, grounds)
    late = float(_late(head.stage))
    asked = {"milk": head.milk, "protein_gain": gained, "calf_birth_weight": group.calf}
    amounts = {
        "ca": float(minerals.ca_need(head.shrunk, calf_share=late, **asked)),
        "p": float(minerals.p_need(head.shrunk, calf_share=late, **asked)),
    }
    grounds += [ground(minerals.ca_need), ground(minerals.p_need)]
    cp = float(protein.cp_from_mp(mp))
    return _Protein(cp, shares, amounts, grounds, mp)


def _metabolizable(group: HerdGroup, head: _Head, gained: float, grounds: list[Ground]) -> float:
    mp = float(protein.mp_maintenance(head.shrunk))
    grounds.append(ground(protein.mp_maintenance))
    if head.milk:
        mp += float(lactation.mp_milk(head.milk, group.milk_protein))
        grounds.append(ground(lactation.mp_milk))
    if head.stage.days_pregnant:
        mp += float(gestation.mp_pregnancy(group.calf, head.stage.days_pregnant))
        grounds.append(ground(gestation.mp_pregnancy))
    if gained:
        mp += float(growth.mp_gain(gained, head.equivalent))
        grounds.append(ground(growth.mp_gain))
    return mp


def _printed_protein(group: HerdGroup, head: _Head, gained: float, grounds: list[Ground]) -> float:
    """Protein a day: printed for cows by stage and milk, else by maintenance and gain [g]."""
    if group.family in ("growing", "bull"):
        mp = float(protein.mp_maintenance(head.shrunk))
        mp += float(growth.mp_gain(gained, head.equivalent)) if gained else 0.0
        grounds += [ground(protein.mp_maintenance), ground(protein.cp_from_mp)]
        return float(protein.cp_from_mp(mp))
    key = _stages()["protein_source"]
    grounds.append(Ground(key, key, Mark.READ))
    printed_at = convert(_stages()["protein_weight_lb"], "lb", "kg")
    pounds = _arizona(head.stage, convert(head.milk, "kg", "lb"))
    extra = 0.0
    if gained:
        extra = float(protein.cp_from_mp(growth.mp_gain(gained, head.equivalent)))
        grounds.append(ground(growth.mp_gain))
    return float(convert(pounds, "lb", "g") * (head.shrunk / printed_at) ** 0.75 + extra)


def _arizona(stage: Stage, milk_lb: float) -> float:
    """Protein of a 1,000-lb cow from the printed rows [lb a day]; straight lines in milk."""
    names = _stages()
    rows = {
        row.stage: row
        for row in beef_rows()
        if row.source == names["protein_source"] and row.has("cp_lb_d")
    }
    if stage.milking:
        held = [
            (rows[s].low("peak_milk_lb_d"), rows[s].high("cp_lb_d")) for s in names["milk_protein"]
        ]
        return between(milk_lb, held)
    return rows[names["late_protein" if _late(stage) else "mid_protein"]].high("cp_lb_d")


def _late(stage: Stage) -> bool:
    return stage.days_to_birth is not None and stage.days_to_birth <= _stages()["late_days"]


def printed_row(group: HerdGroup, stage: Stage) -> Row:
    """The printed row of diet shares that a group's stage falls under."""
    names = _stages()
    if group.family == "bull":
        wanted = ("mature bull", "maintenance")
    elif group.family == "growing":
        wanted = ("replacement heifer", "growing")
    elif stage.milking:
        wanted = ("mature cow", names["milking"])
    else:
        wanted = ("mature cow", names["late" if _late(stage) else "mid"])
    return next(
        row
        for row in beef_rows()
        if row.source == names["source"] and (row.group, row.stage) == wanted
    )


def _mineral_stage(group: HerdGroup, stage: Stage) -> minerals.Stage:
    if stage.milking:
        return "milking"
    return "growing" if group.family == "growing" else "gestating"


def _vitamin_class(group: HerdGroup, stage: Stage) -> VitaminClass:
    if group.family == "bull":
        return "bulls"
    return _mineral_stage(group, stage)
