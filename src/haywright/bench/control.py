"""Quality control within a batch: duplicates, check samples, spikes, verification, make-up."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from haywright.bench.batch import Batch, CheckMaterial, PositionKind
from haywright.bench.charts import Chart, rules
from haywright.bench.findings import Control, Outcome, failed, passed, warned
from haywright.bench.given_limits import Limit, limit_of, usual_limit
from haywright.bench.pattern import Method
from haywright.measure.analytes import quantity
from haywright.measure.message import Amount, Message, message
from haywright.measure.register import equation
from haywright.sources.tables import load_toml

Kept = Literal["single", "mean", "median", "held"]


@equation(
    name="Relative percent difference",
    output=("rpd", "%", "of the mean"),
    source="epa-sw846-1",
    mark="recalled",
    units={"a": "", "b": ""},
)
def relative_percent_difference(a: Any, b: Any) -> Any:
    """Difference of two portions as a share of their mean.

    Parameters
    ----------
    a, b
        Two results [one unit].
    """
    return 100.0 * abs(a - b) / ((a + b) / 2.0)


@equation(
    name="Recovery",
    output=("recovery", "%", "of the assigned value"),
    source="common-practice",
    mark="practice",
    units={"found": "", "assigned": ""},
)
def recovery(found: Any, assigned: Any) -> Any:
    """What was found of an assigned value.

    Parameters
    ----------
    found, assigned
        Result and assigned value [one unit].
    """
    return 100.0 * found / assigned


@equation(
    name="Distance from an assigned value in standard deviations",
    output=("z", "", ""),
    source="thompson-wood-1995",
    mark="recalled",
    units={"found": "", "assigned": "", "sd": ""},
)
def standardised(found: Any, assigned: Any, sd: Any) -> Any:
    """How far a check sample lies from its value.

    Parameters
    ----------
    found, assigned
        Result and assigned value [one unit].
    sd
        SD between runs [same unit].
    """
    return (found - assigned) / sd


@equation(
    name="Added by a spike",
    output=("added", "mg/kg", "as analysed"),
    source="mass-balance",
    mark="definition",
)
def added_by_spike(spike_mg_per_l: Any, spike_ml: Any, sample_g: Any) -> Any:
    """What a spike adds to a portion.

    Parameters
    ----------
    spike_mg_per_l
        Strength of the spike [mg/L].
    spike_ml
        Spike added [mL].
    sample_g
        Portion weighed in [g as analysed].
    """
    return spike_mg_per_l * spike_ml / sample_g


@equation(
    name="Spike recovered",
    output=("recovery", "%", "of what was added"),
    source="epa-353-2",
    mark="recalled",
    units={"spiked": "mg/kg", "native": "mg/kg", "added": "mg/kg"},
)
def spike_recovery(spiked: Any, native: Any, added: Any) -> Any:
    """Share of an addition that was found.

    Parameters
    ----------
    spiked, native
        Result with and without the addition [mg/kg, one basis].
    added
        What was added [mg/kg, same basis].
    """
    return 100.0 * (spiked - native) / added


def critical_range_factor(portions: int) -> float:
    """How many SDs between portions their range may span, 95 % [ratio] (ISO 5725-6, printed)."""
    factors = load_toml("critical_range")["factor"]
    return float(factors[str(min(portions, max(map(int, factors))))])


@dataclass(frozen=True, slots=True)
class Agreement:
    """What is reported of several portions of one sample.

    Parameters
    ----------
    kept
        single, mean, median, or held until more portions are run.
    value
        What would be reported [unit of the portions].
    spread, limit
        Range of the portions and the most it may be [unit of the portions].
    more
        How many more portions the scheme asks for.
    """

    kept: Kept
    value: float
    spread: float
    limit: float
    more: int = 0

    @property
    def within(self) -> bool:
        """Whether the portions agree."""
        return self.spread <= self.limit


def agreement(values: Sequence[float], repeat_sd: float) -> Agreement:
    """The scheme for portions of one sample, fixed before any rerun is seen (ISO 5725-6).

    Two that agree within 2.8 SD give their mean. Two that do not are run twice more: four within
    3.6 SD give the mean of four, else the median of four, flagged. Never the better of two.

    Parameters
    ----------
    values
        Valid portions [one unit].
    repeat_sd
        SD between portions [same unit].
    """
    n, ordered = len(values), sorted(values)
    mean = math.fsum(values) / n
    if n == 1:
        return Agreement("single", mean, 0.0, 0.0)
    spread, limit = ordered[-1] - ordered[0], critical_range_factor(n) * repeat_sd
    if spread <= limit:
        return Agreement("mean", mean, spread, limit)
    if n < 4:
        return Agreement("held", mean, spread, limit, 4 - n)
    middle = (ordered[(n - 1) // 2] + ordered[n // 2]) / 2.0
    return Agreement("median", middle, spread, limit)


def duplicates(
    found: Agreement,
    *,
    bag: str,
    analyte: str,
    analytes: tuple[str, ...],
    places: tuple[int, ...],
    portions: int,
) -> Control:
    """The control that says what became of a bag's portions, those of a batch rerun included."""
    unit = quantity(analyte).unit
    said: dict[str, Any] = {
        "sample": bag,
        "quantity": message("measure.quantity", id=analyte),
        "spread": Amount(found.spread, unit, analyte=analyte, digits=_finer(analyte)),
        "limit": Amount(found.limit, unit, analyte=analyte, digits=_finer(analyte)),
        "portions": portions,
    }
    more: dict[str, Any] = {
        "bags": (bag,),
        "analytes": analytes,
        "positions": places,
        "value": found.spread,
        "limit": found.limit,
    }
    if found.kept == "mean":
        return passed("duplicate", message("bench.duplicate.agree", **said), **more)
    if found.kept == "median":
        return warned("duplicate", message("bench.duplicate.median", **said), **more)
    again = message("bench.rerun.more_portions", sample=bag, n=found.more)
    return failed("duplicate", message("bench.duplicate.differ", **said), rerun=again, **more)


