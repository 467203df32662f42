"""Linear programs from arrays, and what the solver knows about them.

A program is built in blocks of columns, rows and entries and handed to HiGHS in one call. Costs
are least, rows lie between two bounds. What binds, what a limit is worth, over which range a
price holds, what conflicts and what would mend it, are asked of the same solver.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from haywright.measure.errors import HaywrightError
from haywright.measure.message import message

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int32]
FREE = np.inf
# Rows and columns whose activity lies this near a bound lie on it.
AT_BOUND = 1e-7
_MOVES = 1e-9  # what moves less with a bound stands still
_SECONDS = 600.0  # no solve goes on for longer
_INTERIOR_FROM = 60_000  # columns from which the interior point method is the faster


class Status(StrEnum):
    """How a solve ended."""

    OPTIMAL = "optimal"
    INFEASIBLE = "infeasible"
    UNBOUNDED = "unbounded"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True)
class LinearProgram:
    """Least cost x with row_lower <= A x <= row_upper and lower <= x <= upper.

    Parameters
    ----------
    cost, lower, upper
        By column.
    row_lower, row_upper
        By row.
    start, index, value
        A by columns: ``index[start[j]:start[j+1]]`` are the rows of column j.
    integer
        1 for columns that take whole numbers only.
    """

    cost: Floats
    lower: Floats
    upper: Floats
    row_lower: Floats
    row_upper: Floats
    start: Ints
    index: Ints
    value: Floats
    integer: Ints

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return len(self.row_lower), len(self.cost)

    def entries(self) -> tuple[Ints, Ints, Floats]:
        """A as rows, columns and values."""
        columns = np.repeat(np.arange(len(self.cost), dtype=np.int32), np.diff(self.start))
        return self.index, columns, self.value


def _filled(value: ArrayLike, n: int) -> Floats:
    found = np.empty(n)
    found[...] = value
    return found


def _bounds(at: ArrayLike, lower: ArrayLike, upper: ArrayLike) -> tuple[int, Ints, Floats, Floats]:
    where, low, high = np.broadcast_arrays(at, np.asarray(lower, float), np.asarray(upper, float))
    flat = np.ascontiguousarray(where.ravel(), dtype=np.int32)
    return len(flat), flat, np.ascontiguousarray(low.ravel()), np.ascontiguousarray(high.ravel())


@dataclass
class Build:
    """Gathers blocks of columns, rows and entries."""

    _columns: list[tuple[Floats, Floats, Floats, Ints]] = field(default_factory=list)
    _rows: list[tuple[Floats, Floats]] = field(default_factory=list)
    _entries: list[tuple[NDArray[np.int64], NDArray[np.int64], Floats]] = field(
        default_factory=list
    )
    n_columns: int = 0
    n_rows: int = 0

    def columns(
        self,
        n: int,
        *,
        cost: ArrayLike = 0.0,
        lower: ArrayLike = 0.0,
        upper: ArrayLike = FREE,
        integer: bool = False,
    ) -> Ints:
        """Add columns and give their numbers.

        Parameters
        ----------
        n
            How many.
        cost, lower, upper
            One for all, or by column [as the model].
        integer
            Whole numbers only.
        """
        whole = np.full(n, int(integer), dtype=np.int32)
        self._columns.append((_filled(cost, n), _filled(lower, n), _filled(upper, n), whole))
        first, self.n_columns = self.n_columns, self.n_columns + n
        return np.arange(first, self.n_columns, dtype=np.int32)

    def rows(self, n: int, *, lower: ArrayLike = -FREE, upper: ArrayLike = FREE) -> Ints:
        """Add rows and give their numbers.

        Parameters
        ----------
        n
            How many.
        lower, upper
            One for all, or by row [as the model].
        """
        self._rows.append((_filled(lower, n), _filled(upper, n)))
        first, self.n_rows = self.n_rows, self.n_rows + n
        return np.arange(first, self.n_rows, dtype=np.int32)

    def add(self, rows: ArrayLike, columns: ArrayLike, values: ArrayLike) -> None:
        """Add entries, broadcast against each other.

        Parameters
        ----------
        rows, columns
            Numbers of rows and columns [count].
        values
            Entries [as the model].
        """
        shape = np.broadcast(rows, columns, values).shape
        r, c, v = np.empty(shape, np.int64), np.empty(shape, np.int64), np.empty(shape)
        r[...], c[...], v[...] = rows, columns, values
        self._entries.append((r.ravel(), c.ravel(), v.ravel()))

    def program(self) -> LinearProgram:
        """The program, its entries sorted by column and then by row; doubles are added up.

        An entry of nothing is left out.
        """
        cost, lower, upper, integer = (
            np.concatenate(part) for part in zip(*self._columns, strict=True)
        )
        rows = [*self._rows, (np.empty(0), np.empty(0))]
        row_lower, row_upper = (np.concatenate(part) for part in zip(*rows, strict=True))
        row, column, value = (np.concatenate(part) for part in zip(*self._entries, strict=True))
        keep = value != 0.0
        value = value[keep]
        key = column[keep] * max(self.n_rows, 1) + row[keep]
        unique, place = np.unique(key, return_inverse=True)
        summed = np.bincount(place, weights=value, minlength=len(unique)).astype(np.float64)
        column, row = np.divmod(unique, max(self.n_rows, 1))
        start = np.searchsorted(column, np.arange(self.n_columns + 1))
        return LinearProgram(
            cost=np.ascontiguousarray(cost),
            lower=np.ascontiguousarray(lower),
            upper=np.ascontiguousarray(upper),
            row_lower=row_lower,
            row_upper=row_upper,
            start=start.astype(np.int32),
            index=row.astype(np.int32),
            value=summed,
            integer=integer.astype(np.int32),
        )


@dataclass(frozen=True, slots=True)
class Ranging:
    """Over which range an answer keeps its form.

    Parameters
    ----------
    cost_low, cost_high
        By column: costs between which the amounts stay as they are.
    row_low, row_high
        By row: the bound between which what a limit is worth stays the same.
    """

    cost_low: Floats
    cost_high: Floats
    row_low: Floats
    row_high: Floats


@dataclass(frozen=True)
class Solution:
    """What came out of a solve; what nobody asks for is not copied out of the solver's answer.

    Parameters
    ----------
    status
        How it ended.
    objective
        Least cost.
    shape
        Rows and columns [count].
    gap
        How far the answer may be from the best, for whole numbers [fraction].
    ranging
        Where asked for.
    basis
        Where the solve ended, to start a like program from.
    """

    status: Status
    objective: float
    shape: tuple[int, int]
    _held: Any = field(repr=False)
    gap: float = 0.0
    ranging: Ranging | None = None
    basis: Any = field(default=None, repr=False)

    @property
    def solved(self) -> bool:
        """Whether a best answer was found."""
        return self.status is Status.OPTIMAL

    @cached_property
    def x(self) -> Floats:
        """Columns."""
        return _read(self._held.col_value, self.shape[1])

    @cached_property
    def activity(self) -> Floats:
        """Rows A x."""
        return _read(self._held.row_value, self.shape[0])

    @cached_property
    def worth(self) -> Floats:
        """By row: how much the cost changes for one more of its bound."""
        return _read(self._held.row_dual, self.shape[0])

    @cached_property
    def reduced(self) -> Floats:
        """By column: how much the cost changes for one more of it."""
        return _read(self._held.col_dual, self.shape[1])


def _read_at(values: Any, at: Ints) -> Floats:
    return np.asarray(values, dtype=np.float64)[at]


def _read(values: Any, n: int) -> Floats:
    found = np.asarray(values, dtype=np.float64)
    return found if len(found) == n else np.zeros(n)


class Solver:
    """One program in the solver; bounds and costs can be changed and it solves on from there."""

    def __init__(
        self, program: LinearProgram, *, gap: float = 1e-4, seconds: float = _SECONDS
    ) -> None:
        import highspy

        self.program = program
        # The class below highspy.Highs: the upper one greets on standard output, where JSON goes.
        self._highs: Any = highspy.Highs.__bases__[0]()
        self._core = highspy
        self._set("output_flag", False)  # noqa: FBT003 - the solver's own call
        self._set("threads", 1)
        self._set("random_seed", 0)
        self._set("time_limit", seconds)
        self._set("mip_rel_gap", gap)
        if program.shape[1] >= _INTERIOR_FROM and not program.integer.any():
            self._set("solver", "ipm")
        p = program
        self._highs.passModel(
            p.shape[1], p.shape[0], len(p.value), int(highspy.MatrixFormat.kColwise),
            int(highspy.ObjSense.kMinimize), 0.0, p.cost, p.lower, p.upper, p.row_lower,
            p.row_upper, p.start[:-1] if len(p.start) > 1 else p.start, p.index, p.value, p.integer,
        )  # fmt: skip

    def _set(self, name: str, value: Any) -> None:
        self._highs.setOptionValue(name, value)

    def set_costs(self, columns: ArrayLike, costs: ArrayLike) -> None:
        """Other costs of some columns; columns [count], costs [as the model]."""
        at = np.atleast_1d(np.asarray(columns, dtype=np.int32))
        values = np.ascontiguousarray(np.broadcast_to(np.asarray(costs, float), at.shape))
        self._highs.changeColsCost(len(at), at, values)

    def set_rows(self, rows: ArrayLike, lower: ArrayLike, upper: ArrayLike) -> None:
        """Other bounds of some rows [count]; lower [as the model], upper [as the model]."""
        self._highs.changeRowsBounds(*_bounds(rows, lower, upper))

    def set_columns(self, columns: ArrayLike, lower: ArrayLike, upper: ArrayLike) -> None:
        """Other bounds of some columns [count]; lower [as the model], upper [as the model]."""
        self._highs.changeColsBounds(*_bounds(columns, lower, upper))

    def basis(self) -> Any:
        """Where the last solve ended, to start a like program from."""
        return self._highs.getBasis()

    def start_from(self, basis: Any, rows: Sequence[int] | None = None) -> None:
        """Start the next solve where a like program's ended.

        Parameters
        ----------
        basis
            Of the like program, with as many columns.
        rows
            By row, which row of the like program it was; -1 for a new one [count].
        """
        if rows is None:
            self._highs.setBasis(basis)
            return
        new, was = self._core.HighsBasis(), basis.row_status
        slack = self._core.HighsBasisStatus.kBasic
        new.col_status = basis.col_status
        new.row_status = [slack if row < 0 else was[row] for row in rows]
        new.valid = new.alien = True  # it may hold too many columns or too few: let it be mended
        self._highs.setBasis(new)

    def solve(self, *, ranging: bool = False) -> Solution:
        """Solve from where the last solve ended."""
        self._highs.run()
        status = self._status()
        if status is Status.UNBOUNDED:
            raise HaywrightError(message("ration.no_bottom"))
        info = self._highs.getInfo()
        mixed = bool(self.program.integer.any())
        return Solution(
            status=status,
            objective=float(info.objective_function_value),
            shape=self.program.shape,
            _held=self._highs.getSolution(),
            gap=float(info.mip_gap) if mixed else 0.0,
            ranging=self._ranging() if ranging and status is Status.OPTIMAL else None,
            basis=None if mixed else self._highs.getBasis(),
        )

    def _status(self) -> Status:
        model = self._core.HighsModelStatus
        known = {
            model.kOptimal: Status.OPTIMAL,
            model.kInfeasible: Status.INFEASIBLE,
            model.kUnbounded: Status.UNBOUNDED,
        }
        found = self._highs.getModelStatus()
        if found == model.kTimeLimit and self._has_answer():
            return Status.OPTIMAL  # of whole numbers: as good as its gap says
        if found == model.kUnboundedOrInfeasible:
            self._set("presolve", "off")
            self._highs.run()
            found = self._highs.getModelStatus()
            self._set("presolve", "choose")
        return known.get(found, Status.STOPPED)

    def _has_answer(self) -> bool:
        feasible = int(self._core.SolutionStatus.kSolutionStatusFeasible)
        mixed = bool(self.program.integer.any())
        return mixed and int(self._highs.getInfo().primal_solution_status) == feasible

    def _ranging(self) -> Ranging:
        _, found = self._highs.getRanging()
        return Ranging(
            cost_low=np.asarray(found.col_cost_dn.value_, dtype=np.float64),
            cost_high=np.asarray(found.col_cost_up.value_, dtype=np.float64),
            row_low=np.asarray(found.row_bound_dn.value_, dtype=np.float64),
            row_high=np.asarray(found.row_bound_up.value_, dtype=np.float64),
        )

    def falls_to(self, row: int) -> float:
        """How far the bound of a row that must be met exactly may fall from where it is.

        Down to there the answer changes straight, and what the bound is worth stays the same;
        found by how what is not at a bound moves with it (asked of one row, as against all).
        """
        basis, solution = self._highs.getBasis(), self._highs.getSolution()
        _, basic = self._highs.getBasicVariables()
        _, moves = self._highs.getBasisInverseCol(row)
        if basis.row_status[row] == self._core.HighsBasisStatus.kBasic:
            return float(self._ranging().row_low[row])
        lp = self._highs.getLp()
        basic, moves = np.asarray(basic), np.asarray(moves)
        column = basic >= 0
        of_column, of_row = basic[column], -basic[~column] - 1

        def gathered(columns: Any, rows: Any) -> Floats:
            found = np.empty(len(basic))
            found[column], found[~column] = _read_at(columns, of_column), _read_at(rows, of_row)
            return found

        at = gathered(solution.col_value, solution.row_value)
        low = gathered(lp.col_lower_, lp.row_lower_)
        high = gathered(lp.col_upper_, lp.row_upper_)
        step = np.where(column, moves, -moves)
        down, up = step > _MOVES, step < -_MOVES  # by one less of the bound
        room = np.concatenate([(at - low)[down] / step[down], (high - at)[up] / -step[up], [FREE]])
        return float(lp.row_lower_[row]) - max(float(room.min()), 0.0)

    def conflict(self) -> list[int]:
        """Rows that cannot be met together: a smallest set, without which the rest can be."""
        self._set("iis_strategy", 4)
        _, found = self._highs.getIis()
        return [int(row) for row in found.row_index_]

    def concessions(self, penalty: ArrayLike) -> Floats:
        """By row, how far its bound would have to give way, the cheapest way.

        Parameters
        ----------
        penalty
            By row, what giving way by one costs [as the model]; negative for rows that may not.
        """
        local = np.ascontiguousarray(_filled(penalty, self.program.shape[0]))
        self._highs.feasibilityRelaxation(-1.0, -1.0, 1.0, None, None, local)
        x = np.asarray(self._highs.getSolution().col_value, dtype=np.float64)
        row, column, value = self.program.entries()
        activity = np.bincount(
            row, weights=value * x[column], minlength=self.program.shape[0]
        ).astype(np.float64)
        under = np.maximum(self.program.row_lower - activity, 0.0)
        over = np.maximum(activity - self.program.row_upper, 0.0)
        found = np.where(under > over, -under, over)
        # Rows that may not give way are met but for the solver's dust.
        return np.where(local < 0.0, 0.0, found)


def solve(program: LinearProgram, *, ranging: bool = False, gap: float = 1e-4) -> Solution:
    """Solve once.

    Parameters
    ----------
    program
        What to solve.
    ranging
        Whether to ask over which range the answer holds.
    gap
        For whole numbers: how far from the best is near enough [fraction].
    """
    return Solver(program, gap=gap).solve(ranging=ranging)
