"""Public grades: a class for each measure on each scale, and whether the measures agree.

The printed tables leave questions open; each is answered by a named rule that is printed:

* **tie**: a value equal to a limit takes the ``better`` class, or the ``lower`` one;
* **gap**: a value between two printed classes has no class (``none``), or takes the ``better``;
* **headline**: the class by ``rfv``, by ``adf``, the ``lowest``, the ``lowest-fiber``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

import numpy as np

from haywright.measure.errors import UnknownName
from haywright.measure.estimate import Estimate, as_estimate
from haywright.sources.crops import Crop
from haywright.sources.tables import load_toml

Tie = Literal["better", "lower"]
Gap = Literal["none", "better"]
TIES: tuple[Tie, ...] = ("better", "lower")
GAPS: tuple[Gap, ...] = ("none", "better")
HEADLINES: dict[str, tuple[str, ...]] = {
    "rfv": ("rfv",),
    "adf": ("adf",),
    "lowest": ("adf", "ndf", "rfv", "tdn", "cp", "ddm", "dmi_bw"),
    "lowest-fiber": ("adf", "ndf", "rfv"),
}
NO_CLASS = -1


@dataclass(frozen=True, slots=True)
class Bands:
    """The bands of one measure: ``edges`` and ``opens`` in the unit of the measure, best first."""

    measure: str
    lower_is_better: bool
    edges: tuple[float, ...]
    opens: tuple[float, ...]
    decimals: int | None = None
    equation: str = ""


@dataclass(frozen=True, slots=True)
class Scale:
    """One published scale for one kind of hay."""

    id: str
    hay: str
    name: str
    year: int | None
    source: str
    recalled: bool
    classes: tuple[str, ...]
    bands: Mapping[str, Bands]

    def word(self, code: int) -> str:
        """The class of a code; "" for none."""
        return self.classes[code] if code != NO_CLASS else ""


@dataclass(frozen=True, slots=True)
class MeasureGrade:
    """The class by one measure; ``best`` and ``worst`` are what its likely range also holds."""

    measure: str
    value: float
    code: int
    word: str
    best: str
    worst: str


@dataclass(frozen=True, slots=True)
class Grade:
    """One hay on one scale.

    Parameters
    ----------
    scale
        The scale.
    by_measure
        Measure -> its class.
    agree
        Whether all measures say the same; ``None`` with fewer than two.
    headline
        The class by the headline rule; "" when its measure is missing or falls into a gap.
    rule, tie, gap
        The rules used.
    """

    scale: Scale
    by_measure: Mapping[str, MeasureGrade]
    agree: bool | None
    headline: str
    rule: str
    tie: Tie
    gap: Gap

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "scale": self.scale.id,
            "name": self.scale.name,
            "year": self.scale.year,
            "hay": self.scale.hay,
            "recalled": self.scale.recalled,
            "by_measure": {m: g.word or None for m, g in self.by_measure.items()},
            "agree": self.agree,
            "headline": self.headline or None,
            "rules": {"headline": self.rule, "tie": self.tie, "gap": self.gap},
        }


def hay_type(crop: Crop) -> str:
    """What the scales call a crop: alfalfa, legume, mixed, grass; "" for what they leave out."""
    if crop.id == "alfalfa":
        return "alfalfa"
    return crop.forage_class if crop.forage_class in ("legume", "mixed", "grass") else ""


def scale_names() -> list[str]:
    """Every scale."""
    return list(load_toml("grades"))


@lru_cache(maxsize=32)
def scale(name: str, hay: str) -> Scale | None:
    """The scale for one kind of hay; ``None`` where it says nothing about that kind.

    Raises
    ------
    UnknownName
        No such scale.
    """
    tables = load_toml("grades")
    if name not in tables:
        raise UnknownName("scale", name, tables)
    top = tables[name]
    found = top.get(hay) or (top.get("any") if hay else None)
    if found is None:
        return None
    return Scale(
        id=name,
        hay=hay,
        name=top["name"],
        year=top.get("year"),
        source=top["source"],
        recalled=top["mark"] == "recalled",
        classes=tuple(found["classes"]),
        bands={m: _bands(m, row) for m, row in found["measures"].items()},
    )


def _bands(measure: str, row: Mapping[str, Any]) -> Bands:
    edges = tuple(float(edge) for edge in row["edges"])
    return Bands(
        measure,
        row["better"] == "low",
        edges,
        tuple(float(edge) for edge in row.get("opens", edges)),
        row.get("decimals"),
        row.get("equation", ""),
    )


def codes(bands: Bands, values: Any, *, tie: Tie = "better", gap: Gap = "none") -> Any:
    """Class codes of values: 0 for the best class, -1 for none or a missing value.

    Parameters
    ----------
    bands
        Bands of one measure.
    values
        Number or array [unit of the measure]; NaN for missing.
    tie, gap
        Rules.

    Returns
    -------
    Small integers, shaped like ``values``.
    """
    values = np.asarray(values)
    if bands.decimals is not None:
        values = np.round(values, bands.decimals)
    strictly, loosely = (
        (np.greater, np.greater_equal) if bands.lower_is_better else (np.less, np.less_equal)
    )
    # bands printed in whole steps leave no tie: the edge is the last step of its class
    beyond = strictly if tie == "better" or bands.decimals is not None else loosely
    edges = bands.opens if gap == "better" else bands.edges
    out = beyond(values, edges[0]).view(np.int8)
    for edge in edges[1:]:
        out += beyond(values, edge)
    if gap == "none" and bands.edges != bands.opens:
        for edge, opens in zip(bands.edges, bands.opens, strict=True):
            if edge != opens:
                out[strictly(values, edge) & ~loosely(values, opens)] = NO_CLASS
    out[np.isnan(values)] = NO_CLASS
    return out


def code_of(bands: Bands, value: float, *, tie: Tie = "better", gap: Gap = "none") -> int:
    """The class code of one value [unit of the measure]; see :func:`codes`."""
    return int(codes(bands, np.array([value], dtype=float), tie=tie, gap=gap)[0])


def grade(
    values: Mapping[str, Estimate | float],
    scale: Scale,
    *,
    headline: str = "rfv",
    tie: Tie = "better",
    gap: Gap = "none",
    confidence: float = 0.9,
) -> Grade:
    """Place one hay on one scale.

    Parameters
    ----------
    values
        Measure -> number or Estimate, in the unit of the measure; TDN by the scale's equation.
    scale
        From :func:`scale`.
    headline, tie, gap
        Rules by name.
    confidence
        Of the likely range whose classes are given beside [fraction].
    """
    if headline not in HEADLINES:
        raise UnknownName("headline rule", headline, HEADLINES)
    by_measure = {
        measure: _placed(bands, as_estimate(values[measure]), scale, tie, gap, confidence)
        for measure, bands in scale.bands.items()
        if measure in values
    }
    found = {one.code for one in by_measure.values() if one.code != NO_CLASS}
    return Grade(
        scale=scale,
        by_measure=by_measure,
        agree=None if len(by_measure) < 2 else len({g.code for g in by_measure.values()}) == 1,
        headline=scale.word(headline_code(by_measure, headline, scale)) if found else "",
        rule=headline,
        tie=tie,
        gap=gap,
    )


def headline_code(by_measure: Mapping[str, MeasureGrade], rule: str, scale: Scale) -> int:
    """The code by a headline rule; a scale of one measure has only that one."""
    wanted = HEADLINES[rule] if len(scale.bands) > 1 else tuple(scale.bands)
    return max((by_measure[m].code for m in wanted if m in by_measure), default=NO_CLASS)


def _placed(
    bands: Bands, value: Estimate, scale: Scale, tie: Tie, gap: Gap, confidence: float
) -> MeasureGrade:
    ends = value.interval(confidence) if value.u > 0 else (value.value, value.value)
    code = code_of(bands, value.value, tie=tie, gap=gap)
    reach = sorted(c for c in (code_of(bands, e, tie=tie, gap=gap) for e in ends) if c >= 0)
    if not reach:
        reach = [code]
    return MeasureGrade(
        bands.measure,
        value.value,
        code,
        scale.word(code),
        scale.word(reach[0]),
        scale.word(reach[-1]),
    )
