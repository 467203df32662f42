"""The probe judged: what a core sees of a bale, what it never sees, and how much it takes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal, get_args

from haywright.measure.errors import Refused
from haywright.measure.message import Amount, Message, MessageValue, message
from haywright.measure.units import convert
from haywright.sources.tables import load_toml
from haywright.stack import core as equations
from haywright.stack.packages import Package, Weathered, positive, share

Face = Literal["curved", "flat", "end", "side", "top"]
FACES: tuple[Face, ...] = get_args(Face)
_OF_KIND: dict[bool, tuple[Face, ...]] = {True: ("curved", "flat"), False: ("end", "side", "top")}
STEEPEST = 80.0


@dataclass(frozen=True, slots=True)
class Probe:
    """A probe and how it is pushed in.

    Parameters
    ----------
    length
        Hay it holds, from where it begins to keep it [m].
    bore
        Inside diameter of the tip [m].
    across, along
        Tilt off the straight: across the bale's axis, and along it [degree].
    start
        Depth at which it begins to keep hay: the outside removed first [m].
    """

    length: float
    bore: float
    across: float = 0.0
    along: float = 0.0
    start: float = 0.0

    def __post_init__(self) -> None:
        positive("length", self.length)
        positive("bore", self.bore)
        if self.bore >= self.length:
            raise Refused("bore", self.bore, key="stack.probe.bore_over_length")
        for tilt in ("across", "along"):
            if not 0 <= getattr(self, tilt) <= STEEPEST:
                raise Refused(tilt, getattr(self, tilt), key="stack.probe.tilt", most=STEEPEST)
        if not 0 <= self.start < math.inf:
            raise Refused("start", self.start, key="stack.probe.start")


def usual_probe() -> Probe:
    """The probe a plan assumes when none is named."""
    row = load_toml("probe_rules")["taken"]
    return Probe(convert(row["depth"], "in", "m"), convert(row["bore"], "in", "m"))


@dataclass(frozen=True, slots=True)
class Outside:
    """The weathered outside of a bale.

    Parameters
    ----------
    rind
        Thickness [m].
    basis
        Whether a round bale is weathered on the curved side only or on its ends as well.
    around
        Share of the way round that is weathered; 1 all round, less where only the bottom or the
        top is wet [fraction].
    """

    rind: float = 0.0
    basis: Weathered = "curved"
    around: float = 1.0

    def __post_init__(self) -> None:
        if not 0 <= self.rind < math.inf:
            raise Refused("rind", self.rind, key="stack.probe.rind")
        share("around", self.around)


@dataclass(frozen=True, slots=True)
class FaceView:
    """What one face would show a core of this length.

    ``core_share`` is the weathered share of the core, ``factor`` the times the outside is
    counted, ``seen`` the share of the radius or of the flakes that is crossed [fractions].
    """

    face: Face
    advised: bool
    core_share: float
    factor: float | None
    seen: float
    reason: Message

    def to_json(self) -> dict[str, Any]:
        """Plain values."""
        return {
            "face": self.face,
            "advised": self.advised,
            "core_share": self.core_share,
            "rind_factor": self.factor,
            "seen": self.seen,
        }


@dataclass(frozen=True, slots=True)
class ProbeReport:
    """What a probe does to a bale. Lengths in m, masses in g, shares as fractions.

    Parameters
    ----------
    package, probe, outside, face
        What was asked about.
    mass_share, core_share, factor
        Weathered share of the bale and of the core, and the times the outside is counted; the
        last is ``None`` where there is none.
    once, gradient
        Core lengths that count the outside once, and that are true to an even gradient.
    seen_from, seen_to
        Radii crossed, as shares of the radius, from the inmost; for a square bale the part of its
        length crossed.
    mass_unseen
        Share of the bale's hay nearer the middle than the core came.
    wraps
        Layers crossed, when a layer's thickness was given.
    density
        Density it was reckoned with [kg/m3 as it stands].
    core_g, cores, bag_g
        Hay in one core, cores in one bag, hay in the bag [g, count, g].
    cores_least
        Cores that give a bag the laboratory's least.
    views
        What each face would show.
    path
        Points of the core in the end view, middle of the bale at (0, 0), surface at (R, 0): where
        it enters, begins to keep hay, passes the weathered line and ends [m].
    notes
        What to know, the act first.
    """

    package: Package
    probe: Probe
    outside: Outside
    face: Face
    mass_share: float
    core_share: float
    factor: float | None
    once: float | None
    gradient: float | None
    seen_from: float
    seen_to: float
    mass_unseen: float
    wraps: float | None
    density: float
    core_g: float
    cores: int
    bag_g: float
    cores_least: int
    views: tuple[FaceView, ...]
    path: tuple[tuple[float, float], ...]
    notes: tuple[Message, ...] = ()

    @property
    def nearest_true(self) -> tuple[float, float] | None:
        """Core lengths between which a straight core reads a round bale nearest to true [m].

        From the length that counts a thin outside once to the one true to an even gradient.
        """
        if self.face != "curved":
            return None
        thin = float(equations.length_counting_once(self.package.radius, 0.0))
        return thin, float(equations.length_for_gradient(self.package.radius))

    def zones(self, bag_value: float, contrast: float) -> tuple[float, float, float]:
        """What the whole bale, its sound inside and its weathered outside hold.

        Parameters
        ----------
        bag_value
            Result of the bag [unit of the result].
        contrast
            Weathered outside less sound inside [unit of the result].
        """
        whole = equations.whole_from_bag(bag_value, self.core_share, self.mass_share, contrast)
        inside = float(equations.inside_from_bag(bag_value, self.core_share, contrast))
        return float(whole), inside, inside + contrast

    def bias(self, rind_value: float, sound_value: float) -> float:
        """How far the bag reads from the whole bale [unit of the result].

        Parameters
        ----------
        rind_value, sound_value
            Value of the weathered outside and of the sound inside [unit of the result].
        """
        return float(equations.core_bias(self.core_share, self.mass_share, rind_value, sound_value))

    def to_json(self) -> dict[str, Any]:
        """Plain values; lengths in m, masses in g."""
        return {
            "package": self.package.to_json(),
            "face": self.face,
            "core_length_m": self.probe.length,
            "core_start_m": self.probe.start,
            "bore_m": self.probe.bore,
            "tilt_across_degrees": self.probe.across,
            "tilt_along_degrees": self.probe.along,
            "rind_m": self.outside.rind,
            "weathered": self.outside.basis,
            "weathered_around": self.outside.around,
            "mass_share": self.mass_share,
            "core_share": self.core_share,
            "rind_factor": self.factor,
            "counts_once_m": self.once,
            "even_gradient_m": self.gradient,
            "seen_from": self.seen_from,
            "seen_to": self.seen_to,
            "mass_unseen": self.mass_unseen,
            "wraps": self.wraps,
            "density_kg_m3": self.density,
            "core_g": self.core_g,
            "cores": self.cores,
            "bag_g": self.bag_g,
            "cores_for_least_mass": self.cores_least,
            "faces": [view.to_json() for view in self.views],
            "path_m": [list(point) for point in self.path],
        }


def cores_for_mass(core_g: float, wanted_g: float) -> int:
    """Cores that make up a mass.

    Parameters
    ----------
    core_g, wanted_g
        Hay in one core, and hay wanted [g].
    """
    return math.ceil(round(positive("wanted_g", wanted_g) / positive("core_g", core_g), 9))


def judge_probe(
    package: Package,
    probe: Probe,
    *,
    density: float,
    outside: Outside | None = None,
    face: Face | None = None,
    cores: int = 20,
    layer: float | None = None,
    need_g: float | None = None,
    purpose: Literal["feed", "sale"] | None = None,
) -> ProbeReport:
    """Judge a probe on a package.

    Parameters
    ----------
    package, probe, outside
        The bale, the probe and what is weathered.
    density
        Density of the hay [kg/m3 as it stands].
    face
        Where it goes in; the advised face when not given.
    cores
        Cores that go into one bag [count].
    layer
        Thickness of one wrapped layer, when known [m].
    need_g
        Hay the tests need [g]; the usual least when not given.
    purpose
        feed or sale, when known: decides what is said of the weathered outside.
    """
    outside = outside or Outside()
    allowed = _OF_KIND[package.round]
    chosen = face or allowed[0]
    if chosen not in allowed:
        raise Refused("face", chosen, ", ".join(allowed))
    if cores < 1:
        raise Refused("cores", cores, key="stack.cores_least")
    deepest = _through(package, probe, chosen)
    if probe.start >= deepest:
        raise Refused("start", probe.start, key="stack.probe.start")
    views = tuple(_view(package, probe, outside, one) for one in allowed)
    mine = views[allowed.index(chosen)]
    mass_share = package.rind_share(outside.rind, outside.basis) * outside.around
    kept = min(probe.length, deepest - probe.start)
    core_g = float(equations.core_mass(probe.bore, kept, positive("density", density)))
    nearest, farthest = _radii(package, probe, chosen)
    return ProbeReport(
        package=package,
        probe=probe,
        outside=outside,
        face=chosen,
        mass_share=mass_share,
        core_share=mine.core_share,
        factor=mine.factor,
        once=_once(package, outside, chosen),
        gradient=_gradient(package, chosen),
        seen_from=nearest,
        seen_to=farthest,
        mass_unseen=nearest**2 if chosen == "curved" else 1.0 - mine.seen,
        wraps=None if layer is None or chosen != "curved"
        else (farthest - nearest) * package.radius / positive("layer", layer),
        density=density,
        core_g=core_g,
        cores=cores,
        bag_g=core_g * cores,
        cores_least=cores_for_mass(core_g, _needed(need_g)),
        views=views,
        path=_path(package, probe, outside) if chosen == "curved" else (),
        notes=tuple(_notes(package, probe, outside, mine, core_g, cores, _needed(need_g), purpose)),
    )  # fmt: skip


def _through(package: Package, probe: Probe, face: Face) -> float:
    """Hay before a core comes out on the other side [m along the core]."""
    if face == "curved":
        chord = package.diameter * math.cos(math.radians(probe.across))
        return chord / math.cos(math.radians(probe.along))
    return {
        "flat": package.width,
        "end": package.length,
        "side": package.width,
        "top": package.height,
    }[face]


def _needed(need_g: float | None) -> float:
    return float(load_toml("bag_mass")["least"]["value"]) if need_g is None else need_g


def _once(package: Package, outside: Outside, face: Face) -> float | None:
    if outside.rind <= 0 or face in ("flat", "side", "top"):
        return None
    if face == "curved" and outside.basis == "curved":
        return float(equations.length_counting_once(package.radius, outside.rind))
    whole = package.rind_share(outside.rind, outside.basis)
    return float(equations.length_for_share(outside.rind, whole))


def _gradient(package: Package, face: Face) -> float | None:
    return float(equations.length_for_gradient(package.radius)) if face == "curved" else None


def _radii(package: Package, probe: Probe, face: Face) -> tuple[float, float]:
    """Inmost and outmost part seen: of the radius, or of the length of a square bale."""
    if face == "curved":
        shrink = math.cos(math.radians(probe.along))
        first, last = probe.start * shrink, (probe.start + probe.length) * shrink
        across = math.radians(probe.across)
        radius, middle = package.radius, package.radius * math.cos(across)
        last = min(last, 2 * middle)

        def at(s: float) -> float:
            return math.sqrt(max(radius**2 - 2 * s * middle + s * s, 0.0)) / radius

        inmost = math.sin(across) if first <= middle <= last else min(at(first), at(last))
        return inmost, max(at(first), at(last))
    if face == "end":
        return 0.0, min((probe.start + probe.length) / package.length, 1.0)
    return 0.5, 0.5


def _view(package: Package, probe: Probe, outside: Outside, face: Face) -> FaceView:
    rind, start = outside.rind, probe.start
    if face == "curved":
        taken = float(
            equations.core_rind_share(
                package.radius, rind, probe.length, probe.across, probe.along, start
            )
        )
        nearest, farthest = _radii(package, probe, face)
        seen = farthest - nearest
    elif face == "flat":
        weathered_end = outside.basis == "with_ends"
        taken = (
            float(equations.core_layer_share(rind, probe.length, start)) if weathered_end else 0.0
        )
        seen = 0.0
    else:
        taken = float(equations.core_layer_share(rind, probe.length, start))
        seen = min(probe.length / package.length, 1.0) if face == "end" else 0.0
    taken *= outside.around
    mass = package.rind_share(rind, outside.basis) * outside.around
    return FaceView(
        face=face,
        advised=face in ("curved", "end"),
        core_share=taken,
        factor=float(equations.rind_factor(taken, mass)) if mass > 0 else None,
        seen=seen,
        reason=message(f"stack.probe.face.{face}", seen=Amount(100 * seen, "%", digits=0)),
    )


def _path(package: Package, probe: Probe, outside: Outside) -> tuple[tuple[float, float], ...]:
    across, shrink = math.radians(probe.across), math.cos(math.radians(probe.along))
    radius, middle = package.radius, package.radius * math.cos(across)
    last = min((probe.start + probe.length) * shrink, 2 * middle)
    stops = {0.0, probe.start * shrink, last}
    left = max(radius - outside.rind, 0.0) ** 2 - (radius * math.sin(across)) ** 2
    if outside.rind > 0 and left > 0:
        stops |= {s for s in (middle - math.sqrt(left), middle + math.sqrt(left)) if s < last}
    return tuple((radius - s * math.cos(across), s * math.sin(across)) for s in sorted(stops))


def _notes(
    package: Package,
    probe: Probe,
    outside: Outside,
    mine: FaceView,
    core_g: float,
    cores: int,
    need_g: float,
    purpose: str | None,
) -> list[Message]:
    said = [*_mass_notes(core_g, cores, need_g), *_shape_notes(probe)]
    if not mine.advised:
        said.insert(0, message("stack.probe.not_this_face", reason=mine.reason))
    if mine.face == "curved" and probe.start + probe.length > package.radius * 1.1:
        said.append(message("stack.probe.past_the_middle"))
    if max(probe.across, probe.along) > load_toml("probe_rules")["tilt"]["most"]:
        said.append(message("stack.probe.tilted"))
    if outside.rind > 0:
        said.append(message(f"stack.probe.outside.{purpose or 'ask'}"))
        if outside.around < 1:
            said.append(message("stack.probe.part_round"))
    return said


def _mass_notes(core_g: float, cores: int, need_g: float) -> list[Message]:
    bag, limits = core_g * cores, load_toml("bag_mass")
    most = float(limits["most"]["value"])
    shown: dict[str, MessageValue] = {
        "bag": Amount(bag, "g", digits=0),
        "need": Amount(need_g, "g", digits=0),
        "most": Amount(most, "g", digits=0),
        "least_cores": cores_for_mass(core_g, need_g),
    }
    if bag > most:
        return [message("stack.probe.bag_over", **shown)]
    if bag < need_g:
        return [message("stack.probe.bag_short", **shown)]
    return []


def _shape_notes(probe: Probe) -> list[Message]:
    rules = load_toml("probe_rules")
    said: list[Message] = []
    narrow = min(row["low"] for row in rules["bore"]["rows"] if row["mark"] == "read")
    if probe.bore < convert(narrow, "in", "m") * (1 - 1e-9):
        said.append(message("stack.probe.narrow", bore=Amount(probe.bore, "m", digits=2),
                            least=Amount(convert(narrow, "in", "m"), "m", digits=2)))  # fmt: skip
    shallow = min(row["low"] for row in rules["depth"]["rows"])
    if probe.length < convert(shallow, "in", "m") * (1 - 1e-9):
        said.append(message("stack.probe.shallow", depth=Amount(probe.length, "m", digits=1),
                            least=Amount(convert(shallow, "in", "m"), "m", digits=0)))  # fmt: skip
    return said
