"""Digestible dry matter, intake, relative feed value, relative forage quality.

Indices have no unit and no basis: they are never rescaled with moisture. Compare like with like.
"""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation
from haywright.sheet.tdn_sums import tdn_grass_ndfd, tdn_legume_ndfd

_RFV_CROPS = ("legume", "mixed", "cool_grass", "small_grain")


@equation(
    name="Digestible dry matter",
    output=("ddm", "%", "dry matter"),
    source="rohweder-1978",
    mark="read",
    crops=_RFV_CROPS,
    valid={"adf": (20, 50)},
)
def ddm_rohweder(adf: Any) -> Any:
    """88.9 - 0.779 ADF; adf [% of dry matter]. Midwest legume and cool-season grass hay."""
    return 88.9 - 0.779 * adf


@equation(
    name="Intake from NDF",
    output=("dmi_bw", "% of body weight", ""),
    source="rohweder-1978",
    mark="read",
    crops=_RFV_CROPS,
)
def dmi_ndf(ndf: Any) -> Any:
    """120 / NDF; ndf [% of dry matter]. A ceiling of 1.2 % of weight as NDF, dairy rations."""
    return 120.0 / ndf


@equation(
    name="Relative feed value",
    output=("rfv", "", ""),
    source="rohweder-1978",
    mark="read",
    crops=_RFV_CROPS,
    valid={"adf": (20, 50)},
)
def rfv_rohweder(adf: Any, ndf: Any) -> Any:
    """Digestible dry matter x intake / 1.29; alfalfa in full bloom (ADF 41, NDF 53) is 100.

    Parameters
    ----------
    adf, ndf
        [% of dry matter].
    """
    return ddm_rohweder(adf) * dmi_ndf(ndf) / 1.29


@equation(
    name="Relative feed value against a base",
    output=("rfv_index", "%", "the base"),
    source="idaho-rfv-index",
    mark="read",
)
def rfv_index(rfv: Any, base_rfv: Any) -> Any:
    """100 x RFV / base RFV; rfv [index], base_rfv [index], e.g. 170 for Premium."""
    return 100.0 * rfv / base_rfv


@equation(
    name="Intake with fiber digestibility, legumes",
    output=("dmi_rfq", "% of body weight", ""),
    source="moore-undersander-2002",
    mark="recalled",
    crops=("legume", "mixed"),
)
def dmi_legume_ndfd(ndf: Any, ndfd48: Any) -> Any:
    """120/NDF + (NDFD - 45) x 0.374 / 1350 x 100; ndf [% of dry matter], ndfd48 [% of NDF]."""
    return 120.0 / ndf + (ndfd48 - 45.0) * 0.374 / 1350.0 * 100.0


@equation(
    name="Intake of grass hay",
    output=("dmi_rfq", "% of body weight", ""),
    source="moore-kunkle-1999",
    mark="recalled",
    crops=("grass",),
)
def dmi_moore_kunkle(cp: Any, adf: Any, tdn: Any) -> Any:
    """Moore and Kunkle's line and squares in CP, TDN and ADF.

    Parameters
    ----------
    cp, adf, tdn
        [% of dry matter]; ``tdn`` by the summative grass equation.
    """
    return (
        -2.318
        + 0.442 * cp
        - 0.0100 * cp * cp
        - 0.0638 * tdn
        + 0.000922 * tdn * tdn
        + 0.180 * adf
        - 0.00196 * adf * adf
        - 0.00529 * cp * adf
    )


@equation(
    name="Relative forage quality from intake and TDN",
    output=("rfq", "", ""),
    source="undersander-ash",
    mark="read",
)
def rfq_from_intake(dmi_rfq: Any, tdn: Any) -> Any:
    """Intake x TDN / 1.23; dmi_rfq [% of body weight], tdn [% of dry matter]."""
    return dmi_rfq * tdn / 1.23


@equation(
    name="Relative forage quality, legumes and mixtures",
    output=("rfq", "", ""),
    source="moore-undersander-2002",
    mark="recalled",
    crops=("legume", "mixed"),
)
def rfq_legume(cp: Any, ndf: Any, ndfn: Any, ndfd48: Any, fat: Any, ash: Any) -> Any:
    """RFQ with TDN by the summative legume equation and intake from NDF and its digestibility.

    Parameters
    ----------
    cp, ndf, ndfn, fat, ash
        [% of dry matter].
    ndfd48
        48 hours, from one laboratory [% of NDF].
    """
    tdn = tdn_legume_ndfd(cp, ndfn, ndfd48, fat, ash)
    return rfq_from_intake(dmi_legume_ndfd(ndf, ndfd48), tdn)


@equation(
    name="Relative forage quality, grasses",
    output=("rfq", "", ""),
    source="moore-undersander-2002",
    mark="recalled",
    crops=("grass", "small_grain", "sorghum"),
)
def rfq_grass(cp: Any, adf: Any, ndfn: Any, ndfd48: Any, fat: Any, ash: Any) -> Any:
    """RFQ with TDN by the summative grass equation and intake by Moore and Kunkle.

    Parameters
    ----------
    cp, adf, ndfn, fat, ash
        [% of dry matter].
    ndfd48
        48 hours, from one laboratory [% of NDF].
    """
    tdn = tdn_grass_ndfd(cp, ndfn, ndfd48, fat, ash)
    return rfq_from_intake(dmi_moore_kunkle(cp, adf, tdn), tdn)
