"""Minerals by ICP: a digest read in mg/L, each blank taken off at its own dilution.

All elements of a bag share one portion, one volume and one laboratory dry matter, so a ratio of
two is free of them. Verification and interference solutions are check materials whose assigned
values are in mg/L.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from haywright.bench import solution as eq
from haywright.bench.batch import Position, PositionKind
from haywright.bench.chain import Known, Step, follow, labelled
from haywright.bench.control import Verified, verifications
from haywright.bench.desk import Desk
from haywright.bench.findings import Control, Outcome, failed, passed, warned
from haywright.bench.given_limits import limit_of, usual_limit
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
from haywright.bench.standards import bags_at
from haywright.measure.basis import to_dry_matter
from haywright.measure.estimate import exact
from haywright.measure.message import Amount, message

_K = PositionKind
MAJOR = ("ca", "p", "mg", "k", "na", "s", "cl")
TRACE = ("fe", "mn", "zn", "cu", "mo", "al", "se", "co")
ELEMENTS = (*MAJOR, *TRACE)
_READ = (*SAMPLES, _K.BLANK, _K.VERIFICATION, _K.INTERFERENCE)


def _column(element: str) -> str:
    return f"{element}_mg_per_l"


def _corrected(desk: Desk, position: Position) -> dict[str, Known]:
    """Readings of a position after internal standard and interfering elements."""
    out: dict[str, Known] = {}
    for element in ELEMENTS:
        if position.has(_column(element)):
            out[element] = _by_internal_standard(desk, position, element)
    return {element: _less_interference(desk, element, one, out) for element, one in out.items()}


def _by_internal_standard(desk: Desk, position: Position, element: str) -> Known:
    reading = desk.reading(position, _column(element))
    reference = desk.number("internal_reference_counts")
    if not reference or not position.has("internal_counts"):
        return reading
    known = {
        "apparent_mg_per_l": reading,
        "internal_counts": desk.reading(position, "internal_counts"),
        "internal_reference_counts": desk.given("internal_reference_counts", reference),
    }
    return follow([Step(eq.by_internal_standard)], known)["reading_mg_per_l"]


def _less_interference(
    desk: Desk, element: str, reading: Known, others: Mapping[str, Known]
) -> Known:
    for other, amount in others.items():
        k = desk.batch.limits.get(f"interference_{other}_on_{element}")
        if k is not None and other != element:
            known = {
                "reading_mg_per_l": reading,
                "interference": labelled("interference", exact(k)),
                "interferent_mg_per_l": amount,
            }
            reading = follow([Step(eq.less_interference)], known)["reading_mg_per_l"]
    return reading


def _prepare(desk: Desk) -> Prepared:
    read = {one.order: _corrected(desk, one) for one in desk.of(*_READ)}
    values, controls = _blanks(desk, read)
    controls += _verified(desk, read)
    controls += _interference_checks(desk, read)
    controls += _internal_standards(desk)

    def at(position: Position) -> dict[str, Known]:
        return {
            "digest_volume_ml": desk.chosen_amount("digest_volume_ml", position),
            **{_column(element): one for element, one in read[position.order].items()},
            **({} if position.has("dilution") else {"dilution": desk.given("dilution", 1.0)}),
        }

    def beyond(position: Position) -> dict[str, Beyond]:
        return dict(_beyond(desk, read[position.order]))

    return Prepared(values=values, at=at, beyond=beyond, controls=tuple(controls))


def _beyond(desk: Desk, read: Mapping[str, Known]) -> Iterator[tuple[str, Beyond]]:
    """Readings above the range shown to be linear, or below a limit the laboratory wrote down."""
    for element, one in read.items():
        top = desk.batch.limits.get(f"{element}_highest_mg_per_l")
        least = desk.batch.limits.get(f"{element}_quantitation_mg_per_l")
        if top is not None and one.value > top:
            yield _column(element), Beyond(above=True, limit=top, definition="linear range")
        elif least is not None and one.value < least:
            limit = "quantitation limit"
            yield _column(element), Beyond(above=False, limit=least, definition=limit)


def _blanks(
    desk: Desk, read: Mapping[int, Mapping[str, Known]]
) -> tuple[dict[str, Known], list[Control]]:
    """Digestion blanks times their own dilution, so that the mean has dilution 1."""
    rows = desk.of(_K.BLANK)
    values: dict[str, Known] = {"blank_dilution": desk.given("blank_dilution", 1.0)}
    controls: list[Control] = []
    for element in ELEMENTS:
        members = []
        for one in rows:
            if element in read[one.order]:
                known = {
                    "reading_mg_per_l": read[one.order][element],
                    "dilution": desk.given("dilution", one.readings.get("dilution", 1.0)),
                }
                members.append(follow([Step(eq.undiluted)], known)["extract_mg_per_l"])
        if members:
            name = f"{element}_blank_mg_per_l"
            values[name] = desk.mean(name, members)
            controls += _blank_share(desk, element, values[name].value, read)
    return values, controls


def _blank_share(
    desk: Desk, element: str, blank: float, read: Mapping[int, Mapping[str, Known]]
) -> Iterator[Control]:
    """A blank that is much of a sample holds that sample, where it can be told from nothing."""
    least = desk.batch.limits.get(f"{element}_quantitation_mg_per_l", 0.0)
    if blank <= least / 2.0 or blank <= 0:
        return
    most = usual_limit(desk.batch, "blank_share_pct")
    for one in desk.of(_K.BAG, _K.DUPLICATE):
        found = read[one.order].get(element)
        if found is None:
            continue
        whole = found.value * one.readings.get("dilution", 1.0)
        share = 100.0 * blank / whole if whole > 0 else float("inf")
        if not share <= most.value:
            said = message(
                "bench.blank.share",
                sample=one.sample,
                share=Amount(min(share, 100.0), "%", digits=0),
                quantity=message("measure.quantity", id=element),
                most=most.value,
            )
            yield failed(
                "blank", said, bags=(one.sample,), analytes=(element,), positions=(one.order,)
            )


def _verified(desk: Desk, read: Mapping[int, Mapping[str, Known]]) -> Iterator[Control]:
    """Each element's continuing checks, at the strengths of the solution named in the row."""
    for element in ELEMENTS:
        checks = []
        for one in desk.of(_K.VERIFICATION):
            material = desk.batch.checks.get(one.sample)
            known = None if material is None else material.assigned.get(element)
            if known and element in read[one.order]:
                checks.append(Verified(one.order, known, read[one.order][element].value))
        samples = {place: bag for place, bag in bags_at(desk).items() if element in read[place]}
        if samples:
            yield from verifications(desk.batch, checks, samples, unit="mg/L", analytes=(element,))


