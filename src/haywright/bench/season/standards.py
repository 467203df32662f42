"""Standards, blanks and continuing checks of every batch, judged as one batch's are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from haywright.bench import calibration as cal
from haywright.bench.batch import Batch, PositionKind
from haywright.bench.given_limits import limit_of, usual_limit
from haywright.bench.pattern import chosen
from haywright.bench.season.before import of_kind
from haywright.bench.season.curves import Curves, curves_through
from haywright.bench.season.doubt import Doubtful
from haywright.bench.season.table import Numbers, Places, Season, Yes
from haywright.bench.solution import column_efficiency

_K = PositionKind


def curves_of(season: Season, use: Yes, shell: Batch) -> tuple[Curves, Yes]:
    """The curve of every batch, and where its standards hold the batch."""
    rows = of_kind(season, use, _K.STANDARD)
    x, y = season.readings["known_mg_per_l"][rows], season.readings["peak"][rows]
    batch = season.batch[rows]
    choices = chosen(shell, season.method)
    curves = curves_through(
        x,
        y,
        batch,
        batches=len(season.heads),
        model=cal.Model(str(choices["curve"])),
        weighting=cal.Weights(str(choices["weights"])),
    )
    bad = ~curves.drawn
    bad |= _few_or_out_of_order(x, y, batch, len(bad), usual_limit(shell, "standards_least").value)
    top = limit_of(shell, "signal_top")
    if top is not None:
        bad[batch[y >= top.value]] = True
    bad[batch[_off(curves, x, y, batch, shell)]] = True
    return curves, bad


def _few_or_out_of_order(x: Numbers, y: Numbers, batch: Places, count: int, least: float) -> Yes:
    """Batches with too few levels, or where a stronger standard does not signal more."""
    order = np.lexsort((x, batch))
    x, y, batch = x[order], y[order], batch[order]
    new = np.ones(len(x), dtype=bool)
    new[1:] = (x[1:] != x[:-1]) | (batch[1:] != batch[:-1])
    level = np.cumsum(new) - 1
    strength, of_batch = x[new], batch[new]
    means = np.bincount(level, y) / np.bincount(level)
    bad = np.bincount(of_batch[strength > 0], minlength=count) < least
    falls = (of_batch[1:] == of_batch[:-1]) & (means[1:] <= means[:-1])
    bad[of_batch[1:][falls]] = True
    return bad


def _off(curves: Curves, x: Numbers, y: Numbers, batch: Places, shell: Batch) -> Yes:
    """Standards that do not read back as what they are."""
    lowest = usual_limit(shell, "standard_back_lowest_pct").value
    most = np.where(x <= curves.low[batch], lowest, usual_limit(shell, "standard_back_pct").value)
    with np.errstate(divide="ignore", invalid="ignore"):
        off = 100.0 * (curves.amount(y, batch) / x - 1.0)
        return np.asarray((x > 0) & ~(np.abs(off) <= most))


@dataclass(frozen=True, slots=True)
class Blanks:
    """The method blank of each batch.

    Parameters
    ----------
    read
        As read, with its doubt [mg/L]; nan where there is none.
    dilution
        Its dilution [ratio].
    mean_df
        Degrees of freedom where its doubt is the scatter of its readings [count], else inf.
    there, several
        Batches that have a blank, and those whose blanks were diluted differently.
    """

    read: Doubtful
    dilution: Numbers
    mean_df: Numbers
    there: Yes
    several: Yes


def blanks_of(season: Season, use: Yes, curves: Curves) -> Blanks:
    """The mean blank of every batch, with its scatter or its readings' doubt, what is more."""
    rows = of_kind(season, use, _K.BLANK)
    batch, count = season.batch[rows], len(season.heads)

    def total(values: Any) -> Numbers:
        return np.bincount(batch, values, minlength=count).astype(float)

    n = total(None)
    one = curves.read(season.readings["peak"][rows], batch)
    dilution = diluted(season)[rows]
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, batch, dilution)
    np.maximum.at(high, batch, dilution)
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = total(one.value) / n
        parts = {name: total(part) / n for name, part in one.parts.items() if name != "signal"}
        parts["blank signal"] = np.sqrt(total(one.parts["signal"] ** 2)) / n
        of_readings = Doubtful(mean, parts).u
        scatter = np.sqrt(total((one.value - mean[batch]) ** 2) / (n - 1.0)) / np.sqrt(n)
        wide = (n > 1) & (scatter > of_readings)
    parts = {name: np.where(wide, 0.0, part) for name, part in parts.items()}
    parts["blank scatter"] = np.where(wide, scatter, 0.0)
    return Blanks(
        Doubtful(mean, parts),
        low,
        np.where(wide, n - 1.0, np.inf),
        n > 0,
        low < high,
    )


