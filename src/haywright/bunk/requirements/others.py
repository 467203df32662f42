"""Sheep, goats, horses and dairy cows by day, at the depth of the printed tables."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any, cast

from haywright.bunk.animals import HerdGroup, Stage, stage_on, weight_on
from haywright.bunk.requirements import dairy, horses, sheep_goats
from haywright.bunk.requirements.need import DailyNeed, ground
from haywright.bunk.requirements.rows import beside, between, by_weight, grounds_of
from haywright.measure.errors import CannotDerive
from haywright.sources.requirements import Row, other_rows
from haywright.sources.tables import load_toml


def _stages(family: str) -> dict[str, Any]:
    return cast("dict[str, Any]", load_toml("requirement_stages")[family])


def _ewe_stage(group: HerdGroup, stage: Stage) -> list[tuple[str, float]]:
    """Which printed stages a ewe falls under, with their shares."""
    names = _stages("ewe")
    if stage.milking:
        if (stage.days_milking or 0) > names["milk_until"]:
            return [(names["milk_later"], 1.0)]
        share = min(max(group.litter - 1.0, 0.0), 1.0)
        return [(names["milk_one"], 1.0 - share), (names["milk_two"], share)]
    if stage.days_to_birth is None:
        return [(names["maintenance"], 1.0)]
    late = names["late_two" if group.litter > names["twins_above"] else "late_one"]
    share = between(stage.days_pregnant, [(names["early_until"], 0.0), (names["late_from"], 1.0)])
    return [(names["early"], 1.0 - share), (late, share)]


def ewe_need(group: HerdGroup, day: date) -> DailyNeed:
    """Needs of a ewe on a day, from printed rows between weights [kg of TDN, g of protein]."""
    stage, weight = stage_on(group, day), weight_on(group, day)
    mixed = [(part, share) for part, share in _ewe_stage(group, stage) if share > 0]
    if group.due and _flushing(group, day):
        mixed = [(_stages("ewe")["flushing"], 1.0)]
    used: list[Row] = []

    def value(column: str) -> float:
        total = 0.0
        for part, share in mixed:
            rows = [r for r in other_rows() if r.species == "sheep" and part in r.stage]
            rows = beside([r for r in rows if r.source.startswith("nrc-sheep")], weight)
            used.extend(rows)
            total += share * by_weight(rows, weight, column)
        return total

    return DailyNeed(
        group=group.name,
        day=day,
        stage=stage,
        weight=weight,
        energy="tdn",
        parts={"need": value("tdn_kg_d")},
        cp=value("cp_g_d"),
        amounts={"ca": value("ca_g_d"), "p": value("p_g_d")},
        dmi=value("dm_kg_d"),
        grounds=tuple(grounds_of(used)),
    )


def _flushing(group: HerdGroup, day: date) -> bool:
    """Whether the day lies in the weeks around breeding, counted back from lambing."""
    if group.due is None:
        return False
    names = _stages("ewe")
    to_breeding = (group.due - day).days - int(load_toml("reproduction")["ewe"]["gestation"])
    return bool(-names["flush_after"] <= to_breeding <= names["flush_before"])


def doe_need(group: HerdGroup, day: date) -> DailyNeed:
    """Needs of a goat on a day: maintenance, growth, milk by equation, pregnancy by row."""
    names, stage, weight = _stages("doe"), stage_on(group, day), weight_on(group, day)
    grounds = [ground(sheep_goats.goat_me_maintenance), ground(sheep_goats.goat_cp)]
    activity = 1.0 + group.walking / 100.0
    me = float(sheep_goats.goat_me_maintenance(weight, activity))
    if group.gain:
        me += float(sheep_goats.goat_me_growth(group.gain))
    if stage.milking:
        if group.peak_milk is None:
            raise CannotDerive("tdn_need", ["peak_milk"])
        me += float(sheep_goats.goat_me_milk(group.peak_milk, group.milk_fat))
    de = sheep_goats.goat_de(me)
    parts = {"maintenance": float(sheep_goats.goat_tdn(de))}
    cp = float(sheep_goats.goat_cp(de))
    maintenance_rows = [r for r in other_rows() if r.group == names["maintenance"]]
    dmi = by_weight(maintenance_rows, weight, "dm_kg_d")
    amounts = {name: by_weight(maintenance_rows, weight, f"{name}_g_d") for name in ("ca", "p")}
    if stage.days_to_birth is not None and stage.days_to_birth <= names["late_days"]:
        late = next(r for r in other_rows() if r.stage == names["late"])
        parts["pregnancy"] = late.low("tdn_kg_d")
        cp += late.low("cp_g_d")
        dmi += late.low("dm_kg_d")
        amounts = {name: v + late.low(f"{name}_g_d") for name, v in amounts.items()}
        grounds += grounds_of([late])
    return DailyNeed(
        group=group.name, day=day, stage=stage, weight=weight, energy="tdn", parts=parts, cp=cp,
        amounts=amounts, dmi=dmi, grounds=(*grounds, *grounds_of(maintenance_rows)),
    )  # fmt: skip


def horse_need(group: HerdGroup, day: date) -> DailyNeed:
    """Needs of a horse on a day [Mcal of horse DE, g of protein]."""
    stage, weight = stage_on(group, day), weight_on(group, day)
    if stage.milking:
        return _mare_in_milk(group, day, stage, weight)
    names = _stages("horse")
    month = int(stage.days_pregnant // names["month_days"]) + 1 if stage.days_pregnant else 0
    if month >= names["first_month"]:
        return _mare_in_foal(group, day, stage, weight, month)
    grounds = [ground(horses.horse_de_average), ground(horses.horse_cp_average)]
    parts = {"maintenance": float(horses.horse_de_average(weight))}
    cp = float(horses.horse_cp_average(weight))
    amounts = {"ca": float(horses.horse_ca(weight)), "p": float(horses.horse_p(weight))}
    if group.work != "idle":
        rows = _horse_rows(f"{group.work} exercise")
        worked = horses.horse_de_work(weight, names["work"][group.work])
        parts["work"] = float(worked) - parts["maintenance"]
        scale = weight / rows.low("body_weight_kg")
        cp = rows.low("cp_g_d") * scale
        amounts = {name: rows.low(f"{name}_g_d") * scale for name in ("ca", "p")}
        grounds += [ground(horses.horse_de_work), *grounds_of([rows])]
    return DailyNeed(
        group=group.name, day=day, stage=stage, weight=weight, energy="horse_de", parts=parts,
        cp=cp, amounts=amounts, grounds=tuple(grounds),
    )  # fmt: skip


def _horse_rows(stage: str) -> Row:
    return next(r for r in other_rows() if r.source == "nrc-horses-2007" and r.stage == stage)


def _mare_in_foal(
    group: HerdGroup, day: date, stage: Stage, weight: float, month: int
) -> DailyNeed:
    month = {6: 5}.get(month, min(month, 11))
    row = _horse_rows(f"pregnant, month {month}")
    scale = weight / row.low("body_weight_kg")
    return DailyNeed(
        group=group.name,
        day=day,
        stage=stage,
        weight=weight,
        energy="horse_de",
        parts={"need": row.low("de_mcal_d") * scale},
        cp=row.low("cp_g_d") * scale,
        amounts={name: row.low(f"{name}_g_d") * scale for name in ("ca", "p")},
        grounds=tuple(grounds_of([row])),
    )


def _mare_in_milk(group: HerdGroup, day: date, stage: Stage, weight: float) -> DailyNeed:
    days = stage.days_milking or 1.0
    milk = float(horses.mare_milk(weight, days))
    used: tuple[Callable[..., object], ...] = (
        horses.mare_milk, horses.mare_de, horses.mare_cp, horses.mare_ca, horses.mare_p,
    )  # fmt: skip
    return DailyNeed(
        group=group.name,
        day=day,
        stage=stage,
        weight=weight,
        energy="horse_de",
        parts={"need": float(horses.mare_de(weight, milk))},
        cp=float(horses.mare_cp(weight, milk)),
        amounts={
            "ca": float(horses.mare_ca(weight, milk, days)),
            "p": float(horses.mare_p(weight, milk, days)),
        },
        grounds=tuple(ground(fn) for fn in used),
    )


def dairy_need(group: HerdGroup, day: date) -> DailyNeed:
    """Needs of a dairy cow on a day [Mcal of net energy for milk, g of protein]."""
    stage, weight = stage_on(group, day), weight_on(group, day)
    grounds = [ground(dairy.dairy_nel_maintenance)]
    parts = {"maintenance": float(dairy.dairy_nel_maintenance(weight))}
    if stage.milking:
        milk = group.peak_milk or float(load_toml("reproduction")["usual"]["dairy_milk"])
        energy = dairy.dairy_milk_energy(group.milk_fat, group.milk_protein)
        parts["milk"] = float(milk * energy)
        fcm = dairy.fat_corrected_milk(milk, group.milk_fat)
        dmi = float(dairy.dairy_dmi_milking(weight, fcm, stage.weeks_milking))
        grounds += [ground(dairy.dairy_milk_energy), ground(dairy.dairy_dmi_milking)]
    else:
        dmi = float(dairy.dairy_dmi_dry(weight, stage.days_pregnant))
        grounds.append(ground(dairy.dairy_dmi_dry))
    if stage.days_pregnant:
        calf = group.calf
        parts["pregnancy"] = float(dairy.dairy_nel_pregnancy(stage.days_pregnant, calf))
        grounds.append(ground(dairy.dairy_nel_pregnancy))
    row = _dairy_row(stage)
    share = 100.0 * row.low("cp_g_d") / 1000.0 / row.low("dm_kg_d")
    return DailyNeed(
        group=group.name, day=day, stage=stage, weight=weight, energy="nel", parts=parts,
        cp=10.0 * share * dmi, shares={"cp": round(share, 1)}, dmi=dmi,
        grounds=(*grounds, *grounds_of([row])),
    )  # fmt: skip


def _dairy_row(stage: Stage) -> Row:
    names = _stages("dairy")
    wanted = names["dry"]
    if stage.milking:
        wanted = next(one["row"] for one in names["milking"] if stage.weeks_milking < one["until"])
    return next(r for r in other_rows() if r.source == names["source"] and r.stage == wanted)
