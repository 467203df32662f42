"""Methods for protein bound in fiber: the residue is burnt, its nitrogen put on the hay."""

from __future__ import annotations

from haywright.bench import combustion
from haywright.bench import nitrogen as eq
from haywright.bench.batch import PositionKind
from haywright.bench.chain import Step
from haywright.bench.pattern import Determination, Lead, Method

_K = PositionKind


def bound_in(name: str, *, fiber: str) -> Method:
    """The method for protein bound in one fiber; the reading is of the residue, not the powder."""
    return Method(
        id=f"{name}_combustion",
        columns=combustion.columns(),
        portion=(Step(eq.by_combustion, gives="residue_n"),),
        leads=(Lead("residue_n", (name,)),),
        bag=(Step(eq.bound_protein, {"fiber": fiber}, name),),
        make_up={_K.STANDARD: 3, _K.BLANK: 2, _K.VERIFICATION: 1},
        equipment=("balance", "reagent"),
        choices=combustion.choices(),
        prepare=combustion.prepare,
        uses_powder=False,
    )


def determination_of(name: str, method: Method, *, fiber: str) -> Determination:
    """The determination: it leans on the fiber whose residue was burnt."""
    return Determination(
        id=name,
        methods={"combustion": method},
        leans_on=(fiber,),
        cautions=("bench.caution.gases", "bench.caution.acetone"),
    )