def _finer(analyte: str) -> int:
    """One decimal more than a result is printed with."""
    digits = quantity(analyte).digits
    return 0 if digits is None else digits + 1


def check_sample(
    batch: Batch, material: CheckMaterial, analyte: str, found: float, *, sd: float, own: bool
) -> Control:
    """Judge a check sample against its action limits; beyond warning it is only told.

    Parameters
    ----------
    batch, material, analyte
        Which check.
    found
        Its result [unit of the quantity].
    sd
        SD between runs [unit of the quantity].
    own
        Whether that SD is the laboratory's own and not a planning figure.
    """
    assigned = material.assigned[analyte]
    action, warning = usual_limit(batch, "check_action_sd"), usual_limit(batch, "check_warning_sd")
    unit = quantity(analyte).unit
    digits = _finer(analyte)
    what = message("measure.quantity", id=analyte)
    if not sd > 0:
        return failed("check", message("bench.check.no_sd", name=material.name, quantity=what))
    z = float(standardised(found, assigned, sd))
    said: dict[str, Any] = {
        "name": material.name,
        "quantity": what,
        "found": Amount(found, unit, analyte=analyte, digits=digits),
        "assigned": Amount(assigned, unit, analyte=analyte, digits=digits),
        "z": round(z, 1),
        "most": action.value,
        "history": message("bench.check.own_history" if own else "bench.check.planning"),
    }
    more: dict[str, Any] = {
        "value": z,
        "limit": action.value,
        "source": action.source,
        "mark": action.mark,
    }
    if not abs(z) <= action.value:
        again = message("bench.rerun.batch_cause_first")
        return failed("check", message("bench.check.beyond", **said), rerun=again, **more)
    if not abs(z) <= warning.value:
        return warned("check", message("bench.check.warning", **said), **more)
    return passed("check", message("bench.check.inside", **said), **more)


def _verification_said(one: Verified, off: float, unit: str, most: float) -> Message:
    """What is told of one continuing check."""
    if not one.known:
        return message("bench.verification.no_strength", place=one.place)
    if not math.isfinite(off):
        known = Amount(one.known, unit)
        return message("bench.verification.unreadable", place=one.place, known=known)
    inside = abs(off) <= most
    return message(
        "bench.verification.inside" if inside else "bench.verification.outside",
        place=one.place,
        found=Amount(one.found, unit),
        known=Amount(one.known, unit),
        off=Amount(off, "%", digits=1),
        most=most,
    )


def charted(
    material: CheckMaterial,
    analyte: str,
    found: float,
    *,
    chart: Chart,
    fired: Mapping[str, tuple[int, ...]],
) -> Iterator[Control]:
    """Judge a check sample on the chart of its own history: each rule that fires now is told.

    Parameters
    ----------
    material, analyte
        Which check.
    found
        Its result [unit of the quantity].
    chart
        Its chart.
    fired
        Rule -> places in the series where it fired; the newest is the last of the series.
    """
    newest = chart.runs + 1
    now = [rules()[name] for name, places in fired.items() if newest in places]
    z = float(standardised(found, chart.center, chart.sd))
    unit, digits = quantity(analyte).unit, _finer(analyte)
    said: dict[str, Any] = {
        "name": material.name,
        "quantity": message("measure.quantity", id=analyte),
        "found": Amount(found, unit, analyte=analyte, digits=digits),
        "center": Amount(chart.center, unit, analyte=analyte, digits=digits),
        "z": round(z, 1),
        "runs": chart.runs,
    }
    if not now:
        yield passed("check", message("bench.chart.inside", **said), value=z)
    for rule in now:
        text = message("bench.chart.fired", rule=rule.name, **said)
        more = {"value": z, "source": rule.source, "mark": rule.mark}
        if rule.warns:
            yield warned("check", text, **more)
        else:
            again = message("bench.rerun.batch_cause_first")
            yield failed("check", text, rerun=again, **more)


