"""Nitrate guides as data: what each publication prints, row by row, never merged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from haywright.measure.errors import UnknownName
from haywright.measure.nitrate import NitrateForm, convert_form, parse_nitrate_unit
from haywright.measure.units import convert
from haywright.sources.tables import load_toml

READ = "read"
# An edge is in the higher row; a value restated from another unit may fall short of it by dust.
_DUST = 1e-12


@dataclass(frozen=True, slots=True)
class Row:
    """One printed row; ``low`` and ``high`` in the guide's own unit, ``high`` None without end.

    ``share`` is the most of the ration dry matter [0 to 1]: 0 do not feed, 1 no limit stated,
    ``None`` advice without a number.
    """

    low: float
    high: float | None
    animal_class: str
    share: float | None
    seen: str
    note: str

    @property
    def recalled(self) -> bool:
        """Whether the row was written from memory."""
        return self.seen != READ

    def holds(self, value: float) -> bool:
        """Whether a value in the guide's unit lies in the row; an edge is in the higher one."""
        above = value * (1.0 + _DUST)
        return self.low <= above and (self.high is None or above < self.high)


@dataclass(frozen=True, slots=True)
class Guide:
    """One publication's guide.

    Parameters
    ----------
    id, name, institution, title, year, species
        What it is, in short and in full, and for whom it was written.
    printed_unit
        "ppm NO3-N", "% NO3" ... on dry matter.
    rows
        As printed, in that unit.
    kind
        published, mixed (some rows recalled) or from memory.
    target
        Level it says to dilute the ration to [printed unit of the target], with that unit.
    source
        Bibliography key.
    """

    id: str
    name: str
    institution: str
    title: str
    printed_unit: str
    species: str
    kind: str
    source: str
    rows: tuple[Row, ...]
    year: int | None = None
    target: tuple[float, str] | None = None

    @property
    def fully_read(self) -> bool:
        """Whether every row was read in the publication."""
        return all(not row.recalled for row in self.rows)

    @property
    def bands(self) -> tuple[float, ...]:
        """Lower edges of the bands, in the printed unit."""
        return tuple(sorted({row.low for row in self.rows}))

    def from_no3n(self, no3n: float) -> float:
        """A nitrate in the guide's own unit, from mg/kg NO3-N of dry matter."""
        return from_no3n(no3n, self.printed_unit)

    def to_no3n(self, value: float) -> float:
        """mg/kg NO3-N of dry matter from a value in the guide's own unit."""
        return to_no3n(value, self.printed_unit)

    @property
    def target_no3n(self) -> float | None:
        """Level it says to dilute to [mg/kg NO3-N of DM]."""
        return None if self.target is None else to_no3n(*self.target)


def to_no3n(value: float, printed_unit: str) -> float:
    """mg/kg NO3-N from a value in a unit as guides print them ("% NO3")."""
    unit, form = parse_nitrate_unit(printed_unit)
    return convert(convert_form(value, form, NitrateForm.NO3_N), unit, "mg/kg")


def from_no3n(no3n: float, printed_unit: str) -> float:
    """A value in a unit as guides print them from mg/kg NO3-N."""
    unit, form = parse_nitrate_unit(printed_unit)
    return convert(convert_form(no3n, NitrateForm.NO3_N, form), "mg/kg", unit)


def printed_over_exact(printed: float, no3n: float, *, form: NitrateForm) -> float:
    """How far a table that prints one band in two forms disagrees with itself; 1 is agreement.

    Parameters
    ----------
    printed
        The edge as printed in ``form`` [ppm].
    no3n
        The same edge as printed in nitrate-nitrogen [ppm NO3-N], taken as the master.
    form
        Form of ``printed``.
    """
    return printed / convert_form(no3n, NitrateForm.NO3_N, form)


@lru_cache(maxsize=1)
def guides() -> Mapping[str, Guide]:
    """Every guide by id, in the order of the table."""
    return {name: _guide(name, entry) for name, entry in load_toml("nitrate_guides").items()}


def _guide(name: str, entry: dict[str, object]) -> Guide:
    target = entry.get("target")
    rows = tuple(
        Row(
            float(row["from"]),
            float(row["to"]) if "to" in row else None,
            row["class"],
            float(row["share"]) if "share" in row else None,
            row["seen"],
            row["note"],
        )
        for row in entry["rows"]  # type: ignore[attr-defined]
    )
    return Guide(
        id=name,
        name=str(entry["name"]),
        institution=str(entry["institution"]),
        title=str(entry["title"]),
        printed_unit=str(entry["unit"]),
        species=str(entry["species"]),
        kind=str(entry["kind"]),
        source=str(entry["source"]),
        year=entry.get("year"),  # type: ignore[arg-type]
        rows=rows,
        target=(float(target["value"]), target["unit"]) if isinstance(target, dict) else None,
    )


def guide(name: str) -> Guide:
    """The guide of an id; an unknown one is refused with the near ones."""
    try:
        return guides()[name]
    except KeyError:
        raise UnknownName("guide", name, guides()) from None


def default_guide(species: str) -> Guide:
    """The guide used when nobody chose: fully read, with rows by class of stock."""
    table = load_toml("nitrate_rules")["default"]
    return guide(str(table.get(species, table["cattle"])))
