"""The sampling plan as a person takes it into the yard, made from the plan and its probe."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from haywright.measure.message import Message, message
from haywright.paper.drawings import BaleMark, Face, State
from haywright.sources.bibliography import cite
from haywright.stack import precision as curves
from haywright.stack.lot import Lot
from haywright.stack.plan import SamplingPlan
from haywright.stack.probe import ProbeReport
from haywright.way.office import Office
from haywright.words import Reader, say


@dataclass(frozen=True, slots=True)
class Core:
    """The bale and the core into it; lengths in m.

    Parameters
    ----------
    kind
        "round" (core from the curved side) or "square" (core into the butt end).
    across
        Diameter of a round bale; length of a square one.
    high
        Height of a square bale.
    length, start
        Of the core, and how far under the surface it begins.
    rind
        Thickness of the weathered outside.
    once
        Core length that counts the outside once; ``None`` where it says nothing.
    rind_factor
        How many times the core counts the weathered outside.
    bore
        Inside diameter of the tip, when known.
    """

    kind: Literal["round", "square"]
    across: float
    length: float
    high: float = 0.0
    start: float = 0.0
    rind: float = 0.0
    once: float | None = None
    rind_factor: float | None = None
    bore: float | None = None


def core_of(report: ProbeReport) -> Core:
    """The core as a probe report judges it."""
    bale, probe = report.package, report.probe
    return Core(
        kind="round" if bale.round else "square",
        across=bale.diameter if bale.round else bale.length,
        high=bale.height,
        length=probe.length,
        start=probe.start,
        rind=report.outside.rind,
        once=report.once,
        rind_factor=report.factor,
        bore=probe.bore,
    )


@dataclass(frozen=True, slots=True)
class Precision:
    """What the cores buy in one quantity.

    Parameters
    ----------
    quantity
        Dictionary name.
    points
        (cores, half-width in the quantity's unit).
    target, floor
        Half-width asked for; what the laboratory alone leaves.
    rests_on
        Whose spread between bales it is worked with.
    relative
        Whether half-widths are in per cent of the value.
    at
        Cores of the plan; one of the points.
    """

    quantity: str
    points: tuple[tuple[int, float], ...]
    target: float | None = None
    floor: float | None = None
    rests_on: Message | None = None
    relative: bool = False
    at: int = 0


@dataclass(frozen=True, slots=True)
class YardSheet:
    """Everything the printed plan says; made from a sampling plan and its probe.

    Parameters
    ----------
    office, lot, lot_name, ranch, made_on
        Whose plan of which lot, and when it was made.
    bales, cores_per_bale
        Bales in the lot, and cores from each picked bale.
    faces
        The stack, with the picked bales in walking order.
    core
        The bale and the probe; ``None`` where a crop in the field is cut instead.
    precision
        One quantity, when its spread is known.
    sentence, reason, standing
        As on a page: what to do; why so many; rule, seed, source.
    rectangular, flat
        How bales are drawn on the map.
    confidence
        Of the half-widths [fraction].
    bags
        Each bag: its part of the field and its bales.
    places
        Places of a field to cut at, for a crop in the field.
    unreached
        Numbers of the bales that cannot be reached.
    clocks
        Bale number -> hour of the clock at which to core it.
    steps, notes, cautions
        What the form of the lot asks for; what to know; what to mind.
    """

    office: Office
    lot: str
    bales: int
    faces: tuple[Face, ...]
    core: Core | None
    lot_name: str = ""
    ranch: str = ""
    made_on: date | None = None
    cores_per_bale: int = 1
    precision: Precision | None = None
    sentence: tuple[Message, ...] = ()
    reason: Message | None = None
    standing: tuple[Message, ...] = ()
    rectangular: bool = False
    flat: float = 0.5
    confidence: float = 0.9
    bags: tuple[tuple[str, tuple[int, ...]], ...] = ()
    places: int = 0
    unreached: tuple[int, ...] = ()
    clocks: Mapping[int, int] = field(default_factory=dict)
    steps: tuple[Message, ...] = ()
    notes: tuple[Message, ...] = ()
    cautions: tuple[Message, ...] = ()

    @property
    def picked(self) -> list[int]:
        """Numbers of the picked bales in walking order."""
        found = [b for face in self.faces for b in face.bales if b.state is State.PICKED]
        return [b.number for b in sorted(found, key=lambda b: b.walk or 0)]


# The probe and its depth stand in the drawing of the core.
_DRAWN_ALREADY = ("stack.plan.probe_taken",)


def yard_sheet(
    plan: SamplingPlan,
    office: Office,
    reader: Reader,
    *,
    ranch: str = "",
    made_on: date | None = None,
) -> YardSheet:
    """The printed plan of a sampling plan.

    Parameters
    ----------
    plan, office, reader
        The plan, who prints it, and whose words it uses.
    ranch
        Name of the ranch, as printed; its id stands in the lot.
    made_on
        Day of the plan.
    """
    lot = plan.lot
    package = None if lot.packages is None else lot.packages.package
    curve = next((one for one in plan.precision if _wanted(one, plan)), None)
    return YardSheet(
        office=office,
        lot=lot.id,
        bales=lot.bales or 0,
        faces=_faces(plan, reader),
        core=None if plan.probe is None else core_of(plan.probe),
        lot_name=lot.name,
        ranch=ranch or lot.ranch,
        made_on=made_on,
        cores_per_bale=plan.cores_per_bale,
        precision=None if curve is None else _precision(curve),
        standing=_standing(plan),
        rectangular=package is not None and not package.round,
        confidence=curve.confidence if curve else 0.9,
        bags=tuple((bag.part, bag.bales) for bag in plan.bags),
        places=sum(bag.units for bag in plan.bags) if plan.probe is None else 0,
        unreached=plan.unreached,
        clocks={one.bale: one.clock for one in plan.picks if one.clock is not None},
        steps=plan.protocol.steps,
        notes=_notes(plan),
        cautions=(*plan.cautions, *plan.always),
    )


def _wanted(one: curves.Precision, plan: SamplingPlan) -> bool:
    """The quantity a target was set in, else nitrate for nitrate, else the first."""
    if any(other.target is not None for other in plan.precision):
        return one.target is not None
    nitrate = any(other.quantity == "nitrate_n" for other in plan.precision)
    return one.quantity == "nitrate_n" if nitrate and plan.purpose == "nitrate" else True


def _precision(one: curves.Precision) -> Precision:
    return Precision(
        quantity=one.quantity,
        points=tuple((point.cores, point.half) for point in one.points),
        target=one.target,
        floor=one.floor,
        rests_on=one.spread.said,
        relative=one.relative,
        at=one.at.cores,
    )


def _faces(plan: SamplingPlan, reader: Reader) -> tuple[Face, ...]:
    """The faces as they stand, picked bales with their place in the walk."""
    walk = {one.bale: one.walk for one in plan.picks}
    return faces_of(plan.lot, walk, frozenset(plan.unreached), reader)


def faces_of(
    lot: Lot, walk: Mapping[int, int | None], crossed: frozenset[int], reader: Reader
) -> tuple[Face, ...]:
    """The faces of a lot as they stand.

    Parameters
    ----------
    lot
        Whose stack.
    walk
        Numbers of the bales drawn dark, each with its place in the walk.
    crossed
        Numbers of the bales that cannot be reached.
    reader
        Whose words.
    """
    marks: dict[str, list[BaleMark]] = {}
    for place in lot.stack():
        state = (
            State.PICKED
            if place.bale in walk
            else State.UNREACHED
            if place.bale in crossed
            else State.LEFT
        )
        mark = BaleMark(place.bale, place.left, place.tier, state, walk.get(place.bale))
        marks.setdefault(place.face, []).append(mark)
    row = say(message("paper.plan.map.row"), reader)
    return tuple(Face(name or row, tuple(found)) for name, found in marks.items())


def _standing(plan: SamplingPlan) -> tuple[Message, ...]:
    """Which rule asked for so many, and how the bales were drawn."""
    said = [message("paper.plan.rule", rule=plan.rule.name, source=cite(plan.rule.source).line)]
    if plan.picks:
        drawn = "paper.plan.drawn" if plan.method == "random" else "paper.plan.every_nth"
        said.append(message(drawn, seed=plan.seed))
    return tuple(said)


def _notes(plan: SamplingPlan) -> tuple[Message, ...]:
    when = tuple(one.reason for one in plan.when)
    probe = () if plan.probe is None else plan.probe.notes
    suspect = (message("paper.plan.suspect", why=plan.suspects),) if plan.suspects else ()
    told = (one for one in plan.notes if one.key not in _DRAWN_ALREADY)
    return (*suspect, *plan.doubts, *when, *told, *probe)
