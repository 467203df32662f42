"""A batch: what was weighed and read in one run, of which bags, in which order, on what.

Raw readings are never changed here. A reading that must not count is made void with a cause, and
what takes its place is settled by rule, not by what it shows.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import Any

import numpy as np

from haywright.measure.errors import Refused

Numbers = Mapping[str, float]


class PositionKind(StrEnum):
    """What stands at one place of a run."""

    BAG = "bag"
    DUPLICATE = "duplicate"
    BLANK = "blank"
    STANDARD = "standard"
    VERIFICATION = "verification"
    CHECK = "check"
    SPIKE = "spike"
    FORTIFIED_BLANK = "fortified_blank"
    NITRITE_STANDARD = "nitrite_standard"
    INTERFERENCE = "interference"


PORTIONS = (PositionKind.BAG, PositionKind.DUPLICATE, PositionKind.CHECK)


@dataclass(frozen=True, slots=True)
class Position:
    """One place of the run.

    Parameters
    ----------
    order
        Place in the run, from 1.
    kind
        What stands there.
    sample
        Bag code, or the name of the standard, blank or check material.
    readings
        Column -> number, in the unit that ends the column's name.
    replicate
        Which portion of the sample, from 1.
    attempt
        Which try at that portion; a later one counts only when the one before is void.
    row
        Line of the file it was read from; 0 when it did not come from a file.
    read_at
        Instant of the reading, with its offset; ``None`` when not written down.
    vessel
        Mark of the crucible, dish, cup or boat; "" when not written down.
    """

    order: int
    kind: PositionKind
    sample: str
    readings: Numbers
    replicate: int = 1
    attempt: int = 1
    row: int = 0
    read_at: datetime | None = None
    vessel: str = ""

    def has(self, *columns: str) -> bool:
        """Whether all of these were read and are numbers."""
        return all(not math.isnan(self.readings.get(name, math.nan)) for name in columns)


def at_level(absolute: Any, relative_pct: Any, level: Any) -> Any:
    """SD at a level from an absolute and a relative part, numbers or arrays.

    Parameters
    ----------
    absolute
        Part that does not change with the level [unit of the result].
    relative_pct
        Part that grows with it [% of the result].
    level
        The result [its own unit].
    """
    return np.hypot(absolute, relative_pct / 100.0 * level)


@dataclass(frozen=True, slots=True)
class Scatter:
    """How far results of one quantity scatter in this laboratory.

    Each part is an absolute SD [unit of the result] and a relative one [% of the result], added
    in quadrature. ``df`` is what each rests on.

    Parameters
    ----------
    repeat, repeat_pct, repeat_df
        Between portions of one sample in one run [unit of the result; % of the result; count].
    between_runs, between_runs_pct, between_runs_df
        Of a check sample from run to run; ``None`` when there is no history yet.
    bias, bias_pct, bias_df
        Standard uncertainty of the laboratory's bias.
    source, mark
        Bibliography key and how well it is known; "" when it is the laboratory's own.
    """

    repeat: float = 0.0
    repeat_pct: float = 0.0
    repeat_df: float = math.inf
    between_runs: float | None = None
    between_runs_pct: float | None = None
    between_runs_df: float = math.inf
    bias: float = 0.0
    bias_pct: float = 0.0
    bias_df: float = math.inf
    source: str = ""
    mark: str = ""

    @property
    def has_history(self) -> bool:
        """Whether the scatter between runs is known from the laboratory's own check sample."""
        return self.between_runs is not None or self.between_runs_pct is not None

    def repeat_at(self, level: float) -> float:
        """SD between portions at a level [unit of the result]."""
        return float(at_level(self.repeat, self.repeat_pct, level))

    def between_runs_at(self, level: float) -> float:
        """SD between runs at a level [unit of the result]."""
        return float(at_level(self.between_runs or 0.0, self.between_runs_pct or 0.0, level))

    def bias_at(self, level: float) -> float:
        """Standard uncertainty of the bias at a level [unit of the result]."""
        return float(at_level(self.bias, self.bias_pct, level))


