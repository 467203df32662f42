"""Fiber and carbohydrate fractions: what is left when the measured parts are taken away.

Two laboratories' reports can use different forms of nonfiber carbohydrate and of NSC; each form
has its own name here and is printed with the number.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation


@equation(
    name="Dry matter from moisture",
    output=("dm", "%", "as received"),
    source="mass-balance",
    mark="definition",
)
def dm_from_moisture(moisture: Any) -> Any:
    """Dry matter = 100 - moisture; moisture [% as received]."""
    return 100.0 - moisture


@equation(
    name="Organic matter", output=("om", "%", "dry matter"), source="mass-balance",
    mark="definition",
)  # fmt: skip
def om_from_ash(ash: Any) -> Any:
    """Organic matter = 100 - ash; ash [% of dry matter]."""
    return 100.0 - ash


@equation(
    name="Hemicellulose, about",
    output=("hemicellulose", "%", "dry matter"),
    source="fiber-definitions",
    mark="definition",
)
def hemicellulose(ndf: Any, adf: Any) -> Any:
    """NDF - ADF; ndf [% of dry matter], adf [% of dry matter].

    Only approximate: ADF keeps some pectin, NDF some protein.
    """
    return ndf - adf


@equation(
    name="Cellulose, about",
    output=("cellulose", "%", "dry matter"),
    source="fiber-definitions",
    mark="definition",
)
def cellulose(adf: Any, lignin: Any) -> Any:
    """ADF - lignin; adf [% of dry matter], lignin [% of dry matter]."""
    return adf - lignin


@equation(
    name="NDF to ADF", output=("ndf_to_adf", "", ""), source="fiber-definitions", mark="definition"
)
def ndf_to_adf(ndf: Any, adf: Any) -> Any:
    """NDF / ADF; ndf [% of dry matter], adf [% of dry matter]."""
    return ndf / adf


@equation(
    name="NDF less the protein bound in it",
    output=("ndfn", "%", "dry matter"),
    source="georgia-forages-glossary",
    mark="read",
)
def ndfn_from_ndicp(ndf: Any, ndicp: Any) -> Any:
    """NDF - NDICP; ndf [% of dry matter], ndicp [% of dry matter]."""
    return ndf - ndicp


@equation(
    name="NDF less bound protein, taken as 0.93 of NDF",
    output=("ndfn", "%", "dry matter"),
    source="georgia-forages-glossary",
    mark="read",
)
def ndfn_assumed(ndf: Any) -> Any:
    """0.93 NDF, where bound protein was not measured; ndf [% of dry matter]."""
    return 0.93 * ndf


@equation(
    name="Nonfiber carbohydrate, whole NDF taken off",
    output=("nfc", "%", "dry matter"),
    source="undersander-ash",
    mark="read",
)
def nfc_whole_ndf(ndf: Any, cp: Any, fat: Any, ash: Any) -> Any:
    """100 - (NDF + CP + fat + ash).

    Parameters
    ----------
    ndf, cp, fat, ash
        [% of dry matter].
    """
    return 100.0 - (ndf + cp + fat + ash)


@equation(
    name="Nonfiber carbohydrate, from NDF less its bound protein",
    output=("nfc", "%", "dry matter"),
    source="georgia-forages-glossary",
    mark="read",
)
def nfc_from_ndfn(ndfn: Any, cp: Any, fat: Any, ash: Any) -> Any:
    """100 - (NDFn + CP + fat + ash).

    Parameters
    ----------
    ndfn
        NDF less the protein bound in it, measured or assumed [% of dry matter].
    cp, fat, ash
        [% of dry matter].
    """
    return 100.0 - (ndfn + cp + fat + ash)


@equation(
    name="Nonfiber carbohydrate, bound protein measured and counted once",
    output=("nfc", "%", "dry matter"),
    source="birchtree-timothy-report",
    mark="read",
)
def nfc_bound_protein_once(ndf: Any, ndicp: Any, cp: Any, fat: Any, ash: Any) -> Any:
    """100 - ((NDF - NDICP) + CP + fat + ash), the form of NRC 2001; read on a printed report.

    Parameters
    ----------
    ndf, ndicp, cp, fat, ash
        [% of dry matter].
    """
    return nfc_from_ndfn(ndfn_from_ndicp(ndf, ndicp), cp, fat, ash)


@equation(
    name="NSC: starch and sugar",
    output=("nsc", "%", "dry matter"),
    source="birchtree-timothy-report",
    mark="read",
    species=("cattle", "sheep", "goat"),
)
def nsc_starch_sugar(starch: Any, sugar: Any) -> Any:
    """Starch + sugar, as for cattle; starch [% of dry matter], sugar [% of dry matter]."""
    return starch + sugar


@equation(
    name="NSC: starch and ethanol-soluble carbohydrate",
    output=("nsc", "%", "dry matter"),
    source="common-practice",
    mark="practice",
    species=("cattle", "sheep", "goat"),
)
def nsc_starch_esc(starch: Any, esc: Any) -> Any:
    """Starch + ESC, as on reports for cattle; starch [% of dry matter], esc [% of dry matter]."""
    return starch + esc


@equation(
    name="NSC: starch and water-soluble carbohydrate, fructan counted",
    output=("nsc", "%", "dry matter"),
    source="common-practice",
    mark="practice",
    species=("horse",),
)
def nsc_starch_wsc(starch: Any, wsc: Any) -> Any:
    """Starch + WSC, as on reports for horses; starch [% of dry matter], wsc [% of dry matter]."""
    return starch + wsc


@equation(
    name="Fructan, about",
    output=("fructan", "%", "dry matter"),
    source="common-practice",
    mark="practice",
)
def fructan(wsc: Any, esc: Any) -> Any:
    """WSC - ESC; wsc [% of dry matter], esc [% of dry matter]."""
    return wsc - esc


@equation(
    name="Fatty acids from crude fat",
    output=("fa", "%", "dry matter"),
    source="undersander-ash",
    mark="read",
)
def fa_from_fat(fat: Any) -> Any:
    """max(0, crude fat - 1); fat [% of dry matter]."""
    return np.maximum(fat - 1.0, 0.0)


@equation(
    name="Undigested fiber from digestibility in the tube",
    output=("undf", "%", "dry matter"),
    source="fiber-definitions",
    mark="definition",
)
def undf_from_ivtd(ivtd48: Any) -> Any:
    """100 - true digestibility; ivtd48 [% of dry matter]."""
    return 100.0 - ivtd48


@equation(
    name="Fiber digestibility, 48 hours, from digestibility in the tube",
    output=("ndfd48", "% of NDF", ""),
    source="fiber-definitions",
    mark="definition",
)
def ndfd_from_ivtd(ndf: Any, ivtd48: Any) -> Any:
    """100 (NDF - undigested NDF) / NDF after 48 hours.

    Parameters
    ----------
    ndf, ivtd48
        [% of dry matter].
    """
    return 100.0 * (ndf - undf_from_ivtd(ivtd48)) / ndf


@equation(
    name="Digested fiber",
    output=("dndf", "%", "dry matter"),
    source="fiber-definitions",
    mark="definition",
)
def digested_ndf(ndf: Any, ndfd48: Any) -> Any:
    """NDF x digestibility / 100; ndf [% of dry matter], ndfd48 [% of NDF]."""
    return ndf * ndfd48 / 100.0


@equation(
    name="Ash from soil, legumes",
    output=("external_ash", "%", "dry matter"),
    source="undersander-ash",
    mark="read",
    crops=("legume", "mixed"),
)
def external_ash_legume(ash: Any) -> Any:
    """Ash above the 8 % a clean legume holds, never below 0; ash [% of dry matter]."""
    return np.maximum(ash - 8.0, 0.0)


@equation(
    name="Ash from soil, grasses",
    output=("external_ash", "%", "dry matter"),
    source="undersander-ash",
    mark="read",
    crops=("grass", "small_grain", "sorghum", "corn", "straw"),
)
def external_ash_grass(ash: Any) -> Any:
    """Ash above the 6 % a clean grass holds, never below 0; ash [% of dry matter]."""
    return np.maximum(ash - 6.0, 0.0)
