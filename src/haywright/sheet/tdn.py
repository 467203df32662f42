"""Total digestible nutrients by regression on fiber (T1 to T10).

Published equations disagree by up to six points on one hay; the one used is named with the
number. TDN here is on 100 % dry matter; TDN-90 has a name of its own.
"""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation

_HAY_ADF = {"adf": (15, 60)}
_TDN = ("tdn", "%", "dry matter")
_NEL_LB = ("nel", "Mcal/lb", "dry matter")


@equation(
    name="TDN = 88.9 - 0.779 ADF (Manitoba)",
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
    name="TDN = 88.9 - 0.78 ADF (Oklahoma)",
    output=_TDN,
    source="oklahoma-derived-traits",
    mark="read",
    valid=_HAY_ADF,
)
def tdn_oklahoma(adf: Any) -> Any:
    """88.9 - 0.78 ADF, for any forage; adf [% of dry matter]."""
    return 88.9 - 0.78 * adf


@equation(
    name="TDN of corn silage = 87.84 - 0.70 ADF (forage testing association)",
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
    name="TDN of alfalfa = 82.38 - 0.7515 ADF (western states)",
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
    name="TDN of alfalfa = 96.35 - 1.15 ADF (Nebraska)",
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
    name="TDN of legumes (Pennsylvania)",
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
    name="TDN of grasses and mixtures (Pennsylvania)",
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
    name="TDN of corn silage (Pennsylvania)",
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
    name="TDN of small-grain silage (Pennsylvania)",
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
    name="TDN of bermudagrass (Arkansas)",
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
    name="TDN from organic matter digested in the tube (Florida)",
    output=_TDN,
    source="fike-2003",
    mark="recalled",
)
def tdn_florida_ivomd(ivomd: Any, om: Any) -> Any:
    """(0.49 IVOMD + 32.2) x OM / 100; ivomd [% of organic matter], om [% of dry matter]."""
    return (0.49 * ivomd + 32.2) * om / 100.0


@equation(
    name="TDN from net energy for milk (Minnesota)",
    output=_TDN,
    source="linn-martin-minnesota",
    mark="recalled",
    units={"nel": "Mcal/lb of dry matter"},
)
def tdn_from_nel_minnesota(nel: Any) -> Any:
    """31.4 + 53.1 NEL; nel [Mcal/lb of dry matter]. About 3 above Pennsylvania's: never mixed."""
    return 31.4 + 53.1 * nel