def diluted(season: Season) -> Numbers:
    """Dilution of each row [ratio], 1 where none was written down."""
    found = season.readings["dilution"]
    return np.where(np.isnan(found), 1.0, found)


def mostly_blank(season: Season, rows: Places, read: Numbers, blanks: Blanks, curves: Curves,
                 shell: Batch) -> Yes:  # fmt: skip
    """Rows of bags in which the blank is more than a share of the reading [mg/L as read]."""
    most = usual_limit(shell, "blank_share_pct").value
    batch = season.batch[rows]
    with np.errstate(divide="ignore", invalid="ignore"):
        worth = (blanks.read.value * blanks.dilution)[batch]
        whole = read * diluted(season)[rows]
        share = np.where(whole > 0, 100.0 * worth / whole, np.inf)
        told = (blanks.read.value > curves.low / 2.0)[batch]
    # A reading that no point of the curve gives lies above the range, whatever the blank.
    return np.asarray(told & ~np.isnan(read) & ~(share <= most))


def not_between_good(season: Season, use: Yes, curves: Curves, shell: Batch) -> Yes:
    """Rows whose next continuing check, or the one before, is bad or was never run."""
    checks = of_kind(season, use, _K.VERIFICATION)
    known = season.readings["known_mg_per_l"][checks]
    with np.errstate(divide="ignore", invalid="ignore"):
        found = curves.amount(season.readings["peak"][checks], season.batch[checks])
        inside = (
            np.abs(100.0 * (found / known - 1.0)) <= usual_limit(shell, "verification_pct").value
        )
    n = len(season.batch)
    good = np.zeros(n + 1, dtype=bool)
    good[checks] = inside
    batch = np.concatenate([season.batch, [-1]])
    here = np.arange(n)
    marks = np.zeros(n, dtype=bool)
    marks[checks] = True
    before = np.maximum.accumulate(np.where(marks, here, -1))
    after = np.minimum.accumulate(np.where(marks, here, n)[::-1])[::-1]
    # Before the first check the calibration itself serves as the good one.
    bad_before = (batch[before] == season.batch) & ~good[before]
    bad_after = (batch[after] != season.batch) | ~good[after]
    return np.asarray(bad_before | bad_after)


def weak_column(season: Season, use: Yes, curves: Curves, shell: Batch) -> Places:
    """Batches whose nitrite standards show a column that turns too little nitrate into nitrite."""
    least = limit_of(shell, "column_efficiency_least_pct")
    rows = of_kind(season, use, _K.NITRITE_STANDARD)
    if least is None or not len(rows):
        return np.zeros(0, dtype=np.intp)
    batch = season.batch[rows]
    expected = curves.predict(season.readings["known_mg_per_l"][rows], batch)
    nothing = curves.predict(np.zeros(len(rows)), batch)
    with np.errstate(divide="ignore", invalid="ignore"):
        found = column_efficiency(expected, season.readings["peak"][rows], nothing)
    return np.asarray(batch[~(found >= least.value)])
