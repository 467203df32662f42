"""Published tables as plain files, read once when first asked for."""

from __future__ import annotations

import csv
import tomllib
from functools import lru_cache
from importlib.resources import files
from typing import Any

_FOLDER = "tables"


@lru_cache(maxsize=64)
def load_toml(name: str) -> dict[str, Any]:
    """A table file "NAME.toml" from ``sources/tables`` as read. Do not change what it gives."""
    text = files("haywright.sources").joinpath(_FOLDER, f"{name}.toml").read_text("utf-8")
    return tomllib.loads(text)


@lru_cache(maxsize=64)
def load_csv(name: str) -> tuple[dict[str, str], ...]:
    """A table file "NAME.csv" from ``sources/tables`` as rows of text by column name."""
    text = files("haywright.sources").joinpath(_FOLDER, f"{name}.csv").read_text("utf-8")
    return tuple(csv.DictReader(text.splitlines()))
