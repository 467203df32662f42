"""Nitrogen and crude protein, by combustion or by Kjeldahl.

Combustion counts all nitrate nitrogen, Kjeldahl misses most of it; the sheet says so where it
matters.
"""

from __future__ import annotations

from collections.abc import Callable

from haywright.bench import combustion
from haywright.bench import nitrogen as eq
from haywright.bench.batch import PositionKind
from haywright.bench.chain import Step
from haywright.bench.desk import Desk
from haywright.bench.pattern import SAMPLES, Choice, Column, Determination, Lead, Method, Prepared
from haywright.bench.vessels import GRAVIMETRIC, portion_column
from haywright.measure.basis import to_dry_matter
from haywright.measure.register import declared

_K = PositionKind
_FACTOR = declared(eq.crude_protein).term("protein_factor").default or 1.0
_LEAD = Lead("n_an", ("n", "cp"), scatter="cp")
_BAG = (Step(to_dry_matter, {"x": "n_an", "dm": "lab_dm"}, "n"), Step(eq.crude_protein))
_PROTEIN = Choice("protein_factor", usual=_FACTOR)


def with_factor(desk: Desk, prepared: Prepared) -> Prepared:
    """What was prepared, with the factor from nitrogen to protein that was asked for."""
    factor = desk.given("protein_factor", desk.number("protein_factor"))
    return Prepared(
        values={**prepared.values, "protein_factor": factor},
        at=prepared.at,
        beyond=prepared.beyond,
        controls=prepared.controls,
        curves=prepared.curves,
    )


def _prepare_combustion(desk: Desk) -> Prepared:
    return with_factor(desk, combustion.prepare(desk))


def _prepare_kjeldahl(reading: str, strength: str) -> Callable[[Desk], Prepared]:
    def prepare(desk: Desk) -> Prepared:
        blanks = [desk.reading(one, reading) for one in desk.of(_K.BLANK)]
        values = {strength: desk.given(strength, desk.number(strength))}
        if blanks:
            name = f"blank_{reading}"
            values[name] = desk.mean(name, blanks)
        return with_factor(desk, Prepared(values=values))

    return prepare


COMBUSTION = Method(
    id="nitrogen_combustion",
    columns=combustion.columns(),
    portion=(Step(eq.by_combustion),),
    leads=(_LEAD,),
    bag=_BAG,
    make_up={_K.STANDARD: 3, _K.BLANK: 2, _K.VERIFICATION: 1, _K.CHECK: 1, _K.DUPLICATE: 1},
    equipment=("balance", "reagent"),
    choices=(*combustion.choices(), _PROTEIN),
    prepare=_prepare_combustion,
)
KJELDAHL = Method(
    id="nitrogen_kjeldahl",
    columns=(
        portion_column(),
        Column("acid_ml", (*SAMPLES, _K.BLANK), most=100.0, instrument="pipette"),
    ),
    portion=(Step(eq.by_kjeldahl),),
    leads=(_LEAD,),
    bag=_BAG,
    make_up=GRAVIMETRIC,
    equipment=("balance", "pipette", "reagent"),
    choices=(Choice("acid_normality"), _PROTEIN),
    prepare=_prepare_kjeldahl("acid_ml", "acid_normality"),
)
KJELDAHL_BACK = Method(
    id="nitrogen_kjeldahl_back",
    columns=(
        portion_column(),
        Column("base_ml", (*SAMPLES, _K.BLANK), most=100.0, instrument="pipette"),
    ),
    portion=(Step(eq.by_kjeldahl_back),),
    leads=(_LEAD,),
    bag=_BAG,
    make_up=GRAVIMETRIC,
    equipment=("balance", "pipette", "reagent"),
    choices=(Choice("base_normality"), _PROTEIN),
    prepare=_prepare_kjeldahl("base_ml", "base_normality"),
)
DETERMINATION = Determination(
    id="nitrogen",
    methods={"combustion": COMBUSTION, "kjeldahl": KJELDAHL, "kjeldahl_back": KJELDAHL_BACK},
    cautions=("bench.caution.gases", "bench.caution.kjeldahl", "bench.caution.grinding"),
)
