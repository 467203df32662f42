"""The same sample under each TDN equation, and what a laboratory's own net energy implies."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from haywright.measure.errors import Refused
from haywright.measure.message import Amount, Message, message
from haywright.measure.register import Mark
from haywright.measure.result import Result, Results
from haywright.measure.units import convert
from haywright.sheet.energy import de_from_tdn, me_082, nem_garrett
from haywright.sheet.method import Method
from haywright.sheet.plausibility import limits
from haywright.sheet.working import Working

CHAIN = ("tdn_90", "de", "me", "nem", "neg", "nel")
_LEAST_TDN, _MOST_TDN = 25.0, 100.0


@dataclass(frozen=True, slots=True)
class EnergyRow:
    """One TDN equation on this sample: its TDN, and the energy that follows from it.

    Parameters
    ----------
    method
        The equation.
    meant
        Whether it was made for this crop.
    energy
        "tdn", "tdn_90", "de", "me", "nem", "neg", "nel" -> Result; empty when it cannot be worked.
    refused
        Why it cannot be worked.
    """

    method: Method
    meant: bool
    energy: Mapping[str, Result]
    refused: Message | None = None

    @property
    def mark(self) -> Mark:
        """How well the equation is known."""
        return self.method.equation.mark

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        out: dict[str, Any] = {
            "method": self.method.name,
            "code": self.method.code,
            "equation": self.method.equation.id,
            "name": self.method.equation.name,
            "mark": self.mark.value,
            "source": self.method.equation.source,
            "meant_for_this_crop": self.meant,
            "energy": {
                name: one.value if math.isfinite(one.value) else None
                for name, one in self.energy.items()
            },
        }
        if self.refused is not None:
            out["refused"] = self.refused.to_json()
        return out


def energy_rows(working: Working) -> tuple[EnergyRow, ...]:
    """The sample under each published TDN equation, in order of preference."""
    rows = []
    for offer in working.offers("tdn"):
        energy = {} if offer.result is None else energy_of(offer.result, working)
        rows.append(EnergyRow(offer.method, offer.meant, energy, offer.refused))
    return tuple(rows)


def energy_of(tdn: Result, working: Working) -> dict[str, Result]:
    """What follows from one TDN by the chosen or preferred rules; nothing else is looked at."""
    rules = {name: one for name, one in working.methods.items() if name != "tdn"}
    alone = replace(working, results=Results([tdn]), methods=rules, _done={}, _busy=set())
    out = {"tdn": tdn}
    for name in CHAIN:
        try:
            out[name] = alone.result(name)
        except Refused:
            continue
    return out


def implied_tdn(nem: float) -> float:
    """The TDN whose net energy for maintenance this is, by the default rules.

    Parameters
    ----------
    nem
        [Mcal/kg of dry matter].

    Returns
    -------
    TDN [% of dry matter]. For comparing only: a laboratory's net energy may stand at another
    level of intake.
    """
    from scipy.optimize import brentq

    def apart(tdn: float) -> float:
        return float(nem_garrett(me_082(de_from_tdn(tdn)))) - nem

    if apart(_LEAST_TDN) > 0 or apart(_MOST_TDN) < 0:
        raise Refused("nem", nem, key="sheet.no_number")
    return float(brentq(apart, _LEAST_TDN, _MOST_TDN, xtol=1e-9))


def reported_energy(working: Working) -> tuple[Message, ...]:
    """Net energies the laboratory reported that its own TDN does not give; they are kept."""
    results = working.results
    if "tdn" not in results or not results["tdn"].settled:
        return ()
    worked = energy_of(results["tdn"], working)
    within = convert(limits()["P13"]["ne_within"], "Mcal/lb", "Mcal/kg")
    return tuple(
        message(
            "sheet.energy_kept",
            quantity=message("measure.quantity", id=name),
            reported=Amount(results[name].value, "Mcal/kg", digits=2),
            worked=Amount(worked[name].value, "Mcal/kg", digits=2),
            tdn=Amount(results["tdn"].value, "%", analyte="tdn"),
        )
        for name in ("nem", "neg", "nel")
        if name in results
        and name in worked
        and results[name].settled
        and abs(results[name].value - worked[name].value) > within
    )
