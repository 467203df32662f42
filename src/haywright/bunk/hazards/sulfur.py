"""Sulfur of feed and water together, against the level that the share of forage allows."""

from __future__ import annotations

from typing import Any

from haywright.bunk.hazards.finding import Finding, Level, Value, high, line
from haywright.measure.estimate import Estimate
from haywright.measure.message import Amount, message
from haywright.measure.register import apply, equation


@equation(
    name="Sulfur from water",
    output=("water_s", "%", "dry matter"),
    source="sulfur-csu",
    mark="read",
    species=("cattle", "sheep", "goat"),
)
def water_sulfur(water_sulfate: Any, water: Any, dmi: Any) -> Any:
    """(SO4 / 3) x litres / 1000 / intake / 10, spread over the dry matter eaten.

    Parameters
    ----------
    water_sulfate
        [mg/L].
    water
        Drunk [L a day].
    dmi
        [kg of dry matter a day].
    """
    return water_sulfate / 3.0 * water / 1000.0 / dmi / 10.0


@equation(
    name="Sulfur of feed and water",
    output=("total_s", "%", "dry matter"),
    source="sulfur-csu",
    mark="read",
    species=("cattle", "sheep", "goat"),
)
def total_sulfur(s: Any, water_s: Any) -> Any:
    """Feed + water; s [% of dry matter], water_s [% of dry matter]."""
    return s + water_s


def tolerated(forage_share: float) -> float:
    """The most sulfur of the diet [% of dry matter], by its share of forage.

    Between the two printed shares the lower level holds.

    Parameters
    ----------
    forage_share
        Forage of the diet [% of dry matter].
    """
    much, little = line("sulfur", "high_forage"), line("sulfur", "low_forage")
    return float(much["line"] if forage_share > much["forage"] else little["line"])


def judge_sulfur(s: Value, *, forage_share: float, water_s: Value | None = None) -> Finding:
    """Sulfur of the whole diet against what is tolerated.

    Parameters
    ----------
    s
        Of the feed [% of dry matter].
    forage_share
        Forage of the diet [% of dry matter].
    water_s
        Sulfur from water, spread over intake [% of dry matter]; ``None`` when not known.
    """
    counted = water_s is not None
    total: Estimate = apply(total_sulfur, {"s": s, "water_s": water_s if counted else 0.0})
    most, older = tolerated(forage_share), float(line("sulfur", "older")["line"])
    top = high(total)
    level: Level = "below"
    key = "hazards_other.sulfur.below"
    if top > most:
        level, key = "restrict", "hazards_other.sulfur.over"
    elif top > older:
        level, key = "caution", "hazards_other.sulfur.older"
    elif not counted:
        level, key = "unknown", "hazards_other.sulfur.water_unknown"
    amount = Amount(total.value, "%", "dry matter", digits=2)
    return Finding(
        hazard="sulfur",
        level=level,
        says=message(
            key, s=amount, most=most, older=older, forage=Amount(forage_share, "%", digits=0)
        ),
        source="nrc-2005-sulfur-missouri",
        mark="read",
        value=amount,
        advice=(message("hazards_other.sulfur.advice"),)
        if level in ("restrict", "caution")
        else (),
    )


def over_older_limit(total: float) -> bool:
    """Whether the total is above the older single limit of 0.40 % [% of dry matter]."""
    return total > float(line("sulfur", "older")["line"])


def judge_sulfate(sulfate: float, *, calves: bool = False) -> Finding:
    """Sulfate of stock water.

    Parameters
    ----------
    sulfate
        [mg/L].
    calves
        Whether calves drink it.
    """
    danger = line("sulfur", "water_polio")
    row = line("sulfur", "water_calves" if calves else "water_no_loss")
    level: Level = "below"
    key = "hazards_other.sulfate.below"
    if sulfate > danger["line"]:
        level, key, row = "stop", "hazards_other.sulfate.danger", danger
    elif sulfate > row["line"]:
        level, key = "caution", "hazards_other.sulfate.over"
    amount = Amount(sulfate, "mg/L", digits=0)
    return Finding(
        hazard="sulfate",
        level=level,
        says=message(key, sulfate=amount, line=row["line"]),
        source=row["source"],
        mark=row["mark"],
        value=amount,
    )
