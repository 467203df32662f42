"""Hot hay: what to do at a probe temperature, and what to say about it.

The step functions of each published scale stand in ``stack.keeping``; this module adds the
cautions and the test that heating calls for.
"""

from __future__ import annotations

from haywright.measure.message import Message, message

CAUTIONS = (
    "bunk.hot.caution.people",
    "bunk.hot.caution.fire_service",
    "bunk.hot.caution.smoke",
    "bunk.hot.caution.protein",
)


def hot_hay_cautions() -> tuple[Message, ...]:
    """What every answer about a hot stack says."""
    return tuple(message(key) for key in CAUTIONS)
