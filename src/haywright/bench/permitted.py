"""Permitted variation between label and finding, as published tables have it.

These are for feed labels. For a hay sale the uncertainty of both laboratories counts
(``compare``), unless the contract names a table.
"""

from __future__ import annotations

from typing import Any

from haywright.measure.errors import Refused, UnknownName
from haywright.measure.register import equation
from haywright.sources.tables import load_csv, load_toml


@equation(
    name="Permitted variation of a feed label, AAFCO form",
    output=("variation", "%", "of the guarantee"),
    source="aafco-av",
    mark="recalled",
    units={"guarantee": "%", "per_x": "%", "constant": "%"},
)
def variation_of_guarantee(guarantee: Any, per_x: Any, constant: Any) -> Any:
    """Variation let pass, as a share of the guarantee.

    Parameters
    ----------
    guarantee
        What the label says [%].
    per_x, constant
        Coefficients of the analyte [%].
    """
    return per_x / guarantee + constant


@equation(
    name="Lowest finding that passes a guaranteed least",
    output=("lowest", "%", "as the guarantee"),
    source="aafco-av",
    mark="recalled",
    units={"guarantee": "%", "variation": "% of the guarantee"},
)
def lowest_passing(guarantee: Any, variation: Any) -> Any:
    """Least that may be found of a guaranteed minimum.

    Parameters
    ----------
    guarantee
        What the label says [%].
    variation
        Permitted variation [% of the guarantee].
    """
    return guarantee * (1.0 - variation / 100.0)


@equation(
    name="Highest finding that passes a guaranteed most",
    output=("highest", "%", "as the guarantee"),
    source="aafco-av",
    mark="recalled",
    units={"guarantee": "%", "variation": "% of the guarantee"},
)
def highest_passing(guarantee: Any, variation: Any) -> Any:
    """Most that may be found of a guaranteed maximum.

    Parameters
    ----------
    guarantee
        What the label says [%].
    variation
        Permitted variation [% of the guarantee].
    """
    return guarantee * (1.0 + variation / 100.0)


def aafco_variation(analyte: str, guarantee: float) -> float:
    """Permitted variation by the AAFCO table, recalled [% of the guarantee].

    Parameters
    ----------
    analyte
        protein, fat, fiber, ash, moisture, ca, p, salt ...
    guarantee
        What the label says [%].
    """
    table = load_toml("permitted_aafco")["av"]
    if analyte not in table:
        raise UnknownName("analyte", analyte, table)
    if not guarantee > 0:
        raise Refused("guarantee", guarantee, key="bench.choice_number")
    row = table[analyte]
    return float(variation_of_guarantee(guarantee, row["per_x"], row["constant"]))


def nevada_tolerance(analyte: str, level: float) -> float:
    """Tolerance by the Nevada tables at a level [%], absolute [%].

    Parameters
    ----------
    analyte
        protein, fat, fiber, ash, ca, p, salt.
    level
        Level found or guaranteed [%].
    """
    rows = [row for row in load_csv("permitted_nevada") if row["analyte"] == analyte]
    if not rows:
        raise UnknownName("analyte", analyte, {r["analyte"] for r in load_csv("permitted_nevada")})
    for row in rows:
        if 0 <= level <= float(row["up_to_pct"]):
            return float(row["tolerance_pct"])
    raise Refused("level", level, key="bench.permitted.level")


def excess_let_pass(analyte: str, declared: float) -> float:
    """Excess over a declared content let pass in Northern Ireland, absolute [%].

    Parameters
    ----------
    analyte
        fiber or ash.
    declared
        Declared content [%].
    """
    rows = load_toml("permitted_northern_ireland")["excess"]
    for row in rows:
        if row["analyte"] == analyte and declared >= row["over_pct"]:
            relative = float(row.get("relative_pct", 0.0)) / 100.0 * declared
            return float(row.get("absolute_pct", relative))
    raise UnknownName("analyte", analyte, {row["analyte"] for row in rows})
