"""A lot of hay: what it is, how it stands, and whether nitrate must be suspected in it."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal, get_args

from haywright.measure.errors import Refused
from haywright.measure.message import Message, message
from haywright.measure.units import convert
from haywright.sources.crops import Crop, crop, event, weed
from haywright.sources.named import NamedTable
from haywright.stack.packages import Package, nearest_size, positive

Form = Literal["cured_hay", "standing_crop", "cornstalks", "baleage"]
FORMS: tuple[Form, ...] = get_args(Form)
Use = Literal["feed", "sale"]
USES: tuple[Use, ...] = get_args(Use)


@dataclass(frozen=True, slots=True)
class Storage:
    """A way of keeping hay: indoors or outdoors, and where the outside of a bale gets wet."""

    id: str
    name: str
    group: Literal["indoors", "outdoors"]
    wet: tuple[str, ...] = ()
    also: tuple[str, ...] = ()


_STORAGE = NamedTable("storage_kinds", Storage, field="storage")


def storages() -> Mapping[str, Storage]:
    """Every way of keeping hay, by id."""
    return _STORAGE.rows


def storage(word: str) -> Storage:
    """The way of keeping hay of an id, a name or another name; an unknown one is refused."""
    return _STORAGE.find(word)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a bale lies on a face: its column and tier from 0, seen as one stands before it.

    ``left`` is where its left edge stands, in bale widths from the left.
    """

    bale: int
    face: str
    column: int
    tier: int
    left: float


@dataclass(frozen=True, slots=True)
class Face:
    """One side of the stack as it is seen standing before it.

    Parameters
    ----------
    name
        As people call it: "south side".
    tiers
        Bales in each tier, the ground first; a pyramid has fewer upward [counts].
    reach
        Tiers that can be reached from the ground; all when ``None`` [count].
    """

    name: str
    tiers: tuple[int, ...]
    reach: int | None = None

    def __post_init__(self) -> None:
        if not self.tiers or any(n < 1 for n in self.tiers):
            raise Refused("tiers", str(list(self.tiers)), key="stack.face_tiers")
        if self.reach is not None and self.reach < 0:
            raise Refused("reach", self.reach, key="stack.count_least")

    @property
    def bales(self) -> int:
        """Bales on this face."""
        return sum(self.tiers)

    def places(self, first: int) -> Iterator[Place]:
        """Its bales numbered from ``first``: the ground tier from the left, then upward."""
        number = first
        for tier, n in enumerate(self.tiers):
            indent = (self.tiers[0] - n) / 2
            for column in range(n):
                yield Place(number, self.name, column, tier, indent + column)
                number += 1


@dataclass(frozen=True, slots=True)
class FieldPart:
    """A part of the field, named, and the numbers of the bales that came from it."""

    name: str
    bales: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Packages:
    """The bales of a lot.

    Parameters
    ----------
    package
        Shape; ``None`` when nobody measured.
    count
        Bales [count].
    weight
        Mean weight of a bale [kg as it stands]; ``None`` when unknown.
    weighed
        How it is known: scale ticket, weighed, guessed.
    """

    count: int
    package: Package | None = None
    weight: float | None = None
    weighed: str = ""

    def __post_init__(self) -> None:
        if self.count < 1:
            raise Refused("bales", self.count, key="stack.bales_least")
        if self.weight is not None:
            positive("bale weight", self.weight)

    @property
    def density(self) -> float | None:
        """Density by weight and sides, else the usual one of the package [kg/m3 as it stands]."""
        if self.package is None:
            return None
        if self.weight is not None:
            return self.package.density(self.weight)
        return nearest_size(self.package).planning_density

    @property
    def mass(self) -> float | None:
        """Weight of the lot [kg as it stands]."""
        return None if self.weight is None else self.count * self.weight


