"""Intake and diet found together: the diet that meets a cow's needs at the intake it allows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from haywright.bunk.intake import Age, dmi_1996, dmi_calves, dmi_yearlings
from haywright.bunk.requirements import gestation, growth, lactation, maintenance, minerals, protein
from haywright.measure.errors import Refused
from haywright.sheet.energy import neg_garrett, nem_garrett
from haywright.sources.tables import load_toml

_MILKING_MONTHS = 6
_POOREST, _RICHEST = 1.3, 3.4  # Mcal of metabolizable energy per kg: straw to grain


@dataclass(frozen=True, slots=True)
class CowDiet:
    """A cow's diet in a month after calving.

    Parameters
    ----------
    dmi
        [kg of dry matter a day].
    nem
        Of the diet [Mcal/kg of dry matter].
    nem_need
        [Mcal a day].
    mp, cp
        [g a day].
    ca, p
        [g a day].
    """

    dmi: float
    nem: float
    nem_need: float
    mp: float
    cp: float
    ca: float
    p: float

    @property
    def cp_share(self) -> float:
        """Protein of the diet [% of dry matter]."""
        return float(minerals.share_of_dm(self.cp, self.dmi))


def cow_diet(
    shrunk_weight: float,
    *,
    month: float,
    peak_milk: float,
    calf_birth_weight: float,
    conception_month: float | None = None,
    breed_factor: float = 1.0,
    mp_cp_share: float = 0.67,
    month_days: float | None = None,
) -> CowDiet:
    """The diet of a cow in a month after calving, as the printed tables of 1996 work it.

    Parameters
    ----------
    shrunk_weight
        Grown, at condition 5 [kg].
    month
        Since calving, at its end [count].
    peak_milk
        [kg/day].
    calf_birth_weight
        [kg].
    conception_month
        Months from calving to conception [count]; 280 days before the end of month 12 when
        not said.
    breed_factor
        On maintenance [factor].
    mp_cp_share
        Metabolizable of crude protein [fraction].
    month_days
        [day]; 30.4 when not said.
    """
    length = month_days or float(load_toml("reproduction")["usual"]["month"])
    conceived = 12 - 280 / length if conception_month is None else conception_month
    milking = month <= _MILKING_MONTHS
    weeks = length * month / 7.0
    milk = float(lactation.milk_yield(peak_milk, weeks)) if milking else 0.0
    days = max((month - conceived) * length, 0.0)
    pregnant = 1.0 if month > conceived else 0.0
    need = float(
        maintenance.nem_maintenance(
            shrunk_weight,
            breed_factor=breed_factor,
            lactation_factor=maintenance.lactation_factor(float(milking)),
        )
        + lactation.ne_milk(milk)
        + gestation.nem_pregnancy(calf_birth_weight, days)
    )
    nem = density_of(need, shrunk_weight=shrunk_weight, milk=milk, pregnant=pregnant)
    dmi = float(dmi_1996(shrunk_weight, nem, milk, pregnant))
    mp = float(
        protein.mp_maintenance(shrunk_weight)
        + lactation.mp_milk(milk)
        + gestation.mp_pregnancy(calf_birth_weight, days)
    )
    late = 1.0 if month > 9 else 0.0
    asked = {"milk": milk, "calf_birth_weight": calf_birth_weight, "calf_share": late}
    return CowDiet(
        dmi=dmi,
        nem=nem,
        nem_need=need,
        mp=mp,
        cp=float(protein.cp_from_mp(mp, mp_cp_share)),
        ca=float(minerals.ca_need(shrunk_weight, **asked)),
        p=float(minerals.p_need(shrunk_weight, **asked)),
    )


def density_of(
    nem_need: float, *, shrunk_weight: float, milk: float = 0.0, pregnant: float = 1.0
) -> float:
    """Net energy of the diet whose intake by the form of 1996 just meets a need [Mcal/kg].

    Parameters
    ----------
    nem_need
        [Mcal a day].
    shrunk_weight
        [kg].
    milk
        [kg/day].
    pregnant
        1 beyond about 80 days, else 0 [fraction].
    """
    me = _metabolizable(nem_need, 0.0, lambda nem: dmi_1996(shrunk_weight, nem, milk, pregnant))
    return float(nem_garrett(me))


def _metabolizable(nem_need: float, retained: float, intake: Callable[[float], Any]) -> float:
    """Energy of the diet at which intake just covers maintenance and gain [Mcal ME/kg].

    Raises
    ------
    Refused
        No diet meets it within what forage and grain can hold.
    """
    from scipy.optimize import brentq

    def short(me: float) -> float:
        nem = float(nem_garrett(me))
        left = float(intake(nem)) - nem_need / nem
        if not retained:
            return left
        neg = float(neg_garrett(me))
        return left - retained / neg if neg > 0 else -retained

    if short(_POOREST) > 0 or short(_RICHEST) < 0:
        raise Refused("nem_need", f"{nem_need:.1f}", key="animals.no_diet")
    return float(brentq(short, _POOREST, _RICHEST, xtol=1e-12))


@dataclass(frozen=True, slots=True)
class GrowingDiet:
    """A diet for a wanted gain.

    Parameters
    ----------
    dmi
        [kg of dry matter a day].
    me, nem, neg
        Of the diet [Mcal/kg of dry matter].
    energy_retained
        In gain [Mcal a day].
    mp, cp
        [g a day].
    ca, p
        [g a day].
    """

    dmi: float
    me: float
    nem: float
    neg: float
    energy_retained: float
    mp: float
    cp: float
    ca: float
    p: float


def growing_diet(
    shrunk_weight: float,
    *,
    finished_weight: float,
    gain: float,
    age: Age,
    days_pregnant: float = 0.0,
    calf_birth_weight: float = 0.0,
    breed_factor: float = 1.0,
) -> GrowingDiet:
    """The diet for a gain at the intake it allows, by the equations of 1996.

    Parameters
    ----------
    shrunk_weight, finished_weight
        [kg].
    gain
        Shrunk, besides the calf inside [kg/day].
    age
        calf or yearling decides the intake rule; grown takes that of pregnant cows.
    days_pregnant
        0 when open [day].
    calf_birth_weight
        [kg].
    breed_factor
        On maintenance [factor].
    """
    equivalent = float(growth.equivalent_weight(shrunk_weight, finished_weight))
    retained = float(growth.energy_retained(equivalent, gain))
    need = float(maintenance.nem_maintenance(shrunk_weight, breed_factor))
    need += float(gestation.nem_pregnancy(calf_birth_weight, days_pregnant))
    intake = {"calf": dmi_calves, "yearling": dmi_yearlings, "grown": dmi_1996}[age]
    me = _metabolizable(need, retained, lambda nem: intake(shrunk_weight, nem))
    gained = float(growth.protein_gain(gain, retained))
    mp = float(protein.mp_maintenance(shrunk_weight) + growth.mp_gain(gained, equivalent))
    mp += float(gestation.mp_pregnancy(calf_birth_weight, days_pregnant))
    late = 1.0 if days_pregnant > gestation.gestation_days() - 90 else 0.0
    asked = {"protein_gain": gained, "calf_birth_weight": calf_birth_weight, "calf_share": late}
    return GrowingDiet(
        dmi=float(intake(shrunk_weight, nem_garrett(me))),
        me=me,
        nem=float(nem_garrett(me)),
        neg=float(neg_garrett(me)),
        energy_retained=retained,
        mp=mp,
        cp=float(protein.cp_from_mp(mp)),
        ca=float(minerals.ca_need(shrunk_weight, **asked)),
        p=float(minerals.p_need(shrunk_weight, **asked)),
    )
