"""The one bibliography: a key for every source, and how well we know it.

Every equation, table row, guide and outside check names a key in it. One TOML file per subject
in ``bibliography/``; keys are unique across them.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from importlib.resources import files

from haywright.measure.errors import HaywrightError, UnknownName
from haywright.measure.message import message


class Status(StrEnum):
    """How a source is known here."""

    READ = "read"
    RECALLED = "recalled"
    PRACTICE = "common practice"
    DEFINITION = "definition"
    DERIVED = "derived"


@dataclass(frozen=True, slots=True)
class Reference:
    """One entry of the bibliography.

    Parameters
    ----------
    key
        What equations and tables write.
    by, title, where, year
        Who, what, in which publication or at which address, when; empty when not known.
    status
        Read in the source, recalled, common practice, a definition, derived here.
    note
        What to mind.
    """

    key: str
    title: str
    status: Status
    by: str = ""
    where: str = ""
    year: int | None = None
    note: str = ""

    @property
    def line(self) -> str:
        """Author, title, place and year in one line, as far as they are known."""
        year = str(self.year) if self.year else ""
        return ", ".join(part for part in (self.by, self.title, self.where, year) if part)


@lru_cache(maxsize=1)
def bibliography() -> dict[str, Reference]:
    """Every source by key."""
    found: dict[str, Reference] = {}
    folder = files(__package__).joinpath("bibliography")
    for file in sorted(folder.iterdir(), key=lambda f: f.name):
        if not file.name.endswith(".toml"):
            continue
        for key, entry in tomllib.loads(file.read_text("utf-8")).items():
            if key in found:
                raise HaywrightError(message("sources.key_twice", source_key=key))
            found[key] = Reference(key=key, **{**entry, "status": Status(entry["status"])})
    return found


def cite(key: str) -> Reference:
    """The source of a key; an unknown key is refused with the near ones."""
    try:
        return bibliography()[key]
    except KeyError:
        raise UnknownName("source", key, bibliography()) from None
