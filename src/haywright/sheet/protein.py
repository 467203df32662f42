"""Protein: what is bound, what is nitrate, what the animal gets."""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation
from haywright.sources.tables import load_toml

_MICROBIAL = ("microbial_cp", "g/day", "")
_ADJUSTED = ("cp_adjusted", "%", "dry matter")


@equation(
    name="Crude protein = 6.25 N",
    output=("cp", "%", "dry matter"),
    source="lsu-agcenter-2012",
    mark="read",
)
def cp_from_n(n: Any) -> Any:
    """6.25 N; n [% of dry matter]."""
    return 6.25 * n


@equation(
    name="Nitrogen in crude protein",
    output=("n", "%", "dry matter"),
    source="lsu-agcenter-2012",
    mark="read",
)
def n_from_cp(cp: Any) -> Any:
    """CP / 6.25; cp [% of dry matter, or of the hay as fed: the answer is on the same]."""
    return cp / 6.25


@equation(
    name="Nitrogen that comes back in manure",
    output=("n_recovered", "", "as the nitrogen given"),
    source="berger-hay-nutrients",
    mark="read",
    units={"nitrogen": "", "recovery": "%"},
)
def n_recovered(nitrogen: Any, recovery: Any) -> Any:
    """Nitrogen x recovery / 100; nitrogen [any mass unit], recovery [%]."""
    return nitrogen * recovery / 100.0


@equation(
    name="Bound protein as a share of protein",
    output=("adicp_share", "%", "crude protein"),
    source="unl-adicp-heat",
    mark="read",
)
def adicp_share(adicp: Any, cp: Any) -> Any:
    """100 ADICP / CP; adicp [% of dry matter], cp [% of dry matter]."""
    return 100.0 * adicp / cp


def heat_adjusts(adicp: float, cp: float) -> dict[str, bool]:
    """Whether each source adjusts protein of this hay for heat; the sources differ.

    Parameters
    ----------
    adicp, cp
        [% of dry matter].

    Returns
    -------
    Source name -> whether its threshold is passed.
    """
    share = adicp_share(adicp, cp)
    return {name: share > row["over"] for name, row in load_toml("heat_damage").items()}


@equation(
    name="Available protein",
    output=("cp_available", "%", "dry matter"),
    source="birchtree-timothy-report",
    mark="read",
)
def cp_available(cp: Any, adicp: Any) -> Any:
    """CP - ADICP; cp [% of dry matter], adicp [% of dry matter]."""
    return cp - adicp


@equation(
    name="Adjusted protein: all bound protein taken off above a threshold",
    output=_ADJUSTED,
    source="unl-adicp-heat",
    mark="read",
)
def cp_adjusted_all(cp: Any, adicp: Any, adicp_threshold: Any = 10.0) -> Any:
    """CP, or CP - ADICP where ADICP is more than the threshold share of CP.

    Parameters
    ----------
    cp, adicp
        [% of dry matter].
    adicp_threshold
        [% of CP]; 10 in Nebraska, 12 in Manitoba, 12 to 14 on some printed reports.
    """
    return np.where(adicp_share(adicp, cp) <= adicp_threshold, cp, cp - adicp)[()]


@equation(
    name="Adjusted protein: only the excess over the threshold taken off",
    output=_ADJUSTED,
    source="common-practice",
    mark="practice",
)
def cp_adjusted_excess(cp: Any, adicp: Any, adicp_threshold: Any = 10.0) -> Any:
    """CP, or CP - (ADICP - threshold x CP / 100) where ADICP is more than that share.

    Parameters
    ----------
    cp, adicp
        [% of dry matter].
    adicp_threshold
        [% of CP].
    """
    return cp - np.maximum(adicp - adicp_threshold * cp / 100.0, 0.0)


@equation(
    name="Adjusted protein by steps at 12 and 20 % bound",
    output=_ADJUSTED,
    source="goering-van-soest-adjusted",
    mark="recalled",
)
def cp_adjusted_steps(cp: Any, adicp: Any) -> Any:
    """With u = ADICP as % of CP: below 12 CP; below 20 CP (112 - u)/100; else CP (100 - u)/100.

    Parameters
    ----------
    cp, adicp
        [% of dry matter].
    """
    u = adicp_share(adicp, cp)
    steps = np.where(u < 20.0, 112.0 - u, 100.0 - u)
    return np.where(u < 12.0, cp, cp * steps / 100.0)[()]


@equation(
    name="Nitrate counted as protein",
    output=("nitrate_protein", "%", "dry matter"),
    source="nitrate-as-protein",
    mark="definition",
)
def nitrate_protein(nitrate_n: Any) -> Any:
    """6.25 x nitrate-N, as percent; nitrate_n [mg/kg NO3-N of dry matter]."""
    return 6.25 * nitrate_n / 10_000.0


@equation(
    name="Crude protein less nitrate nitrogen",
    output=("cp_less_nitrate", "%", "dry matter"),
    source="nitrate-as-protein",
    mark="definition",
)
def cp_less_nitrate(cp: Any, nitrate_n: Any) -> Any:
    """CP - 6.25 x nitrate-N in the same unit, for protein by combustion, which counts nitrate.

    Parameters
    ----------
    cp
        [% of dry matter].
    nitrate_n
        [mg/kg NO3-N of dry matter].
    """
    return cp - nitrate_protein(nitrate_n)


