"""The outside cases: reading them, finding the adapter of each, and comparing what was found.

Rules, as the headers of the case files give them:

* a number passes when |found - expected| is within relative x |expected| or within absolute,
  whichever is kinder; ``exact`` asks for equality, and ``bands: exact`` for equality of the
  band edges and of the share;
* text, booleans and null are exact; lists and tables are compared member by member;
* ``flags_include`` names flags that must be among those raised.
"""

from __future__ import annotations

import importlib.util
import math
import numbers
import re
import sys
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import yaml

HERE = Path(__file__).parent
# Far below any tolerance in the files: the noise of binary fractions at the edge of one.
FLOAT_NOISE = 1e-12
FORMULA = re.compile(
    r"made up|\b(is|are) an example\b|deriv|inputs? chosen here|compiler's"
    r"|^(mass balance|weighted mean|algebra|definition of)",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Case:
    """One case: what is claimed, what goes in, what the source says comes out."""

    subject: str
    id: str
    claim: str
    inputs: dict[str, Any]
    expected: dict[str, Any]
    tolerance: dict[str, Any]
    source: str
    kind: str

    @property
    def formula_only(self) -> bool:
        """Whether the source checks a formula on numbers of nobody's, not a published number."""
        return FORMULA.search(self.source) is not None


@cache
def cases() -> dict[str, Case]:
    """Every case by id; an id stands once in all files."""
    found: dict[str, Case] = {}
    for path in sorted((HERE / "cases").glob("*.yaml")):
        for one in yaml.safe_load(path.read_text(encoding="utf-8")):
            if one["id"] in found:
                message = f"case {one['id']} stands twice"
                raise ValueError(message)
            fields = {name: one[name] for name in Case.__slots__ if name != "subject"}
            found[one["id"]] = Case(subject=path.stem, **fields)
    return found


@cache
def waiting() -> dict[str, int]:
    """Case id -> the issue that builds its part."""
    rows = tomllib.loads((HERE / "waiting.toml").read_text(encoding="utf-8"))["waiting"]
    found = {row["id"]: int(row["issue"]) for row in rows}
    if len(found) != len(rows):
        message = "a case waits twice"
        raise ValueError(message)
    return found


@cache
def adapters(subject: str) -> Mapping[str, Callable[[dict[str, Any]], dict[str, Any]]]:
    """Case id -> call, from adapters/<subject>.py and <subject>_*.py; none when none is built."""
    found: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {}
    folder = HERE / "adapters"
    for path in [folder / f"{subject}.py", *sorted(folder.glob(f"{subject}_*.py"))]:
        if not path.exists():
            continue
        spec = importlib.util.spec_from_file_location(f"outside_adapters_{path.stem}", path)
        module = importlib.util.module_from_spec(spec)
        sys.modules[spec.name] = module
        spec.loader.exec_module(module)
        twice = found.keys() & module.CASES.keys()
        if twice:
            message = f"{sorted(twice)} have two adapters"
            raise ValueError(message)
        found |= module.CASES
    return found


def differences(case: Case, found: Mapping[str, Any]) -> list[str]:
    """What differs between found and expected, one line each; none when the case holds."""
    out: list[str] = []
    for key, expected in case.expected.items():
        if key == "flags_include":
            raised = found.get("flags_include", found.get("flags", ()))
            missing = set(expected) - set(raised)
            if missing:
                out.append(f"{key}: {sorted(missing)} not raised among {sorted(raised)}")
        elif key not in found:
            out.append(f"{key}: not found; the adapter gave {sorted(found)}")
        else:
            out.extend(_differ(key, expected, found[key], _tolerance(case, key)))
    return out


def _tolerance(case: Case, key: str) -> tuple[float, float]:
    """(relative, absolute) that holds for a key of a case."""
    given = case.tolerance
    if given.get("bands") == "exact" and key.startswith(("band_", "max_share")):
        return 0.0, 0.0
    return float(given.get("relative", 0.0)), float(given.get("absolute", 0.0))


def _differ(where: str, expected: Any, found: Any, within: tuple[float, float]) -> list[str]:
    found = found.item() if hasattr(found, "item") and getattr(found, "ndim", 1) == 0 else found
    if isinstance(expected, Mapping):
        if not isinstance(found, Mapping):
            return [f"{where}: expected a table, found {found!r}"]
        return [
            line
            for key, one in expected.items()
            for line in (
                _differ(f"{where}.{key}", one, found[key], within)
                if key in found
                else [f"{where}.{key}: not found"]
            )
        ]
    if isinstance(expected, list):
        if isinstance(found, str) or not hasattr(found, "__iter__"):
            return [f"{where}: expected a list, found {found!r}"]
        members = list(found)
        if len(members) != len(expected):
            return [f"{where}: expected {len(expected)} members, found {len(members)}: {members!r}"]
        return [
            line
            for n, (one, other) in enumerate(zip(expected, members, strict=True))
            for line in _differ(f"{where}[{n}]", one, other, within)
        ]
    if _agree(expected, found, within):
        return []
    return [f"{where}: expected {expected!r}, found {found!r}, within {within}"]


def _agree(expected: Any, found: Any, within: tuple[float, float]) -> bool:
    if expected is None or isinstance(expected, bool | str):
        return type(found) is type(expected) and found == expected
    if isinstance(found, bool) or not isinstance(found, numbers.Real | Decimal):
        return False
    off = abs(float(found) - float(expected))
    relative, absolute = within
    allowed = max(relative * abs(expected), absolute) + FLOAT_NOISE * max(1.0, abs(expected))
    return math.isfinite(off) and off <= allowed
