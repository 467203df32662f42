"""The bag: what one sample is, and which bales and whose hands it came from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from haywright.bag.codes import BagCode
from haywright.bag.custody import Journey, Stage, stage_of, walked
from haywright.bag.mass import judge_journey, judge_mass
from haywright.bag.tests import lab_test
from haywright.measure.errors import Refused
from haywright.measure.message import Message, message
from haywright.sources.crops import event

Taken = Literal["probe", "grab", "cut"]
TAKEN: tuple[Taken, ...] = ("probe", "grab", "cut")


@dataclass(frozen=True, slots=True)
class Bag:
    """One sealed sample of one lot, or of one part of its field.

    Parameters
    ----------
    code
        Office, number, check digits.
    lot
        Id of the lot.
    cored_on
        Day the sample was taken; the result speaks for the bales as they stood then.
    taken
        probe: cores; grab: handfuls, a screen only; cut: a standing crop at cutting height.
    tests
        Test ids in the order they matter.
    bales
        Numbers of the bales cored; empty when they were not written down.
    bale_count
        How many bales were cored where the numbers were not written down.
    cores_per_bale
        Cores from each bale.
    part
        Part of the field the bales came from; "" for the whole lot.
    sampler
        Who took it.
    condition
        Event ids seen at the bag: mouldy, heated, dusty ...
    mass_sealed_g, mass_received_g
        Net mass [g].
    journey
        Who had the bag.
    """

    code: BagCode
    lot: str
    cored_on: date
    taken: Taken
    tests: tuple[str, ...]
    bales: tuple[int, ...] = ()
    bale_count: int | None = None
    cores_per_bale: int = 1
    part: str = ""
    sampler: str = ""
    condition: tuple[str, ...] = ()
    mass_sealed_g: float | None = None
    mass_received_g: float | None = None
    journey: Journey = ()

    def __post_init__(self) -> None:
        if not self.lot.strip():
            raise Refused("lot", self.lot, key="bag.lot_missing")
        if not self.tests:
            raise Refused("tests", "", key="bag.tests_missing")
        if self.taken not in TAKEN:
            raise Refused("taken", self.taken, ", ".join(TAKEN))
        self._check_bales()
        object.__setattr__(self, "tests", tuple(dict.fromkeys(lab_test(t).id for t in self.tests)))
        object.__setattr__(self, "condition", tuple(event(c).id for c in self.condition))
        for field in ("mass_sealed_g", "mass_received_g"):
            grams = getattr(self, field)
            if grams is not None and not grams > 0:
                raise Refused(field, grams, key="bag.mass.positive")
        walked(self.journey)

    def _check_bales(self) -> None:
        if len(set(self.bales)) != len(self.bales) or any(b < 1 for b in self.bales):
            raise Refused("bales", ", ".join(map(str, self.bales)), key="bag.bales")
        if self.bale_count is not None and self.bales and self.bale_count != len(self.bales):
            raise Refused("bale_count", self.bale_count, str(len(self.bales)), key="bag.bale_count")
        if self.bale_count is not None and self.bale_count < 1:
            raise Refused("bale_count", self.bale_count, key="bag.bale_count_least")
        if self.cores_per_bale < 1:
            raise Refused("cores_per_bale", self.cores_per_bale, key="bag.cores_per_bale")

    @property
    def bales_cored(self) -> int | None:
        """How many bales the bag speaks for; ``None`` when nobody wrote it down."""
        return len(self.bales) or self.bale_count

    @property
    def cores(self) -> int | None:
        """Cores in the bag."""
        return None if self.bales_cored is None else self.bales_cored * self.cores_per_bale

    @property
    def screen_only(self) -> bool:
        """A hand grab is a screen; its result clears nothing."""
        return self.taken == "grab"

    @property
    def stage(self) -> Stage | None:
        """Where the bag is."""
        return stage_of(self.journey)

    def notes(self) -> tuple[Message, ...]:
        """What a reader of the result should know about the sample."""
        said: list[Message] = []
        if self.screen_only:
            said.append(message("bag.note.grab"))
        if self.bales_cored is None and self.taken == "probe":
            said.append(message("bag.note.bales_unknown"))
        said += self._mass_notes()
        if self.condition:
            names = tuple(event(c).name.lower() for c in self.condition)
            said.append(message("bag.note.condition", condition=names))
        return tuple(said)

    def _mass_notes(self) -> list[Message]:
        if self.mass_sealed_g is None:
            return []
        verdict = judge_mass(self.mass_sealed_g)
        said = [verdict.reason] if verdict.band in ("short", "over") else []
        if self.mass_received_g is not None:
            lost = judge_journey(self.mass_sealed_g, self.mass_received_g)
            said += [lost] if lost is not None else []
        return said
