"""Who had the bag: sealed, shipped, then received or refused.

Each hand-over is a record that is only ever added. A hand-over that cannot follow the last one
is refused, and so is one dated before it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from haywright.measure.errors import Refused


class Stage(StrEnum):
    """Where the bag is."""

    SEALED = "sealed"
    SHIPPED = "shipped"
    RECEIVED = "received"
    REFUSED = "refused"


_MAY_FOLLOW: dict[Stage | None, tuple[Stage, ...]] = {
    None: (Stage.SEALED,),
    Stage.SEALED: (Stage.SHIPPED, Stage.RECEIVED, Stage.REFUSED),
    Stage.SHIPPED: (Stage.RECEIVED, Stage.REFUSED),
    Stage.RECEIVED: (),
    Stage.REFUSED: (),
}


@dataclass(frozen=True, slots=True)
class HandOver:
    """The bag changed hands or state.

    Parameters
    ----------
    stage
        What happened.
    when
        Date and time.
    who
        Who has the bag from then on: sampler, carrier, laboratory.
    mass_g
        What the bag weighed without its wrapping [g], where it was weighed.
    reason
        Why it was refused; needed then and only then.
    """

    stage: Stage
    when: datetime
    who: str
    mass_g: float | None = None
    reason: str = ""

    def __post_init__(self) -> None:
        if not self.who.strip():
            raise Refused("who", self.who, key="bag.custody.who", stage=str(self.stage))
        if self.mass_g is not None and not self.mass_g > 0:
            raise Refused("mass_g", self.mass_g, key="bag.mass.positive")
        if (self.stage is Stage.REFUSED) != bool(self.reason.strip()):
            raise Refused("reason", self.reason, key="bag.custody.reason", stage=str(self.stage))


Journey = tuple[HandOver, ...]


def stage_of(journey: Journey) -> Stage | None:
    """Where the bag is now; ``None`` before it is sealed."""
    return journey[-1].stage if journey else None


def hand_over(journey: Journey, step: HandOver) -> Journey:
    """The journey with one more step.

    Raises
    ------
    Refused
        The step cannot follow the last one, or lies before it in time.
    """
    now = stage_of(journey)
    if step.stage not in _MAY_FOLLOW[now]:
        raise Refused(
            "stage",
            str(step.stage),
            ", ".join(_MAY_FOLLOW[now]),
            key="bag.custody.order" if _MAY_FOLLOW[now] else "bag.custody.over",
            now=str(now or ""),
        )
    if journey and _naive(step.when) < _naive(journey[-1].when):
        raise Refused("when", step.when, journey[-1].when, key="bag.custody.time")
    return (*journey, step)


def _naive(when: datetime) -> datetime:
    from datetime import UTC

    return when.astimezone(UTC).replace(tzinfo=None) if when.tzinfo else when


def walked(steps: tuple[HandOver, ...]) -> Journey:
    """Check a whole list of steps as if each had been added in turn."""
    journey: Journey = ()
    for step in steps:
        journey = hand_over(journey, step)
    return journey


def holder(journey: Journey, when: datetime | None = None) -> str | None:
    """Who had the bag at a moment, or has it now; ``None`` before it was sealed."""
    before = [s for s in journey if when is None or _naive(s.when) <= _naive(when)]
    return before[-1].who if before else None
