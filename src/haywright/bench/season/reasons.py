"""Why a batch or a bag of a season is held: the kinds of control, as bits."""

from __future__ import annotations

from collections.abc import Iterator
from enum import IntFlag, auto
from typing import Any

import numpy as np
from numpy.typing import NDArray

Bits = NDArray[np.int16]


class Reason(IntFlag):
    """Kinds of control that hold; the names are those of ``findings.Control.kind``."""

    EQUIPMENT = auto()
    READING = auto()
    MAKE_UP = auto()
    STANDARDS = auto()
    BLANK = auto()
    VERIFICATION = auto()
    COLUMN = auto()
    DUPLICATE = auto()
    CHECK = auto()
    RANGE = auto()

    @property
    def kind(self) -> str:
        """The kind of control."""
        return str(self.name).lower()


def kinds_of(bits: int) -> Iterator[str]:
    """The kinds of control in some bits."""
    return (one.kind for one in Reason if bits & one)


def none_of(count: int) -> Bits:
    """Bits of so many batches or bags [count], none set."""
    return np.zeros(count, dtype=np.int16)


def add(bits: Bits, where: Any, reason: Reason) -> None:
    """Set a reason at some batches or bags: their numbers, or yes and no for each."""
    bits[where] |= np.int16(reason)
