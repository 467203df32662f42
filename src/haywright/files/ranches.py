"""Ranches of an office in small: one form per ranch, ranches/NAME.toml.

name = "Willow Bend"
guide = "clemson"                     # left out: the office's choice

[[group]]
name = "the bred cows"
animals = "bred cows"                 # any word of the table of stock
head = 46
fed = "mixed"                         # mixed, limited or free
weight = "1,250 lb"
intake = "25 lb"                      # dry matter, one head and day
water_nitrate = "5 mg/L NO3-N"        # left out: not tested, and never counted as nothing
drinks = "11 gal"

What a winter plan asks beside this stands in the same form: see files/winter_forms.py.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from haywright.bunk.hazards.nitrate.question import Fed
from haywright.bunk.hazards.nitrate.typed import water_nitrate
from haywright.bunk.ranch import FeedingGroup, Ranch
from haywright.files.reading import Checked, missing_folder, read_toml
from haywright.files.winter_forms import group_asked, group_fields, winter_fields
from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.sources.animals import animals
from haywright.sources.guides import guides
from haywright.way.winter_asked import GroupAsked, WinterAsked

_MOST_HEAD, _MOST_WEIGHT, _MOST_INTAKE, _MOST_WATER = 100_000, 1500, 60, 300


def read_ranch(path: Path) -> Ranch:
    """The ranch of one form.

    Raises
    ------
    Refused, Problems
        Everything that is wrong with the form, each with its field.
    """
    return ranch_of(read_toml(path), path.stem)


def read_ranch_winter(path: Path) -> tuple[Ranch, WinterAsked]:
    """The ranch of one form, and its winter as it is asked there.

    Raises
    ------
    Refused, Problems
        Everything that is wrong with the form, each with its field.
    """
    return _ranch_winter(read_toml(path), path.stem)


def ranch_of(form: Checked, stem: str) -> Ranch:
    """The ranch of a form that is read already."""
    return _ranch_winter(form, stem)[0]


def _ranch_winter(form: Checked, stem: str) -> tuple[Ranch, WinterAsked]:
    name = form.text("name")
    guide = form.choice("guide", guides(), default="")
    winter = winter_fields(form)
    asked = [_group(one) for one in form.tables("group")]
    groups = [None if one is None else one.group for one in asked]
    names = [one.name for one in groups if one is not None]
    for twice in sorted({one for one in names if names.count(one) > 1}):
        form.refuse("group", twice, key="bunk.ranch.twice")
    form.done()
    ranch = Ranch(stem, name, tuple(one for one in groups if one is not None), guide)
    return ranch, winter.of(name, (one for one in asked if one is not None), guide)


def read_ranches(folder: Path) -> Mapping[str, Ranch]:
    """Every ranch of a folder by the name of its form.

    Raises
    ------
    Problems
        Every form that cannot be read, named.
    """
    return {name: ranch for name, (ranch, _) in read_ranch_winters(folder).items()}


def read_ranch_winters(folder: Path) -> Mapping[str, tuple[Ranch, WinterAsked]]:
    """Every ranch of a folder with its winter, by the name of its form.

    Raises
    ------
    Problems
        Every form that cannot be read, named.
    """
    if not folder.is_dir():
        raise missing_folder(folder)
    found: dict[str, tuple[Ranch, WinterAsked]] = {}
    problems: list[HaywrightError] = []
    for path in sorted(folder.glob("*.toml")):
        try:
            found[path.stem] = read_ranch_winter(path)
        except HaywrightError as error:
            problems.append(error)
    if problems:
        raise problems[0] if len(problems) == 1 else Problems(problems)
    return found


def _group(form: Checked) -> GroupAsked | None:
    word = form.text("animals")
    fed = form.choice("fed", [one.value for one in Fed])
    fields = {
        "name": form.text("name", default=word),
        "head": form.whole("head", least=1, most=_MOST_HEAD),
        "fed": Fed(fed) if fed else Fed.MIXED,  # a missing one is refused with the form
        "weight": form.number("weight", unit="kg", least=1, most=_MOST_WEIGHT, default=None),
        "intake": form.number("intake", unit="kg", least=0.1, most=_MOST_INTAKE, default=None),
        "water_nitrate": _water(form),
        "drinks": form.number("drinks", unit="L", least=0.1, most=_MOST_WATER, default=None),
        "pregnant": form.yes_no("pregnant", default=None) if form.has("pregnant") else None,
        "stressed": form.yes_no("stressed", default=False),
    }
    more = group_fields(form)
    form.finish()
    try:
        group = FeedingGroup(stock=animals(word), **fields)  # type: ignore[arg-type]
        return group_asked(form, group, more)
    except Refused as error:
        if word:
            form.problems.append(_placed(error, form.place))
        return None


def _water(form: Checked) -> float | None:
    if not form.has("water_nitrate"):
        return None
    try:
        return water_nitrate(str(form.raw("water_nitrate")))
    except Refused as error:
        form.problems.append(_placed(error, form.place))
        return None


def _placed(error: Refused, place: str) -> Refused:
    """The same refusal, with the form it concerns before the field."""
    said = {k: v for k, v in error.message.args.items() if k not in ("field", "value", "accepted")}
    where = f"{place}: {error.field}"
    return Refused(where, error.value, error.accepted, key=error.message.key, **said)
