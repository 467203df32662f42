"""Files with what the bench wrote, read and looked over before anything is done with them."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

from haywright.bench.decide import Decision, Verdict
from haywright.bench.findings import Control
from haywright.files.reading import read_bytes
from haywright.measure.analytes import dictionary
from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.measure.message import Message, message
from haywright.measure.result import Result
from haywright.measure.units import dimension
from haywright.words import say

MOST_BYTES = 50_000_000
_TEXTS = ("batch", "determination")
_NEEDED = (*_TEXTS, "run_on", "results")
_PLACE = ("position", "kind", "sample")
# Letters that the columns of a batch, a result and a reading hold [count].
_BATCH = {"batch": 120, "determination": 40, "method": 60, "laboratory": 120}
_KEPT = {"analyte": 40, "unit": 20, "basis": 40, "kind": 20, "laboratory": 120, "report": 80,
         "method": 60, "equation": 100}  # fmt: skip
_WRITTEN = {"kind": 20, "sample": 80}
_NOTHING_DECIDED: dict[str, Any] = {
    "verdict": Verdict.RELEASE, "released": {}, "held": [], "beyond": [], "waiting": {},
    "reruns": [], "powder": [],
}  # fmt: skip
_UNREADABLE = (AttributeError, HaywrightError, LookupError, RecursionError, TypeError, ValueError)
_MOST_NUMBER = 10**10
_MOST_PLACES = 10**9


def read_reports(paths: Sequence[Path]) -> tuple[list[dict[str, Any]], str]:
    """The batch reports of several files, and one text that stands for exactly these.

    Parameters
    ----------
    paths
        Files as ``haywright bench run`` writes them.

    Raises
    ------
    Refused, Problems
        Every file that is not there, too large, no JSON, or not a batch report, with the field.
    """
    reports, problems, digest = [], [], hashlib.sha256()
    for path in paths:
        try:
            data = _bytes_of(path)
            reports.append(report_of(path, data))
            digest.update(hashlib.sha256(data).digest())
        except HaywrightError as error:
            problems.append(error)
    if problems:
        raise problems[0] if len(problems) == 1 else Problems(problems)
    return reports, digest.hexdigest()


def _bytes_of(path: Path) -> bytes:
    try:
        return read_bytes(path, MOST_BYTES)
    except HaywrightError as error:
        if error.message.key == "files.empty":
            raise no_report(path, "empty") from None
        raise


def no_report(path: Path, why: str, *, field: str = "RESULTS", value: object = "") -> Refused:
    """A file that is no batch report: which one, what is wrong with it, what would be taken.

    Parameters
    ----------
    path
        The file.
    why
        End of the text's key.
    field, value
        What of it cannot be read, and what stands there.
    """
    takes = message("office.receive.takes")
    return Refused(field, value, key=f"office.receive.{why}", file=str(path), takes=takes)


def report_of(path: Path, data: bytes) -> dict[str, Any]:
    """The batch report of a file that is read already.

    Parameters
    ----------
    path
        Where it came from, for what is said of it.
    data
        What it holds.
    """
    try:
        held = json.loads(data, parse_constant=float.fromhex)
    except (ValueError, RecursionError):
        raise no_report(path, "not_json") from None
    if not isinstance(held, dict):
        raise no_report(path, "no_report")
    _look_at(path, held)
    return held


def _look_at(path: Path, held: Mapping[str, Any]) -> None:
    """Refuse what an action could not write whole."""

    def wrong(field: str) -> Refused:
        value = held.get(field.partition(" ")[0])
        if not value:
            return no_report(path, "blank", field=field)
        return no_report(path, "field", field=field, value=str(value)[:60])

    missing = tuple(name for name in _NEEDED if name not in held)
    if missing:
        raise no_report(path, "lacks", field=", ".join(missing))
    for name in _TEXTS:
        if not isinstance(held.get(name), str) or not held[name].strip():
            raise wrong(name)
    for name, longest in _BATCH.items():
        if not _fits(held, name, longest):
            raise wrong(name)
    try:
        date.fromisoformat(held["run_on"])
    except (KeyError, TypeError, ValueError):
        raise wrong("run_on") from None
    results, readings = held.get("results"), held.get("readings", [])
    if not isinstance(results, dict):
        raise wrong("results")
    for code, rows in results.items():
        if not isinstance(rows, list) or not all(_is_result(row) for row in rows):
            raise wrong(f"results {code}")
    if not _is_decision(held.get("decision", {})):
        raise wrong("decision")
    if not _are_controls(held.get("controls", [])):
        raise wrong("controls")
    if not isinstance(readings, list) or not all(_is_reading(one) for one in readings):
        raise wrong("readings")


def _is_result(row: Any) -> bool:
    """Whether a row is a result of the dictionary that the register can keep whole."""
    if not isinstance(row, dict) or not all(_fits(row, name, n) for name, n in _KEPT.items()):
        return False
    try:
        one = Result.from_json(row)
        told = dictionary()[one.analyte]
        alike = dimension(one.unit) == dimension(told.unit)
    except HaywrightError:
        raise
    except (AttributeError, KeyError, OverflowError, TypeError, ValueError):
        return False
    found = one.estimate
    values = (found.value, found.u) if found.settled else ()
    return alike and all(map(_is_kept, values))


def _is_decision(held: Any) -> bool:
    """Whether what was held, what waits and what is rerun can be told in words."""
    try:
        one = Decision.from_json(_NOTHING_DECIDED | held)
        names = [row.analyte for row in one.held]
        reasons = [said for row in one.held for said in row.reasons]
        return _can_be_said([*reasons, *one.reruns, *one.powder], names)
    except _UNREADABLE:
        return False


def _are_controls(held: Any) -> bool:
    """Whether what the controls found can be told in words."""
    try:
        controls = [Control.from_json(one) for one in held]
        names = [name for one in controls for name in one.analytes]
        return _can_be_said([one.said for one in controls], names)
    except _UNREADABLE:
        return False


def _can_be_said(messages: Iterable[Message], names: Iterable[Any]) -> bool:
    """Whether there are words for these messages, and these are quantities by name."""
    return all(name in dictionary() for name in names) and all(map(say, messages))


def _is_reading(one: Any) -> bool:
    if not isinstance(one, dict) or not all(name in one for name in _PLACE):
        return False
    place = one["position"]
    if not isinstance(place, int) or not 0 <= place < _MOST_PLACES:
        return False
    if not all(_fits(one, name, n) for name, n in _WRITTEN.items()):
        return False
    try:
        at = one.get("read_at")
        whole = not at or bool(datetime.fromisoformat(at))
    except (TypeError, ValueError):
        return False
    return whole and all(map(_is_kept, one.values()))


def _fits(held: Mapping[str, Any], name: str, longest: int) -> bool:
    """Whether a field is a text that its column holds, where it is given."""
    text = held.get(name, "")
    return isinstance(text, str) and len(text) <= longest


def _is_kept(value: Any) -> bool:
    """Whether a number has a place in a column of the register; whatever is none has."""
    if not isinstance(value, int | float):
        return True
    return math.isfinite(value) and abs(value) < _MOST_NUMBER
