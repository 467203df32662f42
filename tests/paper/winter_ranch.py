"""An invented winter for the papers: six lots, four groups, one lot held back, one not tested."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np

from haywright.bunk.animals import HerdGroup
from haywright.bunk.ration.feed import RationFeed, with_energy
from haywright.bunk.winter.keep_price import keep_price
from haywright.bunk.winter.lasts import hay_lasts
from haywright.bunk.winter.plan import solve_plan
from haywright.bunk.winter.question import Hay, Herd, WinterQuestion, needs_of
from haywright.measure.message import message
from haywright.paper.winter_matter import Change, Offer, WinterMatter, all_on_hand
from haywright.way.office import Office

FIRST = date(2026, 11, 9)
WEEKS = 26
POUND = 0.45359237
TON = 2000 * POUND
CAKE = RationFeed("cake, 38 %", with_energy({"tdn": 75.0, "cp": 38.0, "ndf": 30.0}), dm=90.0,
                  price=0.42)  # fmt: skip
CORN = RationFeed("corn", with_energy({"tdn": 88.0, "cp": 9.0, "ndf": 10.0}), dm=88.0, price=0.24,
                  carries=("grain",))  # fmt: skip


def lot(name, bales, pounds, tdn, cp, ndf, *, dm=88.0, **more):
    feed = RationFeed(name, with_energy({"tdn": tdn, "cp": cp, "ndf": ndf}), dm=dm, forage=True)
    bale = pounds * POUND * dm / 100
    left = {"left_worth": 0.05, "handling": 0.008, "loss": (0.002,) * WEEKS, **more}
    return Hay(feed, bales * bale, bale=bale, **left)


def herd(name, kind, head, weight, *, fed, waste, **more):
    mine = {key: more.pop(key) for key in ("target", "least", "sale", "replacement") if key in more}
    group = HerdGroup(name, kind, head, weight, FIRST, **more)
    return Herd(group, needs_of(group, FIRST, WEEKS), fed=fed, waste=waste, **mine)


@cache
def question():
    half = {"Cows": 0.5, "First-calf heifers": 0.25, "Calves": 0.0, "Bulls": 0.5}
    hays = (
        lot(
            "Lower bench oats", 64, 1180, 55.0, 9.0, 61.0, shares=half, sell=0.13, sell_most=9000.0
        ),
        lot("Meadow grass", 180, 1240, 54.0, 8.2, 63.0, sell=0.10),
        lot("Second-cut alfalfa", 60, 1300, 60.0, 17.5, 44.0),
        lot("Creek orchardgrass", 40, 1100, 56.0, 10.5, 60.0),
        lot("Wheat straw", 40, 900, 41.0, 3.8, 75.0, dm=90.0),
        lot("Sudangrass, north", 30, 1200, 55.0, 9.5, 62.0, tested=False),
    )
    herds = (
        herd("Cows", "bred cows", 60, 567.0, fed="mixed", waste=6.0, due=date(2027, 3, 10),
             condition=5.0, target=5.0),
        herd("First-calf heifers", "bred heifers", 14, 455.0, fed="limited", waste=10.0,
             due=date(2027, 2, 25), condition=5.5, target=5.5, least=5.0),
        herd("Calves", "calves", 30, 250.0, fed="mixed", waste=5.0, gain=0.5, mature_weight=567.0,
             age="calf"),
        herd("Bulls", "bulls", 3, 860.0, fed="limited", waste=10.0),
    )  # fmt: skip
    return WinterQuestion(FIRST, WEEKS, hays, (CAKE, CORN), herds)


OFFICE = Office("Tamarack Fork hay office", "TFK", "555 0117", "Dr. Inés Calloway", "555 0142")
OATS = "Lower bench oats"


@cache
def matter():
    q = question()
    plan = solve_plan(q)
    given = {
        "ranch": "Dahl ranch",
        "made_on": date(2026, 11, 2),
        "lasts": hay_lasts(q),
        "in_ten": 2,
        "drawn": 200,
        "turnout": date(2027, 5, 3),
        "hard": np.maximum(1.1 * all_on_hand(plan) - 0.1 * all_on_hand(plan)[0], 0.0),
        "keep": {OATS: keep_price(q, OATS), "Meadow grass": keep_price(q, "Meadow grass")},
        "offers": (Offer("Feed store", OATS, 0.13, 9000.0), Offer("Neighbor", OATS, 0.115),
                   Offer("Trader", "Meadow grass", 0.10)),
        "one_more": {"Cows": 96.4},
        "changes": (Change(message("winter.row.room", name="Cows"), 212.0),
                    Change(message("winter.row.stock", name=OATS), -80.0)),
        "binds": (message("winter.row.protein", name="Calves"),),
        "defaults": (message("winter_paper.grass", day="3 May"),),
        "cautions": (message("winter_paper.hard"),),
    }  # fmt: skip
    return WinterMatter(OFFICE, plan, **given)


@cache
def small():
    """A ranch with one herd and two lots, nothing held back."""
    q = question()
    hays = tuple(hay for hay in q.hays if hay.name in ("Meadow grass", "Second-cut alfalfa"))
    one = replace(q, hays=hays, herds=q.herds[:1])
    return WinterMatter(OFFICE, solve_plan(one), lasts=hay_lasts(one))
