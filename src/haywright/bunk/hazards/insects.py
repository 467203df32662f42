"""Blister beetles in alfalfa: few kill a horse, and no sample clears a lot."""

from __future__ import annotations

from typing import Any

from haywright.bunk.hazards.finding import Finding, line
from haywright.measure.message import Amount, message
from haywright.measure.register import equation


@equation(
    name="Beetles that carry a lethal amount",
    output=("beetles", "", ""),
    source="equine-disease-quarterly",
    mark="read",
    species=("horse",),
    units={"lethal": "mg/kg of body weight", "per_beetle": "mg"},
)
def lethal_beetles(weight: Any, lethal: Any = 0.45, per_beetle: Any = 5.0) -> Any:
    """Weight x lethal amount / amount in one beetle.

    Parameters
    ----------
    weight
        [kg].
    lethal
        0.45 to 1.0 [mg/kg of body weight].
    per_beetle
        About 5 in a striped beetle [mg].
    """
    return weight * lethal / per_beetle


def judge_beetles(*, found: bool, weight: float, species: str = "horse") -> Finding:
    """Blister beetles in hay: found, the hay is not fed; not found, it is not cleared.

    Parameters
    ----------
    found
        Whether any were seen.
    weight
        Of the animal [kg].
    species
        Cattle, sheep, goats and people are poisoned too.
    """
    printed = line("beetles", "published_low")
    fewest = min(float(lethal_beetles(weight)), float(printed["line"]))
    key = "hazards_other.beetles.found" if found else "hazards_other.beetles.not_found"
    return Finding(
        hazard="blister_beetles",
        level="stop" if found else "unknown",
        says=message(key, beetles=Amount(fewest, digits=0), species=species),
        source=printed["source"],
        mark=printed["mark"],
        advice=(message("hazards_other.beetles.advice"),),
    )
