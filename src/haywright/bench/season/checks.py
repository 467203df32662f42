"""Check samples of a season against their assigned values and their own history."""

from __future__ import annotations

import numpy as np

from haywright.bench import charts
from haywright.bench.batch import Batch, CheckMaterial, PositionKind
from haywright.bench.control import standardised
from haywright.bench.given_limits import usual_limit
from haywright.bench.judged import scatter_between_runs
from haywright.bench.season.portions import Portions
from haywright.bench.season.table import Numbers, Places, Season, Yes, dried, grouped
from haywright.measure.basis import to_dry_matter

ANALYTE = "nitrate_n"


def off_their_values(season: Season, use: Yes, portions: Portions, shell: Batch) -> Places:
    """Batches that a check sample holds: off its value, without one, or not worked.

    Parameters
    ----------
    season, use, portions
        The season, the rows that can be used, and the portions of its check samples.
    shell
        A batch of the season.
    """
    value = np.full(len(season.batch), np.nan)
    value[portions.rows] = portions.found.value
    groups = grouped(season, use & season.of(PositionKind.CHECK))
    mean = groups.total(value[groups.rows]) / groups.total(None)
    held = np.zeros(len(groups), dtype=bool)
    dm = dried(season, groups)
    for sample in np.unique(groups.sample):
        own = groups.sample == sample
        material = shell.checks.get(season.names[sample])
        if material is None:
            held |= own
        elif ANALYTE in material.assigned:
            own_dm = np.where(own, dm.value if material.lab_dm is None else material.lab_dm, np.nan)
            found = to_dry_matter(mean[own], own_dm[own])
            held[own] = np.isnan(found) | _beyond(shell, material, found)
    return np.asarray(groups.batch[held])


def _beyond(shell: Batch, material: CheckMaterial, found: Numbers) -> Yes:
    """Results of one material [mg/kg dry matter] that a stopping rule holds, each by itself."""
    history = material.history.get(ANALYTE, ())
    if len(history) >= charts.LEAST_RUNS:
        return _charted(shell, history, found)
    sd, _ = scatter_between_runs(shell, material, ANALYTE)
    if not sd > 0:
        return np.ones(len(found), dtype=bool)
    z = standardised(found, material.assigned[ANALYTE], sd)
    return ~np.asarray(np.abs(z) <= usual_limit(shell, "check_action_sd").value)


def _charted(shell: Batch, history: tuple[float, ...], found: Numbers) -> Yes:
    chart = charts.chart(history)
    series = np.empty((len(found), len(history) + 1))
    series[:, :-1], series[:, -1] = history, found
    z = chart.standardised(series)
    held = np.zeros(len(found), dtype=bool)
    for rule in charts.rule_set(shell.rules).rules:
        if not rule.warns:
            held |= charts.fires(z, rule)[:, -1]
    return held
