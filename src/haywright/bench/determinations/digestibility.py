"""Digestibility in the tube: what rumen fluid and detergent leave of a portion.

True digestibility is what did not stay; digestibility of the fiber leans on the fiber of the same
powder.
"""

from __future__ import annotations

from haywright.bench.batch import PositionKind
from haywright.bench.chain import Step
from haywright.bench.desk import Desk
from haywright.bench.digested import fiber_digested, true_digestibility
from haywright.bench.gravimetry import share_gained
from haywright.bench.pattern import Determination, Lead, Method, Prepared, Rising
from haywright.bench.vessels import (
    GRAVIMETRIC,
    blank_change,
    on_dry_matter,
    portion_column,
    vessel_column,
)

_VESSEL = {"before_g": "crucible_g", "after_g": "crucible_dry_g", "blank_g": "blank_gain_g"}


def _prepare(desk: Desk) -> Prepared:
    # Rumen fluid itself leaves a little; the blanks are tubes with fluid and no hay.
    rows = desk.of(PositionKind.BLANK)
    values, _ = blank_change(desk, "blank_gain_g", "crucible_g", "crucible_dry_g", rows)
    return Prepared(values=values)


def _method(name: str, *results: str) -> Method:
    digested = [
        Step(true_digestibility, gives=one)
        if one.startswith("ivtd")
        else Step(fiber_digested, gives=one)
        for one in results
    ]
    return Method(
        id=name,
        columns=(vessel_column("crucible_g"), portion_column(most=3.0),
                 vessel_column("crucible_dry_g")),
        rules=(Rising("crucible_g", "crucible_dry_g", least="blank_vessel_mg"),),
        portion=(Step(share_gained, _VESSEL, "undigested_an"),),
        leads=(Lead("undigested_an", results, scatter="undigested"),),
        bag=(*on_dry_matter("undigested"), *digested),
        make_up=GRAVIMETRIC,
        equipment=("balance", "oven"),
        prepare=_prepare,
    )  # fmt: skip


DETERMINATION = Determination(
    id="digestibility",
    methods={
        "tube_48h": _method("digestibility_tube_48h", "ivtd48", "ndfd48"),
        "tube_30h": _method("digestibility_tube_30h", "ndfd30"),
    },
    leans_on=("lab_dm", "ndf"),
    cautions=("bench.caution.detergent", "bench.caution.acetone", "bench.caution.oven"),
)
