"""Lignin: what 72 % sulfuric acid leaves of the ADF residue, less its ash.

The portion is the original sample, not the residue. It leans on the ADF of the same crucible: an
ADF that is held holds its lignin.
"""

from __future__ import annotations

from haywright.bench.batch import PositionKind
from haywright.bench.chain import Step
from haywright.bench.gravimetry import share_lost
from haywright.bench.pattern import Determination, Lead, Method, Rising
from haywright.bench.vessels import on_dry_matter, portion_column, vessel_column

_VESSEL = {"before_g": "crucible_acid_g", "after_g": "crucible_ash_g"}
SULFURIC = Method(
    id="lignin_sulfuric",
    columns=(portion_column(most=3.0), vessel_column("crucible_acid_g"),
             vessel_column("crucible_ash_g")),
    rules=(Rising("crucible_ash_g", "crucible_acid_g", says="bench.reading.not_burnt"),),
    portion=(Step(share_lost, _VESSEL, "lignin_an"),),
    leads=(Lead("lignin_an", ("lignin",)),),
    bag=on_dry_matter("lignin"),
    make_up={PositionKind.CHECK: 1, PositionKind.DUPLICATE: 1},
    equipment=("balance", "oven", "furnace"),
    uses_powder=False,
)  # fmt: skip
DETERMINATION = Determination(
    id="lignin",
    methods={"sulfuric": SULFURIC},
    leans_on=("lab_dm", "adf"),
    cautions=("bench.caution.sulfuric", "bench.caution.acetone", "bench.caution.furnace"),
)