@dataclass(frozen=True, slots=True)
class CheckMaterial:
    """A check sample or certified material.

    Parameters
    ----------
    name
        As the run writes it.
    assigned
        Quantity -> value [unit of the result, on dry matter where the result is].
    between_runs
        Quantity -> SD from run to run [unit of the result], from its own chart.
    lab_dm
        Its laboratory dry matter [% as analysed]; ``None`` when the batch measures it.
    u_assigned
        Quantity -> standard uncertainty of the assigned value [unit of the result].
    history
        Quantity -> its results in earlier runs, oldest first [unit of the result]; from twenty
        on they draw the limits.
    """

    name: str
    assigned: Numbers
    between_runs: Numbers = field(default_factory=dict)
    lab_dm: float | None = None
    u_assigned: Numbers = field(default_factory=dict)
    history: Mapping[str, tuple[float, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Equipment:
    """A thing that was used, with its last check.

    Parameters
    ----------
    kind
        balance, oven, furnace, dispenser, pipette, reagent, thermometer.
    name
        Which one.
    checked_on
        Day of its last check; ``None`` when there was none.
    checks
        (should be, was) of that check [g, degC or mL].
    tolerance
        How far "was" may be from "should be" [same unit]; ``None``: the table's.
    repeatability, half_width
        SD of one reading, and half-width of what a certificate or class leaves open [same unit].
    lot, expires
        Of a reagent or standard.
    unbroken
        For an oven or furnace: whether the hold ran through.
    """

    kind: str
    name: str
    checked_on: date | None = None
    checks: tuple[tuple[float, float], ...] = ()
    tolerance: float | None = None
    repeatability: float = 0.0
    half_width: float = 0.0
    lot: str = ""
    expires: date | None = None
    unbroken: bool = True

    def standard_uncertainty(self) -> float:
        """Of one reading: the repeatability, with the half-width as a rectangle over root 3."""
        return math.hypot(self.repeatability, self.setting_uncertainty())

    def setting_uncertainty(self) -> float:
        """What its certificate or class leaves open: the half-width as a rectangle over root 3."""
        return self.half_width / math.sqrt(3.0)


@dataclass(frozen=True, slots=True)
class Batch:
    """One run of one determination.

    Parameters
    ----------
    id
        Unique name, such as the folder's.
    determination, method
        Which determination and which of its methods.
    run_on
        Day it was run.
    positions
        In the order of the run.
    analyst, laboratory
        Who ran it, and where.
    choices
        The method's choices by name.
    equipment
        What was used.
    checks
        Check materials by name.
    scatter
        Quantity -> this laboratory's own scatter.
    limits
        The laboratory's own limits by name; they go before the tables'.
    voids
        Place in the run -> cause why its reading does not count.
    rules
        Id of the set of rules by which a check sample's chart is judged.
    rerun_of, rerun_cause
        Batch that this one replaces, and why; "" for a batch of its own.
    ordered_by, seed
        Rule by which the places of the run were settled, and what they were drawn with; "" when
        not written down.
    vessels
        Mark of a vessel -> its tares in earlier runs, oldest first [g].
    powder
        Bag -> ground sample on hand before this batch [g].
    """

    id: str
    determination: str
    method: str
    run_on: date
    positions: tuple[Position, ...]
    analyst: str = ""
    laboratory: str = ""
    choices: Mapping[str, str | float] = field(default_factory=dict)
    equipment: tuple[Equipment, ...] = ()
    checks: Mapping[str, CheckMaterial] = field(default_factory=dict)
    scatter: Mapping[str, Scatter] = field(default_factory=dict)
    limits: Numbers = field(default_factory=dict)
    voids: Mapping[int, str] = field(default_factory=dict)
    rules: str = "action_limits"
    rerun_of: str = ""
    rerun_cause: str = ""
    ordered_by: str = ""
    seed: str = ""
    vessels: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    powder: Numbers = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.positions:
            raise Refused("positions", "", key="bench.batch.empty")
        orders = [one.order for one in self.positions]
        for order in orders:
            if order < 1 or orders.count(order) > 1:
                raise Refused("position", order, key="bench.batch.position_twice")
        for order, cause in self.voids.items():
            if order not in orders:
                raise Refused("void", order, key="bench.batch.void_unknown")
            if not cause.strip():
                raise Refused("void", order, key="bench.batch.void_without_cause")
        if self.rerun_of and not self.rerun_cause.strip():
            raise Refused("rerun_cause", "", key="bench.batch.rerun_without_cause")
        self._refuse_repeats()

    def _refuse_repeats(self) -> None:
        seen: dict[tuple[str, str, int, int], Position] = {}
        for one in self.positions:
            if one.kind not in (PositionKind.BAG, PositionKind.DUPLICATE):
                continue
            key = ("bag", one.sample, one.replicate, one.attempt)
            if key in seen:
                raise Refused(
                    "position",
                    one.order,
                    key="bench.batch.portion_twice",
                    sample=one.sample,
                    replicate=one.replicate,
                    other=seen[key].order,
                )
            seen[key] = one

    def of(self, *kinds: PositionKind) -> Iterator[Position]:
        """Positions of these kinds in the order of the run."""
        return (one for one in self.positions if one.kind in kinds)

    @property
    def bags(self) -> tuple[str, ...]:
        """Codes of the bags in it, in the order of the run."""
        portions = self.of(PositionKind.BAG, PositionKind.DUPLICATE)
        return tuple(dict.fromkeys(one.sample for one in portions))