def spike(batch: Batch, analyte: str, found: float, *, bag: str, place: int) -> Control:
    """Judge a spike [% recovered]: out of limits it flags the hay's own matrix.

    Parameters
    ----------
    batch, analyte
        What was spiked.
    found
        Recovery [%].
    bag
        Whose portion was spiked.
    place
        Place in the run.
    """
    least, most = limit_of(batch, "spike_least_pct"), limit_of(batch, "spike_most_pct")
    said: dict[str, Any] = {
        "sample": bag,
        "quantity": message("measure.quantity", id=analyte),
        "found": Amount(found, "%", digits=0),
    }
    more: dict[str, Any] = {"bags": (bag,), "positions": (place,), "value": found}
    if not math.isfinite(found):
        what = message("measure.quantity", id=analyte)
        return warned(
            "spike", message("bench.spike.out_of_reach", sample=bag, quantity=what), **more
        )
    if least is None or most is None:
        text = message("bench.spike.not_judged", **said)
        return Control("spike", Outcome.NOT_JUDGED, text, **more)
    said |= {"least": least.value, "most": most.value}
    if least.value <= found <= most.value:
        return passed("spike", message("bench.spike.inside", **said), **more)
    return warned("spike", message("bench.spike.outside", **said), **more)


@dataclass(frozen=True, slots=True)
class Verified:
    """One continuing check: its place in the run, what it should read and what it read."""

    place: int
    known: float
    found: float


def verifications(
    batch: Batch,
    checks: Sequence[Verified],
    samples: Mapping[int, str],
    *,
    unit: str,
    analytes: tuple[str, ...] = (),
    limit: Limit | None = None,
) -> Iterator[Control]:
    """Continuing checks split the run: what has no good check on both sides is held.

    Parameters
    ----------
    batch
        The batch.
    checks
        The checks in the order of the run.
    samples
        Place -> bag, of every portion.
    unit
        Unit of the checks.
    analytes
        Results they speak of; empty for all.
    limit
        Most they may be off [% of the known value]; else the table's.
    """
    most = limit or usual_limit(batch, "verification_pct")
    good = []
    for one in checks:
        # A known strength of nothing can be met by no found one in per cent of it.
        off = 100.0 * (one.found / one.known - 1.0) if one.known else math.inf
        said = _verification_said(one, off, unit, most.value)
        more: dict[str, Any] = {
            "positions": (one.place,),
            "analytes": analytes,
            "value": off,
            "limit": most.value,
            "source": most.source,
            "mark": most.mark,
        }
        if abs(off) <= most.value:
            good.append(one.place)
            yield passed("verification", said, **more)
        else:
            yield warned("verification", said, **more)
    yield from not_between_good([c.place for c in checks], good, samples, analytes)


def not_between_good(
    places: Sequence[int],
    good: Sequence[int],
    samples: Mapping[int, str],
    analytes: tuple[str, ...],
    *,
    closing: bool = True,
) -> Iterator[Control]:
    """Portions whose next check, or the one before, is bad or was never run.

    Before the first check the calibration itself serves as the good one. Without ``closing`` a
    run may end without a check.
    """
    lost: dict[str, list[int]] = {}
    for place, bag in samples.items():
        before = max((p for p in places if p < place), default=None)
        after = min((p for p in places if p > place), default=None)
        bad_before = before is not None and before not in good
        bad_after = after not in good if after is not None else closing
        if bad_before or bad_after:
            lost.setdefault(bag, []).append(place)
    for bag, found in lost.items():
        yield failed(
            "verification",
            message("bench.verification.not_bracketed", sample=bag, places=tuple(found)),
            bags=(bag,),
            analytes=analytes,
            positions=tuple(found),
            rerun=message("bench.rerun.portion", sample=bag),
        )


HELD_WITHOUT = {
    PositionKind.BLANK,
    PositionKind.STANDARD,
    PositionKind.VERIFICATION,
    PositionKind.CHECK,
}


def make_up(method: Method, counts: Mapping[PositionKind, int]) -> Iterator[Control]:
    """Whether a batch holds the blanks, standards and checks its method needs."""
    for kind, least in method.make_up.items():
        have = counts.get(kind, 0)
        if have >= least:
            continue
        said = message(
            "bench.make_up.missing",
            kind=message(f"bench.kind.{kind.value}"),
            have=have,
            least=least,
        )
        yield failed("make_up", said) if kind in HELD_WITHOUT else warned("make_up", said)


def joined(reasons: Sequence[Message]) -> Message:
    """Several reasons as one message."""
    if len(reasons) == 1:
        return reasons[0]
    return message("bench.several", reasons=tuple(reasons))