def _interference_checks(desk: Desk, read: Mapping[int, Mapping[str, Known]]) -> Iterator[Control]:
    """The interference check solution must read what it holds; the laboratory writes the limit."""
    most = limit_of(desk.batch, "interference_check_pct")
    for one in desk.of(_K.INTERFERENCE):
        material = desk.batch.checks.get(one.sample)
        if material is None or most is None:
            text = message("bench_more.interference.not_judged", place=one.order, name=one.sample)
            yield Control("interference", Outcome.NOT_JUDGED, text, positions=(one.order,))
            continue
        for element, known in material.assigned.items():
            if element not in read[one.order] or known == 0:
                continue
            off = 100.0 * (read[one.order][element].value / known - 1.0)
            said = message(
                "bench.interference",
                quantity=message("measure.quantity", id=element),
                place=one.order,
                off=Amount(off, "%", digits=0),
                most=most.value,
            )
            more = {"analytes": (element,), "positions": (one.order,), "value": off}
            fine = abs(off) <= most.value
            yield (
                passed("interference", said, **more)
                if fine
                else failed("interference", said, **more)
            )


def _internal_standards(desk: Desk) -> Iterator[Control]:
    reference = desk.number("internal_reference_counts")
    if not reference:
        return
    least = usual_limit(desk.batch, "internal_standard_least_pct")
    most = usual_limit(desk.batch, "internal_standard_most_pct")
    for one in desk.of(*SAMPLES):
        if not one.has("internal_counts"):
            continue
        found = float(eq.internal_standard_recovery(one.readings["internal_counts"], reference))
        if least.value <= found <= most.value:
            continue
        said = message(
            "bench.internal.outside",
            sample=one.sample,
            found=Amount(found, "%", digits=0),
            place=one.order,
            least=least.value,
            most=most.value,
        )
        make = failed if one.kind in (_K.BAG, _K.DUPLICATE) else warned
        yield make("internal_standard", said, bags=(one.sample,), positions=(one.order,))


def _portion(element: str) -> Step:
    given = {
        "reading_mg_per_l": _column(element),
        "blank_mg_per_l": f"{element}_blank_mg_per_l",
        "volume_ml": "digest_volume_ml",
    }
    return Step(eq.of_powder, given, f"{element}_an")


def _bag(element: str) -> tuple[Step, ...]:
    if element in TRACE:
        return (Step(to_dry_matter, {"x": f"{element}_an", "dm": "lab_dm"}, element),)
    in_percent = f"{element}_pct_an"
    return (
        Step(eq.percent, {"amount_an": f"{element}_an"}, in_percent),
        Step(to_dry_matter, {"x": in_percent, "dm": "lab_dm"}, element),
    )


ICP = Method(
    id="minerals_icp",
    columns=(
        Column("sample_g", SAMPLES, least=0.01, most=10.0, instrument="balance"),
        Column("dilution", (), may=(*SAMPLES, _K.BLANK), least=1.0, most=10_000.0),
        Column("internal_counts", (), may=_READ),
        *(Column(_column(e), (), may=_READ, least=float("-inf")) for e in ELEMENTS),
        Column("spike_ml", (_K.SPIKE,)),
        Column("spike_mg_per_l", (_K.SPIKE,)),
    ),
    portion=tuple(_portion(element) for element in ELEMENTS),
    leads=tuple(Lead(f"{element}_an", (element,)) for element in ELEMENTS),
    bag=tuple(step for element in ELEMENTS for step in _bag(element)),
    make_up={_K.BLANK: 1, _K.CHECK: 1, _K.VERIFICATION: 2, _K.DUPLICATE: 1},
    equipment=("balance", "dispenser", "reagent"),
    choices=(
        Choice("digest_volume_ml", instrument="dispenser"),
        Choice("internal_reference_counts", usual=0.0),
    ),
    prepare=_prepare,
)
DETERMINATION = Determination(
    id="minerals",
    methods={"icp": ICP},
    cautions=("bench.caution.nitric", "bench.caution.perchloric"),
)