@equation(
    name="Digestible protein, Oklahoma",
    output=("dcp", "%", "dry matter"),
    source="oklahoma-derived-traits",
    mark="read",
    species=("cattle", "sheep", "goat"),
)
def dcp_oklahoma(cp: Any) -> Any:
    """0.93 CP - 3.48, never below 0; cp [% of dry matter]."""
    return np.maximum(0.93 * cp - 3.48, 0.0)


@equation(
    name="Digestible protein of dry forage, cattle (Knight and Harris)",
    output=("dcp", "%", "dry matter"),
    source="knight-harris-1966",
    mark="recalled",
    species=("cattle",),
)
def dcp_knight_harris(cp: Any) -> Any:
    """0.866 CP - 3.06, never below 0; cp [% of dry matter]."""
    return np.maximum(0.866 * cp - 3.06, 0.0)


@equation(
    name="Metabolizable protein as a share of crude protein",
    output=("mp_per_cp", "fraction", "crude protein"),
    source="nrc-beef-1996-protein",
    mark="recalled",
    species=("cattle",),
)
def mp_per_cp(rup: Any) -> Any:
    """0.64 + 0.16 RUP / 100: 0.64 when all degrades, 0.80 when none; rup [% of CP]."""
    return 0.64 + 0.16 * rup / 100.0


@equation(
    name="Metabolizable protein of a forage = 0.56 CP",
    output=("mp", "%", "dry matter"),
    source="tebbe-weiss-2020",
    mark="read",
    species=("cattle",),
)
def mp_from_cp(cp: Any, mp_share: Any = 0.56) -> Any:
    """Share x CP; cp [% of dry matter], mp_share [fraction], 0.56 for a forage."""
    return mp_share * cp


@equation(
    name="Microbial protein = 13 % of TDN eaten",
    output=("microbial_cp", "", "as the TDN given"),
    source="nrc-beef-1996-protein",
    mark="recalled",
    species=("cattle",),
    units={"tdn_eaten": ""},
)
def microbial_cp_1996(tdn_eaten: Any, endf: Any = 20.0) -> Any:
    """0.13 x TDN eaten, less 2.2 % for each point of effective fiber below 20.

    Parameters
    ----------
    tdn_eaten
        [any mass unit; the answer is in the same].
    endf
        Effective fiber of the diet [% of dry matter].
    """
    return 0.13 * tdn_eaten * (1.0 - 0.022 * np.maximum(20.0 - endf, 0.0))


@equation(
    name="Microbial protein from TDN eaten, 2016",
    output=_MICROBIAL,
    source="nasem-beef-2016",
    mark="recalled",
    species=("cattle",),
)
def microbial_cp_2016(tdn_eaten: Any) -> Any:
    """42.73 + 0.087 x TDN eaten; tdn_eaten [g/day]."""
    return 42.73 + 0.087 * tdn_eaten


@equation(
    name="Microbial protein from fat-free TDN eaten, 2016",
    output=_MICROBIAL,
    source="nasem-beef-2016",
    mark="recalled",
    species=("cattle",),
)
def microbial_cp_2016_fat_free(tdn_fat_free_eaten: Any) -> Any:
    """53.33 + 0.096 x fat-free TDN eaten; tdn_fat_free_eaten [g/day]."""
    return 53.33 + 0.096 * tdn_fat_free_eaten


@equation(
    name="Protein equivalent of nonprotein nitrogen",
    output=("npn_cp", "%", "as fed"),
    source="urea-protein-equivalent",
    mark="read",
)
def npn_protein_equivalent(npn: Any) -> Any:
    """6.25 x nitrogen; npn [% nitrogen of the product]: urea of 45 % N counts as 281 %."""
    return 6.25 * npn


@equation(
    name="Natural protein of a tag",
    output=("natural_cp", "%", "as fed"),
    source="feed-tag-beef-magazine",
    mark="read",
)
def natural_protein(cp_tag: Any, npn_cp: Any) -> Any:
    """CP - protein equivalent of NPN; cp_tag [% as fed], npn_cp [% as fed]."""
    return cp_tag - npn_cp


@equation(
    name="Urea behind a tag's nonprotein nitrogen",
    output=("urea", "%", "as fed"),
    source="feed-tag-beef-magazine",
    mark="read",
)
def urea_of_tag(npn_cp: Any) -> Any:
    """Protein equivalent of NPN / 2.81; npn_cp [% as fed]."""
    return npn_cp / 2.81


@equation(
    name="Amount of a part in what is fed",
    output=("part_fed", "", "as the amount fed"),
    source="mass-balance",
    mark="definition",
    units={"fed": "", "part": "% as fed"},
)
def part_of_fed(fed: Any, part: Any) -> Any:
    """Fed x part / 100; fed [any mass unit], part [% as fed]."""
    return fed * part / 100.0
