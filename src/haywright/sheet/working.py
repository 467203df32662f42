"""Working one sample: each quantity given or derived once, with what it was worked from.

What the laboratory gave stands, unless a person chose a method for that quantity by name.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from haywright.measure.analytes import quantity as entry_of
from haywright.measure.basis import AS_RECEIVED, DRY_MATTER, Basis, parse_basis
from haywright.measure.errors import CannotDerive, Refused
from haywright.measure.estimate import Estimate, exact
from haywright.measure.message import Message, message
from haywright.measure.register import Term, apply, resolved
from haywright.measure.result import Evidence, Kind, Result, Results
from haywright.measure.units import convert
from haywright.sheet.families import FAMILIES, family
from haywright.sheet.method import Method
from haywright.sources.crops import Crop

# Quantities that can be derived but are asked for by their own name when they are missing.
_TESTED = ("cp", "dm", "ndfd48", "undf", "nfc")


@dataclass(frozen=True, slots=True)
class Offer:
    """One method of a quantity, held against one sample.

    Parameters
    ----------
    method
        Which.
    meant
        Whether it was made for this crop and these animals.
    result
        What it gives; ``None`` when it cannot be worked.
    refused
        Why it cannot be worked: what is missing, or which input is out of its range.
    """

    method: Method
    meant: bool
    result: Result | None = None
    refused: Message | None = None


@dataclass
class Working:
    """Quantities of one sample, derived when asked for and kept.

    Parameters
    ----------
    results
        What is known, in canonical units on dry matter (dry matter itself as received).
    crop
        The crop, when known; decides which equations are made for it.
    species
        Which animals the sheet speaks of: "cattle", "sheep", "goat" or "horse".
    methods
        Quantity -> method chosen by a person.
    constants
        Values for inputs of equations that have a default, such as ``adicp_threshold``.
    """

    results: Results
    crop: Crop | None = None
    species: str = "cattle"
    methods: Mapping[str, str] = field(default_factory=dict)
    constants: Mapping[str, float] = field(default_factory=dict)
    _done: dict[str, Result] = field(default_factory=dict, repr=False)
    _busy: set[str] = field(default_factory=set, repr=False)

    def result(self, name: str) -> Result:
        """The quantity, given or derived.

        Raises
        ------
        CannotDerive
            With the names of what is missing.
        Refused
            When an input lies outside the range its equation was made for.
        """
        if name not in self._done:
            self._done[name] = self._find(name)
        return self._done[name]

    def _find(self, name: str) -> Result:
        chosen = self.methods.get(name, "")
        if not chosen and name in self.results:
            return self.results[name]
        if name not in FAMILIES or name in self._busy:
            raise CannotDerive(name, [name])
        if chosen:
            return self.by(family(name).method(chosen))
        errors: list[Refused] = []
        for one in family(name).preferred(self.crop, self.species):
            try:
                return self.by(one)
            except Refused as error:
                errors.append(error)
        raise min(errors, key=_nearness, default=CannotDerive(name, [name]))

    def by(self, method: Method) -> Result:
        """The quantity by one method, whatever is preferred."""
        equation = method.equation
        name = equation.output.name
        self._busy.add(name)
        try:
            inputs = self._inputs(method)
        finally:
            self._busy.discard(name)
        numbers = {k: r.value for k, r in inputs.items() if r.settled}
        warnings = equation.warnings(numbers)
        if warnings and method.guarded:
            out = next(k for k in equation.valid if k in numbers)
            raise Refused(out, numbers[out], key="sheet.out_of_reach", warnings=tuple(warnings))
        return self._made(method, inputs, warnings)

    def _inputs(self, method: Method) -> dict[str, Result]:
        """The inputs by name; everything that is missing is named at once."""
        found: dict[str, Result] = {}
        missing: list[str] = []
        for term in method.equation.inputs:
            if term.default is not None and term.name not in self.constants:
                continue
            if term.name in self.constants:
                found[term.name] = _constant(term, self.constants[term.name])
                continue
            try:
                own = method.reported
                found[term.name] = (self.results.need if own else self.result)(term.name)
            except CannotDerive as error:
                missing += (term.name,) if term.name in _TESTED else error.missing
        if missing:
            raise CannotDerive(method.equation.output.name, list(dict.fromkeys(missing)))
        return found

    def _made(
        self, method: Method, inputs: Mapping[str, Result], warnings: list[Message]
    ) -> Result:
        equation = method.equation
        entry = entry_of(equation.output.name)
        terms = {term.name: term for term in resolved(equation)}
        given = {k: _in_unit(r.estimate, r.unit, terms[k].unit) for k, r in inputs.items()}
        try:
            with np.errstate(all="ignore"):
                estimate = apply(equation, given)
        except ZeroDivisionError:
            raise Refused(entry.name, 0, key="sheet.no_number") from None
        if estimate.settled and not math.isfinite(estimate.value):
            raise Refused(entry.name, estimate.value, key="sheet.no_number")
        estimate = _in_unit(estimate, equation.output.unit, entry.unit)
        notes = list(warnings)
        if equation.recalled:  # shown with its mark wherever it goes
            notes.append(message("sheet.recalled", equation=equation.name))
        if not method.made_for_crop(self.crop) and self.crop is not None:
            notes.append(message("sheet.other_crop", equation=equation.name, crop=self.crop.name))
        return Result(
            analyte=entry.id,
            estimate=estimate,
            unit=entry.unit,
            basis=_basis(entry.basis),
            kind=Kind.CALCULATED,
            method=method.name,
            equation=equation.id,
            evidence=_evidence(method, estimate, inputs),
            notes=tuple(notes),
        )

    def marked(self, name: str) -> Result:
        """Like :meth:`result`, but where only recalled equations serve, one of them, marked."""
        try:
            return self.result(name)
        except CannotDerive as error:
            errors: list[Refused] = [error]
            for one in family(name).methods:
                if one.equation.recalled and one.meant_for(self.crop, self.species):
                    try:
                        return self.by(one)
                    except Refused as refusal:
                        errors.append(refusal)
            kept = [e for e in errors if getattr(e, "missing", ()) != (name,)] or errors
            raise min(kept, key=_nearness) from None

    def offers(self, name: str) -> list[Offer]:
        """Every method of a quantity with what it gives for this sample, or why it cannot."""
        found = []
        for one in family(name).methods:
            meant = one.meant_for(self.crop, self.species)
            try:
                found.append(Offer(one, meant, self.by(one)))
            except Refused as error:
                found.append(Offer(one, meant, refused=error.message))
        return found


def _nearness(error: Refused) -> int:
    """How many tests a refused method is away: out of reach counts before any that is missing."""
    return len(getattr(error, "missing", ()))


def derive(
    name: str,
    results: Results,
    *,
    crop: Crop | None = None,
    method: str = "",
    species: str = "cattle",
) -> Result:
    """One quantity of one sample by a chosen or the preferred method; the choice is stored.

    Raises
    ------
    UnknownName
        No such quantity or method.
    CannotDerive
        With the names of what is missing.
    """
    working = Working(results, crop, species)
    return working.by(family(name).method(method)) if method else working.result(name)


def tdn(results: Results, *, crop: Crop | None = None, method: str = "") -> Result:
    """Total digestible nutrients by a chosen or the preferred equation; see :func:`derive`."""
    return derive("tdn", results, crop=crop, method=method)


def methods_for(
    name: str, results: Results, *, crop: Crop | None = None, species: str = "cattle"
) -> list[Method]:
    """The methods that apply to this hay with what was measured, the preferred first."""
    return [
        offer.method
        for offer in Working(results, crop, species).offers(name)
        if offer.meant and offer.result is not None
    ]


def _in_unit(estimate: Estimate, unit: str, wanted: str) -> Estimate:
    if unit == wanted or not unit or not wanted:
        return estimate
    return estimate * convert(1.0, unit, wanted)


def _basis(text: str) -> Basis:
    """The basis of a dictionary entry; shares of protein or NDF go with the dry matter."""
    if text == "as received":
        return AS_RECEIVED
    return parse_basis(text) if text.startswith("90") else DRY_MATTER


def _constant(term: Term, value: float) -> Result:
    entry = entry_of(term.name)
    return Result(term.name, exact(value), entry.unit, kind=Kind.TYPED)


def _evidence(method: Method, estimate: Estimate, inputs: Mapping[str, Result]) -> Evidence:
    equation = method.equation
    entry = entry_of(equation.output.name)
    return Evidence(
        label=message("measure.quantity", id=entry.id),
        value=_shown(estimate),
        unit=entry.unit,
        basis=entry.basis,
        equation=equation.id,
        source=equation.source,
        children=tuple(_leaf(one) for one in inputs.values()),
    )


def _shown(estimate: Estimate) -> float | None:
    """The number of a step; a held one, or one with no end, has none."""
    return estimate.value if math.isfinite(estimate.value) else None


def _leaf(result: Result) -> Evidence:
    return result.evidence or Evidence(
        label=message("measure.quantity", id=result.analyte),
        value=_shown(result.estimate),
        unit=result.unit,
        basis=str(result.basis),
        who=result.laboratory,
    )
