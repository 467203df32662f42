"""What a look at one hazard says: a level, a sentence, the line it was held against."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias, cast

from haywright.measure.estimate import Estimate, State
from haywright.measure.message import Amount, Message
from haywright.sources.tables import load_toml

Level = Literal["below", "information", "unknown", "caution", "restrict", "stop"]
LEVELS: tuple[Level, ...] = ("below", "information", "unknown", "caution", "restrict", "stop")
Value: TypeAlias = "Estimate | float"
_BOTH_TAILS = 0.90  # 95 % of what it may be lies below the upper end


@dataclass(frozen=True, slots=True)
class Finding:
    """What is found about one hazard.

    Parameters
    ----------
    hazard
        Short name.
    level
        below the line, information, unknown, caution, restrict or stop.
    says
        The sentence.
    source, mark
        What the line rests on.
    value
        What was judged, where it is a number.
    advice
        What to do, and what to mind.
    """

    hazard: str
    level: Level
    says: Message
    source: str
    mark: str
    value: Amount | None = None
    advice: tuple[Message, ...] = ()

    @property
    def recalled(self) -> bool:
        """Whether the line is recalled and must be shown with its mark."""
        return self.mark == "recalled"

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "hazard": self.hazard,
            "level": self.level,
            "says": self.says.to_json(),
            "advice": [one.to_json() for one in self.advice],
            "value": None if self.value is None else float(self.value.value),
            "unit": None if self.value is None else self.value.unit,
            "source": self.source,
            "kind": self.mark,
        }


def line(hazard: str, name: str) -> Mapping[str, Any]:
    """A line of the table of hazard lines: its number, unit, source and mark."""
    return cast("Mapping[str, Any]", load_toml("hazard_lines")[hazard][name])


def high(value: Value) -> float:
    """The upper end of a number [its unit]: 95 % of what it may be lies below.

    A number below a limit enters as the limit; one above its range is without end.
    """
    return _end(value, 1)


def low(value: Value) -> float:
    """The lower end of a number [its unit]: 95 % of what it may be lies above."""
    return _end(value, 0)


def _end(value: Value, which: int) -> float:
    if not isinstance(value, Estimate):
        return float(value)
    if value.state is State.MEASURED:
        return float(value.interval(_BOTH_TAILS)[which])
    ends = (0.0, float("inf")) if value.state is State.HELD else (value.low, value.high)
    return float(ends[which])
