"""What one animal of a group needs on a day, and what each figure rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

from haywright.bunk.animals import Stage
from haywright.bunk.weather import ColdRule
from haywright.measure.message import Amount, Message, message
from haywright.measure.register import Mark, declared

Energy = Literal["nem", "tdn", "horse_de", "nel"]
Protein = Literal["printed", "1996"]
PROTEIN: tuple[Protein, ...] = ("printed", "1996")
ENERGY_UNIT: dict[Energy, str] = {
    "nem": "Mcal",
    "tdn": "kg",
    "horse_de": "Mcal",
    "nel": "Mcal",
}


@dataclass(frozen=True, slots=True)
class Ground:
    """What a figure rests on.

    Parameters
    ----------
    what
        Register id of the equation, or the bibliography key of a printed row.
    source
        Bibliography key.
    mark
        How well it is known.
    """

    what: str
    source: str
    mark: Mark

    @property
    def recalled(self) -> bool:
        """Whether it rests on memory alone."""
        return self.mark is Mark.RECALLED


def ground(fn: Any) -> Ground:
    """The ground that an equation of the register gives."""
    eq = declared(fn)
    return Ground(eq.id, eq.source, eq.mark)


@dataclass(frozen=True, slots=True)
class Choices:
    """What a person may choose where sources disagree.

    Parameters
    ----------
    protein
        Of beef cattle: printed rows that were read (a day's amount and a share of the diet), or
        the metabolizable protein of 1996 by day, recalled.
    minerals
        Edition of the mineral table.
    cold
        How cold is turned into feed.
    previous_temperature
        Mean of the month before [°C], to count slow acclimatisation; ``None`` leaves it out.
    """

    protein: Protein = "printed"
    minerals: str = "nasem2016"
    cold: ColdRule = field(default_factory=ColdRule)
    previous_temperature: float | None = None


@dataclass(frozen=True, slots=True)
class DailyNeed:
    """Needs of one animal on a day.

    Parameters
    ----------
    group, day, stage
        Whose, when, and where it stands.
    weight
        Live weight [kg].
    energy
        In what energy is counted: nem (beef), tdn (sheep and goats), horse_de, nel (dairy).
    parts
        Part -> energy a day [Mcal, or kg of TDN]: maintenance, walking, cold, milk, pregnancy.
    gain_energy
        Net energy for gain [Mcal a day], on top of ``parts``; growing cattle.
    cp
        Crude protein at least [g a day].
    amounts
        Other amounts at least [g a day] by dictionary name.
    shares
        Least share of the diet by dictionary name [% of DM; trace ones mg/kg of DM].
    vitamin_a
        [IU a day]; ``None`` where no figure is known.
    mp
        Metabolizable protein, where it was worked out [g a day].
    dmi
        Dry matter a printed row goes with [kg a day].
    cold_increase
        More energy for cold [%].
    grounds
        What it rests on.
    """

    group: str
    day: date
    stage: Stage
    weight: float
    energy: Energy
    parts: Mapping[str, float]
    cp: float
    gain_energy: float = 0.0
    amounts: Mapping[str, float] = field(default_factory=dict)
    shares: Mapping[str, float] = field(default_factory=dict)
    vitamin_a: float | None = None
    mp: float | None = None
    dmi: float | None = None
    cold_increase: float = 0.0
    grounds: tuple[Ground, ...] = ()

    @property
    def total(self) -> float:
        """Energy a day without gain [Mcal, or kg of TDN]."""
        return sum(self.parts.values())

    @property
    def recalled(self) -> tuple[Ground, ...]:
        """The grounds that rest on memory alone; shown with what is worked out of them."""
        return tuple(sorted({one for one in self.grounds if one.recalled}, key=lambda g: g.what))

    def marks(self) -> list[Message]:
        """A remark naming the recalled grounds; none when all were read or confirmed."""
        if not self.recalled:
            return []
        return [message("animals.recalled", sources=tuple(g.what for g in self.recalled))]

    def energy_amount(self) -> Amount:
        """Energy a day as an amount for a sentence."""
        unit = ENERGY_UNIT[self.energy]
        return Amount(self.total, unit, digits=1 if unit == "Mcal" else 2)

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values; the units are in the names."""
        unit = ENERGY_UNIT[self.energy].lower()
        return {
            "group": self.group,
            "day": self.day.isoformat(),
            "days_pregnant": self.stage.days_pregnant,
            "milking": self.stage.milking,
            "weight_kg": round(self.weight, 1),
            "energy": self.energy,
            f"energy_{unit}_per_day": round(self.total, 3),
            f"parts_{unit}_per_day": {k: round(v, 3) for k, v in self.parts.items()},
            "gain_mcal_per_day": round(self.gain_energy, 3),
            "cp_g_per_day": round(self.cp, 1),
            "mp_g_per_day": None if self.mp is None else round(self.mp, 1),
            "amounts_g_per_day": {k: round(v, 2) for k, v in self.amounts.items()},
            "least_of_diet": dict(self.shares),
            "vitamin_a_iu_per_day": None if self.vitamin_a is None else round(self.vitamin_a),
            "cold_increase_pct": round(self.cold_increase, 1),
            "rests_on": [
                {"what": g.what, "source": g.source, "kind": g.mark.value} for g in self.grounds
            ],
        }
