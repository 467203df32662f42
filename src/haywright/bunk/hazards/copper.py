"""Copper with molybdenum, sulfur and iron: too little that can be used, or too much for sheep."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from haywright.bunk.hazards.finding import Finding, Level, Value, high, line, low
from haywright.measure.estimate import Estimate
from haywright.measure.message import Amount, Message, message
from haywright.measure.register import apply, equation


@equation(
    name="Copper to molybdenum",
    output=("cu_to_mo", "", ""),
    source="mass-balance",
    mark="definition",
    species=("cattle", "sheep", "goat"),
)
def cu_to_mo(cu: Any, mo: Any) -> Any:
    """Cu / Mo of the whole diet; cu [mg/kg of dry matter], mo [mg/kg of dry matter]."""
    return cu / mo


@equation(
    name="Share of copper a sheep can use",
    output=("true_availability", "fraction", ""),
    source="copper-molybdenum-sulfur",
    mark="read",
    species=("sheep",),
    valid={"mo": (0, 20), "s": (0, 0.5)},
)
def copper_availability(mo: Any, s: Any) -> Any:
    """10^(-0.0019 Mo - 0.0755 S - 0.0131 Mo S - 1.153), S in g/kg.

    Parameters
    ----------
    mo
        [mg/kg of dry matter].
    s
        [% of dry matter].
    """
    grams = 10.0 * s
    return 10.0 ** (-0.0019 * mo - 0.0755 * grams - 0.0131 * mo * grams - 1.153)


@equation(
    name="Copper a sheep can use",
    output=("available_cu", "mg/kg", "dry matter"),
    source="copper-molybdenum-sulfur",
    mark="read",
    species=("sheep",),
)
def available_copper(cu: Any, mo: Any, s: Any) -> Any:
    """Copper x share; cu [mg/kg of dry matter], mo [mg/kg of dry matter], s [% of dry matter]."""
    return cu * copper_availability(mo, s)


@dataclass(frozen=True, slots=True)
class Copper:
    """What is known of the diet's copper and what ties it up.

    Parameters
    ----------
    cu
        [mg/kg of dry matter].
    mo
        [mg/kg of dry matter]; ``None`` when not known.
    s
        [% of dry matter]; ``None`` when not known.
    fe
        [mg/kg of dry matter]; ``None`` when not known.
    """

    cu: Value
    mo: Value | None = None
    s: Value | None = None
    fe: Value | None = None


def judge_copper(diet: Copper, *, species: str = "cattle") -> Finding:
    """Copper of the whole diet; judge the total diet, never hay or mineral alone.

    Parameters
    ----------
    diet
        Copper, molybdenum, sulfur and iron.
    species
        cattle, sheep or goat; horses are hardly touched by molybdenum.
    """
    if species == "sheep":
        found = _too_much_for_sheep(diet)
        if found is not None:
            return found
    level, says, row = _tied_up(diet)
    return Finding(
        hazard="copper",
        level=level,
        says=says,
        source=row["source"],
        mark=row["mark"],
        value=Amount(high(diet.cu), "mg/kg", "dry matter", analyte="cu"),
        advice=tuple(_advice(diet, species)),
    )


def over_sheep(cu: Value, mo: Value | None = None) -> bool:
    """Whether copper is above what sheep bear: cu [mg/kg of dry matter], mo [mg/kg, or None].

    With little molybdenum they bear less.
    """
    row = line("copper", "sheep_low_molybdenum")
    scarce = mo is not None and high(mo) < row["molybdenum"]
    return bool(high(cu) > (row if scarce else line("copper", "sheep"))["line"])


def _too_much_for_sheep(diet: Copper) -> Finding | None:
    if not over_sheep(diet.cu, diet.mo):
        return None
    row = line("copper", "sheep")
    amount = Amount(high(diet.cu), "mg/kg", "dry matter", analyte="cu")
    return Finding(
        hazard="copper",
        level="stop",
        says=message("hazards_other.copper.sheep", cu=amount, line=row["line"]),
        source=row["source"],
        mark=row["mark"],
        value=amount,
        advice=(message("hazards_other.copper.sheep_mineral"),),
    )


def _tied_up(diet: Copper) -> tuple[Level, Message, Any]:
    need = line("copper", "need")
    cu = Amount(low(diet.cu), "mg/kg", "dry matter", analyte="cu")
    if diet.mo is None:
        if low(diet.cu) < need["line"]:
            return "information", message("hazards_other.copper.short", cu=cu), need
        return "unknown", message("hazards_other.copper.no_molybdenum", cu=cu), need
    ratio: Estimate = apply(cu_to_mo, {"cu": diet.cu, "mo": diet.mo})
    shown = Amount(ratio.value, digits=1)
    mo = Amount(high(diet.mo), "mg/kg", "dry matter", analyte="mo")
    scarce, plenty = line("copper", "molybdenum_low"), line("copper", "molybdenum_high")
    for row in (scarce, plenty):
        if low(diet.cu) < row["copper"] and high(diet.mo) > row["line"]:
            return "restrict", message("hazards_other.copper.poisoning", cu=cu, mo=mo), row
    toxic, concern = line("copper", "ratio_toxic"), line("copper", "ratio_concern")
    if low(ratio) < toxic["line"]:
        return (
            "restrict",
            message("hazards_other.copper.toxic", ratio=shown, line=toxic["line"]),
            toxic,
        )
    sulfur = diet.s is not None and high(diet.s) > line("copper", "sulfur_concern")["line"]
    if low(ratio) < concern["line"]:
        key = "hazards_other.copper.low_sulfur" if sulfur else "hazards_other.copper.low"
        return "caution", message(key, ratio=shown, line=concern["line"]), concern
    if low(diet.cu) < need["line"]:
        return "information", message("hazards_other.copper.short", cu=cu), need
    return "below", message("hazards_other.copper.between", ratio=shown, cu=cu), concern


def _advice(diet: Copper, species: str) -> list[Message]:
    found = []
    iron = line("copper", "iron")
    if diet.fe is not None and high(diet.fe) > iron["line"]:
        amount = Amount(high(diet.fe), "mg/kg", "dry matter", analyte="fe")
        found.append(message("hazards_other.copper.iron", fe=amount))
    if species == "sheep":
        found.append(message("hazards_other.copper.sheep_mineral"))
    return found
