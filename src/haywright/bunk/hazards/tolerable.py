"""Maximum tolerable levels of minerals in the whole diet: information, never a bar.

"Tolerable" means no harm is expected below it. Alfalfa often has more potassium than that and is
fed all the same; so a level passed is told, and does not forbid.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from haywright.bunk.hazards.finding import Finding, Value, high
from haywright.measure.analytes import quantity
from haywright.measure.errors import UnknownName
from haywright.measure.message import Amount, message
from haywright.sources.tables import load_toml


def tables_for(species: str) -> tuple[str, ...]:
    """The tables of tolerable levels of a species, the one that is the default first."""
    rows = load_toml("tolerable")
    names = [name for name, row in rows.items() if row["species"] == species]
    return tuple(sorted(names, key=lambda name: not rows[name].get("default", False)))


def level_of(name: str, *, table: str) -> float | None:
    """A tolerable level [% of DM; trace ones mg/kg of DM]; ``None`` where the table sets none.

    Parameters
    ----------
    name
        Dictionary name.
    table
        Name of the table.
    """
    row = _table(table)
    found = row["levels"].get(name)
    return None if found is None else float(found)


def _table(name: str) -> Mapping[str, Any]:
    rows = load_toml("tolerable")
    if name not in rows:
        raise UnknownName("table", name, rows)
    return cast("Mapping[str, Any]", rows[name])


def judge_levels(diet: Mapping[str, Value], *, table: str) -> list[Finding]:
    """A line of information for each mineral above its tolerable level.

    Parameters
    ----------
    diet
        Dictionary name -> content of the whole diet [as the dictionary has it].
    table
        Name of the table of levels.
    """
    row = _table(table)
    found = []
    for name, value in diet.items():
        most = level_of(name, table=table)
        if most is None or high(value) <= most:
            continue
        entry = quantity(name)
        amount = Amount(high(value), entry.unit, entry.basis, analyte=name)
        found.append(
            Finding(
                hazard=f"tolerable:{name}",
                level="information",
                says=message(
                    "hazards_other.tolerable.over",
                    quantity=message("measure.quantity", id=name),
                    value=amount,
                    most=Amount(most, entry.unit, analyte=name),
                    table=row["name"],
                ),
                source=row["source"],
                mark=row["mark"],
                value=amount,
            )
        )
    return found
