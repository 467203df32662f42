"""Between a lot's results and its sealed sale paper: what is signed, and how a reader sees it.

Measured results are signed, not what follows from them: energy and indices depend on the equation
a reader chooses. There is no verdict: the reader knows the animals, the paper does not.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal

from haywright.bunk.hazards.nitrate.lookup import says
from haywright.bunk.hazards.nitrate.question import NitrateQuestion
from haywright.bunk.hazards.nitrate.verdict import decide
from haywright.gate.seal.record import CODES, QUANTITIES, LotRecord, SealedResult
from haywright.measure.errors import Refused, UnknownName
from haywright.measure.estimate import Estimate, State
from haywright.measure.nitrate import NitrateForm, convert_form
from haywright.measure.result import Result
from haywright.measure.units import convert
from haywright.sources.crops import crop
from haywright.sources.guides import Guide, Row, default_guide, guides
from haywright.way.lot import Sample, laboratory_of, must_test_of, sampling_of, spread_between

NITRATE = "nitrate_n"
SHOWN_FORMS = (NitrateForm.NO3_N, NitrateForm.NO3, NitrateForm.KNO3)


def sealable(sample: Sample) -> tuple[str, ...]:
    """Quantities of a sample that a paper can carry: measured, released, in the order of codes."""
    return tuple(
        name
        for name, _ in QUANTITIES
        if (one := sample.sheet.measured.get(name)) is not None
        and one.estimate.state in (State.MEASURED, State.BELOW, State.ABOVE)
    )


def record_of(
    sample: Sample,
    beside: Sequence[Sample],
    *,
    issued: date,
    laboratory: str = "",
    serial: str = "",
    quantities: Sequence[str] = (),
    expires: date | None = None,
    supersedes: str = "",
) -> LotRecord:
    """What a sale paper says of one sample.

    Parameters
    ----------
    sample
        The hay.
    beside
        All samples of its lot; bags tested apart teach how much its bales differ.
    issued, expires
        First and last day of the paper.
    laboratory
        Who tested it.
    serial, supersedes
        Number of the paper, its bag's code when left out; and of the one it takes the place of.
    quantities
        Results to sign; all measured ones when left out.

    Raises
    ------
    Refused, UnknownName
        Nothing released to sign, or a quantity that is not there.
    """
    there = sealable(sample)
    for name in quantities:
        if name not in there:
            raise UnknownName("results", name, there)
    if not there:
        raise Refused("results", sample.name, key="gate_seal.nothing")
    chosen = tuple(name for name in there if not quantities or name in quantities)
    bag, lot = sample.bags[0], sample.lot
    weight = lot.packages.weight if lot.packages is not None else None
    return LotRecord(
        serial=serial or str(bag.code),
        issued=issued,
        lot=lot.id,
        name=sample.name,
        crop=crop(lot.crops[0]).id,
        cored_on=bag.cored_on,
        results=tuple(_signed(name, sample, beside) for name in chosen),
        bales=sample.bales,
        bale_weight=None if weight is None else round(weight),
        bales_cored=_cored(sample),
        cores_per_bale=bag.cores_per_bale,
        taken=bag.taken,
        laboratory=laboratory,
        sampler=bag.sampler,
        nitrate_suspect=bool(must_test_of(sample)),
        expires=expires,
        supersedes=supersedes,
    )


def _cored(sample: Sample) -> int | None:
    counts = [bag.bales_cored for bag in sample.bags]
    return sum(one for one in counts if one) if all(counts) else None


def _signed(name: str, sample: Sample, beside: Sequence[Sample]) -> SealedResult:
    one = sample.sheet.measured[name]
    step = Decimal(1).scaleb(-QUANTITIES[CODES[name]][1])
    estimate = one.estimate
    if estimate.state is State.BELOW and estimate.limit is not None:
        return SealedResult(name, _at(estimate.limit.value, step, ROUND_CEILING), beyond="<")
    if estimate.state is State.ABOVE and estimate.limit is not None:
        return SealedResult(name, _at(estimate.limit.value, step, ROUND_FLOOR), beyond=">")
    value = _at(one.value, step, ROUND_HALF_EVEN)
    low, high = _nitrate_range(sample, beside) if name == NITRATE else _range(one)
    if not math.isfinite(low + high) or low == high:
        return SealedResult(name, value)
    down = min(_at(max(low, 0.0), step, ROUND_FLOOR), value)
    return SealedResult(name, value, down, max(_at(high, step, ROUND_CEILING), value))


def _at(value: float, step: Decimal, rounding: str) -> Decimal:
    return Decimal(repr(float(value))).quantize(step, rounding=rounding)


def _range(one: Result) -> tuple[float, float]:
    return (math.nan, math.nan) if one.estimate.u == 0 else one.estimate.interval()


def _nitrate_range(sample: Sample, beside: Sequence[Sample]) -> tuple[float, float]:
    """Bounds of the lot's mean as the nitrate verdict reckons them, for nobody's animals."""
    estimate: Estimate = sample.sheet.measured[NITRATE].estimate
    found = decide(
        NitrateQuestion(
            result=estimate,
            classes=("pregnant",),
            guide=default_guide("cattle"),
            sampling=sampling_of(sample),
            spread=spread_between(sample.lot, beside),
            laboratory=laboratory_of(estimate),
        )
    )
    return found.low, found.high


@dataclass(frozen=True, slots=True)
class FormOfNitrate:
    """One nitrate number in one chemical form and both usual units, of dry matter.

    Parameters
    ----------
    form
        Chemical form.
    ppm, ppm_low, ppm_high
        In mg/kg; the range is ``None`` without uncertainty.
    percent
        The same as a share.
    """

    form: NitrateForm
    ppm: float
    ppm_low: float | None
    ppm_high: float | None
    percent: float


def nitrate_forms(record: LotRecord) -> tuple[FormOfNitrate, ...]:
    """The signed nitrate in every form that guides and laboratories write it in."""
    one = record.result(NITRATE)
    if one is None:
        return ()
    found = []
    for form in SHOWN_FORMS:
        ends = tuple(
            None if end is None else convert_form(float(end), NitrateForm.NO3_N, form)
            for end in (one.low, one.high)
        )
        ppm = convert_form(float(one.value), NitrateForm.NO3_N, form)
        found.append(FormOfNitrate(form, ppm, ends[0], ends[1], convert(ppm, "mg/kg", "%")))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class GuideOnPaper:
    """What one guide prints at the nitrate of a paper.

    Parameters
    ----------
    guide
        Which.
    value
        The nitrate in the guide's own unit.
    rows
        Its rows there, for the animals named or for every class it speaks of; empty when it is
        silent.
    """

    guide: Guide
    value: float
    rows: tuple[Row, ...]


def judged_at(record: LotRecord) -> Decimal | None:
    """Nitrate that the guides are read at: the upper end of the range, else the value."""
    one = record.result(NITRATE)
    if one is None:
        return None
    return one.value if one.high is None else one.high


def guides_on_paper(record: LotRecord, classes: Sequence[str] = ()) -> tuple[GuideOnPaper, ...]:
    """What each guide prints at the nitrate of a paper; a guide's rows, never a verdict.

    Parameters
    ----------
    record
        The paper.
    classes
        Classes of the reader's animals; every class a guide speaks of when left out.
    """
    level = judged_at(record)
    if level is None:
        return ()
    return tuple(_one_guide(one, float(level), classes) for one in guides().values())


def _one_guide(guide: Guide, level: float, classes: Sequence[str]) -> GuideOnPaper:
    value = guide.from_no3n(level)
    if classes:
        return GuideOnPaper(guide, value, says(guide, level, classes).rows)
    return GuideOnPaper(guide, value, tuple(row for row in guide.rows if row.holds(value)))


def nitrate_missing(record: LotRecord) -> bool:
    """Whether nitrate should have been tested in this hay and is not on the paper."""
    if record.result(NITRATE) is not None:
        return False
    try:
        accumulates = crop(record.crop).accumulator
    except Refused:
        accumulates = True
    return record.nitrate_suspect or accumulates
