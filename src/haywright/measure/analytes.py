"""The dictionary of quantities: one name, unit, basis and rounding for the whole project.

Every equation names its inputs with these names; every table and page takes unit and rounding
from here. One TOML file per place in ``dictionary/``.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from haywright.measure.errors import HaywrightError, UnknownName
from haywright.measure.message import message


@dataclass(frozen=True, slots=True)
class Quantity:
    """One entry of the dictionary.

    Parameters
    ----------
    id
        Short name, used in files, equations and the API.
    name
        The label a person sees.
    unit
        Canonical unit; "" for a count, an index or a ratio.
    basis
        "dry matter", "as received", "crude protein", "NDF" ... or "".
    digits
        Decimals when printed; ``None`` when rounded to significant figures.
    significant
        Significant figures when printed; ``None`` when rounded to decimals.
    group
        Where it stands on a sheet.
    """

    id: str
    name: str
    unit: str
    basis: str = ""
    digits: int | None = None
    significant: int | None = None
    group: str = ""


@lru_cache(maxsize=1)
def dictionary() -> dict[str, Quantity]:
    """Every quantity by its name."""
    found: dict[str, Quantity] = {}
    folder = files(__package__).joinpath("dictionary")
    for file in sorted(folder.iterdir(), key=lambda f: f.name):
        if not file.name.endswith(".toml"):
            continue
        for name, entry in tomllib.loads(file.read_text("utf-8")).items():
            if name in found:
                raise HaywrightError(message("measure.twice_in_dictionary", id=name))
            found[name] = Quantity(id=name, **entry)
    return found


def quantity(name: str) -> Quantity:
    """The dictionary entry of a name; an unknown one is refused with the near ones."""
    try:
        return dictionary()[name]
    except KeyError:
        raise UnknownName("quantity", name, dictionary()) from None
