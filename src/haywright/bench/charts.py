"""Control charts: limits from history, rules for runs, and what each rule costs in false alarms.

A point outside is never dropped from history without a cause on record. One beyond 2 s warns and
never stops. Arrays work as well as single series: the last axis is the order of the runs.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from haywright.bench.precision import summary
from haywright.measure.errors import Refused, UnknownName
from haywright.sources.tables import load_toml

Fired = NDArray[np.bool_]
LEAST_RUNS = 20


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule; see ``sources/tables/run_rules.toml`` for what the fields say."""

    id: str
    name: str
    kind: str
    source: str
    mark: str
    count: int = 1
    of: int = 0
    sd: float = 0.0
    warns: bool = False


@dataclass(frozen=True, slots=True)
class RuleSet:
    """Rules that a publication uses together.

    ``run_length`` [results] is the published mean number of results until a false alarm.
    """

    id: str
    name: str
    rules: tuple[Rule, ...]
    source: str
    mark: str
    run_length: float | None = None


@lru_cache(maxsize=1)
def rules() -> Mapping[str, Rule]:
    """Every rule by id."""
    return {name: Rule(id=name, **row) for name, row in load_toml("run_rules")["rule"].items()}


@lru_cache(maxsize=1)
def rule_sets() -> Mapping[str, RuleSet]:
    """Every set of rules by id."""
    rows: Mapping[str, dict[str, Any]] = load_toml("run_rules")["set"]
    return {
        name: RuleSet(id=name, **{**row, "rules": tuple(rules()[one] for one in row["rules"])})
        for name, row in rows.items()
    }


def rule_set(name: str) -> RuleSet:
    """The set of rules of an id; an unknown one is refused."""
    try:
        return rule_sets()[name]
    except KeyError:
        raise UnknownName("rules", name, rule_sets()) from None


def _counted(hits: Fired, count: int, of: int) -> Fired:
    """Where a hit is the one that makes ``count`` of the last ``of``."""
    n = hits.shape[-1]
    out = np.zeros(hits.shape, dtype=bool)
    if n == 0:
        return out
    if of == 1:
        return hits.copy()
    padded = np.concatenate([np.zeros((*hits.shape[:-1], of - 1), dtype=np.int8), hits], axis=-1)
    sums = np.cumsum(padded, axis=-1, dtype=np.int32)
    before = np.concatenate([np.zeros((*hits.shape[:-1], 1), dtype=np.int32), sums], axis=-1)
    inside = before[..., of:] - before[..., :n]
    return np.asarray(hits & (inside >= count))


def _beyond(z: NDArray[np.float64], rule: Rule) -> Fired:
    up, down = z > rule.sd, z < -rule.sd
    return _counted(up, rule.count, rule.of) | _counted(down, rule.count, rule.of)


def _side(z: NDArray[np.float64], rule: Rule) -> Fired:
    return _counted(z > 0, rule.count, rule.count) | _counted(z < 0, rule.count, rule.count)


def _trend(z: NDArray[np.float64], rule: Rule) -> Fired:
    steps = rule.count - 1
    up = _led(np.diff(z, axis=-1) > 0)
    down = _led(np.diff(z, axis=-1) < 0)
    return _counted(up, steps, steps) | _counted(down, steps, steps)


def _led(later: Fired) -> Fired:
    """Differences put back at the place of their later point."""
    return np.concatenate([np.zeros((*later.shape[:-1], 1), dtype=bool), later], axis=-1)


def _alternating(z: NDArray[np.float64], rule: Rule) -> Fired:
    if z.shape[-1] < 3:
        return np.zeros(z.shape, dtype=bool)
    step = np.diff(z, axis=-1)
    turns = _led(_led(step[..., 1:] * step[..., :-1] < 0))
    return _counted(turns, rule.count - 2, rule.count - 2)


def _within(z: NDArray[np.float64], rule: Rule) -> Fired:
    return _counted(np.abs(z) < rule.sd, rule.count, rule.count)


def _outside(z: NDArray[np.float64], rule: Rule) -> Fired:
    return _counted(np.abs(z) > rule.sd, rule.count, rule.count)


def _nothing(z: NDArray[np.float64], _: Rule) -> Fired:
    """Rules within one run need its single results: see :func:`within_a_run`."""
    return np.zeros(z.shape, dtype=bool)


_FIRE: Mapping[str, Callable[[NDArray[np.float64], Rule], Fired]] = {
    "beyond": _beyond,
    "side": _side,
    "trend": _trend,
    "alternating": _alternating,
    "within": _within,
    "outside": _outside,
    "spread": _nothing,
    "range": _nothing,
}


def fires(z: ArrayLike, rule: Rule) -> Fired:
    """Where a rule fires on standardised results.

    Parameters
    ----------
    z
        Results less the center line, over the SD between runs [ratio]; last axis in order.
    rule
        The rule.
    """
    return _FIRE[rule.kind](np.asarray(z, dtype=float), rule)


def within_a_run(z: ArrayLike, rule: Rule) -> Fired:
    """Where a rule fires among the single results of each run.

    Parameters
    ----------
    z
        Standardised results, shape (..., runs, results of a run) [ratio].
    rule
        A rule of kind "spread" or "range".
    """
    values = np.asarray(z, dtype=float)
    high, low = values.max(axis=-1), values.min(axis=-1)
    if rule.kind == "range":
        return np.asarray(high - low > 2.0 * rule.sd)
    return np.asarray((high > rule.sd) & (low < -rule.sd))


