"""When nothing keeps everything: the least that conflicts is named, and what is said mends it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from haywright.bunk.ration.program import FREE, Solver, Status
from haywright.bunk.winter.plan import NoPlan, solve_plan
from haywright.words import say
from tests.bunk_animals.ranch import CORN, cows, hay, ranch
from tests.bunk_winter.referee import by_clarabel
from tests.bunk_winter.test_feeding_rules import sour

NO_PLANS = {
    "little hay at the rack": lambda: ranch(tons=5, feeds=(), herds=(cows(fed="free"),)),
    "little hay by hand": lambda: ranch(tons=2, feeds=(), hays=few(), herds=(cows(fed="limited"),)),
    "a target out of reach": lambda: ranch(
        weeks=16, herds=(cows(weeks=16, condition=4.0, target=7.0),)
    ),
    "water too high in sulfur": lambda: sour(water=5000.0),
    "more of a feed than may be": lambda: ranch(herds=(cows(),), feeds=(replace(CORN, least=6.0),)),
    "nothing that may be fed": lambda: ranch(
        feeds=(), herds=(cows(fed="free"),), hays=tuple(replace(h, tested=False) for h in few())
    ),
}


def few():
    return (hay("meadow", 2.0, 52.0, 8.0, 64.0), hay("straw", 2.0, 42.0, 4.0, 74.0))


def refused(name):
    with pytest.raises(NoPlan) as caught:
        solve_plan(NO_PLANS[name]())
    return caught.value


def with_only(model, rows):
    """Whether all columns' bounds and these rows alone can be kept."""
    low = np.full(model.program.shape[0], -FREE)
    high = np.full(model.program.shape[0], FREE)
    low[rows], high[rows] = model.program.row_lower[rows], model.program.row_upper[rows]
    free = np.zeros_like(model.program.cost)
    return Solver(replace(model.program, cost=free, row_lower=low, row_upper=high)).solve().status


@pytest.mark.parametrize("name", NO_PLANS)
def test_what_conflicts_cannot_be_kept_and_all_but_any_one_of_it_can(name):
    found = refused(name)
    rows = list(found.rows)
    assert rows
    assert with_only(found.model, rows) is Status.INFEASIBLE
    for row in rows:
        others = [one for one in rows if one != row]
        assert with_only(found.model, others) is Status.OPTIMAL


@pytest.mark.parametrize("name", NO_PLANS)
def test_every_kind_that_is_named_is_needed_for_the_conflict(name):
    found = refused(name)
    assert len(found.conflict) >= 1
    for kind in found.conflict:
        others = [row for row in found.rows if found.model.meaning(row)[:2] != kind]
        assert with_only(found.model, others) is Status.OPTIMAL


NO_MEND = ("more of a feed than may be", "nothing that may be fed")


@pytest.mark.parametrize("name", NO_MEND)
def test_where_more_hay_would_not_mend_it_none_is_promised(name):
    found = refused(name)
    assert not found.mends
    assert "would not mend it" in say(found.message)


@pytest.mark.parametrize("name", [n for n in NO_PLANS if n not in NO_MEND])
def test_giving_way_by_what_is_said_mends_it(name):
    found = refused(name)
    program = found.model.program
    low, high = program.row_lower.copy(), program.row_upper.copy()
    assert found.mends
    for kind, whose, week, by in found.mends:
        row = found.model.row_block(kind, whose)[week]
        if by < 0:
            low[row] += by - 1e-5 * (1 + abs(by))
        else:
            high[row] += by + 1e-5 * (1 + abs(by))
    # What stands on the first day is a fact, less or more; giving way by more does no harm.
    mended = replace(program, row_lower=np.minimum(low, high), row_upper=np.maximum(low, high))
    assert Solver(mended).solve().status is Status.OPTIMAL
    assert by_clarabel(program) is None


def test_hay_that_is_said_to_be_missing_is_enough_when_it_is_there():
    q = NO_PLANS["little hay at the rack"]()
    found = refused("little hay at the rack")
    assert {kind for kind, *_ in found.mends} == {"stock"}
    more = {name: abs(by) for kind, name, _, by in found.mends}
    assert solve_plan(
        q.with_hays([replace(h, stock=h.stock + 1.001 * more.get(h.name, 0.0)) for h in q.hays])
    ).solution.solved


@pytest.mark.parametrize("name", NO_PLANS)
def test_the_conflict_is_told_in_the_trades_words(name):
    text = say(refused(name).message)
    assert text.startswith("No plan keeps everything.")
    for hidden in ("infeasible", "constraint", "row", "dual", "winter.", "{"):
        assert hidden not in text
