"""How often something may be tried: so many times in so many minutes, whoever asks."""

from __future__ import annotations

import hashlib

from django.core.cache import cache
from django.http import HttpRequest

TRIES, MINUTES = 10, 10
PERSON_TRIES = 5


def throttled(request: HttpRequest, what: str, *, person: str = "") -> bool:
    """Whether somebody tried too often; counts this try, by address and by person.

    Parameters
    ----------
    request
        Whose address counts.
    what
        What is tried.
    person
        Key or e-mail address of whom it is tried for, where one is named.
    """
    often = _spent(f"{what}:from:{request.META.get('REMOTE_ADDR', '')}", TRIES)
    return (bool(person) and _spent(f"{what}:for:{person.lower()}", PERSON_TRIES)) or often


def _spent(name: str, tries: int) -> bool:
    """Whether every place is taken; a place is free again after the minutes.

    Taking a place is one step of the cache, so many tries at once are not counted as one.
    """
    key = hashlib.sha256(name.encode()).hexdigest()
    return not any(cache.add(f"try:{key}:{n}", 1, MINUTES * 60) for n in range(tries))
