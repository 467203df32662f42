"""Standards of a run: looked at, fitted, read back; blanks and continuing checks read off."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from haywright.bench import calibration as cal
from haywright.bench.along_the_run import carry_over
from haywright.bench.batch import Position, PositionKind
from haywright.bench.chain import Known, labelled
from haywright.bench.control import Verified
from haywright.bench.desk import Desk
from haywright.bench.findings import Control, failed, passed, warned
from haywright.bench.given_limits import limit_of, usual_limit
from haywright.bench.pattern import Beyond
from haywright.measure.errors import Refused
from haywright.measure.estimate import exact
from haywright.measure.message import Amount, Message, message

_CHANCE = 0.05


_CUPS = 3  # of each in a row tell the carry-over


@dataclass(frozen=True, slots=True)
class Calibrated:
    """A curve with what was found about it."""

    curve: cal.Curve
    controls: tuple[Control, ...]


@dataclass(frozen=True, slots=True)
class Signal:
    """Where a calibration finds its numbers.

    ``name`` is what a person calls it, ``column`` holds the signal, ``known`` the strength made
    up [mg/L], ``analytes`` are the results that rest on it.
    """

    name: Message
    column: str
    known: str
    analytes: tuple[str, ...]


def calibrated(desk: Desk, signal: Signal) -> Calibrated:
    """Fit the standards of a batch and judge them.

    Raises
    ------
    Refused
        When no curve can be drawn through them at all.
    """
    rows = desk.of(PositionKind.STANDARD)
    if not rows:
        raise Refused("standards", 0, "2", key="bench.fit.too_few")
    x = np.array([one.readings[signal.known] for one in rows])
    y = np.array([one.readings[signal.column] for one in rows])
    curve = cal.calibrate(
        x,
        y,
        model=cal.Model(desk.text("curve")),
        weighting=cal.Weights(desk.text("weights")),
    )
    controls = [
        *_levels(desk, signal, x),
        *_order(signal, rows, x, y),
        *_saturated(desk, signal),
        *_read_back(desk, signal, rows, curve),
        *_form(signal, curve),
    ]
    return Calibrated(curve, tuple(controls))


def _fail(signal: Signal, said: Message, places: Sequence[int] = ()) -> Control:
    again = message("bench.rerun.batch_cause_first")
    return failed("standards", said, analytes=signal.analytes, positions=tuple(places), rerun=again)


def _levels(desk: Desk, signal: Signal, x: np.ndarray) -> Iterator[Control]:
    have, least = len(np.unique(x[x > 0])), usual_limit(desk.batch, "standards_least")
    if have < least.value:
        yield _fail(
            signal,
            message("bench.standards.few", name=signal.name, have=have, least=least.value),
        )


def _order(
    signal: Signal, rows: Sequence[Position], x: np.ndarray, y: np.ndarray
) -> Iterator[Control]:
    """A stronger standard must signal more; where it does not, two are swapped or mislabelled."""
    levels = np.unique(x)
    means = [float(np.mean(y[x == level])) for level in levels]
    for k in range(1, len(levels)):
        if means[k] <= means[k - 1]:
            here, there = (
                next(one for one in rows if one.readings[signal.known] == levels[j])
                for j in (k, k - 1)
            )
            yield _fail(
                signal,
                message(
                    "bench.standards.order",
                    name=signal.name,
                    place=here.order,
                    strength=Amount(float(levels[k]), "mg/L"),
                    other=there.order,
                    weaker=Amount(float(levels[k - 1]), "mg/L"),
                ),
                (there.order, here.order),
            )


def _saturated(desk: Desk, signal: Signal) -> Iterator[Control]:
    top = limit_of(desk.batch, "signal_top")
    if top is None:
        return
    for one in desk.of(PositionKind.STANDARD):
        if one.readings[signal.column] >= top.value:
            said = message(
                "bench.standards.saturated", name=signal.name, place=one.order, top=top.value
            )
            yield _fail(signal, said, (one.order,))


def _read_back(
    desk: Desk, signal: Signal, rows: Sequence[Position], curve: cal.Curve
) -> Iterator[Control]:
    back = curve.back_calculated()
    inside = True
    for one, amount in zip(rows, back, strict=True):
        known = one.readings[signal.known]
        if known <= 0:
            continue
        lowest = known <= curve.low
        name = "standard_back_lowest_pct" if lowest else "standard_back_pct"
        most = usual_limit(desk.batch, name)
        off = 100.0 * (float(amount) / known - 1.0)
        # A reading that meets no point of the curve gives nan, which is inside no limit.
        if not abs(off) <= most.value:
            inside = False
            yield _fail(
                signal,
                message(
                    "bench.standards.back",
                    name=signal.name,
                    place=one.order,
                    off=Amount(off, "%", digits=0),
                    most=most.value,
                ),
                (one.order,),
            )
    above = curve.x > 0
    parameters = len(curve.coefficients)
    if inside and int(np.sum(above)) > parameters:
        rse = cal.relative_standard_error(curve.x[above], back[above], parameters=parameters)
        said = message(
            "bench.standards.curve",
            name=signal.name,
            levels=len(np.unique(curve.x[above])),
            rse=Amount(rse, "%", digits=1),
        )
        yield passed("standards", said, analytes=signal.analytes, value=rse)


def _form(signal: Signal, curve: cal.Curve) -> Iterator[Control]:
    lack = cal.lack_of_fit(curve)
    if lack is not None and lack.p < _CHANCE:
        said = message("bench.standards.lack_of_fit", name=signal.name, p=round(lack.p, 3))
        yield warned("curve", said, analytes=signal.analytes, value=lack.p, limit=_CHANCE)
    runs, chance = cal.runs_of_residuals(curve)
    if chance < _CHANCE:
        said = message("bench.standards.runs", name=signal.name, runs=runs, p=round(chance, 3))
        yield warned("curve", said, analytes=signal.analytes, value=chance, limit=_CHANCE)


def read_off(desk: Desk, curve: cal.Curve, signal: Signal, position: Position) -> Known:
    """The amount a position's signal says, with curve and reading apart.

    A signal the curve never reaches is told as just above the highest standard, and ``outside``
    makes it a number above the range; of a check sample or a spike it is no number, and is told.
    """
    reading = desk.reading(position, signal.column)
    if math.isnan(curve.amount(reading.value)):
        judged = position.kind in (PositionKind.CHECK, PositionKind.SPIKE)
        none = exact(math.nan if judged else math.nextafter(curve.high, math.inf))
        return labelled("reading_mg_per_l", none, source="quam-2012", children=(reading.evidence,))
    estimate = curve.estimate(reading.value, name=desk.batch.id, place=str(position.order))
    return labelled("reading_mg_per_l", estimate, source="quam-2012", children=(reading.evidence,))


def outside(curve: cal.Curve, amount: float) -> Beyond | None:
    """Whether an amount lies outside the standards [unit of the standards]."""
    # A signal the curve never reaches is above it.
    if not amount <= curve.high:
        return Beyond(above=True, limit=curve.high, definition="highest standard")
    if amount < curve.low:
        return Beyond(above=False, limit=curve.low, definition="lowest standard")
    return None


def blank(desk: Desk, curve: cal.Curve, signal: Signal) -> tuple[dict[str, Known], list[Control]]:
    """The method blank, as read, with its own dilution; judged against the lowest standard."""
    rows = desk.of(PositionKind.BLANK)
    if not rows:
        return {}, []
    dilutions = {one.readings.get("dilution", 1.0) for one in rows}
    if len(dilutions) > 1:
        raise Refused(
            "dilution", ", ".join(map(str, sorted(dilutions))), key="bench.blank.dilutions"
        )
    mean = desk.mean("blank_mg_per_l", [read_off(desk, curve, signal, one) for one in rows])
    known = {"blank_mg_per_l": mean, "blank_dilution": desk.given("blank_dilution", *dilutions)}
    high = not mean.value <= curve.low
    said = message(
        "bench.blank.above_lowest" if high else "bench.blank.within",
        name=signal.name,
        blank=Amount(mean.value, "mg/L"),
        lowest=Amount(curve.low, "mg/L"),
    )
    more = {"analytes": signal.analytes, "positions": tuple(one.order for one in rows)}
    return known, [failed("blank", said, **more) if high else passed("blank", said, **more)]


def carried_over(desk: Desk, signal: Signal) -> Iterator[Control]:
    """What a high cup leaves in the next, wherever three of one stand before three of a lower one.

    A warning and no more: what was read is not changed by it.
    """
    kinds = (PositionKind.STANDARD, PositionKind.VERIFICATION, PositionKind.BLANK)
    rows = desk.of(*kinds)
    most = usual_limit(desk.batch, "carry_over_pct")
    for first in range(len(rows) - 2 * _CUPS + 1):
        six = rows[first : first + 2 * _CUPS]
        high, low = six[:_CUPS], six[_CUPS:]
        in_a_row = six[-1].order - six[0].order == len(six) - 1
        alike = len({one.sample for one in high}) == len({one.sample for one in low}) == 1
        signals = [one.readings[signal.column] for one in six]
        if not (in_a_row and alike and min(signals[:_CUPS]) > max(signals[_CUPS:])):
            continue
        share = 100.0 * carry_over(signals[:_CUPS], signals[_CUPS:])
        within = share <= most.value
        said = message(
            "bench.carry_over.within" if within else "bench.carry_over.beyond",
            name=signal.name,
            place=low[0].order,
            share=Amount(share, "%", digits=2),
            most=most.value,
        )
        more = {"positions": tuple(one.order for one in six), "value": share, "limit": most.value,
                "source": most.source, "mark": most.mark}  # fmt: skip
        yield passed("carry_over", said, **more) if within else warned("carry_over", said, **more)


def blank_share(
    desk: Desk,
    signal: Signal,
    of_blank: dict[str, Known],
    readings: dict[int, float],
    *,
    low: float,
) -> Iterator[Control]:
    """Bags in which the blank is more than a share of the reading, where it can be told at all.

    Parameters
    ----------
    desk, signal
        The batch and what is read.
    of_blank
        The method blank with its dilution.
    readings
        Place -> amount read [mg/L as read].
    low
        Lowest standard [mg/L]; a blank under half of it holds nothing.
    """
    if not of_blank or of_blank["blank_mg_per_l"].value <= low / 2.0:
        return
    most = usual_limit(desk.batch, "blank_share_pct")
    worth = of_blank["blank_mg_per_l"].value * of_blank["blank_dilution"].value
    for one in desk.of(PositionKind.BAG, PositionKind.DUPLICATE):
        whole = readings[one.order] * one.readings.get("dilution", 1.0)
        if math.isnan(whole):
            continue  # no point of the curve gives it: it lies above the range
        share = 100.0 * worth / whole if whole > 0 else float("inf")
        if not share <= most.value:
            yield failed(
                "blank",
                message(
                    "bench.blank.share",
                    sample=one.sample,
                    share=Amount(min(share, 100.0), "%", digits=0),
                    quantity=signal.name,
                    most=most.value,
                ),
                bags=(one.sample,),
                analytes=signal.analytes,
                positions=(one.order,),
            )


def verified(desk: Desk, curve: cal.Curve, signal: Signal) -> list[Verified]:
    """The continuing checks of a run, read off the curve."""
    return [
        Verified(one.order, one.readings[signal.known], curve.amount(one.readings[signal.column]))
        for one in desk.of(PositionKind.VERIFICATION)
    ]


def bags_at(desk: Desk) -> dict[int, str]:
    """Place in the run -> bag, of every portion of a bag."""
    return {one.order: one.sample for one in desk.of(PositionKind.BAG, PositionKind.DUPLICATE)}
