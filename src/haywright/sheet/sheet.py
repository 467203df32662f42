"""The test sheet: what was measured, what follows, and what to mind, for one sample.

Pure: results and choices in, a Sheet out. Versions, snapshots and signatures belong to whoever
keeps sheets; a sheet written again from the same results and choices is the same sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

from haywright.measure.analytes import quantity
from haywright.measure.basis import from_dry_matter
from haywright.measure.errors import Refused
from haywright.measure.estimate import Estimate, State
from haywright.measure.message import Amount, Message, message
from haywright.measure.register import apply
from haywright.measure.result import Kind, Result, Results
from haywright.sheet.choices import Choices
from haywright.sheet.energy_rows import EnergyRow, energy_rows, reported_energy
from haywright.sheet.families import family
from haywright.sheet.grades import Grade, Scale, grade, hay_type, scale, scale_names
from haywright.sheet.normal import normalised, scales_with_moisture
from haywright.sheet.plausibility import Flag, check, check_reported, limits
from haywright.sheet.usual import Usual, usual_hay
from haywright.sheet.working import Working
from haywright.sources.crops import Crop

Form = Literal["cured_hay", "standing_crop", "cornstalks", "baleage"]

_FOR_ALL = ("dm", "cp", "om", "nfc", "nsc", "fructan", "hemicellulose", "cellulose", "ndfd48",
            "dndf", "external_ash", "cp_less_nitrate", "adicp_share", "cp_available",
            "cp_adjusted", "ca_to_p", "dcad")  # fmt: skip
_FOR_RUMINANTS = ("tdn", "tdn_90", "de", "me", "nem", "neg", "nel", "ddm", "dmi_bw", "rfv", "rfq",
                  "dcp", "mp", "tetany_ratio")  # fmt: skip
_FOR_HORSES = ("horse_de",)
_MINERALS = ("ca", "p", "mg", "k", "na", "cl", "s")
_WORTH_A_POINT = 0.5


@dataclass(frozen=True, slots=True)
class NotDerived:
    """A quantity that could not be worked out, and why: what is missing, or out of reach."""

    quantity: str
    why: Message
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Large:
    """One of the five numbers that stand large; without a result, why there is none."""

    quantity: str
    result: Result | None
    why: Message | None = None


@dataclass(frozen=True)
class Sheet:
    """One sample's test sheet.

    Parameters
    ----------
    crop, form, choices
        What it was written for and with.
    measured
        Results as they came, in canonical units on dry matter; a laboratory's own TDN, net
        energy or index stays here as it was reported.
    derived
        What follows from them, each with its equation, uncertainty, evidence and notes.
    not_derived
        What could not be worked out, with what is missing.
    energy
        The same sample under each TDN equation.
    grades
        The hay on each scale that speaks of it; the chosen scale first.
    flags
        Rules of belief that were broken.
    remarks
        What else has to be said, such as a laboratory's energy that was kept.
    usual
        Usual hay of this crop beside it.
    cp_counted
        The protein a plan counts: less nitrate nitrogen where that takes off more than half a
        point; ``None`` without protein.
    large
        The five numbers that stand large.
    """

    crop: Crop
    form: Form
    choices: Choices
    measured: Results
    derived: Results
    not_derived: tuple[NotDerived, ...]
    energy: tuple[EnergyRow, ...]
    grades: tuple[Grade, ...]
    flags: tuple[Flag, ...]
    remarks: tuple[Message, ...]
    usual: Mapping[str, Usual]
    cp_counted: Result | None
    large: tuple[Large, ...]

    @property
    def pending(self) -> tuple[str, ...]:
        """Tests still to come."""
        return self.measured.pending

    @property
    def held(self) -> tuple[str, ...]:
        """Results that quality control has not let through."""
        return tuple(n for n, r in self.measured.items() if r.estimate.state is State.HELD)

    @property
    def interim(self) -> bool:
        """Whether the sheet must be printed as interim."""
        return bool(self.pending or self.held)

    @property
    def cp_less_nitrate(self) -> Result | None:
        """Protein less nitrate nitrogen, where it differs by more than half a point."""
        counted = self.cp_counted
        return counted if counted is not None and counted.analyte == "cp_less_nitrate" else None

    def get(self, name: str) -> Result | None:
        """The result to use of a quantity: derived where it was, else as it came."""
        return self.derived.get(name) or self.measured.get(name)

    @cached_property
    def as_received(self) -> Mapping[str, Estimate]:
        """Every amount per dry matter restated on the hay as received (baleage: as fed).

        Dry matter that went into a result cancels where it is the same dry matter. Empty without
        a dry matter. Indices, ratios and digestibilities are not restated.
        """
        dm = self.get("dm")
        if dm is None or dm.estimate.state is State.HELD:
            return {}
        return {
            name: apply(from_dry_matter, {"x_dm": one.estimate, "dm": dm.estimate})
            for results in (self.measured, self.derived)
            for name, one in results.items()
            if scales_with_moisture(name)
        }

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return {
            "crop": self.crop.id,
            "form": self.form,
            "choices": self.choices.to_json(),
            "interim": self.interim,
            "pending": list(self.pending),
            "held": list(self.held),
            "measured": [one.to_json() for one in self.measured.values()],
            "derived": [one.to_json() for one in self.derived.values()],
            "as_received": {n: _plain(e) for n, e in self.as_received.items()},
            "not_derived": [
                {"quantity": one.quantity, "missing": list(one.missing), "why": one.why.to_json()}
                for one in self.not_derived
            ],
            "energy_by_equation": [row.to_json() for row in self.energy],
            "grades": [one.to_json() for one in self.grades],
            "flags": [flag.to_json() for flag in self.flags],
            "remarks": [one.to_json() for one in self.remarks],
            "usual": {name: one.to_json() for name, one in self.usual.items()},
            "cp_counted": None if self.cp_counted is None else self.cp_counted.analyte,
            "large": [
                {
                    "quantity": one.quantity,
                    "value": None if one.result is None else _plain(one.result.estimate)["value"],
                    "why": None if one.why is None else one.why.to_json(),
                }
                for one in self.large
            ],
        }


def write_sheet(
    results: Results | Iterable[Result],
    crop: Crop,
    choices: Choices | None = None,
    *,
    form: Form = "cured_hay",
    flags: Iterable[Flag] = (),
) -> Sheet:
    """Write the test sheet of one sample.

    Parameters
    ----------
    results
        Any laboratory's results with unit, basis and form; names still pending come with them.
    crop
        The crop; decides which equations are made for it, which grades and which usual hay.
    choices
        Methods, scale, rules; the defaults rest on what was read.
    form
        cured_hay, standing_crop, cornstalks or baleage.
    flags
        Found already, such as two columns of a report that disagree.

    Raises
    ------
    Refused
        When a result on another basis comes without the dry matter that restates it.
    """
    choices = choices or Choices()
    pending = results.pending if isinstance(results, Results) else ()
    given = results.values() if isinstance(results, Results) else results
    measured = normalised(given, pending=pending)
    working = Working(measured, crop, choices.species, choices.methods, choices.constants)
    derived, not_derived = _derived(working)
    every = {**measured, **derived}
    ruminant = choices.species != "horse"
    return Sheet(
        crop=crop,
        form=form,
        choices=choices,
        measured=measured,
        derived=Results(derived.values()),
        not_derived=tuple(not_derived),
        energy=energy_rows(working) if ruminant else (),
        grades=_grades(working, crop, choices, form),
        flags=(*flags, *check(_numbers(every), forage_class=crop.forage_class, form=form),
               *check_reported(working, _reported(measured))),
        remarks=(*(reported_energy(working) if ruminant else ()), *_remarks(every, crop)),
        usual=_usual(every, crop, form),
        cp_counted=_counted(every),
        large=_large(every, measured, not_derived, horse=not ruminant),
    )  # fmt: skip


def _derived(working: Working) -> tuple[dict[str, Result], list[NotDerived]]:
    found: dict[str, Result] = {}
    not_found: list[NotDerived] = []
    wanted = _FOR_HORSES if working.species == "horse" else _FOR_RUMINANTS
    for name in (*_FOR_ALL, *wanted):
        if name in working.results and name not in working.methods:
            continue
        try:
            found[name] = working.marked(name)
        except Refused as error:
            missing = getattr(error, "missing", ())
            not_found.append(NotDerived(name, error.message, missing))
    return found, not_found


def _numbers(every: Mapping[str, Result]) -> dict[str, float]:
    return {name: one.value for name, one in every.items() if one.settled}


def _reported(measured: Results) -> dict[str, float]:
    """TDN and RFV as a laboratory printed them."""
    printed = {name: measured[name] for name in ("tdn", "rfv") if name in measured}
    return {
        name: one.value
        for name, one in printed.items()
        if one.settled and one.kind is not Kind.CALCULATED
    }


def _grades(working: Working, crop: Crop, choices: Choices, form: Form) -> tuple[Grade, ...]:
    """The hay on every scale that speaks of it; the scales are made for cured hay."""
    names = sorted(scale_names(), key=lambda name: name != choices.scale)
    scales = [scale(name, hay_type(crop)) for name in names] if form == "cured_hay" else []
    found = [
        grade(
            _measures(working, one),
            one,
            headline=choices.headline,
            tie=choices.tie,
            gap=choices.gap,
            confidence=choices.confidence,
        )
        for one in scales
        if one is not None
    ]
    return tuple(one for one in found if one.by_measure)


def _measures(working: Working, one: Scale) -> dict[str, Estimate]:
    """What a scale places, each by the equation the scale was printed with."""
    found = {}
    for measure, bands in one.bands.items():
        try:
            if bands.equation:
                result = working.by(family(measure).method(bands.equation))
            else:
                result = working.result(measure)
        except Refused:
            continue
        if result.settled:
            found[measure] = result.estimate
    return found


def _remarks(every: Mapping[str, Result], crop: Crop) -> Iterator[Message]:
    """What has to be said of the numbers beside the rules of belief."""
    v = _numbers(every)
    table = limits()["remarks"]
    if v.get("neg") == 0.0:
        yield message("sheet.no_gain")
    if v.get("cp", 0.0) > table["cp_test_nitrate"] and "nitrate_n" not in every:
        yield message("sheet.high_protein", value=_amount("cp", v["cp"]))
    if v.get("adicp_share", 0.0) > table["adicp_heated"]:
        yield message("sheet.heated", share=_amount("adicp_share", v["adicp_share"]))
    soil = table["ash_soil"].get(crop.forage_class)
    if soil is not None and v.get("ash", 0.0) > soil and "ndfom" not in every:
        yield message("sheet.soil", value=_amount("ash", v["ash"]))
    if any(every[m].kind is Kind.PREDICTED for m in _MINERALS if m in every):
        yield message("sheet.nir_minerals")


def _amount(name: str, value: float) -> Amount:
    entry = quantity(name)
    return Amount(value, entry.unit, entry.basis, analyte=name)


def _counted(every: Mapping[str, Result]) -> Result | None:
    less = every.get("cp_less_nitrate")
    if less is None or "cp" not in every:
        return every.get("cp")
    gap = every["cp"].estimate - less.estimate
    most = gap.value if gap.settled else gap.high
    return less if most > _WORTH_A_POINT else every["cp"]


def _usual(every: Mapping[str, Result], crop: Crop, form: Form) -> dict[str, Usual]:
    """Usual hay; the dry matter of a table of hay says nothing about baleage or a standing crop."""
    found = usual_hay(Results(every.values()), crop)
    return found if form == "cured_hay" else {n: u for n, u in found.items() if n != "dm"}


def _large(
    every: Mapping[str, Result], measured: Results, not_derived: list[NotDerived], *, horse: bool
) -> tuple[Large, ...]:
    """Dry matter, protein, energy, nitrate and one index; for horses sugar and starch."""
    energy, index = ("horse_de", "nsc") if horse else ("tdn", "rfv")
    out = [Large(name, every.get(name)) for name in ("dm", "cp", energy, "nitrate_n")]
    reasons = {
        one.quantity: one.why
        for one in not_derived
        if one.quantity in (energy, index) and one.missing != (one.quantity,)
    }
    if index in every or index in reasons:
        out.append(Large(index, every.get(index)))
    else:  # no index is made for this crop: fiber stands in, since it limits what stock eat
        out.append(Large("ndf", every.get("ndf"), message("sheet.no_index")))
    return tuple(_stood(one, measured, reasons) for one in out)


def _stood(one: Large, measured: Results, reasons: Mapping[str, Message]) -> Large:
    """A number that rests on memory alone stands below with its mark, never large."""
    result = one.result
    if result is None:
        return Large(one.quantity, None, _why(one, measured, reasons))
    if "sheet.recalled" in [note.key for note in result.notes]:
        return Large(one.quantity, None, message("sheet.only_recalled"))
    return one


def _why(one: Large, measured: Results, reasons: Mapping[str, Message]) -> Message:
    if one.quantity in measured.pending:
        return message("sheet.still_to_come")
    return reasons.get(one.quantity, message("sheet.not_tested"))


def _plain(estimate: Estimate) -> dict[str, Any]:
    value = estimate.to_json()
    return {k: value[k] for k in ("value", "u", "state") if k in value}
