"""A ranch of our own invention for the winter's tests, small enough to solve at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from haywright.bunk.animals import HerdGroup
from haywright.bunk.ration.feed import RationFeed, with_energy
from haywright.bunk.winter.question import Hay, Herd, WinterQuestion, needs_of

FIRST = date(2026, 12, 1)
TON = 907.18474
CORN = RationFeed("corn", with_energy({"tdn": 88.0, "cp": 9.0, "ndf": 10.0}), dm=88.0, price=0.21,
                  carries=("grain",))  # fmt: skip
CAKE = RationFeed("cake", with_energy({"tdn": 75.0, "cp": 38.0, "ndf": 30.0}), dm=90.0, price=0.42)


def hay(name, tons, tdn, cp, ndf, *, weeks=8, loss=0.003, **more):
    feed = RationFeed(name, with_energy({"tdn": tdn, "cp": cp, "ndf": ndf}), dm=88.0, forage=True)
    return Hay(feed, tons * TON * 0.88, loss=(loss,) * weeks, bale=500.0, **more)


def cows(head=40, weeks=8, **more):
    group = HerdGroup("cows", "bred cows", head, 567.0, FIRST, due=date(2027, 3, 1),
                      condition=more.pop("condition", 5.0))  # fmt: skip
    return Herd(group, needs_of(group, FIRST, weeks), **{"fed": "mixed", "waste": 10.0, **more})


def calves(head=20, weeks=8, **more):
    group = HerdGroup("calves", "calves", head, 250.0, FIRST, gain=0.5, mature_weight=567.0,
                      age="calf")  # fmt: skip
    return Herd(group, needs_of(group, FIRST, weeks), **{"fed": "mixed", "waste": 5.0, **more})


def bulls(head=3, weeks=8, **more):
    group = HerdGroup("bulls", "bulls", head, 860.0, FIRST)
    return Herd(group, needs_of(group, FIRST, weeks), **{"fed": "limited", "waste": 10.0, **more})


def ranch(*, weeks=8, tons=60.0, loss=0.003, waste=10.0, herds=None, feeds=(CORN, CAKE), **more):
    hays = (
        hay("meadow", tons, 52.0, 8.0, 64.0, weeks=weeks, loss=loss, left_worth=0.05),
        hay("alfalfa", 0.6 * tons, 59.0, 18.0, 45.0, weeks=weeks, loss=loss, left_worth=0.1),
        hay("straw", 20.0, 42.0, 4.0, 74.0, weeks=weeks, loss=loss, left_worth=0.02),
    )
    stock = herds or (cows(weeks=weeks, waste=waste), calves(weeks=weeks))
    return WinterQuestion(FIRST, weeks, more.pop("hays", hays), feeds, tuple(stock), **more)


def with_stock(q, name, factor):
    return q.with_hays(
        [replace(h, stock=h.stock * factor) if h.name == name else h for h in q.hays]
    )
