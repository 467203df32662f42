"""Total digestible nutrients: regressions on fiber, and sums of digestible parts.

Published equations disagree by up to six points on one hay; the one used is named with the
number. TDN here is on 100 % dry matter; TDN-90 has a name of its own.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation
from haywright.sheet.carbohydrate import (
    fa_from_fat,
    ndfn_from_ndicp,
    nfc_from_ndfn,
    nfc_whole_ndf,
)

_HAY_ADF = {"adf": (15, 60)}
_TDN = ("tdn", "%", "dry matter")
_NEL_LB = ("nel", "Mcal/lb", "dry matter")


# ---- regressions on fiber (T1 to T10)


@equation(
    name="TDN = 88.9 - 0.779 ADF",
    output=_TDN,
    source="manitoba-feed-pile",
    mark="read",
    crops=("legume", "grass", "mixed"),
    valid=_HAY_ADF,
)
def tdn_manitoba(adf: Any) -> Any:
    """88.9 - 0.779 ADF; adf [% of dry matter]. Elsewhere the same number is called DDM."""
    return 88.9 - 0.779 * adf


@equation(
    name="TDN = 88.9 - 0.78 ADF",
    output=_TDN,
    source="oklahoma-derived-traits",
    mark="read",
    valid=_HAY_ADF,
)
def tdn_oklahoma(adf: Any) -> Any:
    """88.9 - 0.78 ADF, for any forage; adf [% of dry matter]."""
    return 88.9 - 0.78 * adf


@equation(
    name="TDN of corn silage = 87.84 - 0.70 ADF",
    output=_TDN,
    source="nfta-procedures-a3",
    mark="read",
    crops=("corn",),
    valid=_HAY_ADF,
)
def tdn_corn_silage(adf: Any) -> Any:
    """87.84 - 0.70 ADF; adf [% of dry matter]."""
    return 87.84 - 0.70 * adf


@equation(
    name="TDN of ear corn = 99.72 - 1.927 ADF",
    output=_TDN,
    source="nfta-procedures-a3",
    mark="read",
    crops=("ear_corn",),
)
def tdn_ear_corn(adf: Any) -> Any:
    """99.72 - 1.927 ADF; adf [% of dry matter]."""
    return 99.72 - 1.927 * adf


@equation(
    name="Net energy for milk of ear corn",
    output=_NEL_LB,
    source="nfta-procedures-a3",
    mark="read",
    crops=("ear_corn",),
)
def nel_ear_corn(adf: Any) -> Any:
    """1.036 - 0.0203 ADF, in Mcal/lb; adf [% of dry matter]."""
    return 1.036 - 0.0203 * adf


@equation(
    name="TDN of shelled corn = 92.22 - 1.535 ADF",
    output=_TDN,
    source="nfta-procedures-a3",
    mark="read",
    crops=("shelled_corn",),
)
def tdn_shelled_corn(adf: Any) -> Any:
    """92.22 - 1.535 ADF; adf [% of dry matter]."""
    return 92.22 - 1.535 * adf


@equation(
    name="Net energy for milk of shelled corn",
    output=_NEL_LB,
    source="nfta-procedures-a3",
    mark="read",
    crops=("shelled_corn",),
)
def nel_shelled_corn(adf: Any) -> Any:
    """0.905 - 0.0026 ADF, in Mcal/lb; adf [% of dry matter]."""
    return 0.905 - 0.0026 * adf


@equation(
    name="TDN of western alfalfa = 82.38 - 0.7515 ADF",
    output=_TDN,
    source="bath-marble-1989",
    mark="recalled_confirmed",
    crops=("alfalfa",),
    valid=_HAY_ADF,
)
def tdn_western(adf: Any) -> Any:
    """82.38 - 0.7515 ADF, the equation behind the USDA alfalfa table; adf [% of dry matter]."""
    return 82.38 - 0.7515 * adf


@equation(
    name="TDN at 90 % dry matter",
    output=("tdn_90", "%", "90 % dry matter"),
    source="mass-balance",
    mark="definition",
)
def tdn_at_90(tdn: Any) -> Any:
    """0.9 TDN; tdn [% of dry matter]."""
    return 0.9 * tdn


@equation(
    name="TDN of alfalfa = 96.35 - 1.15 ADF",
    output=_TDN,
    source="nebraska-alfalfa-tdn",
    mark="recalled",
    crops=("alfalfa",),
    valid=_HAY_ADF,
)
def tdn_nebraska(adf: Any) -> Any:
    """96.35 - 1.15 ADF; adf [% of dry matter]."""
    return 96.35 - 1.15 * adf


@equation(
    name="Net energy for milk of legumes, Pennsylvania",
    output=_NEL_LB,
    source="adams-1980",
    mark="recalled",
    crops=("legume",),
)
def nel_pennsylvania_legume(adf: Any) -> Any:
    """1.044 - 0.0119 ADF, in Mcal/lb; adf [% of dry matter]."""
    return 1.044 - 0.0119 * adf


@equation(
    name="Net energy for milk of grasses and mixtures, Pennsylvania",
    output=_NEL_LB,
    source="adams-1980",
    mark="recalled",
    crops=("grass", "mixed"),
)
def nel_pennsylvania_grass(adf: Any) -> Any:
    """1.0876 - 0.0127 ADF, in Mcal/lb; adf [% of dry matter]."""
    return 1.0876 - 0.0127 * adf


@equation(
    name="Net energy for milk of corn silage, Pennsylvania",
    output=_NEL_LB,
    source="adams-1980",
    mark="recalled",
    crops=("corn",),
)
def nel_pennsylvania_corn_silage(adf: Any) -> Any:
    """1.044 - 0.0124 ADF, in Mcal/lb; adf [% of dry matter]."""
    return 1.044 - 0.0124 * adf


@equation(
    name="Net energy for milk of small-grain silage, Pennsylvania",
    output=_NEL_LB,
    source="adams-1980",
    mark="recalled",
    crops=("small_grain",),
)
def nel_pennsylvania_small_grain(adf: Any) -> Any:
    """0.9265 - 0.00793 ADF, in Mcal/lb; adf [% of dry matter]."""
    return 0.9265 - 0.00793 * adf


@equation(
    name="TDN from net energy for milk, Pennsylvania",
    output=_TDN,
    source="adams-1980",
    mark="recalled",
    units={"nel": "Mcal/lb of dry matter"},
)
def tdn_from_nel_pennsylvania(nel: Any) -> Any:
    """4.898 + 89.796 NEL; nel [Mcal/lb of dry matter]."""
    return 4.898 + 89.796 * nel


@equation(
    name="TDN of legumes, Pennsylvania",
    output=_TDN,
    source="adams-1980",
    mark="recalled",
    crops=("legume",),
    valid=_HAY_ADF,
)
def tdn_pennsylvania_legume(adf: Any) -> Any:
    """TDN by way of net energy for milk; adf [% of dry matter]."""
    return tdn_from_nel_pennsylvania(nel_pennsylvania_legume(adf))


@equation(
    name="TDN of grasses and mixtures, Pennsylvania",
    output=_TDN,
    source="adams-1980",
    mark="recalled",
    crops=("grass", "mixed"),
    valid=_HAY_ADF,
)
def tdn_pennsylvania_grass(adf: Any) -> Any:
    """TDN by way of net energy for milk; adf [% of dry matter]."""
    return tdn_from_nel_pennsylvania(nel_pennsylvania_grass(adf))


@equation(
    name="TDN of corn silage, Pennsylvania",
    output=_TDN,
    source="adams-1980",
    mark="recalled",
    crops=("corn",),
    valid=_HAY_ADF,
)
def tdn_pennsylvania_corn_silage(adf: Any) -> Any:
    """TDN by way of net energy for milk; adf [% of dry matter]."""
    return tdn_from_nel_pennsylvania(nel_pennsylvania_corn_silage(adf))


@equation(
    name="TDN of small-grain silage, Pennsylvania",
    output=_TDN,
    source="adams-1980",
    mark="recalled",
    crops=("small_grain",),
    valid=_HAY_ADF,
)
def tdn_pennsylvania_small_grain(adf: Any) -> Any:
    """TDN by way of net energy for milk; adf [% of dry matter]. The least certain pair."""
    return tdn_from_nel_pennsylvania(nel_pennsylvania_small_grain(adf))


@equation(
    name="TDN of bermudagrass, Arkansas",
    output=_TDN,
    source="arkansas-bermudagrass-tdn",
    mark="recalled",
    crops=("bermudagrass",),
    valid=_HAY_ADF,
)
def tdn_arkansas_bermudagrass(cp: Any, adf: Any, ndf: Any) -> Any:
    """111.8 + 0.95 CP - 0.36 ADF - 0.70 NDF.

    Parameters
    ----------
    cp, adf, ndf
        [% of dry matter].
    """
    return 111.8 + 0.95 * cp - 0.36 * adf - 0.70 * ndf


@equation(
    name="TDN from organic matter digested in the tube, Florida",
    output=_TDN,
    source="fike-2003",
    mark="recalled",
)
def tdn_florida_ivomd(ivomd: Any, om: Any) -> Any:
    """(0.49 IVOMD + 32.2) x OM / 100; ivomd [% of organic matter], om [% of dry matter]."""
    return (0.49 * ivomd + 32.2) * om / 100.0


@equation(
    name="TDN from net energy for milk, Minnesota",
    output=_TDN,
    source="linn-martin-minnesota",
    mark="recalled",
    units={"nel": "Mcal/lb of dry matter"},
)
def tdn_from_nel_minnesota(nel: Any) -> Any:
    """31.4 + 53.1 NEL; nel [Mcal/lb of dry matter]. About 3 above Pennsylvania's: never mixed."""
    return 31.4 + 53.1 * nel


# ---- sums of digestible parts (S1 to S4)


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
    return 0.75 * (ndfn - lignin) * (1.0 - (lignin / ndfn) ** 0.667)


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
    """tdNFC + tdCP + 2.25 tdFA + tdNDF - 7, at maintenance.

    Parameters
    ----------
    tdnfc, tdcp, fa, tdndf
        Digestible parts [% of dry matter].
    """
    return tdnfc + tdcp + 2.25 * fa + tdndf - 7.0


@equation(
    name="TDN of a forage, sum of parts, fiber from lignin (NRC 2001)",
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
    name="TDN of a forage, sum of parts, fiber digestibility measured (NRC 2001)",
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
    name="TDN of a concentrate, sum of parts, fiber from lignin (NRC 2001)",
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
    name="TDN of legumes and mixtures, sum of parts, fiber digestibility measured (Georgia)",
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
    name="TDN of grasses, sum of parts, fiber digestibility measured (Georgia)",
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
    name="TDN of legumes, sum of parts with whole NDF (Wisconsin, on ash)",
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
