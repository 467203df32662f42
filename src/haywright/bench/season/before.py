"""What is judged of every batch before any bag is worked: equipment, readings, make-up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haywright.bench import equipment as judged_equipment
from haywright.bench.batch import Equipment, PositionKind
from haywright.bench.control import HELD_WITHOUT
from haywright.bench.pattern import BAG_KINDS, SAMPLES, Column, Rising
from haywright.bench.readings import signal_least
from haywright.bench.season.reasons import Bits, Reason, add, none_of
from haywright.bench.season.table import Numbers, Season, Yes


@dataclass(frozen=True, slots=True)
class Tools:
    """Doubt that the equipment of each batch leaves.

    Parameters
    ----------
    balance
        Of one weighing [g].
    setting, dispensing
        Of the volume set, shared by a batch, and of one dispensing [mL].
    """

    balance: Numbers
    setting: Numbers
    dispensing: Numbers


def equipment(season: Season) -> tuple[Tools, Yes]:
    """The equipment of every batch: the doubt it leaves, and where it holds the batch."""
    tools = Tools(*(np.zeros(len(season.heads)) for _ in range(3)))
    held = np.zeros(len(season.heads), dtype=bool)
    # A day's equipment is judged once; a batch that shares day and equipment shares the finding.
    seen: dict[tuple[int, int], tuple[bool, tuple[float, float, float]]] = {}
    for number, head in enumerate(season.heads):
        key = (head.run_on.toordinal(), id(head.equipment))
        if key not in seen:
            controls = judged_equipment.judge(season.shell(number), season.method)
            seen[key] = any(one.failed for one in controls), _doubts(head.equipment)
        held[number], found = seen[key]
        tools.balance[number], tools.setting[number], tools.dispensing[number] = found
    return tools, held


def _doubts(used: tuple[Equipment, ...]) -> tuple[float, float, float]:
    first = {one.kind: one for one in reversed(used)}
    balance, dispenser = first.get("balance"), first.get("dispenser")
    return (
        balance.standard_uncertainty() if balance else 0.0,
        dispenser.setting_uncertainty() if dispenser else 0.0,
        dispenser.repeatability if dispenser else 0.0,
    )


def usable(season: Season) -> tuple[Yes, Yes]:
    """Rows whose readings can be used, and rows with a reading that is missing or impossible."""
    wrong = np.zeros(len(season.batch), dtype=bool)
    for column in season.method.columns:
        wrong |= _wrong(season, column)
    for rule in season.method.rules:
        wrong |= _not_rising(season, rule)
    wrong &= ~season.void
    return ~wrong & ~season.void, wrong


def _wrong(season: Season, column: Column) -> Yes:
    values = season.readings[column.name]
    there = ~np.isnan(values)
    needed = season.of(*column.kinds) if column.kinds else np.zeros(len(values), dtype=bool)
    looked_at = season.of(*column.kinds, *column.may)
    with np.errstate(invalid="ignore"):
        inside = (column.least <= values) & (values <= column.most)
        if column.signal and season.heads:
            inside &= ~season.of(*SAMPLES) | (values >= signal_least(season.shell(0)))
    return np.asarray((needed & ~there) | (looked_at & there & ~inside))


def _not_rising(season: Season, rule: Rising) -> Yes:
    low, high = season.readings[rule.low], season.readings[rule.high]
    with np.errstate(invalid="ignore"):
        return np.asarray(season.of(*rule.kinds) & (low >= high))


def gaps(season: Season) -> Yes:
    """Batches with a place that is missing from the count."""
    last = np.zeros(len(season.heads), dtype=season.order.dtype)
    np.maximum.at(last, season.batch, season.order)
    return np.asarray(last != np.bincount(season.batch, minlength=len(last)))


def out_of_time(season: Season) -> Yes:
    """Batches whose instants do not rise with the place in the run."""
    timed = np.flatnonzero(~np.isnan(season.read_at))
    at, batch = season.read_at[timed], season.batch[timed]
    back = (batch[1:] == batch[:-1]) & (at[1:] < at[:-1])
    out = np.zeros(len(season.heads), dtype=bool)
    out[batch[1:][back]] = True
    return out


def made_up(season: Season, use: Yes) -> Yes:
    """Batches that lack a blank, standard, check or verification their method needs."""
    lacking = np.zeros(len(season.heads), dtype=bool)
    for kind, least in season.method.make_up.items():
        if kind in HELD_WITHOUT:
            lacking |= counted(season, use & season.of(kind)) < least
    return lacking


def counted(season: Season, which: Yes) -> Numbers:
    """How many of some rows each batch has [count]."""
    return np.bincount(season.batch[which], minlength=len(season.heads)).astype(float)


def first_look(season: Season) -> tuple[Yes, Tools, Bits, Bits]:
    """Everything above: usable rows, doubt of the tools, reasons of batches and of bags."""
    use, wrong = usable(season)
    tools, out = equipment(season)
    of_batch, of_bag = none_of(len(season.heads)), none_of(len(season.bags))
    add(of_batch, out, Reason.EQUIPMENT)
    add(of_batch, out_of_time(season) | gaps(season), Reason.READING)
    add(of_batch, made_up(season, use), Reason.MAKE_UP)
    bags = season.bags
    add(of_bag, bags.any(wrong[bags.rows]), Reason.READING)
    return use, tools, of_batch, of_bag


def of_kind(season: Season, use: Yes, *kinds: PositionKind) -> np.ndarray:
    """Usable rows of some kinds."""
    return np.flatnonzero(use & season.of(*(kinds or BAG_KINDS)))
