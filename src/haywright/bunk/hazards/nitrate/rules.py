"""The choices and lines no guide prints, from their table; an office may change them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from haywright.sources.tables import load_toml


@dataclass(frozen=True, slots=True)
class Rules:
    """Lines, levels and planning figures of the decision.

    Parameters
    ----------
    risky, other, by_part, least, most
        Spread between bales: annual, stressed or weedy hay bagged as one; other hay; field parts
        bagged apart; least unless measured on the lot; most of an uncertain one [CV].
    df, within
        Degrees of freedom of those [count]; spread between cores of a bale [CV].
    repeat, bias
        Of a laboratory that does not say [relative standard uncertainty].
    line_pregnant, line_others, line_all
        For one bale [mg/kg NO3-N of DM].
    class_level, all_level, bound
        The bale held against the class's line and the line for all, and the mean's one-sided
        bound [fraction].
    many
        Bales expected over the line for all, from which on the lot is split, retested or ground
        [count].
    limited
        Part of the share when a limited amount is fed after a fill of clean hay [fraction].
    step_up_steps, step_up_days
        [count, days].
    water_per_feed
        Drunk with each kg of dry matter where the herd's own is not known [L/kg].
    more_cores, least_chance
        Cores [count] that might settle a case; chance under which nothing is said to [fraction].
    """

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
    more_cores: tuple[int, ...]
    least_chance: float


@lru_cache(maxsize=1)
def rules() -> Rules:
    """The rules as the table ships them."""
    table = load_toml("nitrate_rules")
    spread, lab, lines, feeding = (table[n] for n in ("spread", "laboratory", "lines", "feeding"))
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
        more_cores=tuple(table["settling"]["more_cores"]),
        least_chance=float(table["settling"]["least_chance"]),
    )
