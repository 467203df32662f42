"""Calcium and phosphorus of cattle in grams; other minerals by edition from a table."""

from __future__ import annotations

from typing import Any, Literal, cast

from haywright.measure.errors import UnknownName
from haywright.measure.register import equation
from haywright.sources.tables import load_toml

_CATTLE = ("cattle",)
Stage = Literal["growing", "gestating", "milking"]
STAGES: tuple[Stage, ...] = ("growing", "gestating", "milking")


@equation(
    name="Calcium needed by cattle",
    output=("ca_need", "g/day", ""),
    source="nrc-beef-1996-cows",
    mark="recalled",
    species=_CATTLE,
)
def ca_need(
    shrunk_weight: Any,
    milk: Any = 0.0,
    protein_gain: Any = 0.0,
    calf_birth_weight: Any = 0.0,
    calf_share: Any = 0.0,
) -> Any:
    """(0.0154 weight + 1.23 milk + 0.071 protein + 13.7 CBW/90 in the last 90 days) / 0.50.

    Parameters
    ----------
    shrunk_weight
        [kg].
    milk
        [kg/day].
    protein_gain
        Retained [g/day].
    calf_birth_weight
        [kg].
    calf_share
        1 in the last 90 days of pregnancy, else 0 [fraction].
    """
    calf = 13.7 * calf_birth_weight / 90.0 * calf_share
    return (0.0154 * shrunk_weight + 1.23 * milk + 0.071 * protein_gain + calf) / 0.50


@equation(
    name="Phosphorus needed by cattle",
    output=("p_need", "g/day", ""),
    source="nrc-beef-1996-cows",
    mark="recalled",
    species=_CATTLE,
)
def p_need(
    shrunk_weight: Any,
    milk: Any = 0.0,
    protein_gain: Any = 0.0,
    calf_birth_weight: Any = 0.0,
    calf_share: Any = 0.0,
) -> Any:
    """(0.016 weight + 0.95 milk + 0.039 protein + 7.6 CBW/90 in the last 90 days) / 0.68.

    Parameters
    ----------
    shrunk_weight
        [kg].
    milk
        [kg/day].
    protein_gain
        Retained [g/day].
    calf_birth_weight
        [kg].
    calf_share
        1 in the last 90 days of pregnancy, else 0 [fraction].
    """
    calf = 7.6 * calf_birth_weight / 90.0 * calf_share
    return (0.016 * shrunk_weight + 0.95 * milk + 0.039 * protein_gain + calf) / 0.68


@equation(
    name="Share of dry matter from an amount a day",
    output=("share_of_dm", "%", "dry matter"),
    source="mass-balance",
    mark="definition",
    units={"amount": "g/day"},
)
def share_of_dm(amount: Any, dmi: Any) -> Any:
    """Amount / (10 x intake); amount [g/day], dmi [kg/day]."""
    return amount / (10.0 * dmi)


def editions() -> tuple[str, ...]:
    """The editions of the mineral table, the one that is the default first."""
    table = load_toml("minerals")
    return tuple(sorted(table, key=lambda name: not table[name].get("default", False)))


def _edition(name: str) -> dict[str, Any]:
    table = load_toml("minerals")
    if name not in table:
        raise UnknownName("edition", name, table)
    return cast("dict[str, Any]", table[name])


def mineral_needs(stage: Stage, *, edition: str = "nasem2016") -> dict[str, float]:
    """What beef cattle need in the diet, by dictionary name [% of DM; trace ones mg/kg of DM].

    Parameters
    ----------
    stage
        growing, gestating or milking.
    edition
        Name in the table of minerals.
    """
    position = STAGES.index(stage)
    return {name: float(row[position]) for name, row in _edition(edition)["needs"].items()}
