"""What is looked at before an electrode is believed: its standards, its slope, its chloride."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import pairwise

from haywright.bench import electrode as eq
from haywright.bench.batch import PositionKind
from haywright.bench.calibration import Curve
from haywright.bench.desk import Desk
from haywright.bench.findings import Control, Outcome, failed, passed, warned
from haywright.bench.given_limits import usual_limit
from haywright.bench.pattern import BAG_KINDS
from haywright.measure.message import Amount, Message, message
from haywright.sources.tables import load_toml

KNOWN, SIGNAL, CHLORIDE = "known_mg_per_l", "potential_mv", "chloride_mg_per_l"
_NITRATE = ("nitrate_n",)


def _hold(said: Message, *places: int) -> Control:
    again = message("bench.rerun.batch_cause_first")
    return failed("standards", said, analytes=_NITRATE, positions=places, rerun=again)


def standards_of(desk: Desk, curve: Curve) -> Iterator[Control]:
    """Enough levels, falling with concentration, each read back near what it was made up to."""
    rows = sorted(desk.of(PositionKind.STANDARD), key=lambda one: one.readings[KNOWN])
    least = usual_limit(desk.batch, "standards_least").value
    have = len({one.readings[KNOWN] for one in rows})
    name = message("bench.determination.nitrate_electrode")
    if have < least:
        yield _hold(message("bench.standards.few", name=name, have=have, least=least))
    for weak, strong in pairwise(rows):
        rises = strong.readings[KNOWN] > weak.readings[KNOWN]
        if rises and strong.readings[SIGNAL] >= weak.readings[SIGNAL]:
            said = message("bench_more.electrode.order", place=strong.order, other=weak.order,
                           row=strong.row)  # fmt: skip
            yield _hold(said, weak.order, strong.order)
    for one in rows:
        lowest = one is rows[0]
        most = usual_limit(
            desk.batch, "standard_back_lowest_pct" if lowest else "standard_back_pct"
        )
        read = float(eq.from_decades(curve.amount(one.readings[SIGNAL])))
        off = 100.0 * (read / one.readings[KNOWN] - 1.0)
        if not abs(off) <= most.value:
            shown = Amount(off, "%", digits=0) if math.isfinite(off) else off
            said = message("bench.standards.back", name=name, place=one.order, off=shown,
                           most=most.value)  # fmt: skip
            yield _hold(said, one.order)


def slope(desk: Desk, curve: Curve) -> Iterator[Control]:
    """An electrode that is worn, fouled or in the wrong filling shows less than Nernst's slope."""
    theory = float(eq.nernst_slope(desk.number("temperature_c")))
    found = curve.coefficients[1]
    share = float(eq.slope_share(found, theory))
    least = usual_limit(desk.batch, "electrode_slope_least_pct")
    most = usual_limit(desk.batch, "electrode_slope_most_pct")
    said = {
        "slope": round(found, 1),
        "theory": round(theory, 1),
        "share": round(share),
        "least": least.value,
        "most": most.value,
        "temperature": desk.number("temperature_c"),
    }
    if least.value <= share <= most.value:
        text = message("bench_more.electrode.slope", **said)
        yield passed("slope", text, value=share, source=least.source, mark=least.mark)
    else:
        text = message("bench_more.electrode.slope_off", **said)
        again = message("bench.rerun.batch_cause_first")
        yield failed("slope", text, analytes=_NITRATE, value=share, rerun=again,
                     source=least.source, mark=least.mark)  # fmt: skip


def chloride(desk: Desk, readings: Mapping[int, float]) -> Iterator[Control]:
    """What chloride pretends in each bag; without its reading or the electrode's own number, said.

    Parameters
    ----------
    desk
        The batch.
    readings
        Place -> nitrate nitrogen read [mg/L].
    """
    adjuster = load_toml("adjusters")[desk.text("ionic_strength_adjuster")]
    if adjuster["removes_chloride"]:
        return
    selectivity = desk.number("chloride_selectivity")
    rows = desk.of(*BAG_KINDS)
    unread = tuple(dict.fromkeys(one.sample for one in rows if not one.has(CHLORIDE)))
    if rows and (unread or not selectivity):
        said = message("bench_more.electrode.chloride_unknown")
        yield Control("chloride", Outcome.NOT_JUDGED, said, analytes=_NITRATE)
    most = usual_limit(desk.batch, "chloride_share_pct")
    for one in rows if selectivity else ():
        if not one.has(CHLORIDE):
            continue
        share = float(eq.chloride_share(selectivity, one.readings[CHLORIDE], readings[one.order]))
        said = message(
            "bench_more.electrode.chloride",
            place=one.order,
            row=one.row,
            sample=one.sample,
            share=Amount(share, "%", digits=1),
            most=most.value,
        )
        make = passed if share <= most.value else warned
        yield make("chloride", said, bags=(one.sample,), analytes=_NITRATE,
                   positions=(one.order,), value=share, limit=most.value,
                   source=most.source, mark=most.mark)  # fmt: skip
