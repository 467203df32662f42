"""Winters planned: against the bare solver on the same matrix, and against a modelling layer.

The ranches are invented and made by number, so that any size can be had.
"""

from __future__ import annotations

import time
from concurrent.futures import ProcessPoolExecutor
from datetime import date
from functools import cache

import numpy as np

from benchmarks.baselines import winter as plain
from benchmarks.row import Row
from haywright.bunk.animals import HerdGroup
from haywright.bunk.ration.feed import RationFeed, with_energy
from haywright.bunk.ration.program import LinearProgram, Solver
from haywright.bunk.winter.model import build
from haywright.bunk.winter.plan import short_prices, solve_plan
from haywright.bunk.winter.question import Hay, Herd, WinterQuestion, needs_of
from haywright.bunk.winter.scenarios import in_winters, two_stage

FIRST = date(2026, 12, 1)
MINERALS = {"ca": 0.5, "p": 0.2, "mg": 0.2, "k": 1.7, "s": 0.16}
FEEDS = (
    RationFeed("corn", with_energy({"tdn": 88.0, "cp": 9.0, "ndf": 10.0}) | MINERALS, dm=88.0,
               price=0.21, carries=("grain",)),
    RationFeed("cake", with_energy({"tdn": 75.0, "cp": 38.0, "ndf": 30.0}) | MINERALS, dm=90.0,
               price=0.42),
)  # fmt: skip
SCENARIOS, RANCHES = 200, 1_000


def ranch(lots, groups, weeks, seed=20261125):
    """An invented ranch of a size: its question."""
    rng = np.random.default_rng(seed)
    hays = []
    for n in range(lots):
        tdn, cp, ndf = rng.uniform(50, 60), rng.uniform(8, 17), rng.uniform(45, 66)
        values = with_energy({"tdn": tdn, "cp": cp, "ndf": ndf}) | MINERALS
        feed = RationFeed(f"lot {n}", values, dm=88.0, forage=True)
        stock = rng.uniform(18_000, 40_000) * groups / lots * weeks / 10
        worth, price = rng.uniform(0.04, 0.09), rng.uniform(0.06, 0.14)
        lost = (0.003,) * weeks
        hays.append(Hay(feed, stock, loss=lost, bale=500.0, left_worth=worth, sell=price))
    herds = []
    for n in range(groups):
        due = date(2027, 2, 1 + n % 28)
        group = HerdGroup(f"cows {n}", "bred cows", int(rng.integers(20, 60)), 567.0, FIRST,
                          due=due, condition=5.0)  # fmt: skip
        herds.append(Herd(group, needs_of(group, FIRST, weeks), fed="mixed", waste=10.0))
    return WinterQuestion(FIRST, weeks, tuple(hays), FEEDS, tuple(herds))


USUAL = (6, 4, 26)
LARGE = (100, 20, 52)


def planned(q):
    """Build, solve, read back: what a plan costs and what is left of each lot each week."""
    model = build(q)
    found = Solver(model.program).solve()
    read = np.array([found.x[columns] for columns in model.columns.stock])
    return found.objective if np.isfinite(read).all() else float("nan")


@cache
def faster(size):
    """The faster of the bare solver's two ways on this size, tried once."""
    program = build(ranch(*size)).program
    took = {}
    for way in ("simplex", "ipm"):
        begun = time.perf_counter()
        plain.bare(program, way)
        took[way] = time.perf_counter() - begun
    return min(took, key=took.get)


def alike(mine, its):
    return abs(mine - its) <= 1e-6 * max(abs(its), 1.0)


@cache
def winters():
    """A usual ranch in two hundred winters that differ in cold."""
    q = ranch(*USUAL)
    cold = np.abs(np.random.default_rng(7).normal(6.0, 5.0, (SCENARIOS, USUAL[2])))
    return tuple(in_winters(q, cold)), short_prices(q)


def in_stages():
    many, short = winters()
    return two_stage(many, short=short).cost


@cache
def whole():
    """The same winters as one program, and the faster way to solve it."""
    many, short = winters()
    models = [build(q, short=short) for q in many]
    columns = models[0].columns
    head = [herd.head_sold for herd in columns.herds]
    trades = np.concatenate([columns.sold[:, :1].ravel(), columns.bought[:, :1].ravel(), *head])
    trades = np.unique(trades[trades >= 0])
    programs = [model.program for model in models]
    weights = np.full(len(programs), 1 / len(programs))
    cost, low, high, row_low, row_high, start, index, value = plain.extensive(
        programs, programs[0].cost, weights, trades
    )
    program = LinearProgram(cost, low, high, row_low, row_high, start, index, value,
                            np.zeros(len(cost), dtype=np.int32))  # fmt: skip
    took = {}
    for way in ("simplex", "ipm"):
        begun = time.perf_counter()
        plain.bare(program, way)
        took[way] = time.perf_counter() - begun
    return program, min(took, key=took.get)


def one_ranch(seed):
    return solve_plan(ranch(2, 1, 8, seed)).cost


def many_ranches(workers):
    if workers == 1:
        return [one_ranch(seed) for seed in range(RANCHES)]
    with ProcessPoolExecutor(workers) as pool:
        return list(pool.map(one_ranch, range(RANCHES), chunksize=25))


def ROWS():  # noqa: N802
    """Six rows."""
    usual = ranch(*USUAL)
    program = build(usual).program
    yield Row(
        name="a usual ranch planned: 6 lots, 4 groups, 26 weeks",
        issue=4,
        baseline="the bare solver on the same matrix by its faster way",
        limit=1.0 + 0.1 / bare_seconds(USUAL),
        ours=lambda: planned(usual),
        theirs=lambda: plain.bare(program, faster(USUAL)),
        equal=alike,
        note="the limit is the bare solve plus 0.1 s",
    )
    yield Row(
        name="a usual ranch planned, against a modelling layer",
        issue=4,
        baseline="the same program written out term by term in Pyomo, solved by HiGHS",
        limit=1.0,
        ours=lambda: planned(usual),
        theirs=lambda: plain.modelled(program),
        equal=alike,
        note="building counts on both sides",
    )
    yield Row(
        name="200 winters of a usual ranch in two stages",
        issue=4,
        baseline="all winters as one program, the bare solver by its faster way",
        limit=0.5,
        ours=in_stages,
        theirs=lambda: plain.bare(whole()[0], whole()[1]),
        equal=lambda mine, its: abs(mine - its) <= 1e-3 * max(abs(its), 1.0),
        note="within 0.1 % of its optimum",
        runs=3,
    )
    yield Row(
        name="1,000 small ranches over two cores",
        issue=4,
        baseline="the same over one core",
        limit=1 / 1.7,
        ours=lambda: many_ranches(2),
        theirs=lambda: many_ranches(1),
        note="a process each; at least 1.7 times as fast",
        runs=3,
    )
    big = ranch(*LARGE)
    matrix = build(big).program
    yield Row(
        name="100 lots, 20 groups, 52 weeks planned",
        issue=4,
        baseline="the bare solver on the same matrix by its faster way",
        limit=1.1,
        ours=lambda: planned(big),
        theirs=lambda: plain.bare(matrix, faster(LARGE)),
        equal=alike,
        note="our building is counted; the baseline is handed the matrix",
        runs=3,
    )


def bare_seconds(size):
    """Seconds of the bare solve by its faster way, the median of nine."""
    program, way = build(ranch(*size)).program, faster(size)
    took = []
    for _ in range(9):
        begun = time.perf_counter()
        plain.bare(program, way)
        took.append(time.perf_counter() - begun)
    return float(np.median(took))
