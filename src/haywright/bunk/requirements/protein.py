"""Protein of cattle: metabolizable, and the crude protein that brings it."""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation

_CATTLE = ("cattle",)


@equation(
    name="Metabolizable protein for maintenance",
    output=("mp_maintenance", "g/day", ""),
    source="nrc-beef-1996-cows",
    mark="recalled_confirmed",
    species=_CATTLE,
)
def mp_maintenance(shrunk_weight: Any) -> Any:
    """3.8 x weight^0.75; shrunk_weight [kg]."""
    return 3.8 * shrunk_weight**0.75


@equation(
    name="Crude protein that brings a metabolizable protein",
    output=("cp_need", "g/day", ""),
    source="mp391-gadberry",
    mark="read",
    species=_CATTLE,
    valid={"mp_cp_share": (0.64, 0.80)},
)
def cp_from_mp(mp_need: Any, mp_cp_share: Any = 0.67) -> Any:
    """MP / 0.67, as the printed tables have it.

    Parameters
    ----------
    mp_need
        [g/day].
    mp_cp_share
        0.64 when all degrades in the rumen, 0.80 when none [fraction].
    """
    return mp_need / mp_cp_share
