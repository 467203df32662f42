"""Who reads a page: language and units of the person, or of the office, or the browser's."""

from __future__ import annotations

from typing import Any

from django.utils.translation.trans_real import parse_accept_lang_header

from haywright.words import Reader
from haywright.words.catalogue import HOUSE, LANGUAGES


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
    return Reader(language=language_of(request.headers.get("Accept-Language", "")))


def language_of(asked: str) -> str:
    """The first language of ours among those a browser asks for, the most wanted first."""
    wanted = sorted(parse_accept_lang_header(asked), key=lambda one: -one[1])
    held = [tag.partition("-")[0] for tag, weight in wanted if weight > 0]
    return next((one for one in held if one in LANGUAGES), HOUSE)
