"""Vitamin A of cattle on hay: what is needed, what hay brings, what is missing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from haywright.bunk.hazards.finding import Finding, line
from haywright.bunk.requirements.vitamins import VitaminClass, vitamin_a_need, vitamin_a_of_carotene
from haywright.measure.message import Amount, Message, message
from haywright.measure.register import equation


@equation(
    name="Vitamin A that is missing",
    output=("vitamin_a", "IU/day", ""),
    source="mass-balance",
    mark="definition",
    units={"needed": "IU/day", "brought": "IU/day"},
)
def vitamin_a_short(needed: Any, brought: Any) -> Any:
    """Needed - brought; needed [IU/day], brought [IU/day]."""
    return needed - brought


@dataclass(frozen=True, slots=True)
class Supply:
    """What brings vitamin A.

    Parameters
    ----------
    carotene
        Beta-carotene eaten [mg a day]; ``None`` when not known, and then hay gets no credit.
    hay_age
        Days since baling [day]; hay of over a year gets no credit.
    supplement
        From minerals and supplements [IU a day].
    """

    carotene: float | None = None
    hay_age: float | None = None
    supplement: float = 0.0

    def brought(self) -> float:
        """Vitamin A a day [IU]."""
        old = self.hay_age is not None and self.hay_age > line("vitamin_a", "old_hay_days")["line"]
        hay = 0.0 if self.carotene is None or old else float(vitamin_a_of_carotene(self.carotene))
        return hay + self.supplement


def judge_vitamin_a(
    of: VitaminClass,
    supply: Supply,
    *,
    weight: float | None = None,
    dmi: float | None = None,
    high_nitrate: bool = False,
) -> Finding:
    """Vitamin A of a day; the liver holds two to six months of it.

    Parameters
    ----------
    of
        growing, gestating, milking, bulls or stressed.
    supply
        What brings it.
    weight
        [kg].
    dmi
        [kg of dry matter a day].
    high_nitrate
        Whether the hay is high in nitrate, which is suspected of making a lack worse.
    """
    needed = vitamin_a_need(of, weight=weight, dmi=dmi)
    short = float(vitamin_a_short(needed, supply.brought()))
    advice: list[Message] = [message("hazards_other.vitamin_a.liver")]
    if high_nitrate:
        advice.insert(0, message("hazards_other.vitamin_a.nitrate"))
    return Finding(
        hazard="vitamin_a",
        level="caution" if short > 0 else "below",
        says=message(
            "hazards_other.vitamin_a.short" if short > 0 else "hazards_other.vitamin_a.enough",
            needed=Amount(needed, "IU", digits=0),
            short=Amount(max(short, 0.0), "IU", digits=0),
        ),
        source="vitamin-a-osu" if of == "stressed" else "vitamin-a-msd",
        mark="read",
        value=Amount(short, "IU", digits=0),
        advice=tuple(advice),
    )
