"""The portions of each bag by the scheme fixed beforehand, and the scatter no reading shows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haywright.bench.batch import Batch, at_level
from haywright.bench.control import critical_range_factor
from haywright.bench.pattern import Lead
from haywright.bench.scatter import scatter_of, usual_scatter
from haywright.bench.season.doubt import Doubtful
from haywright.bench.season.portions import Portions, weighed
from haywright.bench.season.table import Groups, Numbers, Places, Yes
from haywright.measure.analytes import quantity
from haywright.sources.tables import load_toml


@dataclass(frozen=True, slots=True)
class Scatters:
    """Scatter of each bag's result at its level [unit of the judged quantity].

    Parameters
    ----------
    repeat, bias, between_runs
        Between portions, of the laboratory's bias, and from run to run.
    repeat_df, bias_df, between_runs_df
        What each rests on [count].
    has_history
        Whether the scatter between runs is known.
    """

    repeat: Numbers
    bias: Numbers
    between_runs: Numbers
    repeat_df: float
    bias_df: float
    between_runs_df: float
    has_history: bool


def scatters(shell: Batch, lead: Lead, level: Numbers, at: Numbers) -> Scatters:
    """The laboratory's own scatter, else planning figures.

    Parameters
    ----------
    shell, lead
        A batch of the season, and what is judged.
    level
        Level that planning figures are taken for [unit of the judged quantity].
    at
        Level the scatter is wanted at [same unit].
    """
    name = lead.judged_as
    unit = quantity(name).unit
    one = scatter_of(shell, name, level=1.0, unit=unit)
    repeat_pct, bias_pct = one.repeat_pct, one.bias_pct
    if name not in shell.scatter and name not in load_toml("bench_scatter"):
        repeat_pct, bias_pct = usual_scatter(level, unit)
    return Scatters(
        repeat=at_level(one.repeat, repeat_pct, at),
        bias=at_level(one.bias, bias_pct, at),
        between_runs=at_level(one.between_runs or 0.0, one.between_runs_pct or 0.0, at),
        repeat_df=one.repeat_df,
        bias_df=one.bias_df,
        between_runs_df=one.between_runs_df,
        has_history=one.has_history,
    )


@dataclass(frozen=True, slots=True)
class Together:
    """Portions of each bag put together.

    Parameters
    ----------
    found
        What is reported of them, with its doubt [unit of a portion].
    limit
        The limit it lies below or above [unit of a portion]; nan for an ordinary number.
    above, below
        Bags above the range, or below the lowest standard.
    portions
        How many count [count].
    apart
        Bags whose portions differ more than they may, and are held.
    scatter
        What no reading shows, of each bag.
    """

    found: Doubtful
    limit: Numbers
    above: Yes
    below: Yes
    portions: Numbers
    apart: Yes
    scatter: Scatters


def put_together(portions: Portions, groups: Groups, shell: Batch, lead: Lead, *, to: Numbers,
                 turn: Places) -> Together:  # fmt: skip
    """The portions that count of each bag, by the scheme fixed beforehand.

    Parameters
    ----------
    portions, groups
        Portions that count, and the bag of each.
    shell, lead
        A batch of the season, and what is judged.
    to
        What a portion of each bag is multiplied by to be in the judged unit and basis [ratio].
    turn
        Rank of each portion by replicate and attempt [count].
    """
    n = groups.total(None)
    value = portions.found.value
    with np.errstate(divide="ignore", invalid="ignore"):
        level = np.abs(groups.total(value) / n * to)
    order, rank = _ranked(value, groups)
    spread = _spread(value * to[groups.group], groups, order)
    repeat = scatters(shell, lead, level, level).repeat
    above = groups.any(portions.above)
    differ = (n > 1) & ~above & ~(spread <= _factors(n) * repeat)
    weight = _weights(n, differ & (n >= 4), groups.group, rank)
    found = weighed(portions, groups, weight)
    found, limit, below = _beyond(portions, groups, found, n, above, turn)
    at = np.abs(found.value * to)
    scatter = scatters(shell, lead, level, at)
    found = _with_scatter(found, scatter, n=n, to=to, plain=~above & ~below)
    return Together(found, limit, above, below, n, differ & (n < 4), scatter)


def _ranked(value: Numbers, groups: Groups) -> tuple[Places, Places]:
    """Portions in order of bag and size, and the rank of each within its bag from 0."""
    order = np.lexsort((value, groups.group))
    counts = np.bincount(groups.group, minlength=len(groups))
    starts = np.cumsum(counts) - counts
    rank = np.empty(len(order), dtype=np.intp)
    rank[order] = np.arange(len(order)) - np.repeat(starts, counts)
    return order, rank


def _spread(judged: Numbers, groups: Groups, order: Places) -> Numbers:
    counts = np.bincount(groups.group, minlength=len(groups))
    ends = np.cumsum(counts)
    some = counts > 0
    out = np.zeros(len(groups))
    out[some] = judged[order[ends[some] - 1]] - judged[order[(ends - counts)[some]]]
    return out


def _factors(n: Numbers) -> Numbers:
    """How many SDs between portions the range of each bag's portions may span [ratio]."""
    out = np.zeros(len(n))
    for count in np.unique(n[n > 1]):
        out[n == count] = critical_range_factor(int(count))
    return out


def _weights(n: Numbers, by_median: Yes, group: Places, rank: Places) -> Numbers:
    """Weight of each portion: one n-th, or the middle ones alone."""
    with np.errstate(divide="ignore"):
        even = (1.0 / n)[group]
    count = n[group].astype(np.intp)
    first, last = (count - 1) // 2, count // 2
    middle = np.where((first <= rank) & (rank <= last), 1.0 / (last - first + 1), 0.0)
    return np.where(by_median[group], middle, even)


def _beyond(portions: Portions, groups: Groups, found: Doubtful, n: Numbers, above: Yes,
            turn: Places) -> tuple[Doubtful, Numbers, Yes]:  # fmt: skip
    """Above the range the last such portion stands; below a limit only when that comes out."""
    limit, value = np.full(len(groups), np.nan), found.value.copy()
    top = np.full(len(groups), -np.inf)
    np.maximum.at(top, groups.group[portions.below], portions.edge[portions.below])
    below = ~above & np.isfinite(top) & ((n == 1) | (value < top))
    limit[below] = top[below]
    over = np.flatnonzero(portions.above)
    over = over[np.argsort(turn[over], kind="stable")]
    # Where several lie above, the one assigned last is the one that stands.
    limit[groups.group[over]] = portions.edge[over]
    value[groups.group[over]] = portions.found.value[over]
    parts = {name: np.where(above, 0.0, part) for name, part in found.parts.items()}
    return Doubtful(value, parts), limit, below


def _with_scatter(
    found: Doubtful, scatter: Scatters, *, n: Numbers, to: Numbers, plain: Yes
) -> Doubtful:
    """Ordinary numbers with the scatter of the method added, or, with history, in its place."""
    with np.errstate(divide="ignore", invalid="ignore"):
        bias = np.where(plain, scatter.bias / to, 0.0)
        if scatter.has_history:
            run = np.where(plain, scatter.between_runs / to, 0.0)
            kept = {name: np.where(plain, 0.0, part) for name, part in found.parts.items()}
            return Doubtful(found.value, {**kept, "bias": bias, "run": run})
        repeat = np.where(plain, scatter.repeat / np.sqrt(n) / to, 0.0)
    return Doubtful(found.value, {**found.parts, "bias": bias, "repeat": repeat})
