"""What one guide says of one nitrate for one kind of stock: lookup by the printed rules."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from haywright.measure.errors import Refused, UnknownName
from haywright.sources.animals import Animals
from haywright.sources.guides import Guide, Row

CLASSES = (
    "pregnant",
    "non_pregnant",
    "young",
    "stressed",
    "lactating",
    "sheep",
    "goat",
    "horse",
    "mare_or_foal",
    "all",
)
HORSES = ("horse", "mare_or_foal")
BORROW = ("young", "stressed")


@dataclass(frozen=True, slots=True)
class Says:
    """What a guide says.

    Parameters
    ----------
    guide
        Which.
    value
        The nitrate in the guide's own unit.
    rows
        The rows that spoke; empty when it says nothing about the class.
    class_used
        Class of the row that ruled; "" when silent.
    share
        Most of the ration dry matter [0 to 1]; ``None`` for advice without a number.
    borrowed
        Whether young or stressed stock took the pregnant row.
    """

    guide: Guide
    value: float
    rows: tuple[Row, ...]
    class_used: str
    share: float | None
    borrowed: bool = False

    @property
    def silent(self) -> bool:
        """Whether the guide says nothing about these animals here."""
        return not self.rows

    @property
    def recalled(self) -> bool:
        """Whether a row that spoke was written from memory."""
        return any(row.recalled for row in self.rows)

    @property
    def row(self) -> Row:
        """The row that ruled."""
        if not self.rows:
            raise Refused("guide", self.guide.id, key="bunk.nitrate.silent_guide")
        return self.rows[0]


def checked_classes(classes: Iterable[str]) -> tuple[str, ...]:
    """Classes of an animal, completed: every ruminant is pregnant or not, unknown is pregnant."""
    given = tuple(dict.fromkeys(classes))
    for one in given:
        if one not in CLASSES:
            raise UnknownName("animals", one, CLASSES)
    for horse in reversed(HORSES):
        if horse in given:
            return (horse,)
    if "all" in given or {"pregnant", "non_pregnant"} & set(given):
        return given
    return ("pregnant", *given)


def classes_of(
    stock: Animals, *, pregnant: bool | None = None, stressed: bool = False, young: bool = False
) -> tuple[str, ...]:
    """The classes of a kind of stock, with what is known of these animals.

    A horse is only a horse; no guide here answers for a mare in foal or a foal.

    Parameters
    ----------
    stock
        Kind of stock.
    pregnant
        ``None`` leaves it to the kind, which counts unknown as bred.
    stressed, young
        Whether they are.
    """
    if not stock.ruminant:
        return ("mare_or_foal",) if {"mare_in_foal", "growing"} & set(stock.traits) else ("horse",)
    found = list(stock.classes)
    if pregnant is not None:
        found = [one for one in found if one not in ("pregnant", "non_pregnant")]
        found.insert(0, "pregnant" if pregnant else "non_pregnant")
    found += [name for name, here in (("young", young), ("stressed", stressed)) if here]
    return checked_classes(found)


def says(guide: Guide, no3n: float, classes: Iterable[str]) -> Says:
    """What a guide says of a nitrate.

    Rows of the animal's classes, then the row for all. Several: 0 wins, else the smallest share;
    advice without a number only where no row of the class has one. Young or stressed stock
    without a row of its own takes the pregnant row. Neither: the guide is silent.

    Parameters
    ----------
    guide
        The guide.
    no3n
        Nitrate [mg/kg NO3-N of DM].
    classes
        Classes of the animal.
    """
    mine = checked_classes(classes)
    value = guide.from_no3n(no3n)
    band = [row for row in guide.rows if row.holds(value)]
    found = [row for row in band if row.animal_class in mine]
    own = {row.animal_class for row in found}
    borrowed = False
    if any(one in mine and one not in own for one in BORROW) and "pregnant" not in mine:
        lent = [row for row in band if row.animal_class == "pregnant"]
        borrowed = bool(lent)
        found += lent
    if not found and not set(HORSES) & set(mine):
        found = [row for row in band if row.animal_class == "all"]
    numbered = [row for row in found if row.share is not None]
    ruling = sorted(numbered, key=lambda row: row.share or 0.0) or found
    rows = (*ruling, *(row for row in found if row not in ruling))
    if not rows:
        return Says(guide, value, (), "", None)
    return Says(guide, value, rows, rows[0].animal_class, rows[0].share, borrowed)


def edges(guide: Guide, classes: Iterable[str]) -> list[tuple[float, Says]]:
    """Levels at which what the guide says changes for these animals, with what holds from there.

    Parameters
    ----------
    guide
        The guide.
    classes
        Classes of the animal.

    Returns
    -------
    list
        (level [mg/kg NO3-N of DM], what holds from it on), rising.
    """
    mine = tuple(classes)
    out: list[tuple[float, Says]] = []
    for edge in guide.bands:
        level = guide.to_no3n(edge)
        here = _at_edge(guide, edge, mine)
        if not out or (here.share, here.silent) != (out[-1][1].share, out[-1][1].silent):
            out.append((level, here))
    return out


def _at_edge(guide: Guide, edge: float, classes: tuple[str, ...]) -> Says:
    """The row from an edge on; a little above it, so that rounding cannot fall below."""
    return says(guide, guide.to_no3n(edge * (1 + 1e-12)), classes)


def unrestricted_to(guide: Guide, classes: Iterable[str]) -> float | None:
    """Top of the guide's unrestricted band for the class [mg/kg NO3-N of DM]."""
    for level, here in edges(guide, classes):
        if here.share != 1.0:
            return level if level > 0 else None
    return None
