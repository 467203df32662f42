"""What a sampling plan holds: which bales, in which order, into which bags, what that buys."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from haywright.measure.errors import Refused
from haywright.measure.message import Message
from haywright.stack.error import Spread
from haywright.stack.lot import Lot
from haywright.stack.picking import METHODS, STRATA, Method, Pick, Stratum
from haywright.stack.precision import Precision
from haywright.stack.probe import Probe, ProbeReport
from haywright.stack.protocol import Protocol
from haywright.stack.rules import Bales, Purpose, Rule
from haywright.stack.spread import Repeat
from haywright.stack.timing import When


@dataclass(frozen=True, slots=True)
class Choices:
    """What a person may choose in a plan; everything has a usual value.

    Parameters
    ----------
    purpose
        nutrients or nitrate; nitrate where it must be suspected.
    rule
        Sampling rule; the default one of the purpose when empty.
    bales
        Bales to core, above any rule [count].
    cores_per_bale
        Cores from each bale [count].
    bags
        Bags to fill [count].
    target
        Quantity and half-width wanted [unit of the quantity; % of the value for nitrate].
    confidence
        Of every half-width [fraction].
    probe
        The probe; the usual one when not given.
    seed, method, by
        How the bales are drawn.
    spreads
        Quantity -> spread the person gives.
    office, repeats
        Quantity -> the office's repeats within lots, and those of this lot.
    """

    purpose: Purpose | None = None
    rule: str = ""
    bales: int | None = None
    cores_per_bale: int | None = None
    bags: int | None = None
    target: tuple[str, float] | None = None
    confidence: float = 0.9
    probe: Probe | None = None
    seed: str = ""
    method: Method = "random"
    by: Stratum = "face"
    spreads: Mapping[str, Spread] = field(default_factory=dict)
    office: Mapping[str, Sequence[Repeat]] = field(default_factory=dict)
    repeats: Mapping[str, Sequence[Repeat]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for name, value in (("bales", self.bales), ("cores_per_bale", self.cores_per_bale),
                            ("bags", self.bags)):  # fmt: skip
            if value is not None and value < 1:
                raise Refused(name, value, key="stack.count_least")
        if self.method not in METHODS:
            raise Refused("method", self.method, ", ".join(METHODS))
        if self.by not in STRATA:
            raise Refused("by", self.by, ", ".join(STRATA))


@dataclass(frozen=True, slots=True)
class PlannedBag:
    """One bag to fill.

    Parameters
    ----------
    number, part
        Its number from 1, and the field part; "" where that has no name.
    bales
        Bales whose cores go in; empty for a crop in the field.
    of_bales
        Bales it speaks for [count]; 0 for a crop in the field.
    units
        Cores, or places of a field, in it [count].
    grams
        Hay in it [g]; ``None`` where no probe was judged.
    """

    number: int
    part: str
    bales: tuple[int, ...]
    of_bales: int
    units: int
    grams: float | None

    def to_json(self) -> dict[str, Any]:
        """Plain values."""
        return {
            "bag": self.number,
            "part": self.part,
            "bales": list(self.bales),
            "speaks_for_bales": self.of_bales,
            "cores_or_places": self.units,
            "grams": self.grams,
        }


@dataclass(frozen=True, slots=True)
class SamplingPlan:
    """Everything needed in the yard, and what it buys.

    Parameters
    ----------
    lot, protocol, purpose
        What is sampled, how its form is sampled, and for what.
    suspects
        Why nitrate must be suspected.
    rule, asked
        The sampling rule and what it asks; ``chosen`` says whether a person chose the number.
    seed, method
        How the bales were drawn.
    cores_per_bale
        Cores from each picked bale [count].
    picks, bags, unreached
        The walk, the bags, and the numbers of the bales out of reach.
    probe
        The probe judged on this bale; ``None`` where no bale is cored.
    precision
        What the cores buy, one entry for each quantity with a known spread.
    unknown
        Quantities whose spread nobody has.
    when, doubts
        When to sample, and why this may be more than one lot.
    notes, cautions, always
        What to know of this plan; what to mind in this one; what to mind in every one.
    """

    lot: Lot
    protocol: Protocol
    purpose: Purpose
    suspects: tuple[Message, ...]
    rule: Rule
    asked: Bales
    chosen: bool
    seed: str
    method: Method
    cores_per_bale: int
    picks: tuple[Pick, ...]
    bags: tuple[PlannedBag, ...]
    unreached: tuple[int, ...]
    probe: ProbeReport | None
    precision: tuple[Precision, ...]
    unknown: tuple[str, ...]
    when: tuple[When, ...]
    doubts: tuple[Message, ...]
    notes: tuple[Message, ...]
    cautions: tuple[Message, ...]
    always: tuple[Message, ...]

    @property
    def unreached_share(self) -> float:
        """Share of the bales that could not be reached [fraction]."""
        return len(self.unreached) / self.lot.bales if self.lot.bales else 0.0

    @property
    def cores(self) -> int:
        """Cores, or places of a field, in all."""
        return sum(bag.units for bag in self.bags)

    @property
    def walk(self) -> tuple[int, ...]:
        """Numbers of the picked bales in walking order."""
        return tuple(one.bale for one in self.picks)

    def to_json(self) -> dict[str, Any]:
        """Plain values; messages as keys and quantities."""
        return {
            "lot": self.lot.id,
            "form": self.lot.form,
            "purpose": self.purpose,
            "rule": {"id": self.rule.id, "source": self.rule.source, "mark": self.rule.mark},
            "seed": self.seed,
            "method": self.method,
            "bales_in_lot": self.lot.bales,
            "cores_per_bale": self.cores_per_bale,
            "cores": self.cores,
            "walk": [one.to_json() for one in self.picks],
            "bags": [bag.to_json() for bag in self.bags],
            "unreached": list(self.unreached),
            "unreached_share": self.unreached_share,
            "protocol": self.protocol.to_json(),
            "probe": None if self.probe is None else self.probe.to_json(),
            "precision": [one.to_json() for one in self.precision],
            "spread_unknown": list(self.unknown),
            "when": [one.to_json() for one in self.when],
        }
