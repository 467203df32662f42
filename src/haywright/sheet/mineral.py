"""Mineral ratios and balances. They need wet chemistry or ICP: minerals by NIR are too rough."""

from __future__ import annotations

from typing import Any

from haywright.measure.register import equation
from haywright.sources.tables import load_toml

_PERCENT_MINERALS = ("ca", "p", "mg", "k", "na", "cl")
_DCAD = ("dcad", "meq/100 g", "dry matter")


@equation(
    name="Calcium to phosphorus",
    output=("ca_to_p", "", ""),
    source="mass-balance",
    mark="definition",
)
def ca_to_p(ca: Any, p: Any) -> Any:
    """Ca / P; ca [% of dry matter], p [% of dry matter]."""
    return ca / p


@equation(
    name="Cation-anion difference, rounded equivalent weights",
    output=_DCAD,
    source="dcad-four-ions",
    mark="read",
)
def dcad_four_ions(na: Any, k: Any, cl: Any, s: Any) -> Any:
    """(Na/0.023 + K/0.039) - (Cl/0.0355 + S/0.016).

    Parameters
    ----------
    na, k, cl, s
        [% of dry matter].
    """
    return (na / 0.023 + k / 0.039) - (cl / 0.0355 + s / 0.016)


@equation(
    name="Cation-anion difference, factors of Oetzel 1993",
    output=_DCAD,
    source="tetany-ratio-manitoba",
    mark="read",
)
def dcad_oetzel(na: Any, k: Any, cl: Any, s: Any) -> Any:
    """43.498 Na + 25.574 K - 28.206 Cl - 62.375 S.

    Parameters
    ----------
    na, k, cl, s
        [% of dry matter].
    """
    return 43.498 * na + 25.574 * k - 28.206 * cl - 62.375 * s


@equation(
    name="Potassium in equivalents",
    output=("k_meq", "meq/kg", "dry matter"),
    source="tetany-ratio-manitoba",
    mark="read",
)
def k_equivalents(k: Any) -> Any:
    """255.74 K; k [% of dry matter]."""
    return 255.74 * k


@equation(
    name="Calcium and magnesium in equivalents",
    output=("ca_mg_meq", "meq/kg", "dry matter"),
    source="tetany-ratio-manitoba",
    mark="read",
)
def ca_mg_equivalents(ca: Any, mg: Any) -> Any:
    """499.00 Ca + 822.64 Mg; ca [% of dry matter], mg [% of dry matter]."""
    return 499.00 * ca + 822.64 * mg


@equation(
    name="Tetany ratio, K/(Ca + Mg) in equivalents",
    output=("tetany_ratio", "", ""),
    source="tetany-ratio-manitoba",
    mark="read",
)
def tetany_ratio(k: Any, ca: Any, mg: Any) -> Any:
    """255.74 K / (499.00 Ca + 822.64 Mg); a screen, not a diagnosis.

    Parameters
    ----------
    k, ca, mg
        [% of dry matter].
    """
    return k_equivalents(k) / ca_mg_equivalents(ca, mg)


def mineral_sum(minerals: dict[str, Any]) -> Any:
    """Sum of Ca, P, Mg, K, Na and Cl, as far as given [% of dry matter]; it cannot exceed ash."""
    return sum(minerals[name] for name in _PERCENT_MINERALS if name in minerals)


def tetany_over(ratio: Any) -> Any:
    """Whether a tetany ratio [equivalents per equivalent] lies above Kemp and 't Hart's line."""
    return ratio > load_toml("plausibility")["remarks"]["tetany_line"]
