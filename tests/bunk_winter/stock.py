"""Hay with minerals, minerals to buy, and ways to ask for a plan: a ranch of our own invention."""

from __future__ import annotations

from dataclasses import replace

from haywright.bunk.ration.feed import RationFeed
from haywright.bunk.requirements.need import Choices
from haywright.bunk.winter.question import needs_of
from tests.bunk_animals.ranch import FIRST, cows, ranch

GRASS = {"ca": 0.40, "p": 0.16, "mg": 0.14, "k": 1.6, "s": 0.15}
ALFALFA = {"ca": 1.40, "p": 0.22, "mg": 0.28, "k": 2.0, "s": 0.25}
STRAW = {"ca": 0.25, "p": 0.06, "mg": 0.10, "k": 1.3, "s": 0.12}
GRAIN = {"ca": 0.03, "p": 0.30, "mg": 0.12, "k": 0.4, "s": 0.12}
CAKE = {"ca": 0.20, "p": 1.00, "mg": 0.60, "k": 1.6, "s": 0.45}
HELD = {"meadow": GRASS, "alfalfa": ALFALFA, "straw": STRAW, "corn": GRAIN, "cake": CAKE}
LIMESTONE = RationFeed("limestone", {"ca": 38.0}, dm=99.0, price=0.3, carries=("mineral",))
PHOSPHATE = RationFeed(
    "phosphate", {"ca": 22.0, "p": 19.0}, dm=97.0, price=1.1, carries=("mineral",)
)
MAGNESIA = RationFeed("magnesia", {"mg": 56.0}, dm=99.0, price=0.9, carries=("mineral",))


def with_values(feed, **values):
    return replace(feed, values={**feed.values, **values})


def with_minerals(q, held=None, feeds=()):
    """The question with minerals of hay and feeds known, and more feeds to buy."""
    known = held or HELD
    hays = [
        replace(h, feed=with_values(h.feed, **known[h.name])) if h.name in known else h
        for h in q.hays
    ]
    bought = [with_values(f, **known[f.name]) if f.name in known else f for f in q.feeds]
    return replace(q, hays=tuple(hays), feeds=(*bought, *feeds))


def cows_of_1996(head=40, weeks=8, **more):
    """Cows whose calcium and phosphorus are asked for in grams."""
    herd = cows(head, weeks, **more)
    needs = needs_of(herd.group, FIRST, weeks, choices=Choices(protein="1996"))
    return replace(herd, needs=needs)


def mineral_ranch(feeds=(), **more):
    more.setdefault("herds", (cows_of_1996(),))
    return with_minerals(ranch(**more), feeds=feeds)
