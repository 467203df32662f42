"""Bags of an office in small: one form per bag, bags/CODE.toml."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from haywright.bag.bag import TAKEN, Bag
from haywright.bag.codes import BagCode, read_code
from haywright.bag.custody import HandOver, Journey, Stage, walked
from haywright.bag.tests import lab_test
from haywright.files.lots import bale_numbers
from haywright.files.reading import Checked, missing_folder, placed, read_toml
from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.sources.crops import event

_MOST_BALES, _MOST_CORES, _MOST_GRAMS = 2000, 100, 10_000


def read_bag(path: Path) -> Bag:
    """The bag of one form.

    Raises
    ------
    Refused, Problems
        Everything that is wrong with the form, each with its field.
    """
    form = read_toml(path)
    return bag_of(form, _code(form, path))


def bag_of(form: Checked, code: BagCode) -> Bag:
    """The bag of a form that is read already."""
    fields = {
        "lot": form.text("lot"),
        "cored_on": form.day("cored_on"),
        "taken": form.choice("taken", TAKEN, default="probe"),
        "tests": tuple(_known(form, "tests", lab_test)),
        "bales": _bales(form),
        "bale_count": form.whole("bale_count", least=1, most=_MOST_BALES, default=None),
        "cores_per_bale": form.whole("cores_per_bale", least=1, most=_MOST_CORES, default=1),
        "part": form.text("part", default=""),
        "sampler": form.text("sampler", default=""),
        "condition": tuple(_known(form, "condition", event, default=())),
        "mass_sealed_g": _grams(form, "mass_sealed_g"),
        "mass_received_g": _grams(form, "mass_received_g"),
        "journey": _journey(form),
    }
    form.done()
    try:
        return Bag(code=code, **fields)  # type: ignore[arg-type]
    except Refused as error:
        raise _placed(error, form.place) from None


def _placed(error: Refused, place: str) -> Refused:
    """The same refusal, with the form it concerns before the field."""
    said = {
        name: value
        for name, value in error.message.args.items()
        if name not in ("field", "value", "accepted")
    }
    return Refused(
        placed(place, error.field), error.value, error.accepted, key=error.message.key, **said
    )


def read_bags(folder: Path) -> Mapping[str, Bag]:
    """Every bag of a folder by its code as printed.

    Raises
    ------
    Problems
        Every form that cannot be read, and every code that stands in two files, both named.
    """
    if not folder.is_dir():
        raise missing_folder(folder)
    found: dict[str, tuple[Path, Bag]] = {}
    problems: list[HaywrightError] = []
    for path in sorted(folder.glob("*.toml")):
        try:
            bag = read_bag(path)
        except HaywrightError as error:
            problems.append(error)
            continue
        code = str(bag.code)
        if code in found:
            first = found[code][0].name
            problems.append(
                Refused("code", code, key="bag.file.twice", first=first, second=path.name)
            )
        else:
            found[code] = (path, bag)
    if problems:
        raise problems[0] if len(problems) == 1 else Problems(problems)
    return {code: bag for code, (_, bag) in found.items()}


def _code(form: Checked, path: Path) -> BagCode:
    """The code written in the form, or else the file's name; the two may not differ."""
    written = form.text("code", default=path.stem)
    try:
        code = read_code(written)
    except Refused as error:
        form.problems.append(_placed(error, form.place))
        return BagCode("XXX", 1)
    try:
        named = read_code(path.stem)
    except Refused:
        return code
    if named != code:
        form.refuse("code", str(code), key="bag.file.name", file=path.name)
    return code


def _known(
    form: Checked, field: str, find: Callable[[str], Any], *, default: Any = ...
) -> Iterator[str]:
    """Ids of a list of words that a table knows."""
    given = form.raw(field, default=default)
    if given is None:
        return
    for word in given if isinstance(given, list | tuple) else [given]:
        try:
            yield find(str(word)).id
        except Refused as error:
            form.problems.append(_placed(error, form.place))


def _bales(form: Checked) -> tuple[int, ...]:
    """Bale numbers: a list, or ranges as text: "3, 7, 12-15"."""
    given = form.raw("bales", default=())
    parts = given if isinstance(given, list | tuple) else [given]
    found: list[int] = []
    for part in parts:
        try:
            found += bale_numbers(str(part))
        except Refused as error:
            form.problems.append(_placed(error, form.place))
    return tuple(found)


def _grams(form: Checked, field: str) -> float | None:
    return form.number(field, unit="g", least=0, most=_MOST_GRAMS, default=None)


def _moment(written: object) -> datetime | None:
    try:
        return written if isinstance(written, datetime) else datetime.fromisoformat(str(written))
    except ValueError:
        return None


def _journey(form: Checked) -> Journey:
    steps = []
    for step in form.tables("journey", default=[]):
        stage = step.choice("stage", [one.value for one in Stage])
        when = _moment(step.raw("when"))
        if when is None:
            step.refuse("when", step.data.get("when"), key="bag.file.moment")
            when = datetime.min  # noqa: DTZ901 - never used: the form is refused
        who = step.text("who")
        mass = _grams(step, "mass_g")
        reason = step.text("reason", default="")
        step.finish()
        if not stage:
            continue
        try:
            steps.append(HandOver(Stage(stage), when, who, mass, reason))
        except Refused as error:
            form.problems.append(_placed(error, form.place))
    if form.problems:
        return ()
    try:
        return walked(tuple(steps))
    except Refused as error:
        form.problems.append(_placed(error, form.place))
        return ()
