"""Two referees of a linear program that do not know our solver.

``by_clarabel`` solves it again by an interior point method of another make (Clarabel, a conic
solver). ``proof`` needs no solver: it checks that amounts keep every bound, that worths explain
every cost and have the sign of the bound they speak for, that what is not at its bound is worth
nothing, and it gives the dual objective, which must be the cost.
"""

from __future__ import annotations

import clarabel
import numpy as np
from scipy.sparse import csc_matrix, eye, vstack


def matrix(program):
    rows, columns, values = program.entries()
    return csc_matrix((values, (rows, columns)), shape=program.shape)


def by_clarabel(program):
    """Least cost by Clarabel: every row and bound as b - A x in a cone; ``None`` if none is."""
    a, n = matrix(program), program.shape[1]
    unit = eye(n, format="csc")
    low, high = program.row_lower, program.row_upper
    same = low == high
    over, under = np.isfinite(high) & ~same, np.isfinite(low) & ~same
    top, floor = np.isfinite(program.upper), np.isfinite(program.lower)
    parts = [
        (a[same], high[same]),
        (a[over], high[over]), (-a[under], -low[under]),
        (unit[top], program.upper[top]), (-unit[floor], -program.lower[floor]),
    ]  # fmt: skip
    big = csc_matrix(vstack([part for part, _ in parts]))
    bound = np.concatenate([b for _, b in parts])
    cones = [clarabel.ZeroConeT(int(same.sum())), clarabel.NonnegativeConeT(
        int(big.shape[0] - same.sum()))]  # fmt: skip
    # Amounts and prices near one, as an interior point method likes them.
    amount, price = max(np.abs(bound).max(), 1.0) ** 0.5, max(np.abs(program.cost).max(), 1.0)
    asked = clarabel.DefaultSettings()
    asked.verbose, asked.max_iter = False, 500
    for near in (1e-11, 1e-10, 1e-9):  # as near as it gets
        asked.tol_gap_abs = asked.tol_gap_rel = asked.tol_feas = near
        found = clarabel.DefaultSolver(
            csc_matrix((n, n)), program.cost / price, big, bound / amount, cones, asked
        ).solve()
        told = str(found.status)
        if "Infeasible" in told:
            return None
        if told == "Solved":
            return float(found.obj_val) * amount * price
    raise AssertionError(told)


def proof(program, found):
    """The dual objective of a solution that has been checked without a solver."""
    a = matrix(program)
    size = 1.0 + max(np.abs(program.cost).max(), np.abs(found.worth).max())
    amounts = 1.0 + np.abs(found.x).max()
    activity = a @ found.x
    near = 1e-6 * amounts
    assert (activity >= program.row_lower - near).all()
    assert (activity <= program.row_upper + near).all()
    assert (found.x >= program.lower - near).all()
    assert (found.x <= program.upper + near).all()
    assert np.abs(program.cost - a.T @ found.worth - found.reduced).max() < 1e-6 * size
    total = 0.0
    for worths, at, low, high in (
        (found.worth, activity, program.row_lower, program.row_upper),
        (found.reduced, found.x, program.lower, program.upper),
    ):
        bound = np.where(worths > 0, low, high)
        held = np.abs(worths) > 1e-9
        # The solver calls a worth of less than this nothing.
        assert np.abs(worths[held & ~np.isfinite(bound)]).max(initial=0.0) < 1e-6
        held &= np.isfinite(bound)
        slack = np.abs(at[held] - bound[held])
        # What is not at its bound is worth nothing.
        assert (slack * np.abs(worths[held])).max(initial=0.0) < 1e-6 * size * amounts
        total += float(worths[held] @ bound[held])
    return total
