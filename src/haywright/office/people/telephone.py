"""What counts as a telephone number: figures, and the few marks people write between them."""

from __future__ import annotations

import re

from haywright.measure.errors import Refused

LONGEST = 40  # as the database keeps it
FEWEST_FIGURES = 3  # common practice: a number for emergencies may be as short
_WRITTEN = re.compile(r"(?:[0-9\s+()./-]|ext|x)*", re.IGNORECASE | re.ASCII)


def no_telephone(field: str, value: str) -> Refused | None:
    """Why a text is no telephone number; ``None`` where it is one, or nothing is written.

    Parameters
    ----------
    field
        Where it was typed.
    value
        What was typed.
    """
    if not value:
        return None
    figures = sum(one.isdigit() for one in value)
    if not _WRITTEN.fullmatch(value) or figures < FEWEST_FIGURES:
        return Refused(field, value, key="people.telephone.wrong", least=FEWEST_FIGURES)
    if len(value) > LONGEST:
        return Refused(field, value, key="people.telephone.long", most=LONGEST)
    return None
