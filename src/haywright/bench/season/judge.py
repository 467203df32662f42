"""A season judged again: every batch of one method worked and decided at once.

What holds a batch or a bag, and every number, is what ``run.run_batch`` gives of the same batch;
the words of each control are not written here. A batch that is asked about is run by itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from haywright.bench.batch import PORTIONS, Batch, PositionKind
from haywright.bench.decide import Verdict
from haywright.bench.determinations.nitrate import FLOW_INJECTION
from haywright.bench.pattern import BAG_KINDS, chosen
from haywright.bench.season import standards
from haywright.bench.season.bags import Together, put_together
from haywright.bench.season.before import first_look
from haywright.bench.season.checks import off_their_values
from haywright.bench.season.curves import Curves
from haywright.bench.season.doubt import Doubtful, worked
from haywright.bench.season.portions import counting, portions_of, turns
from haywright.bench.season.reasons import Bits, Reason, add
from haywright.bench.season.table import Groups, Numbers, Season, Yes, dried
from haywright.measure.basis import to_dry_matter
from haywright.measure.errors import Refused

ANALYTE = "nitrate_n"
VERDICTS = tuple(Verdict)


class Came(IntEnum):
    """What became of one bag."""

    RELEASED = 0
    HELD = 1
    BEYOND = 2
    WAITING = 3
    NOTHING = 4


@dataclass(frozen=True, slots=True)
class JudgedSeason:
    """What came of a season; arrays count its bags or its batches.

    Parameters
    ----------
    season
        What was judged.
    value, u, df
        Result of each bag, its standard uncertainty [mg/kg dry matter] and degrees of freedom
        [count]; the raw number where it is held or beyond a limit; nan where there is none.
    limit
        Limit it lies below or above [mg/kg dry matter]; nan for an ordinary number.
    above, below
        Bags above the range, or below the lowest standard.
    portions
        How many portions count [count].
    came, reasons
        What became of each bag, and which kinds of control hold it.
    verdict, batch_reasons
        Verdict of each batch (place in ``VERDICTS``), and which kinds of control hold all of it.
    curves
        The calibration of each batch.
    blank
        Method blank of each batch as read [mg/L].
    """

    season: Season
    value: Numbers
    u: Numbers
    df: Numbers
    limit: Numbers
    above: Yes
    below: Yes
    portions: Numbers
    came: NDArray[np.int8]
    reasons: Bits
    verdict: NDArray[np.int8]
    batch_reasons: Bits
    curves: Curves
    blank: Numbers


def judge(season: Season) -> JudgedSeason:
    """Work every batch of a season and decide what may be released.

    Parameters
    ----------
    season
        The batches.

    Raises
    ------
    Refused
        A method that is not worked as arrays, a choice not made, a check material with values of
        other quantities, a position or a portion that stands twice in its batch.
    """
    shell = _covered(season)
    use, tools, of_batch, of_bag = first_look(season)
    curves, bad = standards.curves_of(season, use, shell)
    blanks = standards.blanks_of(season, use, curves)
    # Without residuals, or with blanks diluted differently, nothing can be read off with its doubt.
    ready = curves.drawn & ~(blanks.there & (blanks.several | (curves.df == 0)))
    add(of_batch, bad | ~ready, Reason.STANDARDS)
    with np.errstate(invalid="ignore"):
        add(of_batch, ready & (blanks.read.value > curves.low), Reason.BLANK)
    weak = standards.weak_column(season, use, curves, shell)
    add(of_batch, weak[ready[weak]], Reason.COLUMN)
    rows = np.flatnonzero(use & season.of(*PORTIONS) & (ready & blanks.there)[season.batch])
    volume = float(chosen(shell, season.method)["extract_volume_ml"])
    portions = portions_of(season, rows, curves, blanks, tools, volume)
    checks = season.of(PositionKind.CHECK)[portions.rows]
    add(of_batch, off_their_values(season, use, portions.of(checks), shell), Reason.CHECK)
    own = portions.of(~checks)
    groups = _among(season.bags, own.rows)
    blank_rows = standards.mostly_blank(season, own.rows, own.read, blanks, curves, shell)
    add(of_bag, groups.any(blank_rows), Reason.BLANK)
    split = standards.not_between_good(season, use, curves, shell) & use & ready[season.batch]
    add(of_bag, season.bags.any(split[season.bags.rows]), Reason.VERIFICATION)
    counted = counting(season, own, groups)
    kept = own.of(counted)
    dm = dried(season, season.bags)
    together = put_together(
        kept,
        _among(season.bags, kept.rows),
        shell,
        season.method.leads[0],
        to=to_dry_matter(1.0, np.where(np.isnan(dm.value), 100.0, dm.value)),
        turn=turns(season, kept.rows),
    )
    add(of_bag, together.apart, Reason.DUPLICATE)
    return _decided(season, together, dm, curves, blanks, of_batch, of_bag)


def _covered(season: Season) -> Batch:
    """A batch of the season to ask limits of; a season that is not covered is refused."""
    common = season.common
    if season.method is not FLOW_INJECTION:
        asked = f"{common.determination} {common.method}"
        raise Refused("method", asked, FLOW_INJECTION.label, key="bench_arrays.season.method")
    for material in common.checks.values():
        for name in material.assigned:
            if name != ANALYTE:
                raise Refused(
                    f"check {material.name}", name, ANALYTE, key="bench_arrays.season.assigned"
                )
    refuse_twice(season)
    return season.shell(0)


def refuse_twice(season: Season) -> None:
    """Refuse a position or a portion that stands twice in its batch, with its row."""
    bags = np.flatnonzero(season.of(*BAG_KINDS))
    tried = (season.sample, season.replicate, season.attempt)
    places = np.arange(len(season.batch))
    twice = (
        (places, (season.order,), "bench_arrays.season.position_twice"),
        (bags, tried, "bench_arrays.season.portion_twice"),
    )
    for rows, keys, said in twice:
        columns = (*(key[rows] for key in reversed(keys)), season.batch[rows])
        order = np.lexsort(columns)
        same = np.ones(max(len(order) - 1, 0), dtype=bool)
        for column in columns:
            same &= column[order][1:] == column[order][:-1]
        if same.any():
            row = int(rows[order[1:][same][0]])
            place = int(season.order[row])
            raise season.refuse(row, said, batch=season.heads[season.batch[row]].id, place=place)


def _among(bags: Groups, rows: NDArray[np.intp]) -> Groups:
    """The bags with some of their rows alone."""
    group = bags.group[np.searchsorted(bags.rows, rows)]
    return Groups(rows, group, bags.batch, bags.sample)


def _df(
    found: Doubtful,
    together: Together,
    curves: Curves,
    mean_df: Numbers,
    batch: NDArray[np.intp],
) -> Numbers:
    """Effective degrees of freedom; what rests on one curve's residuals counts together."""
    square = {name: np.square(part) for name, part in found.parts.items()}
    curve = sum(part for name, part in square.items() if name.startswith(("signal", "curve")))
    rests = [
        (curve + square["blank signal"], curves.df[batch].astype(float)),
        (square["blank scatter"], mean_df[batch]),
        (square["bias"], together.scatter.bias_df),
        (square.get("repeat", 0.0), together.scatter.repeat_df),
        (square.get("run", 0.0), together.scatter.between_runs_df),
    ]
    with np.errstate(divide="ignore", invalid="ignore"):
        below = sum(np.where(part > 0, part**2 / df, 0.0) for part, df in rests)
        return np.where(below > 0, found.u**4 / below, np.inf)


