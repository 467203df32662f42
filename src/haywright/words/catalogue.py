"""The catalogues of sentences: gettext files, one per place, keyed by message key.

English is whole. Another language may lack a sentence, which then stands in English. Names that
stand in tables (crops, quantities, units) have one file per language, keyed by the English name.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from haywright.measure.errors import HaywrightError
from haywright.measure.message import message

LANGUAGES = ("en", "es")
HOUSE = LANGUAGES[0]


@dataclass(frozen=True, slots=True)
class Entry:
    """One message's text, and its text for one thing when the two differ."""

    text: str
    singular: str = ""

    def for_count(self, n: object) -> str:
        """The text that suits a count of things."""
        return self.singular if self.singular and n == 1 else self.text


@lru_cache(maxsize=4)
def catalogue(language: str) -> dict[str, Entry]:
    """Every message of a language by key."""
    from babel.messages.pofile import read_po

    found: dict[str, Entry] = {}
    folder = files(__package__).joinpath(language)
    for file in sorted(folder.iterdir(), key=lambda f: f.name):
        if not file.name.endswith(".po"):
            continue
        with file.open("rb") as stream:
            for entry in read_po(stream, locale=language):
                if not entry.id:
                    continue
                key = entry.id[0] if isinstance(entry.id, (tuple, list)) else entry.id
                if key in found:
                    raise HaywrightError(message("words.key_twice", id=key))
                texts = entry.string if isinstance(entry.string, (tuple, list)) else [entry.string]
                text, singular = texts[-1] or "", texts[0] if len(texts) > 1 else ""
                found[key] = Entry(text, singular or "")
    return found


@lru_cache(maxsize=4)
def names(language: str) -> dict[str, str]:
    """Names that stand in tables, by their English."""
    from babel.messages.pofile import read_po

    file = files(__package__).joinpath("names", f"{language}.po")
    if not file.is_file():
        return {}
    with file.open("rb") as stream:
        return {str(one.id): str(one.string) for one in read_po(stream) if one.id}


def name_in(name: str, language: str) -> str:
    """A name out of a table in a language, with the capital it has; without one there, as it is."""
    if language == HOUSE or not name:
        return name
    held = names(language)
    if name in held:
        return held[name]
    other = held.get(name[0].swapcase() + name[1:], "")
    return other[:1].swapcase() + other[1:] if other else name


def text_of(key: str, language: str) -> Entry:
    """The text of a key, in English where the language lacks it.

    One missing there too is an error of ours, never shown as a bare key.
    """
    found = catalogue(language).get(key) or catalogue(HOUSE).get(key)
    if found is None:
        raise HaywrightError(message("words.key_missing", id=key))
    return found
