"""Results of any laboratory on one footing: canonical unit, dry matter, nitrate as nitrate-N.

What was given stays in the evidence of the number that follows from it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from haywright.measure.analytes import quantity
from haywright.measure.basis import AS_RECEIVED, DRY_MATTER, DryMatters, rebase
from haywright.measure.errors import CannotDerive, Refused
from haywright.measure.estimate import Estimate
from haywright.measure.message import message
from haywright.measure.nitrate import NitrateForm, form_factor
from haywright.measure.register import apply
from haywright.measure.result import Evidence, Result, Results
from haywright.measure.units import convert
from haywright.sheet.carbohydrate import dm_from_moisture

# A digestibility of dry matter is a share of it already and does not thin out with water.
_NEVER_RESCALED = ("ivtd48",)


def scales_with_moisture(name: str) -> bool:
    """Whether a quantity is an amount per dry matter, so that it thins out as water is added."""
    return quantity(name).basis == "dry matter" and name not in _NEVER_RESCALED


def normalised(results: Iterable[Result], *, pending: Iterable[str] = ()) -> Results:
    """The results in canonical units on dry matter.

    Raises
    ------
    Refused
        When a result as received or as analysed comes without the dry matter it needs.
    """
    given = {one.analyte: one for one in results}
    if "dm" not in given and "moisture" in given:
        given["dm"] = _dm(given["moisture"])
    dry = DryMatters(
        total=given["dm"].estimate if "dm" in given else None,
        laboratory=given["lab_dm"].estimate if "lab_dm" in given else None,
    )
    return Results([_normal(one, dry) for one in given.values()], pending=pending)


def _dm(moisture: Result) -> Result:
    estimate = apply(dm_from_moisture, {"moisture": moisture.estimate})
    return replace(moisture, analyte="dm", estimate=estimate, basis=AS_RECEIVED)


def _normal(one: Result, dry: DryMatters) -> Result:
    entry = quantity(one.analyte)
    estimate, form = one.estimate, one.form
    if one.unit != entry.unit and one.unit and entry.unit:
        estimate = _times(estimate, convert(1.0, one.unit, entry.unit))
    if one.analyte == "nitrate_n" and form is not None and form is not NitrateForm.NO3_N:
        estimate = _times(estimate, form_factor(form, NitrateForm.NO3_N))
        form = NitrateForm.NO3_N
    basis = one.basis
    if scales_with_moisture(one.analyte) and basis != DRY_MATTER:
        estimate, basis = _to_dry(one, estimate, dry), DRY_MATTER
    if estimate is one.estimate and form is one.form and basis == one.basis:
        return one
    return replace(
        one,
        estimate=estimate,
        unit=entry.unit,
        basis=basis,
        form=form,
        evidence=_restated(one, estimate),
    )


def _to_dry(one: Result, estimate: Estimate, dry: DryMatters) -> Estimate:
    try:
        dry_matter: Estimate = rebase(estimate, one.basis, DRY_MATTER, dry=dry)
    except CannotDerive:
        key, name = "sheet.needs_dry_matter", quantity(one.analyte).name
        raise Refused(name, str(one.basis), key=key) from None
    return dry_matter


def _times(estimate: Estimate, factor: float) -> Estimate:
    """The estimate in another unit; a limit stays a limit."""
    if estimate.limit is None:
        return estimate * factor
    limit, definition = estimate.limit.value * factor, estimate.limit.definition
    raw = estimate.value * factor
    if estimate.high == estimate.limit.value:
        parts = {source: u * factor for source, u in estimate.parts.items()}
        return Estimate.below(limit, definition, raw=raw, parts=parts)
    return Estimate.above(limit, definition, raw=raw)


def _restated(one: Result, estimate: Estimate) -> Evidence:
    given = one.evidence or Evidence(
        label=message("measure.quantity", id=one.analyte),
        value=one.value,
        unit=f"{one.unit} {one.form.value}" if one.form else one.unit,
        basis=str(one.basis),
        who=one.laboratory,
    )
    entry = quantity(one.analyte)
    return Evidence(
        label=message("sheet.restated", quantity=message("measure.quantity", id=one.analyte)),
        value=estimate.value,
        unit=entry.unit,
        basis=entry.basis,
        children=(given,),
    )
