"""The pattern of a determination: what a file in ``determinations`` declares.

A determination declares its readings, its chain of equations, its controls, where doubt comes in,
and the results it leans on. Everything else (means of portions, duplicates, check samples, dry
matter, release) is done alike for all of them in ``run``. Adding one is adding one file.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from haywright.bench.batch import PORTIONS, Batch, Position, PositionKind
from haywright.bench.chain import Known, Step
from haywright.bench.findings import Control
from haywright.measure.errors import Refused, UnknownName
from haywright.measure.message import Message, message
from haywright.measure.result import Kind
from haywright.sources.tables import load_toml

if TYPE_CHECKING:
    from haywright.bench.calibration import Curve
    from haywright.bench.desk import Desk

BAG_KINDS = (PositionKind.BAG, PositionKind.DUPLICATE)
SAMPLES = (*PORTIONS, PositionKind.SPIKE)


@dataclass(frozen=True, slots=True)
class Column:
    """One reading of a position.

    Parameters
    ----------
    name
        Column of the table, ending with its unit.
    kinds
        Kinds of position that need it.
    may
        Kinds that may have it.
    least, most
        What is possible at all [unit of the column]; beyond it a slip of unit is likely.
    instrument
        Kind of equipment its doubt comes from; "" for none of its own.
    of_bag
        Whether it belongs to the bag and not to one portion, such as its net mass.
    signal
        Whether it is the signal of an instrument that a sample cannot take below 0.
    """

    name: str
    kinds: tuple[PositionKind, ...] = SAMPLES
    may: tuple[PositionKind, ...] = ()
    least: float = 0.0
    most: float = float("inf")
    instrument: str = ""
    of_bag: bool = False
    signal: bool = False


@dataclass(frozen=True, slots=True)
class Rising:
    """Two readings of a position where the second must be larger, such as tare and gross.

    ``least`` names the limit [mg] that a sample must gain more than; "" for none.
    """

    low: str
    high: str
    kinds: tuple[PositionKind, ...] = SAMPLES
    says: str = "bench.reading.not_heavier"
    least: str = ""


@dataclass(frozen=True, slots=True)
class Choice:
    """A choice a batch makes: one of some words, a number, or a text of its own.

    ``options`` are the words; none for a number or a text. ``usual`` stands when nothing is
    written; ``None`` when it must be written. ``instrument`` is the kind of equipment its doubt
    comes from. ``text`` is for a name the laboratory gives.
    """

    name: str
    options: tuple[str, ...] = ()
    usual: str | float | None = None
    instrument: str = ""
    text: bool = False


@dataclass(frozen=True, slots=True)
class Lead:
    """What one portion gives, and what is judged on it.

    Parameters
    ----------
    portion
        Name of the quantity of one portion.
    analytes
        Results that rest on it.
    scatter
        Quantity whose scatter and limits are used; "" for the first of ``analytes``. The bag's
        chain must make it from the portion alone by multiplying, such as protein from nitrogen.
    """

    portion: str
    analytes: tuple[str, ...]
    scatter: str = ""

    @property
    def judged_as(self) -> str:
        """Quantity whose scatter and limits are used."""
        return self.scatter or self.analytes[0]


def _nothing(_: Position) -> dict[str, Known]:
    return {}


class Beyond(NamedTuple):
    """A reading outside what the method can measure.

    ``limit`` [unit of the reading] is the edge it fell beyond, ``definition`` which edge that is.
    """

    above: bool
    limit: float
    definition: str


def _nothing_beyond(_: Position) -> dict[str, Beyond]:
    return {}


@dataclass(frozen=True, slots=True)
class Prepared:
    """What a batch gives before any sample is worked: blanks, calibration, drift.

    ``values`` serve every position; ``at`` gives what depends on the place in the run;
    ``beyond`` names readings of a position that lie outside the range; ``curves`` are kept for
    the report.
    """

    values: Mapping[str, Known] = field(default_factory=dict)
    at: Callable[[Position], Mapping[str, Known]] = _nothing
    beyond: Callable[[Position], Mapping[str, Beyond]] = _nothing_beyond
    controls: tuple[Control, ...] = ()
    curves: Mapping[str, Curve] = field(default_factory=dict)


def _prepare_nothing(_: Desk) -> Prepared:
    return Prepared()


@dataclass(frozen=True, slots=True)
class Method:
    """One way of doing a determination.

    Parameters
    ----------
    id
        Name in ``sources/tables/bench_methods.toml``: its label, source and mark.
    columns, rules
        Its readings, and which must be larger than which.
    portion
        Chain from readings to what one portion gives.
    leads
        What one portion gives.
    bag
        Chain from the mean of a bag's portions, with what it leans on, to results.
    make_up
        Kind of position -> how many a batch needs.
    equipment
        Kinds of equipment that must be in order.
    choices
        What a batch must or may choose.
    prepare
        Works blanks, calibration and drift.
    kind
        What its results are: measured, or predicted.
    uses_powder
        Whether a portion is powder that is then gone.
    """

    id: str
    columns: tuple[Column, ...]
    portion: tuple[Step, ...]
    leads: tuple[Lead, ...]
    bag: tuple[Step, ...]
    rules: tuple[Rising, ...] = ()
    make_up: Mapping[PositionKind, int] = field(default_factory=dict)
    equipment: tuple[str, ...] = ("balance",)
    choices: tuple[Choice, ...] = ()
    prepare: Callable[[Desk], Prepared] = _prepare_nothing
    kind: Kind = Kind.MEASURED
    uses_powder: bool = True

    @property
    def label(self) -> str:
        """Its name as printed."""
        return str(load_toml("bench_methods")[self.id]["name"])

    def column(self, name: str) -> Column:
        """The column of a name."""
        for one in self.columns:
            if one.name == name:
                return one
        raise UnknownName("column", name, [one.name for one in self.columns])

    def analytes(self) -> tuple[str, ...]:
        """Every result that rests on one of its leads."""
        return tuple(dict.fromkeys(a for lead in self.leads for a in lead.analytes))


@dataclass(frozen=True, slots=True)
class Determination:
    """One determination with its methods.

    Parameters
    ----------
    id
        Name in files and commands.
    methods
        Short name -> method.
    leans_on
        Results of earlier batches that its own cannot do without.
    cautions
        Message keys of what can hurt people.
    """

    id: str
    methods: Mapping[str, Method]
    leans_on: tuple[str, ...] = ("lab_dm",)
    cautions: tuple[str, ...] = ()

    @property
    def name(self) -> Message:
        """Its name as a message."""
        return message(f"bench.determination.{self.id}")

    def method(self, name: str) -> Method:
        """The method of a short name."""
        try:
            return self.methods[name]
        except KeyError:
            raise UnknownName("method", name, self.methods) from None

    def said_cautions(self) -> tuple[Message, ...]:
        """What can hurt people, said."""
        return tuple(message(key) for key in self.cautions)


@lru_cache(maxsize=1)
def determinations() -> Mapping[str, Determination]:
    """Every determination by id: each module of ``determinations`` holds one."""
    package = importlib.import_module("haywright.bench.determinations")
    found = {}
    for info in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
        one: Determination = importlib.import_module(info.name).DETERMINATION
        found[one.id] = one
    return found


def determination(name: str) -> Determination:
    """The determination of an id; an unknown one is refused with the near ones."""
    try:
        return determinations()[name]
    except KeyError:
        raise UnknownName("determination", name, determinations()) from None


def chosen(batch: Batch, method: Method) -> dict[str, str | float]:
    """The choices of a batch with the usual ones filled in; a missing or unknown one is refused."""
    known = {one.name: one for one in method.choices}
    for name in batch.choices:
        if name not in known:
            raise UnknownName("choice", name, known)
    out: dict[str, str | float] = {}
    for name, one in known.items():
        if name not in batch.choices and one.usual is not None:
            out[name] = one.usual
            continue
        value = batch.choices.get(name)
        if value is None:
            key = "bench_more.choice_missing" if one.text else "bench.choice_missing"
            raise Refused(name, None, ", ".join(one.options), key=key)
        if one.options and value not in one.options:
            raise UnknownName(name, value, one.options)
        written = bool(one.options) or (one.text and isinstance(value, str) and value.strip())
        out[name] = value if written else batch_number(name, value)
    return out


def batch_number(name: str, value: str | float) -> float:
    """A choice that must be a number above 0 [unit that ends its name]."""
    if isinstance(value, str) or not value > 0:
        raise Refused(name, value, key="bench.choice_number")
    return float(value)
