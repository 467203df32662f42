"""Crude fat: what ether takes out of the powder, weighed in a cup."""

from __future__ import annotations

from haywright.bench.batch import PositionKind
from haywright.bench.chain import Step
from haywright.bench.desk import Desk
from haywright.bench.gravimetry import share_gained
from haywright.bench.pattern import Determination, Lead, Method, Prepared, Rising
from haywright.bench.vessels import (
    GRAVIMETRIC,
    blank_change,
    on_dry_matter,
    portion_column,
    vessel_column,
)

_VESSEL = {"before_g": "cup_g", "after_g": "cup_fat_g", "blank_g": "blank_gain_g"}


def _prepare(desk: Desk) -> Prepared:
    rows = desk.of(PositionKind.BLANK)
    values, controls = blank_change(desk, "blank_gain_g", "cup_g", "cup_fat_g", rows)
    return Prepared(values=values, controls=tuple(controls))


ETHER = Method(
    id="fat_ether",
    columns=(vessel_column("cup_g"), portion_column(), vessel_column("cup_fat_g")),
    rules=(Rising("cup_g", "cup_fat_g", least="blank_vessel_mg"),),
    portion=(Step(share_gained, _VESSEL, "fat_an"),),
    leads=(Lead("fat_an", ("fat",)),),
    bag=on_dry_matter("fat"),
    make_up=GRAVIMETRIC,
    equipment=("balance", "oven", "reagent"),
    prepare=_prepare,
)
DETERMINATION = Determination(
    id="fat",
    methods={"ether": ETHER},
    cautions=("bench.caution.ether", "bench.caution.oven"),
)
