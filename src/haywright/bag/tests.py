"""What can be ordered for a bag, and which quantities each test gives.

The table stands in ``sources/tables/tests.toml``. A test may be written by its id, its name or
the dictionary name of what it gives.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from haywright.sources.named import NamedTable

Material = Literal["powder", "fresh", "whole", "look"]


@dataclass(frozen=True, slots=True)
class LabTest:
    """One test that can be ordered.

    ``grams`` [g of ``needs``] is what one determination takes; tests with the same ``shares``
    are run on one preparation.
    """

    id: str
    name: str
    gives: tuple[str, ...]
    needs: Material
    grams: float
    source: str
    mark: Literal["read", "practice"]
    also: tuple[str, ...] = ()
    shares: str = ""


_TESTS = NamedTable("tests", LabTest, field="test")


def all_tests() -> Mapping[str, LabTest]:
    """Every test by id."""
    return _TESTS.rows


def lab_test(word: str) -> LabTest:
    """The test of an id, a name or another name; an unknown one is refused with near names."""
    return _TESTS.find(word)


def given_by(ordered: Iterable[str]) -> frozenset[str]:
    """The quantities that the tests of these ids give."""
    return frozenset(name for one in ordered for name in lab_test(one).gives)


def left_out(wanted: Iterable[str], ordered: Iterable[str]) -> tuple[str, ...]:
    """Those wanted tests whose quantities the ordered ones do not all give."""
    given = given_by(ordered)
    return tuple(one for one in wanted if not given.issuperset(lab_test(one).gives))
