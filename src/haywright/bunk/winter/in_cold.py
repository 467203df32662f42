"""One question in many winters that differ in nothing but cold, with nothing traded.

One program in the solver; from winter to winter only the energy that stock need is changed, and
it solves on from where it ended. Winters of like cold follow each other.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from haywright.bunk.ration.program import FREE, Floats, Solver
from haywright.bunk.requirements.needs import with_cold
from haywright.bunk.weather import ColdRule
from haywright.bunk.winter.model import Short, build
from haywright.bunk.winter.plan import Plan
from haywright.bunk.winter.question import WEEK, Herd, WinterQuestion
from haywright.measure.errors import Refused


def plans_in_cold(q: WinterQuestion, cold: Floats, *, short: Short) -> Iterator[tuple[int, Plan]]:
    """The plan of each winter with the winter's number, the mildest first.

    Which question a plan answers is told by the energy of its arrays; its ``question`` is the one
    given, whatever the cold. Whether lots are fed whole is left open.

    Parameters
    ----------
    q
        The question.
    cold
        More energy for cold by winter and week [%], (n, T).
    short
        What falling short costs, so that every winter answers.
    """
    open_ = q.with_herds([replace(herd, most_hays=None, in_turn=False) for herd in q.herds])
    model = build(open_, short=short, selling=False)
    rows = np.concatenate([model.row_block("energy", herd.name) for herd in open_.herds])
    energy = np.stack([_energy(herd, cold) for herd in open_.herds], axis=1)  # (n, G, T)
    need = energy * WEEK * np.array([herd.group.head for herd in open_.herds])[None, :, None]
    solver = Solver(model.program)
    for n in np.argsort(need.sum(axis=(1, 2)), kind="stable"):
        solver.set_rows(rows, need[n].ravel(), FREE)
        found = solver.solve()
        if not found.solved:
            raise Refused("winters", len(cold), key="winter.stopped")
        held = (replace(one, energy=e) for one, e in zip(model.herds, energy[n], strict=True))
        yield int(n), Plan(replace(model, herds=tuple(held)), found)


def _energy(herd: Herd, cold: Floats) -> Floats:
    """Energy of one head by winter and week [Mcal or kg of TDN], (n, T): straight in the cold."""
    rule = ColdRule()
    none, whole = (
        np.array([with_cold(need, more, rule).total for need in herd.needs])
        for more in (0.0, 100.0)
    )
    return np.asarray(none + (whole - none) * cold / 100.0, dtype=np.float64)