@dataclass(frozen=True, slots=True)
class Chart:
    """A Shewhart chart of a check sample.

    Parameters
    ----------
    center, sd
        From history [unit of the result].
    runs
        How many runs the history has.
    """

    center: float
    sd: float
    runs: int

    @property
    def warning(self) -> tuple[float, float]:
        """Lower and upper warning limit [unit of the result]."""
        return self.center - 2.0 * self.sd, self.center + 2.0 * self.sd

    @property
    def action(self) -> tuple[float, float]:
        """Lower and upper action limit [unit of the result]."""
        return self.center - 3.0 * self.sd, self.center + 3.0 * self.sd

    @property
    def provisional(self) -> bool:
        """Whether the history is shorter than the 20 runs that limits should rest on."""
        return self.runs < LEAST_RUNS

    def standardised(self, values: ArrayLike) -> NDArray[np.float64]:
        """Results [unit of the result] in SDs from the center line."""
        return np.asarray((np.asarray(values, dtype=float) - self.center) / self.sd)


def chart(history: ArrayLike) -> Chart:
    """A chart whose limits come from history, one result for each run.

    Parameters
    ----------
    history
        Results of earlier runs [one unit].

    Raises
    ------
    Refused
        Fewer than two runs, or runs that are all alike.
    """
    found = summary(list(map(float, np.asarray(history, dtype=float))))
    if not found.sd > 0:
        raise Refused("history", found.n, key="bench.charts.no_scatter")
    return Chart(found.mean, found.sd, found.n)


def sd_from_moving_range(history: ArrayLike) -> float:
    """SD between runs from how far each lies from the one before [one unit]."""
    steps = np.abs(np.diff(np.asarray(history, dtype=float)))
    return float(steps.mean()) / float(load_toml("chart_constants")["pair"]["range_over_sd"])


@dataclass(frozen=True, slots=True)
class RangeChart:
    """A chart of the ranges of duplicates; limits in the unit of the results."""

    mean_range: float
    repeat_sd: float
    warning: float
    action: float


def range_chart(mean_range: float) -> RangeChart:
    """Limits for ranges of duplicates from their mean [unit of the results]."""
    constants = load_toml("chart_constants")["pair"]
    return RangeChart(
        mean_range,
        mean_range / constants["range_over_sd"],
        constants["range_warning"] * mean_range,
        constants["range_action"] * mean_range,
    )


def judged(values: ArrayLike, of: Chart, by: RuleSet) -> dict[str, tuple[int, ...]]:
    """Which rules fired at which results, counted from 1.

    Parameters
    ----------
    values
        Results in the order of the runs [one unit].
    of
        The chart.
    by
        The rules.
    """
    z = of.standardised(values)
    return {
        rule.id: tuple(int(place) + 1 for place in np.flatnonzero(fires(z, rule)))
        for rule in by.rules
    }


def weighted_average(z: ArrayLike, *, weight: float) -> NDArray[np.float64]:
    """Exponentially weighted moving average of standardised results [ratio].

    Parameters
    ----------
    z
        Standardised results, last axis in order [ratio].
    weight
        Weight of the newest result [fraction].
    """
    from scipy.signal import lfilter

    return np.asarray(lfilter([weight], [1.0, weight - 1.0], np.asarray(z, dtype=float), axis=-1))


def weighted_average_limit(place: ArrayLike, *, weight: float, k: float = 3.0) -> Any:
    """Half-width of its limits at a place in the series [SDs between runs].

    Parameters
    ----------
    place
        Place in the series, from 1 [count].
    weight
        Weight of the newest result [fraction].
    k
        Limits in SDs of the average [ratio].
    """
    grown = 1.0 - (1.0 - weight) ** (2.0 * np.asarray(place, dtype=float))
    return k * np.sqrt(weight / (2.0 - weight) * grown)


def cumulative_sums(z: ArrayLike, *, k: float = 0.5) -> tuple[NDArray[np.float64], Any]:
    """Upper and lower cumulative sums of standardised results [ratio].

    Parameters
    ----------
    z
        Standardised results, last axis in order [ratio].
    k
        Slack taken off each result [SDs]; half the shift to be found.

    Returns
    -------
    tuple
        Sums above and below; a signal is one beyond 4 to 5.
    """
    values = np.asarray(z, dtype=float)

    def one_sided(steps: NDArray[np.float64]) -> NDArray[np.float64]:
        walk = np.cumsum(steps, axis=-1)
        lowest = np.minimum(np.minimum.accumulate(walk, axis=-1), 0.0)
        return np.asarray(walk - lowest)

    return one_sided(values - k), one_sided(-values - k)


def false_alarm(results: int, sd: float) -> float:
    """Chance that one of some good results [count] lies beyond ``sd`` [SDs] on either side."""
    from scipy.special import ndtr

    return 1.0 - float(1.0 - 2.0 * ndtr(-sd)) ** results


def false_spread(sd: float = 2.0) -> float:
    """Chance that of two good results one lies above +sd and one below -sd [SDs]."""
    from scipy.special import ndtr

    return 2.0 * float(ndtr(-sd)) ** 2


def false_range(sd: float = 2.0) -> float:
    """Chance that two good results differ by more than 2 sd [SDs]."""
    from scipy.special import ndtr

    return 2.0 * float(ndtr(-2.0 * sd / math.sqrt(2.0)))
