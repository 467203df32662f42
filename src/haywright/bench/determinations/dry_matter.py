"""Dry matter: in two stages for anything wet, in one for air-dry hay; the powder's own too."""

from __future__ import annotations

from haywright.bench import dry_matter as eq
from haywright.bench.batch import PositionKind
from haywright.bench.chain import Step
from haywright.bench.pattern import SAMPLES, Choice, Column, Determination, Lead, Method, Rising
from haywright.sources.tables import load_toml

_BAG, _DUPLICATE, _CHECK = PositionKind.BAG, PositionKind.DUPLICATE, PositionKind.CHECK
_DISH = tuple(
    Column(name, SAMPLES, most=1000.0, instrument="balance")
    for name in ("dish_g", "dish_powder_g", "dish_dry_g")
)
_WARM = tuple(
    Column(name, (_BAG,), may=(_DUPLICATE,), most=10_000.0, instrument="balance")
    for name in ("bag_g", "bag_wet_g", "bag_dry_g")
)
_JOURNEY = tuple(
    Column(name, (), may=(_BAG,), most=10_000.0, instrument="balance", of_bag=True)
    for name in ("net_sealed_g", "net_received_g")
)
_DISH_RULES = (
    Rising("dish_g", "dish_powder_g"),
    Rising("dish_g", "dish_dry_g", least="blank_vessel_mg"),
    Rising("dish_dry_g", "dish_powder_g", says="bench.reading.not_dried"),
)
_WARM_RULES = (
    Rising("bag_g", "bag_wet_g"),
    Rising("bag_g", "bag_dry_g", least="blank_vessel_mg"),
    Rising("bag_dry_g", "bag_wet_g", says="bench.reading.not_dried"),
)
_MAKE_UP = {_CHECK: 1, _DUPLICATE: 1}


def _drying(stage: str) -> Choice:
    rows = load_toml("drying")
    return Choice(f"drying_{stage}", tuple(n for n, row in rows.items() if row["stage"] == stage))


_TOTALS = ("dm", "dm_cored")
TWO_STAGE = Method(
    id="dry_matter_two_stage",
    columns=(*_WARM, *_DISH, *_JOURNEY),
    rules=(*_WARM_RULES, *_DISH_RULES),
    portion=(Step(eq.partial_dm), Step(eq.lab_dm)),
    leads=(
        Lead("lab_dm", ("lab_dm", *_TOTALS)),
        Lead("partial_dm", ("partial_dm", *_TOTALS)),
    ),
    bag=(Step(eq.total_dm), Step(eq.dm_cored)),
    make_up=_MAKE_UP,
    equipment=("balance", "oven"),
    choices=(_drying("partial"), _drying("lab")),
)
ONE_STAGE = Method(
    id="dry_matter_one_stage",
    columns=(*_DISH, *_JOURNEY),
    rules=_DISH_RULES,
    portion=(Step(eq.lab_dm),),
    leads=(Lead("lab_dm", ("lab_dm", *_TOTALS)),),
    bag=(Step(eq.total_dm_one_stage), Step(eq.dm_cored)),
    make_up=_MAKE_UP,
    equipment=("balance", "oven"),
    choices=(_drying("lab"),),
)
DETERMINATION = Determination(
    id="dry_matter",
    methods={"two_stage": TWO_STAGE, "one_stage": ONE_STAGE},
    leans_on=(),
    cautions=("bench.caution.oven", "bench.caution.grinding", "bench.caution.microwave"),
)
