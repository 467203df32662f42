"""Tables of things with names: a person may write the id, the name or another name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import Any, Generic, Protocol, TypeVar

from haywright.measure.errors import UnknownName
from haywright.sources.tables import load_toml


class Named(Protocol):
    """What a row must have to be found by a word."""

    @property
    def id(self) -> str:
        """The table's name in the file."""
        ...

    @property
    def name(self) -> str:
        """What a person sees."""
        ...

    @property
    def also(self) -> tuple[str, ...]:
        """Other words people write."""
        ...


Row = TypeVar("Row", bound=Named)


def plain(word: str) -> str:
    """A word as it is compared: small letters, no dashes, one space between parts."""
    return " ".join(word.lower().replace("-", " ").replace("_", " ").replace("'", "").split())


class NamedTable(Generic[Row]):
    """A table file whose rows are found by id, name or another name.

    Parameters
    ----------
    file
        Name in ``sources/tables``, without its ending.
    make
        Builds a row from ``id`` and the row's fields; lists come as tuples.
    field
        What the word is called when it is refused.
    """

    def __init__(self, file: str, make: Callable[..., Row], *, field: str) -> None:
        self.file, self.make, self.field = file, make, field

    @cached_property
    def rows(self) -> Mapping[str, Row]:
        """Every row by id."""
        return {key: self._row(key, fields) for key, fields in load_toml(self.file).items()}

    def _row(self, key: str, fields: Mapping[str, Any]) -> Row:
        known = {k: tuple(v) if isinstance(v, list) else v for k, v in fields.items()}
        return self.make(id=key, **known)

    @cached_property
    def _words(self) -> dict[str, Row]:
        return {plain(w): row for row in self.rows.values() for w in _written(row)}

    def find(self, word: str) -> Row:
        """The row of a word; an unknown word is refused with the near ones."""
        found = self._words.get(plain(word))
        if found is None:
            raise UnknownName(self.field, word, {w.lower() for w in self._words})
        return found


def _written(row: Named) -> tuple[str, ...]:
    return (*row.also, row.name, row.id)
