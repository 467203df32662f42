"""When nothing keeps everything: the smallest set that conflicts, and what would mend it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from haywright.bunk.ration.program import AT_BOUND, Floats, Solver
from haywright.bunk.winter.columns import Model
from haywright.measure.errors import Refused
from haywright.measure.message import Amount, Message, message


class NoPlan(Refused):
    """No plan keeps everything that was asked: what conflicts, and what would mend it."""

    def __init__(self, model: Model, conflict: list[int], by: Floats) -> None:
        self.model, self.rows = model, tuple(conflict)
        self.conflict = tuple(dict.fromkeys(model.meaning(row)[:2] for row in conflict))
        self.mends = tuple(
            (*model.meaning(int(row)), float(by[row]))
            for row in np.flatnonzero(np.abs(by) > AT_BOUND)
        )
        super().__init__(
            "plan",
            None,
            key="winter.no_plan" if self.mends else "winter.no_mend",
            conflict=tuple(_named(kind, name) for kind, name in self.conflict),
            mends=tuple(self._mended()),
        )

    def _mended(self) -> list[Message]:
        """One sentence for each kind and herd, the amounts of the weeks added up."""
        total: dict[tuple[str, str], float] = {}
        for kind, name, _, by in self.mends:
            total[kind, name] = total.get((kind, name), 0.0) + abs(by)
        return [
            message("winter.mend", what=_named(kind, name), by=_amount(kind, by))
            for (kind, name), by in sorted(total.items())
        ]


def _named(kind: str, name: str) -> Message:
    return message(f"winter.row.{kind.partition(':')[0]}", name=name)


def _amount(kind: str, by: float) -> Amount:
    unit = MAY_GIVE[kind][1]
    return Amount(by / 1000.0 if unit == "tonne" else by, unit, digits=0)


# Rows that may give way when nothing keeps them all, with what giving way by one costs beside the
# others: more hay before less of what stock need, and never how nature works.
MAY_GIVE = {
    "stock": (1.0, "tonne"),
    "offered": (1.0, "tonne"),
    "energy": (100.0, "Mcal"),
    "gain": (100.0, "Mcal"),
    "condition_least": (100.0, "Mcal"),
    "protein": (500.0, "kg"),
    "protein_share": (500.0, "kg"),
    "sulfur": (1000.0, "kg"),
}


def mended_by(model: Model, solver: Solver) -> Floats:
    """By row, how far its bound must give way, the cheapest way; nothing where that mends nothing.

    What stands behind a conflict may be a feed that nobody may have; more of it is no help.
    """
    by = solver.concessions(give_way(model))
    program = model.program
    slack = 1e-6 * (1.0 + np.abs(by))
    low = program.row_lower - np.where(by < 0, -by + slack, 0.0)
    high = program.row_upper + np.where(by > 0, by + slack, 0.0)
    same = program.row_lower == program.row_upper
    wider = replace(program, row_lower=low, row_upper=np.where(same, np.maximum(low, high), high))
    return by if Solver(wider).solve().solved else np.zeros_like(by)


def give_way(model: Model) -> Floats:
    """By row, what giving way by one costs; -1 for what may not."""
    may = np.full(model.program.shape[0], -1.0)
    for kind, _, first, n in model.rows:
        if kind in MAY_GIVE:
            may[first : first + n] = MAY_GIVE[kind][0]
    return may
