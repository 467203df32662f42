"""Nitrate: an extract through a cadmium column, read on a curve of standards.

Above the highest standard nothing is read off: the extract is diluted and run again. The method
blank is taken off at its own dilution.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from haywright.bench import standards
from haywright.bench.batch import Position, PositionKind
from haywright.bench.calibration import Curve, Model, Weights
from haywright.bench.chain import Known, Step
from haywright.bench.control import verifications
from haywright.bench.desk import Desk
from haywright.bench.findings import Control, Outcome, failed, passed
from haywright.bench.given_limits import limit_of
from haywright.bench.pattern import (
    SAMPLES,
    Beyond,
    Choice,
    Column,
    Determination,
    Lead,
    Method,
    Prepared,
)
from haywright.bench.solution import column_efficiency, of_powder
from haywright.measure.basis import to_dry_matter
from haywright.measure.message import Amount, message
from haywright.sources.tables import load_toml

_K = PositionKind
_READ = (*SAMPLES, _K.BLANK, _K.STANDARD, _K.VERIFICATION, _K.NITRITE_STANDARD)
_SIGNAL = standards.Signal(
    message("bench.determination.nitrate"), "peak", "known_mg_per_l", ("nitrate_n",)
)


def _prepare(desk: Desk) -> Prepared:
    found = standards.calibrated(desk, _SIGNAL)
    curve = found.curve
    of_blank, controls = standards.blank(desk, curve, _SIGNAL)
    amounts = {one.order: curve.amount(one.readings["peak"]) for one in desk.of(*SAMPLES)}
    controls += standards.blank_share(desk, _SIGNAL, of_blank, amounts, low=curve.low)
    controls += verifications(
        desk.batch,
        standards.verified(desk, curve, _SIGNAL),
        standards.bags_at(desk),
        unit="mg/L",
        analytes=_SIGNAL.analytes,
    )
    controls += standards.carried_over(desk, _SIGNAL)
    controls += _column(desk, curve)

    def at(position: Position) -> dict[str, Known]:
        return {
            "reading_mg_per_l": standards.read_off(desk, curve, _SIGNAL, position),
            "extract_volume_ml": desk.chosen_amount("extract_volume_ml", position),
            **({} if position.has("dilution") else {"dilution": desk.given("dilution", 1.0)}),
        }

    def beyond(position: Position) -> Mapping[str, Beyond]:
        edge = standards.outside(curve, amounts[position.order])
        return {} if edge is None else {"reading_mg_per_l": edge}

    return Prepared(
        values=of_blank,
        at=at,
        beyond=beyond,
        controls=(*found.controls, *controls),
        curves={"nitrate": curve},
    )


def _column(desk: Desk, curve: Curve) -> Iterator[Control]:
    """Efficiency of the column from nitrite standards against the nitrate curve at their strength.

    With nitrate standards it cancels from the nitrate; a weak column still drifts.
    """
    least = limit_of(desk.batch, "column_efficiency_least_pct")
    for one in desk.of(_K.NITRITE_STANDARD):
        expected = curve.predict(one.readings["known_mg_per_l"])
        found = float(column_efficiency(expected, one.readings["peak"], curve.predict(0.0)))
        said = {"found": Amount(found, "%", digits=0)}
        at: dict[str, Any] = {"positions": (one.order,), "value": found}
        if least is None:
            text = message("bench.column.not_judged", **said)
            yield Control("column", Outcome.NOT_JUDGED, text, **at)
        elif found >= least.value:
            yield passed(
                "column", message("bench.column.efficient", least=least.value, **said), **at
            )
        else:
            yield failed("column", message("bench.column.weak", least=least.value, **said), **at)


FLOW_INJECTION = Method(
    id="nitrate_flow_injection",
    columns=(
        Column("sample_g", SAMPLES, least=0.01, most=10.0, instrument="balance"),
        Column("known_mg_per_l", (_K.STANDARD, _K.VERIFICATION, _K.NITRITE_STANDARD)),
        Column("peak", _READ, least=float("-inf"), signal=True),
        Column("dilution", (), may=(*SAMPLES, _K.BLANK), least=1.0, most=10_000.0),
        Column("spike_ml", (_K.SPIKE,)),
        Column("spike_mg_per_l", (_K.SPIKE,)),
    ),
    portion=(Step(of_powder, {"volume_ml": "extract_volume_ml"}, "nitrate_n_an"),),
    leads=(Lead("nitrate_n_an", ("nitrate_n",)),),
    bag=(Step(to_dry_matter, {"x": "nitrate_n_an", "dm": "lab_dm"}, "nitrate_n"),),
    make_up={_K.STANDARD: 5, _K.BLANK: 1, _K.CHECK: 1, _K.VERIFICATION: 2, _K.DUPLICATE: 1},
    equipment=("balance", "dispenser", "reagent"),
    choices=(
        Choice("extractant", tuple(load_toml("extractants"))),
        Choice("extract_volume_ml", instrument="dispenser"),
        Choice("curve", tuple(Model), usual="line"),
        Choice("weights", tuple(Weights), usual="none"),
    ),
    prepare=_prepare,
)
DETERMINATION = Determination(
    id="nitrate",
    methods={"flow_injection": FLOW_INJECTION},
    cautions=("bench.caution.cadmium", "bench.caution.grinding"),
)
