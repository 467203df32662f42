"""What a control found, and what it means for the bags of a batch."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from haywright.measure.message import Message


class Outcome(StrEnum):
    """How a control came out."""

    PASSED = "passed"
    WARNED = "warned"
    FAILED = "failed"
    NOT_JUDGED = "not judged"


@dataclass(frozen=True, slots=True)
class Control:
    """One control of a batch.

    Parameters
    ----------
    kind
        reading, equipment, blank, standards, curve, verification, drift, duplicate, check, spike,
        range, make_up.
    outcome
        Passed, warned, failed, or not judged for want of a limit.
    said
        What was found, against which limit.
    bags
        Bags it speaks of; ``None`` for the whole batch.
    analytes
        Results it speaks of; empty for all of them.
    positions
        Places in the run that it rests on.
    value, limit
        What was found and what it was held against [unit named in ``said``].
    rerun
        What to run again when it failed.
    source, mark
        Where the limit comes from and how well it is known; "" for the laboratory's own.
    """

    kind: str
    outcome: Outcome
    said: Message
    bags: tuple[str, ...] | None = None
    analytes: tuple[str, ...] = ()
    positions: tuple[int, ...] = ()
    value: float | None = None
    limit: float | None = None
    rerun: Message | None = None
    source: str = ""
    mark: str = ""

    @property
    def failed(self) -> bool:
        """Whether it holds what it speaks of."""
        return self.outcome is Outcome.FAILED

    def holds(self, bag: str, analyte: str) -> bool:
        """Whether it holds this result of this bag."""
        of_bag = self.bags is None or bag in self.bags
        return self.failed and of_bag and (not self.analytes or analyte in self.analytes)

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        out: dict[str, Any] = {
            "kind": self.kind,
            "outcome": self.outcome.value,
            "said": self.said.to_json(),
            "bags": None if self.bags is None else list(self.bags),
            "analytes": list(self.analytes),
            "positions": list(self.positions),
        }
        for name in ("value", "limit", "source", "mark"):
            held = getattr(self, name)
            if held not in (None, "") and not (isinstance(held, float) and not math.isfinite(held)):
                out[name] = held
        if self.rerun is not None:
            out["rerun"] = self.rerun.to_json()
        return out

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Control:
        """Read back what :meth:`to_json` wrote."""
        plain = {n: data[n] for n in ("value", "limit", "source", "mark") if n in data}
        return cls(
            data["kind"],
            Outcome(data["outcome"]),
            Message.from_json(data["said"]),
            bags=None if data["bags"] is None else tuple(data["bags"]),
            analytes=tuple(data["analytes"]),
            positions=tuple(data["positions"]),
            rerun=Message.from_json(data["rerun"]) if "rerun" in data else None,
            **plain,
        )


def passed(kind: str, said: Message, **more: Any) -> Control:
    """A control that came out well."""
    return Control(kind, Outcome.PASSED, said, **more)


def warned(kind: str, said: Message, **more: Any) -> Control:
    """A control to look at; it holds nothing."""
    return Control(kind, Outcome.WARNED, said, **more)


def failed(kind: str, said: Message, **more: Any) -> Control:
    """A control that holds what it speaks of."""
    return Control(kind, Outcome.FAILED, said, **more)
