"""How stock come up to a restricted share: equal steps, and from the start after a day off feed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from haywright.bunk.hazards.nitrate.rules import Rules, rules
from haywright.measure.errors import Refused


@dataclass(frozen=True, slots=True)
class StepUp:
    """A step-up to a share [common practice, where the guide prescribes nothing].

    Parameters
    ----------
    share
        Where it ends [0 to 1].
    steps
        Equal steps [count].
    days
        Over how long [days].
    """

    share: float
    steps: int
    days: int

    def __post_init__(self) -> None:
        if not 0 <= self.share <= 1:
            raise Refused("share", self.share, "0 to 1")
        if not 1 <= self.steps <= self.days:
            raise Refused("steps", self.steps, f"1 to {self.days}")

    @property
    def schedule(self) -> tuple[tuple[int, float], ...]:
        """(day of feeding it begins on, counted from 1; share from then on), the first first."""
        return tuple(
            (1 + -(-step * self.days // self.steps), self.share * (step + 1) / self.steps)
            for step in range(self.steps)
        )

    def on(self, day: int) -> float:
        """Most of the ration on a day of feeding, counted from 1 [fraction]."""
        return max((share for first, share in self.schedule if first <= day), default=0.0)

    def through(self, fed: Iterable[bool]) -> tuple[float, ...]:
        """Most of the ration day by day, shape (days,) [fraction]; a day off starts it again.

        Parameters
        ----------
        fed
            For each day, whether they were fed this hay.
        """
        found, run = [], 0
        for here in fed:
            run = run + 1 if here else 0
            found.append(self.on(run))
        return tuple(found)


def step_up_to(share: float, by: Rules | None = None) -> StepUp:
    """The step-up of the rules to a share [0 to 1]."""
    r = by or rules()
    return StepUp(share, r.step_up_steps, r.step_up_days)
