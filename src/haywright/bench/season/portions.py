"""Every portion of a season worked from its readings, and the portions of a bag put together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from haywright.bench.season.before import Tools
from haywright.bench.season.curves import Curves
from haywright.bench.season.doubt import Doubtful, worked
from haywright.bench.season.standards import Blanks, diluted
from haywright.bench.season.table import Groups, Numbers, Places, Season, Yes
from haywright.bench.solution import of_powder

# Parts that belong to one portion alone; the others are shared by the portions of a batch.
OWN = frozenset({"signal", "weighing", "dispensing"})


@dataclass(frozen=True, slots=True)
class Portions:
    """Portions of a season.

    Parameters
    ----------
    rows
        Their rows.
    read
        Amount read off the curve [mg/L as read].
    found
        What each gave, with its doubt [mg/kg as analysed].
    edge
        The limit a portion fell beyond [mg/kg as analysed]; nan inside the standards.
    above, below
        Portions above the highest standard, or below the lowest.
    """

    rows: Places
    read: Numbers
    found: Doubtful
    edge: Numbers
    above: Yes
    below: Yes

    def of(self, which: Any) -> Portions:
        """Some of the portions."""
        return Portions(
            self.rows[which],
            self.read[which],
            self.found.at(which),
            self.edge[which],
            self.above[which],
            self.below[which],
        )


def portions_of(
    season: Season, rows: Places, curves: Curves, blanks: Blanks, tools: Tools, volume_ml: float
) -> Portions:
    """Work the portions of some rows.

    Parameters
    ----------
    season, curves, blanks, tools
        What they were read with.
    rows
        Their rows.
    volume_ml
        Volume they were extracted in [mL].
    """
    batch = season.batch[rows]
    read = curves.read(season.readings["peak"][rows], batch)
    zero = np.zeros(len(rows))
    inputs: dict[str, Any] = {
        "reading_mg_per_l": read,
        "dilution": diluted(season)[rows],
        "blank_mg_per_l": blanks.read.at(batch),
        "blank_dilution": blanks.dilution[batch],
        "volume_ml": Doubtful(
            zero + volume_ml,
            {"setting": tools.setting[batch], "dispensing": tools.dispensing[batch]},
        ),
        "sample_g": Doubtful(season.readings["sample_g"][rows], {"weighing": tools.balance[batch]}),
    }
    found = worked(of_powder, inputs)
    # A signal the curve never reaches is above it.
    above, below = ~(read.value <= curves.high[batch]), read.value < curves.low[batch]
    limit = np.where(above, curves.high[batch], curves.low[batch])
    plain = {name: one.value if isinstance(one, Doubtful) else one for name, one in inputs.items()}
    edge = of_powder(**{**plain, "reading_mg_per_l": limit})
    beyond = (above | below) & (edge != found.value)
    return Portions(
        rows, read.value, found, np.where(beyond, edge, np.nan), above & beyond, below & beyond
    )


def turns(season: Season, rows: Places) -> Places:
    """Rank of each row by replicate and attempt [count from 0]."""
    order = np.lexsort((season.attempt[rows], season.replicate[rows]))
    out = np.empty_like(order)
    out[order] = np.arange(len(order))
    return out


def counting(season: Season, portions: Portions, groups: Groups) -> Yes:
    """Portions that count: an attempt above the range is replaced by a later one within it."""
    rows = portions.rows
    order = np.lexsort((season.attempt[rows], season.replicate[rows], groups.group))
    group, replicate = groups.group[order], season.replicate[rows][order]
    new = np.ones(len(rows), dtype=bool)
    new[1:] = (group[1:] != group[:-1]) | (replicate[1:] != replicate[:-1])
    tried = np.cumsum(new) - 1
    inside = ~portions.above[order]
    some_inside = np.bincount(tried[inside], minlength=int(new.sum())) > 0
    last = np.append(new[1:], np.ones(min(len(new), 1), dtype=bool))
    kept = np.zeros(len(rows), dtype=bool)
    kept[order] = np.where(some_inside[tried], inside, last)
    return kept


def weighed(portions: Portions, groups: Groups, weight: Numbers) -> Doubtful:
    """A weighted sum of the portions of each group; what they share is added with its sign.

    Parameters
    ----------
    portions, groups
        The portions, and the group of each.
    weight
        Weight of each portion [ratio].
    """
    parts = {}
    for name, part in portions.found.parts.items():
        if name in OWN:
            parts[name] = np.sqrt(groups.total((weight * part) ** 2))
        else:
            parts[name] = groups.total(weight * part)
    return Doubtful(groups.total(weight * portions.found.value), parts)
