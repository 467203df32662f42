"""Total digestible nutrients as a sum of digestible parts (S1 to S4).

Unlike the regressions on fiber these see ash and bound protein: a point of ash costs 0.98 TDN.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation
from haywright.sheet.carbohydrate import fa_from_fat, ndfn_from_ndicp, nfc_from_ndfn, nfc_whole_ndf

_TDN = ("tdn", "%", "dry matter")


@equation(
    name="Digestible nonfiber carbohydrate",
    output=("tdnfc", "%", "dry matter"),
    source="nrc-dairy-2001",
    mark="recalled_confirmed",
)
def td_nfc(nfc: Any, paf: Any = 1.0) -> Any:
    """0.98 NFC x processing factor; nfc [% of dry matter], paf [fraction], 1 for all hay."""
    return 0.98 * nfc * paf


@equation(
    name="Digestible protein of a forage",
    output=("tdcp", "%", "dry matter"),
    source="nrc-dairy-2001",
    mark="recalled_confirmed",
)
def td_cp_forage(cp: Any, adicp: Any) -> Any:
    """CP exp(-1.2 ADICP/CP); cp [% of dry matter], adicp [% of dry matter]."""
    return cp * np.exp(-1.2 * adicp / cp)


@equation(
    name="Digestible protein of a concentrate",
    output=("tdcp", "%", "dry matter"),
    source="nrc-dairy-2001",
    mark="recalled_confirmed",
)
def td_cp_concentrate(cp: Any, adicp: Any) -> Any:
    """CP (1 - 0.4 ADICP/CP); cp [% of dry matter], adicp [% of dry matter]."""
    return cp * (1.0 - 0.4 * adicp / cp)


@equation(
    name="Digestible fiber from lignin",
    output=("tdndf", "%", "dry matter"),
    source="nrc-dairy-2001",
    mark="recalled_confirmed",
)
def td_ndf_lignin(ndfn: Any, lignin: Any) -> Any:
    """0.75 (NDFn - L) (1 - (L/NDFn)^0.667); ndfn [% of dry matter], lignin [% of dry matter]."""
    return 0.75 * (ndfn - lignin) * (1.0 - np.power(lignin / ndfn, 0.667))


@equation(
    name="Digestible fiber as measured in the tube",
    output=("tdndf", "%", "dry matter"),
    source="nrc-dairy-2001",
    mark="recalled_confirmed",
)
def td_ndf_measured(ndfn: Any, ndfd48: Any) -> Any:
    """NDFn x NDFD / 100; ndfn [% of dry matter], ndfd48 [% of NDF]."""
    return ndfn * ndfd48 / 100.0


@equation(
    name="TDN as a sum of digestible parts",
    output=_TDN,
    source="nrc-dairy-2001",
    mark="recalled_confirmed",
)
def tdn_sum(tdnfc: Any, tdcp: Any, fa: Any, tdndf: Any) -> Any:
    """Parts tdNFC + tdCP + 2.25 tdFA + tdNDF - 7, at maintenance.

    Parameters
    ----------
    tdnfc, tdcp, fa, tdndf
        Digestible parts [% of dry matter].
    """
    return tdnfc + tdcp + 2.25 * fa + tdndf - 7.0


@equation(
    name="TDN of a forage, sum of parts, with lignin (NRC 2001)",
    output=_TDN,
    source="nrc-dairy-2001",
    mark="recalled_confirmed",
)
def tdn_nrc2001_lignin(
    cp: Any, ndf: Any, lignin: Any, fat: Any, ash: Any, ndicp: Any, adicp: Any, paf: Any = 1.0
) -> Any:
    """NRC 2001 equations 2-4 and 2-5 for a forage.

    Parameters
    ----------
    cp, ndf, lignin, fat, ash, ndicp, adicp
        [% of dry matter].
    paf
        Processing factor [fraction]; 1 for all hay.
    """
    ndfn = ndfn_from_ndicp(ndf, ndicp)
    nfc = nfc_from_ndfn(ndfn, cp, fat, ash)
    protein = td_cp_forage(cp, adicp)
    return tdn_sum(td_nfc(nfc, paf), protein, fa_from_fat(fat), td_ndf_lignin(ndfn, lignin))


@equation(
    name="TDN of a forage, sum of parts, with fiber digestibility (NRC 2001)",
    output=_TDN,
    source="nrc-dairy-2001",
    mark="recalled_confirmed",
)
def tdn_nrc2001_ndfd(
    cp: Any, ndf: Any, ndfd48: Any, fat: Any, ash: Any, ndicp: Any, adicp: Any, paf: Any = 1.0
) -> Any:
    """NRC 2001 equations 2-4 and 2-5 for a forage whose fiber digestibility was measured.

    Parameters
    ----------
    cp, ndf, fat, ash, ndicp, adicp
        [% of dry matter].
    ndfd48
        48 hours [% of NDF].
    paf
        Processing factor [fraction]; 1 for all hay.
    """
    ndfn = ndfn_from_ndicp(ndf, ndicp)
    nfc = nfc_from_ndfn(ndfn, cp, fat, ash)
    protein = td_cp_forage(cp, adicp)
    return tdn_sum(td_nfc(nfc, paf), protein, fa_from_fat(fat), td_ndf_measured(ndfn, ndfd48))


@equation(
    name="TDN of a concentrate, sum of parts, with lignin (NRC 2001)",
    output=_TDN,
    source="nrc-dairy-2001",
    mark="recalled_confirmed",
    crops=("concentrate",),
)
def tdn_nrc2001_concentrate(
    cp: Any, ndf: Any, lignin: Any, fat: Any, ash: Any, ndicp: Any, adicp: Any, paf: Any = 1.0
) -> Any:
    """NRC 2001 equations 2-4 and 2-5 for a concentrate; not for animal protein, fat or urea.

    Parameters
    ----------
    cp, ndf, lignin, fat, ash, ndicp, adicp
        [% of dry matter].
    paf
        Processing factor [fraction].
    """
    ndfn = ndfn_from_ndicp(ndf, ndicp)
    nfc = nfc_from_ndfn(ndfn, cp, fat, ash)
    protein = td_cp_concentrate(cp, adicp)
    return tdn_sum(td_nfc(nfc, paf), protein, fa_from_fat(fat), td_ndf_lignin(ndfn, lignin))


@equation(
    name="TDN of legumes, sum of parts, with fiber digestibility (Georgia)",
    output=_TDN,
    source="georgia-forages-glossary",
    mark="read",
    crops=("legume", "mixed"),
)
def tdn_legume_ndfd(cp: Any, ndfn: Any, ndfd48: Any, fat: Any, ash: Any) -> Any:
    """0.98 NFC + 0.93 CP + 0.97 x 2.25 FA + NDFn x NDFD/100 - 7.

    Parameters
    ----------
    cp, ndfn, fat, ash
        [% of dry matter]; ``ndfn`` is NDF less the protein bound in it.
    ndfd48
        48 hours [% of NDF].
    """
    nfc = nfc_from_ndfn(ndfn, cp, fat, ash)
    fiber = ndfn * ndfd48 / 100.0
    return 0.98 * nfc + 0.93 * cp + 0.97 * 2.25 * fa_from_fat(fat) + fiber - 7.0


@equation(
    name="Fiber digestibility of grass as the cow has it",
    output=("ndfdp", "% of NDF", ""),
    source="georgia-forages-glossary",
    mark="read",
    crops=("grass",),
)
def ndfd_in_the_cow(ndfd48: Any) -> Any:
    """22.7 + 0.664 NDFD; ndfd48 [% of NDF]."""
    return 22.7 + 0.664 * ndfd48


@equation(
    name="TDN of grasses, sum of parts, with fiber digestibility (Georgia)",
    output=_TDN,
    source="georgia-forages-glossary",
    mark="read",
    crops=("grass", "small_grain", "sorghum"),
)
def tdn_grass_ndfd(cp: Any, ndfn: Any, ndfd48: Any, fat: Any, ash: Any) -> Any:
    """0.98 NFC + 0.87 CP + 0.97 x 2.25 FA + NDFn x NDFDp/100 - 10.

    Parameters
    ----------
    cp, ndfn, fat, ash
        [% of dry matter]; ``ndfn`` is NDF less the protein bound in it.
    ndfd48
        48 hours [% of NDF].
    """
    nfc = nfc_from_ndfn(ndfn, cp, fat, ash)
    fiber = ndfn * ndfd_in_the_cow(ndfd48) / 100.0
    return 0.98 * nfc + 0.87 * cp + 0.97 * 2.25 * fa_from_fat(fat) + fiber - 10.0


@equation(
    name="TDN of legumes, sum of parts, whole NDF (Wisconsin)",
    output=_TDN,
    source="undersander-ash",
    mark="read",
    crops=("legume", "mixed"),
)
def tdn_wisconsin_ash(cp: Any, ndf: Any, ndfd48: Any, fat: Any, ash: Any) -> Any:
    """0.98 NFC + 0.93 CP + 0.97 x 2.25 FA + NDF x NDFD/100 - 7, whole NDF in both places.

    Parameters
    ----------
    cp, ndf, fat, ash
        [% of dry matter].
    ndfd48
        48 hours [% of NDF].
    """
    nfc = nfc_whole_ndf(ndf, cp, fat, ash)
    fiber = ndf * ndfd48 / 100.0
    return 0.98 * nfc + 0.93 * cp + 0.97 * 2.25 * fa_from_fat(fat) + fiber - 7.0
