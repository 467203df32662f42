"""The bare solver, handed a matrix in one call; the same program through a modelling layer."""

from __future__ import annotations

import highspy
import numpy as np


def bare(program, way):
    """Objective of a program by ``simplex`` or ``ipm``, nothing read back."""
    solver = highspy.Highs.__bases__[0]()
    solver.setOptionValue("output_flag", False)  # noqa: FBT003 - the solver's own call
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 0)
    solver.setOptionValue("solver", way)
    p = program
    solver.passModel(
        p.shape[1], p.shape[0], len(p.value), int(highspy.MatrixFormat.kColwise),
        int(highspy.ObjSense.kMinimize), 0.0, p.cost, p.lower, p.upper, p.row_lower, p.row_upper,
        p.start[:-1], p.index, p.value, p.integer,
    )  # fmt: skip
    solver.run()
    return float(solver.getInfo().objective_function_value)


def modelled(program):
    """Objective of a program written out term by term in Pyomo and solved by HiGHS."""
    import pyomo.environ as pyo
    from pyomo.contrib.appsi.solvers import Highs

    rows, columns, values = program.entries()
    by_row = [[] for _ in range(program.shape[0])]
    for row, column, value in zip(rows.tolist(), columns.tolist(), values.tolist(), strict=True):
        by_row[row].append((column, value))

    def bound(one):
        return None if abs(one) >= 1e20 else float(one)

    model = pyo.ConcreteModel()
    model.x = pyo.Var(
        range(program.shape[1]),
        bounds=lambda _, j: (bound(program.lower[j]), bound(program.upper[j])),
    )
    model.rows = pyo.ConstraintList()
    for terms, low, high in zip(by_row, program.row_lower, program.row_upper, strict=True):
        if terms:
            model.rows.add((bound(low), sum(v * model.x[j] for j, v in terms), bound(high)))
    model.cost = pyo.Objective(
        expr=sum(float(c) * model.x[j] for j, c in enumerate(program.cost) if c)
    )
    solver = Highs()
    solver.solve(model)
    return float(pyo.value(model.cost))


def extensive(programs, price, weights, trades):
    """The mean of many winters with their first trades shared, as one program: its arrays.

    ``trades`` are the columns each winter shares with the others; ``price`` what they cost now.
    """
    first = programs[0]
    m, n = first.shape
    shared = np.asarray(trades)
    own = np.setdiff1d(np.arange(n), shared)
    place = np.empty(n, dtype=np.int64)
    cost, low, high = [price[shared]], [first.lower[shared]], [first.upper[shared]]
    entries, row_low, row_high = [], [], []
    at = len(shared)
    for s, one in enumerate(programs):
        place[shared] = np.arange(len(shared))
        place[own] = at + np.arange(len(own))
        rows, columns, values = one.entries()
        entries.append((rows + s * m, place[columns], values))
        cost.append(weights[s] * one.cost[own])
        low.append(one.lower[own])
        high.append(one.upper[own])
        row_low.append(one.row_lower)
        row_high.append(one.row_upper)
        at += len(own)
    rows, columns, values = (np.concatenate([e[k] for e in entries]) for k in range(3))
    order = np.lexsort((rows, columns))
    counts = np.bincount(columns, minlength=at)
    start = np.concatenate([[0], np.cumsum(counts)]).astype(np.int32)
    return (
        np.concatenate(cost), np.concatenate(low), np.concatenate(high),
        np.concatenate(row_low), np.concatenate(row_high),
        start, rows[order].astype(np.int32), values[order],
    )  # fmt: skip
