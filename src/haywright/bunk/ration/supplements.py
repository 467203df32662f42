"""What is short first, and how much of a supplement a forage diet bears."""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation

_CATTLE = ("cattle",)


@equation(
    name="TDN for each part of protein",
    output=("tdn_to_cp", "", ""),
    source="moore-1999-protein-first",
    mark="recalled",
    species=_CATTLE,
)
def tdn_to_cp(tdn: Any, cp: Any) -> Any:
    """TDN / CP; above 7 protein is short first; tdn [% of dry matter], cp [% of dry matter]."""
    return tdn / cp


@equation(
    name="Whether protein is short first",
    output=("protein_first", "", ""),
    source="moore-1999-protein-first",
    mark="recalled",
    species=_CATTLE,
)
def protein_first(tdn: Any, cp: Any) -> Any:
    """1 where TDN / CP is above 7 or CP below 7, else 0.

    Then a little of a feed rich in protein raises intake and digestion of the forage.

    Parameters
    ----------
    tdn, cp
        [% of dry matter].
    """
    return ((tdn_to_cp(tdn, cp) > 7.0) | (cp < 7.0)) * 1.0


@equation(
    name="Most grain on hay",
    output=("grain_cap", "kg/day", ""),
    source="intake-illinois",
    mark="read",
    species=_CATTLE,
    units={"grain_share": "% of body weight"},
)
def grain_cap(weight: Any, grain_share: Any = 0.5) -> Any:
    """0.5 % of weight; weight [kg], grain_share [% of body weight]."""
    return weight * grain_share / 100.0


@equation(
    name="Feed fed as a share of weight",
    output=("fed_bw", "% of body weight", "as fed"),
    source="manitoba-winter-rations",
    mark="read",
    units={"fed": "kg as fed"},
)
def fed_of_weight(fed: Any, weight: Any) -> Any:
    """100 fed / weight; fed [kg as fed a day], weight [kg]."""
    return 100.0 * fed / weight
