"""The table of feed composition: one row per named feed and source; rows are never averaged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from haywright.measure.errors import UnknownName
from haywright.sources.tables import load_csv

_COLUMNS = {
    "dm_pct": "dm",
    "tdn_pct_dm": "tdn",
    "nem_mcal_kg_dm": "nem",
    "neg_mcal_kg_dm": "neg",
    "nel1989_mcal_kg_dm": "nel",
    "cp_pct_dm": "cp",
    "ndf_pct_dm": "ndf",
    "adf_pct_dm": "adf",
    "lignin_pct_dm": "lignin",
    "ndicp_pct_dm": "ndicp",
    "adicp_pct_dm": "adicp",
    "ee_pct_dm": "fat",
    "ash_pct_dm": "ash",
    "ca_pct_dm": "ca",
    "p_pct_dm": "p",
    "mg_pct_dm": "mg",
    "k_pct_dm": "k",
    "na_pct_dm": "na",
    "cl_pct_dm": "cl",
    "s_pct_dm": "s",
    "rfv_calc": "rfv",
    "rup_pct_cp": "rup",
}


@dataclass(frozen=True, slots=True)
class Feed:
    """One row of the table.

    Parameters
    ----------
    id, name
        Of the feed as its source names it.
    group
        hay, silage, straw_residue, energy, protein, byproduct, npn or mineral.
    forage_class
        legume, grass_cool and so on; "" for feeds that are no forage.
    values
        Dictionary name -> mean [% of dry matter; Mcal/kg of dry matter; RUP % of CP].
    sds
        Dictionary name -> standard deviation between lots, where printed or derivable.
    samples
        How many lots the row stands on, when known.
    source
        Bibliography key.
    kind
        published, from memory, computed or common practice.
    note
        What to mind.
    """

    id: str
    name: str
    group: str
    forage_class: str
    source: str
    kind: str
    values: Mapping[str, float] = field(default_factory=dict)
    sds: Mapping[str, float] = field(default_factory=dict)
    samples: int | None = None
    note: str = ""

    @property
    def recalled(self) -> bool:
        """Whether the row is recalled and must be shown with its mark."""
        return self.kind == "from memory"


@lru_cache(maxsize=1)
def feeds() -> Mapping[str, Feed]:
    """Every row by id. Nitrate stands in none of them: unknown, never zero."""
    return {row["feed_id"]: _feed(row) for row in load_csv("feed_composition")}


def feed(feed_id: str) -> Feed:
    """The row of an id; an unknown one is refused with the near ones."""
    try:
        return feeds()[feed_id]
    except KeyError:
        raise UnknownName("feed", feed_id, feeds()) from None


def _feed(row: Mapping[str, str]) -> Feed:
    return Feed(
        id=row["feed_id"],
        name=row["feed_name"],
        group=row["group"],
        forage_class=row["forage_class"],
        source=row["source"],
        kind=row["kind"],
        values={name: float(row[column]) for column, name in _COLUMNS.items() if row[column]},
        sds={
            column.removesuffix("_sd"): float(row[column])
            for column in row
            if column.endswith("_sd") and row[column]
        },
        samples=int(row["n_samples"]) if row["n_samples"] else None,
        note=row["note"],
    )