@dataclass(frozen=True)
class Lot:
    """One lot of hay, or of a crop that is to become or replace hay.

    Parameters
    ----------
    id, name
        What it is called.
    form
        cured_hay, standing_crop, cornstalks or baleage.
    crops
        Crop words; several for a mixture, the chief one first.
    packages
        The bales; ``None`` for a standing crop or stalks in the field.
    ranch, field, variety, cutting, maturity
        Where it grew and what it is.
    cut_on, baled_on
        Days.
    baling_hours
        From the first bale to the last [h].
    moisture
        At baling [% as baled].
    events
        What happened to the crop or the hay.
    weeds
        Weed word -> share of the hay [%], ``None`` when nobody looked closely.
    storage
        How it is kept.
    rind
        Thickness of the weathered outside [m]; ``None`` when nobody looked.
    faces
        The stack as it stands, bales numbered through face by face.
    field_parts
        Parts of the field and their bales.
    unreached
        Bales that cannot be reached, beside those above a face's reach or on no face.
    purpose
        feed or sale.
    seed
        Text the bales are drawn with; the id when empty.
    preservative, nitrogen
        Preservative used, and nitrogen fertilizer or manure given, as written down.
    """

    id: str
    form: Form
    crops: tuple[str, ...]
    name: str = ""
    packages: Packages | None = None
    ranch: str = ""
    field: str = ""
    variety: str = ""
    cutting: int | None = None
    maturity: str = ""
    cut_on: date | None = None
    baled_on: date | None = None
    baling_hours: float | None = None
    moisture: float | None = None
    events: tuple[str, ...] = ()
    weeds: Mapping[str, float | None] = dataclasses.field(default_factory=dict)
    storage: str = ""
    rind: float | None = None
    faces: tuple[Face, ...] = ()
    field_parts: tuple[FieldPart, ...] = ()
    unreached: tuple[int, ...] = ()
    purpose: Use = "feed"
    seed: str = ""
    preservative: str = ""
    nitrogen: str = ""

    def __post_init__(self) -> None:
        if not self.id.strip():
            raise Refused("lot", self.id, key="stack.lot_id")
        if self.form not in FORMS:
            raise Refused("form", self.form, ", ".join(FORMS))
        if self.purpose not in USES:
            raise Refused("purpose", self.purpose, ", ".join(USES))
        if not self.crops:
            raise Refused("crop", "", key="stack.crop_missing")
        object.__setattr__(self, "crops", tuple(crop(word).id for word in self.crops))
        object.__setattr__(self, "events", tuple(event(word).id for word in self.events))
        object.__setattr__(self, "weeds", {weed(w).id: s for w, s in self.weeds.items()})
        if self.storage:
            object.__setattr__(self, "storage", storage(self.storage).id)
        self._check_numbers()
        self._check_bales()

    def _check_numbers(self) -> None:
        for name, value in (("moisture", self.moisture), *self.weeds.items()):
            if value is not None and not 0 <= value <= 100:
                raise Refused(name, value, key="stack.percent")
        if self.baling_hours is not None and not 0 <= self.baling_hours < math.inf:
            raise Refused("baling hours", self.baling_hours, key="stack.not_negative")
        if self.rind is not None and not 0 <= self.rind < math.inf:
            raise Refused("rind", self.rind, key="stack.not_negative")
        if self.form == "standing_crop" and self.packages is not None:
            raise Refused("bales", self.packages.count, key="stack.standing_has_no_bales")
        if self.form in ("cured_hay", "baleage") and self.packages is None:
            raise Refused("bales", None, key="stack.bales_missing")

    def _check_bales(self) -> None:
        count = self.bales
        on_faces = sum(face.bales for face in self.faces)
        if count is None:
            if self.faces or self.unreached:
                raise Refused("faces", on_faces, key="stack.standing_has_no_bales")
            return
        if on_faces > count:
            raise Refused("faces", on_faces, key="stack.faces_over", bales=count)
        if len({face.name for face in self.faces}) != len(self.faces):
            raise Refused("faces", ", ".join(f.name for f in self.faces), key="stack.face_twice")
        seen: set[int] = set()
        for part in self.field_parts:
            twice = seen & set(part.bales)
            if twice:
                raise Refused(part.name, min(twice), key="stack.part_twice")
            seen |= set(part.bales)
        for number in (*seen, *self.unreached):
            if not 1 <= number <= count:
                raise Refused("bale", number, key="stack.no_such_bale", bales=count)

    @property
    def crop(self) -> Crop:
        """The chief crop."""
        return crop(self.crops[0])

    @property
    def known_crops(self) -> tuple[Crop, ...]:
        """Every crop of the mixture, the chief one first."""
        return tuple(crop(one) for one in self.crops)

    @property
    def bales(self) -> int | None:
        """Bales in the lot; ``None`` for a crop in the field."""
        return None if self.packages is None else self.packages.count

    @property
    def kept(self) -> Storage | None:
        """How it is kept, as the table gives it."""
        return storage(self.storage) if self.storage else None

    @property
    def tons(self) -> float | None:
        """Weight [short tons as it stands], when bales were weighed."""
        mass = None if self.packages is None else self.packages.mass
        return None if mass is None else convert(mass, "kg", "short_ton")

    def stack(self) -> tuple[Place, ...]:
        """Every bale that is on a face, where it lies; one row when no faces are given."""
        if not self.bales:
            return ()
        faces = self.faces or (Face("", (self.bales,)),)
        found: list[Place] = []
        for face in faces:
            found += face.places(len(found) + 1)
        return tuple(found)

    def out_of_reach(self) -> frozenset[int]:
        """Numbers of the bales that cannot be reached: inside the stack, too high, or said so."""
        if not self.bales:
            return frozenset()
        reach = {face.name: face.reach for face in self.faces}
        seen: set[int] = set()
        for place in self.stack():
            highest = reach.get(place.face)
            if highest is None or place.tier < highest:
                seen.add(place.bale)
        return frozenset(set(range(1, self.bales + 1)) - seen | set(self.unreached))

    def suspects_nitrate(self) -> tuple[Message, ...]:
        """Why nitrate must be suspected; empty when nothing known speaks for it."""
        said = [
            message("stack.suspect.crop", crop=one.name.lower())
            for one in self.known_crops
            if one.accumulator
        ]
        said += [
            message("stack.suspect.event", event=event(one).name.lower())
            for one in self.events
            if event(one).raises_nitrate
        ]
        said += [
            message("stack.suspect.weed", weed=weed(one).name.lower())
            for one in self.weeds
            if weed(one).nitrate == "high"
        ]
        if self.form == "cornstalks":
            said.append(message("stack.suspect.stalks"))
        return tuple(said)
