"""Where the winter plan meets the gate: what a nutrient is worth on this ranch, as a price."""

from __future__ import annotations

from collections.abc import Mapping

from haywright.gate.money import Price
from haywright.gate.price import NutrientCost, is_energy
from haywright.gate.worth import nutrient_price
from haywright.measure.errors import Refused
from haywright.way.winter import NutrientPrices


def ranch_prices(
    found: NutrientPrices, *, energy: str = "", currency: str = "USD"
) -> Mapping[str, NutrientCost]:
    """What one more unit of energy and of protein is worth by the plan of a ranch.

    Parameters
    ----------
    found
        As the plan gives it.
    energy
        Which energy to price where herds are counted in several; a hay has only one of them.
    currency
        ISO 4217, of the plan's money.

    Raises
    ------
    Refused
        Herds are counted in several energies and none was chosen, or one not among them.
    """
    names = sorted(found.energy)
    chosen = energy or (names[0] if len(names) == 1 else "")
    if chosen not in names:
        raise Refused("energy", energy, ", ".join(names), key="gate_offers.which_energy")
    out = {"cp": _by_mass("cp", found.cp, currency)}
    money = max(found.energy[chosen], 0.0)
    if is_energy(chosen):
        return out | {chosen: nutrient_price(chosen, money, "Mcal", currency=currency)}
    return out | {chosen: _by_mass(chosen, money, currency)}


def _by_mass(nutrient: str, per_kg: float, currency: str) -> NutrientCost:
    per_lb = Price(max(float(per_kg), 0.0), "kg", currency).to("lb").amount  # type: ignore[arg-type]
    return nutrient_price(nutrient, per_lb, "lb", currency=currency)
