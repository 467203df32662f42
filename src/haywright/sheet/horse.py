"""Digestible energy for horses. TDN of ruminants is never shown as if it were horse energy."""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation
from haywright.sheet.carbohydrate import nfc_whole_ndf

_DE = ("horse_de", "Mcal/kg", "dry matter")


@equation(
    name="Horse energy of a forage, NRC 1989",
    output=_DE,
    source="nrc-horses-1989",
    mark="recalled",
    species=("horse",),
    valid={"adf": (15, 45)},
)
def horse_de_nrc1989(adf: Any, cp: Any) -> Any:
    """4.22 - 0.11 ADF + 0.0332 CP + 0.00112 ADF^2; adf [% of dry matter], cp [% of dry matter].

    Turns up again above ADF 49, so it is refused above 45.
    """
    return 4.22 - 0.11 * adf + 0.0332 * cp + 0.00112 * adf * adf


@equation(
    name="Horse energy of grain or supplement, NRC 1989",
    output=_DE,
    source="nrc-horses-1989",
    mark="recalled",
    species=("horse",),
    crops=("concentrate",),
)
def horse_de_grain(adf: Any) -> Any:
    """4.07 - 0.055 ADF; adf [% of dry matter]."""
    return 4.07 - 0.055 * adf


@equation(
    name="Horse energy, Pagan 1998",
    output=_DE,
    source="pagan-1998",
    mark="recalled_confirmed",
    species=("horse",),
    valid={"fat": (0, 5)},
)
def horse_de_pagan(cp: Any, adf: Any, ndf: Any, fat: Any, ash: Any) -> Any:
    """2118 + 12.18 CP - 9.37 ADF - 3.83 (NDF - ADF) + 47.18 fat + 20.35 NSC - 26.3 ash, in kcal.

    NSC is taken by difference.

    Parameters
    ----------
    cp, adf, ndf, fat, ash
        [% of dry matter].
    """
    nsc = nfc_whole_ndf(ndf, cp, fat, ash)
    kcal = (
        2118.0
        + 12.18 * cp
        - 9.37 * adf
        - 3.83 * (ndf - adf)
        + 47.18 * fat
        + 20.35 * nsc
        - 26.3 * ash
    )
    return kcal / 1000.0


@equation(
    name="Horse energy as a line in TDN, NRC",
    output=_DE,
    source="nrc-horses-tdn",
    mark="recalled",
    species=("horse",),
)
def horse_de_nrc_tdn(tdn: Any) -> Any:
    """0.255 + 0.0366 TDN; tdn [% of dry matter]."""
    return 0.255 + 0.0366 * tdn


@equation(
    name="Horse energy = 0.044 TDN, short form",
    output=_DE,
    source="equine-tdn-shortcut",
    mark="read",
    species=("horse",),
)
def horse_de_short(tdn: Any) -> Any:
    """0.044 TDN; tdn [% of dry matter]. A shortcut from ruminant TDN, said so where it is used."""
    return 0.044 * tdn
