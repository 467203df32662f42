"""The whole sheet over arrays: one crop, one set of choices, as many samples as memory holds.

The same equation functions, grades and rules as for one sample, worked block by block, so that
memory stays at inputs and outputs. Equations are chosen by which columns there are; a sample
without a value (NaN) has NaN where the value is needed, and is not judged by rules that need it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from operator import itemgetter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from haywright.measure.analytes import quantity
from haywright.measure.errors import CannotDerive, Refused
from haywright.measure.register import resolved
from haywright.measure.units import convert
from haywright.sheet.choices import Choices
from haywright.sheet.families import FAMILIES, family
from haywright.sheet.grades import HEADLINES, NO_CLASS, Bands, Scale, codes, hay_type, scale
from haywright.sheet.method import Method
from haywright.sheet.plausibility import bits
from haywright.sources.crops import Crop

WANTED = ("tdn", "de", "me", "nem", "neg", "nel", "ddm", "dmi_bw", "rfv", "rfq")
BLOCK = 1 << 14
Columns = Mapping[str, NDArray[np.float64]]


@dataclass(frozen=True, slots=True)
class Step:
    """One column to work out: by which method, from which columns."""

    name: str
    method: Method
    inputs: tuple[str, ...]
    scales: tuple[tuple[str, float], ...]
    factor: float

    def work(self, columns: Mapping[str, Any]) -> Any:
        """The column for one block; out of the guarded range it is NaN."""
        given = {name: columns[name] for name in self.inputs}
        for name, by in self.scales:
            given[name] = given[name] * by
        out = self.method.equation.fn(**given)
        if self.factor != 1.0:
            out = out * self.factor
        if self.method.guarded:
            for name, (least, most) in self.method.equation.valid.items():
                outside = (given[name] < least) | (given[name] > most)
                if outside.any():
                    out[outside] = np.nan
        return out


@dataclass(frozen=True)
class WholeSheet:
    """Columns of many samples.

    Parameters
    ----------
    columns
        Quantity -> values, canonical units.
    grades
        Measure -> class codes of the chosen scale (0 the best, -1 none); "headline" by the
        headline rule; "agree" 1 where all measures with a class say the same. Empty where no
        scale speaks of the crop.
    flags
        One bit per rule P1 to P12 (:data:`haywright.sheet.plausibility.BITS`).
    methods
        Quantity -> method used.
    scale
        The scale of the codes.
    """

    columns: Columns
    grades: Mapping[str, NDArray[np.int8]]
    flags: NDArray[np.uint16]
    methods: Mapping[str, str]
    scale: Scale | None


def whole_sheet(
    columns: Columns,
    crop: Crop,
    choices: Choices | None = None,
    *,
    form: str = "cured_hay",
    block: int = BLOCK,
) -> WholeSheet:
    """Sheets of many samples of one crop.

    Parameters
    ----------
    columns
        Quantity -> array [canonical unit; % of dry matter for the major constituents].
    crop, choices, form
        As for one sheet.
    block
        Samples worked at a time.

    Raises
    ------
    Refused
        Columns of different lengths, or none.
    """
    choices = choices or Choices()
    n = _length(columns)
    steps = plan(columns, crop, choices)
    chosen = scale(choices.scale, hay_type(crop)) if form == "cured_hay" else None
    placing = list(_placing(chosen, columns, steps)) if chosen else []
    one_measure = chosen is not None and len(chosen.bands) == 1
    out = {step.name: np.empty(n) for step in steps if step.name in WANTED}
    grades = {name: np.empty(n, np.int8) for name in _grade_columns(placing)}
    flags = np.empty(n, np.uint16)
    for start in range(0, n, block):
        part = slice(start, min(start + block, n))
        have: dict[str, Any] = {name: column[part] for name, column in columns.items()}
        with np.errstate(divide="ignore", invalid="ignore"):
            for step in steps:
                have[step.name] = step.work(have)
                if step.name in out:
                    out[step.name][part] = have[step.name]
            _place(placing, have, grades, part, choices, one_measure=one_measure)
            flags[part] = bits(have, forage_class=crop.forage_class, form=form)
    methods = {step.name: step.method.name for step in steps}
    return WholeSheet(out, grades, flags, methods, chosen)


def plan(columns: Columns, crop: Crop, choices: Choices) -> list[Step]:
    """The steps that work out what the columns allow, in order."""
    steps: dict[str, Step] = {}
    for name in (*WANTED, "nfc"):
        try:
            _add(name, columns, crop, choices, steps, set())
        except CannotDerive:
            continue
    return list(steps.values())


def _add(
    name: str,
    columns: Columns,
    crop: Crop,
    choices: Choices,
    steps: dict[str, Step],
    busy: set[str],
) -> None:
    """Add the steps of one quantity, those it needs first; what is there or chosen stands."""
    picked = choices.methods.get(name, "")
    if name in steps or (name in columns and not picked):
        return
    if name not in FAMILIES or name in busy:
        raise CannotDerive(name, [name])
    for method in _candidates(name, picked, crop, choices):
        inputs = [t.name for t in method.equation.inputs if t.default is None]
        tried = dict(steps)
        try:
            if method.reported and not set(inputs) <= set(columns):
                continue
            for one in inputs:
                _add(one, columns, crop, choices, tried, busy | {name})
        except CannotDerive:
            continue
        steps |= tried
        steps[name] = _step(name, method, tuple(inputs))
        return
    raise CannotDerive(name, [name])


def _candidates(name: str, picked: str, crop: Crop, choices: Choices) -> list[Method]:
    if picked:
        return [family(name).method(picked)]
    recalled = [
        one
        for one in family(name).methods
        if one.equation.recalled and one.meant_for(crop, choices.species)
    ]
    preferred = family(name).preferred(crop, choices.species)
    return preferred if name != "rfq" else [*preferred, *recalled]


def _step(name: str, method: Method, inputs: tuple[str, ...]) -> Step:
    terms = {term.name: term for term in resolved(method.equation)}
    scales = tuple(
        (one, convert(1.0, quantity(one).unit, terms[one].unit))
        for one in inputs
        if terms[one].unit and terms[one].unit != quantity(one).unit
    )
    out = method.equation.output.unit
    wanted = quantity(name).unit
    factor = convert(1.0, out, wanted) if out and out != wanted else 1.0
    return Step(name, method, inputs, scales, factor)


Placing = tuple[Bands, Callable[[Mapping[str, Any]], Any]]


def _placing(chosen: Scale, columns: Columns, steps: list[Step]) -> Iterator[Placing]:
    """For each measure of a scale, where its values come from."""
    known = {*columns, *(step.name for step in steps)}
    for measure, bands in chosen.bands.items():
        if bands.equation:
            method = family(measure).method(bands.equation)
            inputs = tuple(t.name for t in method.equation.inputs)
            if known.issuperset(inputs):
                yield bands, _step(measure, method, inputs).work
        elif measure in known:
            yield bands, itemgetter(measure)


def _grade_columns(placing: list[Placing]) -> list[str]:
    return [*(bands.measure for bands, _ in placing), "headline", "agree"] if placing else []


def _place(
    placing: list[Placing],
    have: Mapping[str, Any],
    grades: Mapping[str, NDArray[np.int8]],
    part: slice,
    choices: Choices,
    *,
    one_measure: bool,
) -> None:
    """Class codes of one block, by measure, by the headline rule, and whether they agree."""
    found: dict[str, Any] = {}
    for bands, values in placing:
        found[bands.measure] = codes(bands, values(have), tie=choices.tie, gap=choices.gap)
        grades[bands.measure][part] = found[bands.measure]
    if not found:
        return
    every = list(found.values())
    wanted = [found[m] for m in HEADLINES[choices.headline] if m in found]
    if one_measure:
        wanted = every
    grades["headline"][part] = _worst(wanted) if wanted else NO_CLASS
    agree = np.ones(len(every[0]), bool)
    for one in every[1:]:
        agree &= one == every[0]
    grades["agree"][part] = agree


def _worst(found: list[Any]) -> Any:
    out = found[0]
    for one in found[1:]:
        out = np.maximum(out, one)
    return out


def _length(columns: Columns) -> int:
    lengths = {len(column) for column in columns.values()}
    if len(lengths) != 1:
        raise Refused("columns", sorted(lengths), key="sheet.columns_differ")
    return lengths.pop()
