"""Keys that sort by the moment they were made (UUID version 7, RFC 9562 section 5.7)."""

from __future__ import annotations

import os
import time
from uuid import UUID

_MILLISECONDS = 1_000_000


def new_key() -> UUID:
    """A new key; later ones sort after earlier ones."""
    stamp = time.time_ns() // _MILLISECONDS
    chance = int.from_bytes(os.urandom(10), "big")
    high, low = chance >> 68, chance & ((1 << 62) - 1)
    return UUID(int=(stamp << 80) | (7 << 76) | (high << 64) | (2 << 62) | low)