def _decided(
    season: Season,
    together: Together,
    dm: Doubtful,
    curves: Curves,
    blanks: standards.Blanks,
    of_batch: Bits,
    of_bag: Bits,
) -> JudgedSeason:
    bags = season.bags
    with np.errstate(invalid="ignore"):
        found = worked(to_dry_matter, {"x": together.found, "dm": dm})
    there = (together.portions > 0) & ~np.isnan(dm.value)
    value = np.where(there, found.value, np.nan)
    with np.errstate(invalid="ignore"):
        impossible = there & ~together.above & ~((value >= 0) & (value <= 1e6))
    add(of_bag, impossible, Reason.RANGE)
    reasons = of_bag | of_batch[bags.batch]
    came = np.full(len(bags), Came.NOTHING, dtype=np.int8)
    waits = np.isnan(dm.value)
    came[waits] = Came.WAITING
    came[there] = np.where(together.above, Came.BEYOND, Came.RELEASED)[there]
    came[reasons != 0] = Came.HELD
    return JudgedSeason(
        season=season,
        value=value,
        u=np.where(there & ~together.above, found.u, np.nan),
        df=_df(found, together, curves, blanks.mean_df, bags.batch),
        limit=np.where(there, to_dry_matter(together.limit, dm.value), np.nan),
        above=together.above,
        below=together.below,
        portions=together.portions,
        came=came,
        reasons=reasons,
        verdict=verdicts(season, came, waits),
        batch_reasons=of_batch,
        curves=curves,
        blank=blanks.read.value,
    )


def verdicts(season: Season, came: NDArray[np.int8], waits: Yes) -> NDArray[np.int8]:
    """What becomes of each batch.

    Parameters
    ----------
    season
        The season.
    came
        What became of each bag [place in ``Came``].
    waits
        Bags without laboratory dry matter.
    """
    batch = season.bags.batch

    def some(which: Yes) -> Yes:
        return np.bincount(batch[which], minlength=len(season.heads)) > 0

    released, held, beyond = (some(came == one) for one in (Came.RELEASED, Came.HELD, Came.BEYOND))
    waiting, waits_unheld = some(waits), some(waits & (came != Came.HELD))
    place = {verdict: VERDICTS.index(verdict) for verdict in Verdict}
    part = held | beyond | waiting
    with_some = np.where(part, place[Verdict.IN_PART], place[Verdict.RELEASE])
    open_ones = np.where(waiting, place[Verdict.WAIT], place[Verdict.IN_PART])
    without = np.where(beyond | waits_unheld, open_ones, place[Verdict.HOLD])
    return np.where(released, with_some, without).astype(np.int8)
