"""Ash: what a furnace leaves; time and temperature are part of the number."""

from __future__ import annotations

from haywright.bench.batch import PositionKind
from haywright.bench.chain import Step
from haywright.bench.gravimetry import share_gained
from haywright.bench.pattern import Determination, Lead, Method, Rising
from haywright.bench.vessels import on_dry_matter, portion_column, vessel_column

_VESSEL = {"before_g": "crucible_g", "after_g": "crucible_ash_g"}
FURNACE = Method(
    id="ash_furnace",
    columns=(vessel_column("crucible_g"), portion_column(), vessel_column("crucible_ash_g")),
    rules=(Rising("crucible_g", "crucible_ash_g", least="blank_vessel_mg"),),
    portion=(Step(share_gained, _VESSEL, "ash_an"),),
    leads=(Lead("ash_an", ("ash",)),),
    bag=on_dry_matter("ash"),
    make_up={PositionKind.CHECK: 1, PositionKind.DUPLICATE: 1},
    equipment=("balance", "furnace"),
)
DETERMINATION = Determination(
    id="ash",
    methods={"furnace": FURNACE},
    cautions=("bench.caution.furnace", "bench.caution.oven"),
)
