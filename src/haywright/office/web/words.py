"""Who reads a page: language and units of the person, or of the office, or the browser's."""

from __future__ import annotations

from typing import Any

from haywright.words import Reader

LANGUAGES = ("en", "es")


def reader_of(request: Any) -> Reader:
    """The reader of a request; kept on it, so that it is worked out once."""
    if request is None:
        return Reader()
    held = getattr(request, "reader", None)
    if held is None:
        held = request.reader = _reader(request)
    return held


def _reader(request: Any) -> Reader:
    actor = getattr(request, "actor", None)
    person = getattr(actor, "person", None)
    if person is not None:
        return Reader(language=person.language, units=person.units)
    asked = request.headers.get("Accept-Language", "")[:2].lower()
    return Reader(language=asked if asked in LANGUAGES else LANGUAGES[0])
