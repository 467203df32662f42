"""A lot as a form: ``lots/NAME.toml`` into a Lot, every amount with its unit.

::

    name = "Lower bench oats"
    form = "cured_hay"                # cured_hay, standing_crop, cornstalks, baleage
    crop = "oats"                     # or ["alfalfa", "bromegrass"], the chief one first
    events = ["hail"]
    baled_on = 2026-08-09
    storage = "outside on the ground"
    weathered_outside = "3 in"        # how thick; leave out when nobody looked

    [bales]
    count = 80
    package = "5x5"                   # or diameter = "5 ft" and width = "4 ft"
    weight = "1,150 lb"               # of one bale; or total = "46 short tons"

    [[faces]]                         # as seen standing before it, numbered from the ground up
    name = "South side"
    tiers = 3
    columns = 14
    reach = 2                         # tiers you can reach from the ground

    [[field_parts]]
    name = "low end"
    bales = "1-30, 45"

    [weeds]
    kochia = "15 %"                   # or "unknown"
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from haywright.files.reading import Checked, placed, read_toml
from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.message import Message
from haywright.sources.crops import crop, event, weed
from haywright.stack.lot import FORMS, USES, Face, FieldPart, Lot, Packages, storage
from haywright.stack.packages import KINDS, Kind, Package, bale_size

T = TypeVar("T")
MOST_BALES = 100_000
_SPAN = re.compile(r"^(\d+)\s*(?:-|–|to)\s*(\d+)$")


def read_lot(path: Path) -> Lot:
    """The lot of a form.

    Raises
    ------
    HaywrightError
        Everything wrong with the form, each with its place.
    """
    return lot_of(read_toml(path), path.stem)


def lot_of(form: Checked, stem: str) -> Lot:
    """The lot of a form that is read already; ``stem`` is its id where the form names none."""
    lot = _fields(form, stem)
    form.done()
    if lot is None:
        raise Refused("file", form.place, key="files.lot_unread")
    return lot


def bale_numbers(text: str, field: str = "bales") -> tuple[int, ...]:
    """Numbers written "1-30, 45, 50 to 52"."""
    found: list[int] = []
    for part in (one.strip() for one in text.replace(";", ",").split(",")):
        span = _SPAN.match(part)
        if span is None and not part.isdigit():
            raise Refused(field, text, key="files.bale_numbers")
        first, last = (int(n) for n in span.groups()) if span else (int(part), int(part))
        if not 1 <= first <= last <= MOST_BALES:
            raise Refused(field, part, key="files.bale_numbers")
        found += range(first, last + 1)
    return tuple(dict.fromkeys(found))


def _fields(form: Checked, stem: str) -> Lot | None:
    crops = form.raw("crop")
    crops = tuple(crops) if isinstance(crops, list) else (crops,) if crops is not None else ()
    said = {
        "id": form.text("id", default=stem),
        "name": form.text("name", default=""),
        "form": form.choice("form", FORMS, default="cured_hay"),
        "crops": tuple(word for word in crops if _known(form, "crop", crop, word)),
        "ranch": form.text("ranch", default=""),
        "field": form.text("field", default=""),
        "variety": form.text("variety", default=""),
        "cutting": form.whole("cutting", least=1, most=20, default=None),
        "maturity": form.text("maturity", default=""),
        "cut_on": form.day("cut_on", default=None),
        "baled_on": form.day("baled_on", default=None),
        "baling_hours": form.number("baling_hours", unit="h", least=0, default=None),
        "moisture": form.number("moisture", unit="%", least=0, most=100, default=None),
        "events": tuple(w for w in _listed(form, "events") if _known(form, "events", event, w)),
        "weeds": _weeds(form),
        "storage": _storage(form),
        "rind": form.number("weathered_outside", unit="m", least=0, default=None),
        "purpose": form.choice("purpose", USES, default="feed"),
        "seed": form.text("seed", default=""),
        "preservative": form.text("preservative", default=""),
        "nitrogen": form.text("nitrogen", default=""),
        "packages": _packages(form) if form.has("bales") else None,
        "faces": tuple(face for one in form.tables("faces", default=[]) if (face := _face(one))),
        "field_parts": tuple(_part(one) for one in form.tables("field_parts", default=[])),
        "unreached": _numbers(form, "unreached"),
    }
    if form.problems:
        return None
    return _built(form, lambda: Lot(**said))  # type: ignore[arg-type]


def _built(form: Checked, make: Callable[[], T]) -> T | None:
    """What ``make`` builds, or its refusal noted with the place of the form."""
    try:
        return make()
    except HaywrightError as error:
        for one in error.messages():
            form.problems.append(_placed(one, form.place))
        return None


def _placed(said: Message, place: str) -> HaywrightError:
    field = said.args.get("field", "")
    return HaywrightError(Message(said.key, {**said.args, "field": placed(place, str(field))}))


def _known(form: Checked, field: str, find: Callable[[str], object], word: object) -> bool:
    if not isinstance(word, str):
        form.refuse(field, word, key="files.text", longest=100)
        return False
    return _built(form, lambda: find(word)) is not None


def _listed(form: Checked, field: str) -> list[object]:
    value = form.raw(field, default=[])
    return value if isinstance(value, list) else [value]


def _storage(form: Checked) -> str:
    word = form.text("storage", default="")
    return word if word and _known(form, "storage", storage, word) else ""


def _weeds(form: Checked) -> dict[str, float | None]:
    if not form.has("weeds"):
        return {}
    inside = form.table("weeds")
    found: dict[str, float | None] = {}
    for word in inside.data:
        if not _known(form, "weeds", weed, word):
            inside.raw(word)
        elif inside.data[word] == "unknown":
            inside.raw(word)
            found[word] = None
        else:
            found[word] = inside.number(word, unit="%", least=0, most=100)
    inside.finish()
    return found


def _packages(form: Checked) -> Packages | None:
    inside = form.table("bales")
    count = inside.whole("count", least=1, most=MOST_BALES)
    weight = inside.number("weight", unit="kg", least=1, default=None)
    total = inside.number("total", unit="kg", least=1, default=None)
    if inside.has("weight") and inside.has("total"):
        inside.refuse("total", inside.data["total"], key="files.weight_twice")
    weighed = inside.text("weighed", default="")
    package = _package(inside)
    inside.finish()
    if form.problems:
        return None
    each = total / count if inside.has("total") else weight
    return _built(inside, lambda: Packages(count, package, each, weighed))


def _package(inside: Checked) -> Package | None:
    word = inside.text("package", default="")
    kind = inside.choice("kind", KINDS, default="")
    if word:
        size = _built(inside, lambda: bale_size(word))
        return None if size is None else size.package
    if not (kind or inside.has("diameter")):
        return None
    asked: Kind = kind or "round"  # type: ignore[assignment]
    names = ("diameter", "width") if asked == "round" else ("height", "width", "length")
    sides = {name: inside.number(name, unit="m", least=0.1, most=10) for name in names}
    if None in sides.values():
        return None
    return _built(inside, lambda: Package(asked, **sides))


def _face(one: Checked) -> Face | None:
    name = one.text("name")
    columns = one.raw("columns")
    reach = one.whole("reach", default=None)
    if isinstance(columns, list):
        tiers = tuple(n for n in columns if isinstance(n, int) and not isinstance(n, bool))
        one.raw("tiers", default=None)
    else:
        high = one.whole("tiers", least=1, most=50)
        tiers = (one.whole("columns", least=1, most=10_000),) * (high or 0)
        if not tiers or None in tiers:
            one.finish()
            return None
    one.finish()
    return _built(one, lambda: Face(name, tiers, reach))


def _part(one: Checked) -> FieldPart:
    name = one.text("name")
    bales = _numbers(one, "bales")
    one.finish()
    return FieldPart(name, bales)


def _numbers(form: Checked, field: str) -> tuple[int, ...]:
    value = form.raw(field, default=None)
    if value is None:
        return ()
    if isinstance(value, list) and all(isinstance(n, int) and n > 0 for n in value):
        return tuple(value)
    text = str(value)
    found = _built(form, lambda: bale_numbers(text, field))
    return () if found is None else found
