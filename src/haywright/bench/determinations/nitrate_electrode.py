"""Nitrate by an ion-selective electrode: a screen of its own, not the column's measurand.

The potential is a straight line over decades of concentration. The blank is judged and not taken
off: below the lowest standard the line flattens, and a blank read off it would come out too large
and make the hay look better than it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from haywright.bench import electrode as eq
from haywright.bench import standards
from haywright.bench.batch import Position, PositionKind
from haywright.bench.calibration import Curve, calibrate
from haywright.bench.chain import Known, Step, labelled
from haywright.bench.control import Verified, verifications
from haywright.bench.desk import Desk
from haywright.bench.electrode_checks import CHLORIDE, KNOWN, SIGNAL, chloride, slope, standards_of
from haywright.bench.findings import Control, failed, passed
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
from haywright.bench.solution import of_powder
from haywright.measure.basis import to_dry_matter
from haywright.measure.errors import Refused
from haywright.measure.message import Amount, message
from haywright.sources.tables import load_toml

_K = PositionKind
_READ = (*SAMPLES, _K.BLANK, _K.STANDARD, _K.VERIFICATION)
_NITRATE = ("nitrate_n",)


def _curve(desk: Desk) -> Curve:
    rows = desk.of(_K.STANDARD)
    if not rows:
        raise Refused("standards", 0, "2", key="bench.fit.too_few")
    known = np.array([one.readings[KNOWN] for one in rows])
    return calibrate(eq.decades(known), np.array([one.readings[SIGNAL] for one in rows]))


def _read(curve: Curve, position: Position) -> float:
    return float(eq.from_decades(curve.amount(position.readings[SIGNAL])))


def _prepare(desk: Desk) -> Prepared:
    curve = _curve(desk)
    checks = [Verified(one.order, one.readings[KNOWN], _read(curve, one))
              for one in desk.of(_K.VERIFICATION)]  # fmt: skip
    controls = [
        *standards_of(desk, curve),
        *slope(desk, curve),
        *_blank(desk, curve),
        *verifications(desk.batch, checks, standards.bags_at(desk), unit="mg/L", analytes=_NITRATE),
        *chloride(desk, {one.order: _read(curve, one) for one in desk.of(*SAMPLES)}),
    ]

    def at(position: Position) -> dict[str, Known]:
        reading = desk.reading(position, SIGNAL)
        level = curve.estimate(reading.value, name=desk.batch.id, place=str(position.order))
        return {
            "level_decades": labelled("level_decades", level, children=(reading.evidence,)),
            "extract_volume_ml": desk.chosen_amount("extract_volume_ml", position),
            **({} if position.has("dilution") else {"dilution": desk.given("dilution", 1.0)}),
        }

    def beyond(position: Position) -> Mapping[str, Beyond]:
        edge = standards.outside(curve, curve.amount(position.readings[SIGNAL]))
        return {} if edge is None else {"level_decades": edge}

    nothing = {name: desk.given(name, value)
               for name, value in (("blank_mg_per_l", 0.0), ("blank_dilution", 1.0))}  # fmt: skip
    return Prepared(
        values=nothing, at=at, beyond=beyond, controls=tuple(controls), curves={"nitrate": curve}
    )


def _blank(desk: Desk, curve: Curve) -> Iterator[Control]:
    """The method blank must read below the lowest standard; it is not taken off."""
    lowest = float(eq.from_decades(curve.low))
    for one in desk.of(_K.BLANK):
        found = _read(curve, one)
        high = not found <= lowest
        said = message(
            "bench_more.electrode.blank_high" if high else "bench_more.electrode.blank",
            place=one.order,
            row=one.row,
            found=Amount(found, "mg/L"),
            lowest=Amount(lowest, "mg/L"),
        )
        make = failed if high else passed
        yield make("blank", said, analytes=_NITRATE, positions=(one.order,))


ELECTRODE = Method(
    id="nitrate_electrode",
    columns=(
        Column("sample_g", SAMPLES, least=0.01, most=50.0, instrument="balance"),
        Column(KNOWN, (_K.STANDARD, _K.VERIFICATION), least=1e-3, most=100_000.0),
        Column(SIGNAL, _READ, least=-2000.0, most=2000.0),
        Column("dilution", (), may=(*SAMPLES, _K.BLANK), least=1.0, most=10_000.0),
        Column(CHLORIDE, (), may=SAMPLES),
        Column("spike_ml", (_K.SPIKE,)),
        Column("spike_mg_per_l", (_K.SPIKE,)),
    ),
    portion=(
        Step(eq.from_decades),
        Step(of_powder, {"volume_ml": "extract_volume_ml"}, "nitrate_n_an"),
    ),
    leads=(Lead("nitrate_n_an", _NITRATE),),
    bag=(Step(to_dry_matter, {"x": "nitrate_n_an", "dm": "lab_dm"}, "nitrate_n"),),
    make_up={_K.STANDARD: 5, _K.BLANK: 1, _K.CHECK: 1, _K.VERIFICATION: 2, _K.DUPLICATE: 1},
    equipment=("balance", "dispenser", "reagent"),
    choices=(
        Choice("extractant", tuple(load_toml("extractants"))),
        Choice("ionic_strength_adjuster", tuple(load_toml("adjusters"))),
        Choice("extract_volume_ml", instrument="dispenser"),
        Choice("temperature_c", usual=25.0),
        Choice("chloride_selectivity", usual=0.0),
    ),
    prepare=_prepare,
)
DETERMINATION = Determination(
    id="nitrate_electrode",
    methods={"electrode": ELECTRODE},
    cautions=("bench_more.caution.electrode", "bench.caution.grinding"),
)
