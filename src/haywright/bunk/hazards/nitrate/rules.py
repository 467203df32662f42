"""The choices and lines no guide prints, from their table; an office may change them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from haywright.sources.tables import load_toml


@dataclass(frozen=True, slots=True)
class Rules:
    """Lines [mg/kg NO3-N of DM], levels [fraction] and planning spreads [CV] of the decision."""

    risky: float
    other: float
    by_part: float
    least: float
    most: float
    df: float
    within: float
    repeat: float
    bias: float
    line_pregnant: float
    line_others: float
    line_all: float
    class_level: float
    all_level: float
    many: float
    bound: float
    limited: float
    step_up_steps: int
    step_up_days: int
    water_per_feed: float


@lru_cache(maxsize=1)
def rules() -> Rules:
    """The rules as the table ships them."""
    table = load_toml("nitrate_rules")
    spread, lab, lines = table["spread"], table["laboratory"], table["lines"]
    feeding = table["feeding"]
    return Rules(
        **{k: float(spread[k]) for k in ("risky", "other", "by_part", "least", "most", "df")},
        within=float(spread["within"]),
        repeat=float(lab["repeat"]),
        bias=float(lab["bias"]),
        line_pregnant=float(lines["pregnant"]),
        line_others=float(lines["others"]),
        line_all=float(lines["all"]),
        class_level=float(lines["class_level"]),
        all_level=float(lines["all_level"]),
        many=float(lines["many"]),
        bound=float(lines["bound"]),
        limited=float(feeding["limited"]),
        step_up_steps=int(feeding["step_up_steps"]),
        step_up_days=int(feeding["step_up_days"]),
        water_per_feed=float(feeding["water_per_feed"]),
    )
