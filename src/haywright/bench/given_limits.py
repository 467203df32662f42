"""Limits of quality control: the laboratory's own before the table's, each with its source."""

from __future__ import annotations

from typing import NamedTuple

from haywright.bench.batch import Batch
from haywright.sources.tables import load_toml


class Limit(NamedTuple):
    """A limit, in the unit its name says, and where it comes from."""

    value: float
    source: str = ""
    mark: str = ""


def limit_of(batch: Batch, name: str) -> Limit | None:
    """The limit of a name: the batch's own, else the table's, else none."""
    if name in batch.limits:
        return Limit(batch.limits[name])
    row = load_toml("bench_limits").get(name)
    return None if row is None else Limit(float(row["value"]), row["source"], row["mark"])


def usual_limit(batch: Batch, name: str) -> Limit:
    """A limit that the table is known to hold."""
    found = limit_of(batch, name)
    if found is None:
        raise KeyError(name)
    return found
