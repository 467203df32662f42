"""Digestible, metabolizable and net energy for ruminants, each rule by its edition.

The TDN, ME and NE relations belong together: mixing editions mixes yardsticks. A laboratory's
own net energy is kept as it was reported and never worked over in silence.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from haywright.measure.register import equation

_DE = ("de", "Mcal/kg", "dry matter")
_ME = ("me", "Mcal/kg", "dry matter")
_NEM = ("nem", "Mcal/kg", "dry matter")
_NEG = ("neg", "Mcal/kg", "dry matter")
_NEL = ("nel", "Mcal/kg", "dry matter")
_RUMINANTS = ("cattle", "sheep", "goat")
_CUBIC_ME = {"me": (1.4, 3.4)}


@equation(
    name="Digestible energy from TDN",
    output=_DE,
    source="nrc-beef-1996",
    mark="read",
    species=_RUMINANTS,
)
def de_from_tdn(tdn: Any) -> Any:
    """0.04409 TDN: one kg of TDN carries 4.409 Mcal; tdn [% of dry matter]."""
    return 0.04409 * tdn


@equation(name="ME = 0.82 DE", output=_ME, source="nrc-beef-1996", mark="read", species=_RUMINANTS)
def me_082(de: Any) -> Any:
    """0.82 DE; de [Mcal/kg of dry matter]."""
    return 0.82 * de


@equation(
    name="ME = 0.9611 DE - 0.2999",
    output=_ME,
    source="galyean-2016",
    mark="recalled",
    species=("cattle",),
)
def me_galyean_2016(de: Any) -> Any:
    """0.9611 DE - 0.2999; de [Mcal/kg of dry matter]."""
    return 0.9611 * de - 0.2999


@equation(
    name="ME as a square in DE, calorimetry",
    output=_ME,
    source="hales-2019",
    mark="read",
    species=("cattle",),
    valid={"de": (1.5, 3.8)},
)
def me_hales_2019(de: Any) -> Any:
    """-0.057 DE^2 + 1.3764 DE - 0.9483; de [Mcal/kg of dry matter], 1.5 to 3.8."""
    return -0.057 * de * de + 1.3764 * de - 0.9483


@equation(
    name="ME = 1.0001 DE - 0.3926, growing and finishing diets",
    output=_ME,
    source="hales-2022",
    mark="read",
    species=("cattle",),
)
def me_hales_2022(de: Any) -> Any:
    """1.0001 DE - 0.3926; de [Mcal/kg of dry matter]."""
    return 1.0001 * de - 0.3926


@equation(
    name="Net energy for maintenance, cubic in ME",
    output=_NEM,
    source="garrett-1980",
    mark="recalled_confirmed",
    species=_RUMINANTS,
    valid=_CUBIC_ME,
)
def nem_garrett(me: Any) -> Any:
    """1.37 ME - 0.138 ME^2 + 0.0105 ME^3 - 1.12; me [Mcal/kg of dry matter]."""
    return ((0.0105 * me - 0.138) * me + 1.37) * me - 1.12


@equation(
    name="Net energy for gain, cubic in ME",
    output=_NEG,
    source="garrett-1980",
    mark="recalled_confirmed",
    species=_RUMINANTS,
    valid=_CUBIC_ME,
)
def neg_garrett(me: Any) -> Any:
    """1.42 ME - 0.174 ME^2 + 0.0122 ME^3 - 1.65, never below 0; me [Mcal/kg of dry matter]."""
    return np.maximum(((0.0122 * me - 0.174) * me + 1.42) * me - 1.65, 0.0)


@equation(
    name="Fasting-diet weight F of Lofgreen and Garrett",
    output=("lofgreen_f", "g DM per kg^0.75", ""),
    source="lofgreen-garrett-1968",
    mark="recalled",
    species=("cattle",),
)
def lofgreen_f(me: Any) -> Any:
    """10^(2.2577 - 0.2213 ME); me [Mcal/kg of dry matter]."""
    return 10.0 ** (2.2577 - 0.2213 * me)


@equation(
    name="Net energy for maintenance, California 1968",
    output=_NEM,
    source="lofgreen-garrett-1968",
    mark="recalled",
    species=("cattle",),
)
def nem_lofgreen(me: Any) -> Any:
    """77 / F; me [Mcal/kg of dry matter]. Historical."""
    return 77.0 / lofgreen_f(me)


@equation(
    name="Net energy for gain, California 1968",
    output=_NEG,
    source="lofgreen-garrett-1968",
    mark="recalled",
    species=("cattle",),
)
def neg_lofgreen(me: Any) -> Any:
    """2.54 - 0.0314 F; me [Mcal/kg of dry matter]. Historical."""
    return 2.54 - 0.0314 * lofgreen_f(me)


@equation(
    name="Net energy for milk from TDN, Mcal/lb",
    output=("nel", "Mcal/lb", "dry matter"),
    source="nfta-procedures-a3",
    mark="read",
    species=("cattle",),
)
def nel_nfta(tdn: Any) -> Any:
    """0.01114 TDN - 0.054, in Mcal/lb; tdn [% of dry matter]."""
    return 0.01114 * tdn - 0.054


@equation(
    name="Net energy for milk from TDN, dairy 1989",
    output=_NEL,
    source="nrc-dairy-1989",
    mark="recalled",
    species=("cattle",),
)
def nel_1989(tdn: Any) -> Any:
    """0.0245 TDN - 0.12; tdn [% of dry matter]."""
    return 0.0245 * tdn - 0.12


@equation(
    name="Digestible energy as a sum of digestible parts (NRC 2001)",
    output=_DE,
    source="nrc-dairy-2001",
    mark="recalled_confirmed",
    species=("cattle",),
)
def de_sum(tdnfc: Any, tdndf: Any, tdcp: Any, fa: Any) -> Any:
    """0.042 tdNFC + 0.042 tdNDF + 0.056 tdCP + 0.094 tdFA - 0.3, at maintenance.

    Parameters
    ----------
    tdnfc, tdndf, tdcp, fa
        Digestible parts [% of dry matter].
    """
    return 0.042 * tdnfc + 0.042 * tdndf + 0.056 * tdcp + 0.094 * fa - 0.3


@equation(
    name="Share of energy kept at high intake",
    output=("discount", "fraction", ""),
    source="nrc-dairy-2001",
    mark="recalled",
    species=("cattle",),
)
def intake_discount(tdn: Any, intake_multiples: Any) -> Any:
    """(TDN - (0.18 TDN - 10.3) m) / TDN, of the diet.

    Parameters
    ----------
    tdn
        [% of dry matter].
    intake_multiples
        Multiples of maintenance above one [count].
    """
    return (tdn - (0.18 * tdn - 10.3) * intake_multiples) / tdn


@equation(
    name="ME at production, dairy 2001",
    output=("mep", "Mcal/kg", "dry matter"),
    source="nrc-dairy-2001",
    mark="recalled",
    species=("cattle",),
)
def me_production_2001(dep: Any, fat: Any) -> Any:
    """1.01 DEp - 0.45 + 0.0046 (fat - 3) where fat is above 3.

    Parameters
    ----------
    dep
        [Mcal/kg of dry matter].
    fat
        [% of dry matter].
    """
    return 1.01 * dep - 0.45 + 0.0046 * np.maximum(fat - 3.0, 0.0)


@equation(
    name="Net energy for milk at production, dairy 2001",
    output=("nelp", "Mcal/kg", "dry matter"),
    source="nrc-dairy-2001",
    mark="recalled",
    species=("cattle",),
)
def nel_production_2001(mep: Any, fat: Any) -> Any:
    """0.703 MEp - 0.19 + ((0.097 MEp + 0.19)/97)(fat - 3) where fat is above 3.

    Parameters
    ----------
    mep
        [Mcal/kg of dry matter].
    fat
        [% of dry matter].
    """
    extra = (0.097 * mep + 0.19) / 97.0 * np.maximum(fat - 3.0, 0.0)
    return 0.703 * mep - 0.19 + extra
