"""What can go wrong, as one tree. Every error carries a Message; ``words`` makes it a sentence.

HaywrightError
├── Refused (ValueError)        one thing was not accepted: field, value, what would be
│   ├── UnknownName (LookupError)   a name that is not in a list: the near ones are given
│   └── CannotDerive                a value cannot be worked out: what is missing is named
├── Problems (ValueError)       several of the above at once, none lost
└── Held                        a number that quality control has not let through was asked for
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from difflib import get_close_matches

from haywright.measure.message import Message, MessageValue


class HaywrightError(Exception):
    """Any refusal of ours; ``message`` is what a person is told."""

    def __init__(self, message: Message) -> None:
        super().__init__(message)
        self.message = message

    def __str__(self) -> str:
        return str(self.message)

    def messages(self) -> tuple[Message, ...]:
        """Every single message inside, in the order found."""
        return (self.message,)


class Refused(HaywrightError, ValueError):
    """One field was given a value that is not accepted.

    Parameters
    ----------
    field
        The name of the field as the person knows it.
    value
        What was given; a day stays a day, so that it is said as the reader says days.
    accepted
        What would have been accepted.
    key
        Message key; the message is given ``field``, ``value``, ``accepted`` and ``args``.
    """

    def __init__(
        self,
        field: str,
        value: object,
        accepted: MessageValue = "",
        *,
        key: str = "measure.refused",
        **args: MessageValue,
    ) -> None:
        self.field = field
        self.value = value
        self.accepted = accepted
        shown = value if isinstance(value, date) else "" if value is None else str(value)
        super().__init__(
            Message(key, {"field": field, "value": shown, "accepted": accepted, **args})
        )


class UnknownName(Refused, LookupError):
    """A name that is not in the list of names that could stand there."""

    def __init__(self, field: str, value: object, accepted: Iterable[str]) -> None:
        names = sorted(accepted)
        near = get_close_matches(str(value).lower(), names, n=5, cutoff=0.5)
        key = "measure.unknown_name" if near or len(names) <= 12 else "measure.unknown_name_many"
        super().__init__(
            field, value, key=key, names=tuple(near or names[:12]), how_many=len(names)
        )
        self.names = tuple(names)


class CannotDerive(Refused):
    """A value that cannot be worked out, with the names of what is missing."""

    def __init__(self, wanted: str, missing: Sequence[str]) -> None:
        super().__init__(
            wanted,
            None,
            key="measure.cannot_derive",
            missing=tuple(Message("measure.quantity", {"id": name}) for name in missing),
        )
        self.wanted = wanted
        self.missing = tuple(missing)


class Problems(HaywrightError, ValueError):
    """Several refusals found in one reading, so that a person mends them all at once."""

    def __init__(self, errors: Sequence[HaywrightError]) -> None:
        self.errors = tuple(errors)
        found = tuple(m for error in self.errors for m in error.messages())
        super().__init__(Message("measure.problems", {"n": len(found), "problems": found}))

    def messages(self) -> tuple[Message, ...]:
        """Every single message inside, in the order found."""
        return tuple(m for error in self.errors for m in error.messages())


class Held(HaywrightError):
    """A held number was asked for."""
