"""The desk: a batch laid out for working, each reading with its doubt and its evidence."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from haywright.bench.batch import Batch, Equipment, Position, PositionKind
from haywright.bench.chain import Known, labelled
from haywright.bench.pattern import Method, chosen
from haywright.measure.estimate import Estimate, Source, exact
from haywright.measure.message import message
from haywright.measure.result import Evidence
from haywright.measure.units import convert

_IN_THEIR_UNIT = {"balance": "g", "dispenser": "mL", "pipette": "mL"}
_SUFFIX = {"_mg": "mg", "_g": "g", "_ml": "mL"}


def unit_of(column: str) -> str:
    """The unit a column's name ends with; "" for a bare signal."""
    for suffix, unit in (("_mg_per_l", "mg/L"), *_SUFFIX.items()):
        if column.endswith(suffix):
            return unit
    return ""


@dataclass(frozen=True)
class Desk:
    """A batch with its method, and the positions whose readings can be used.

    Parameters
    ----------
    batch, method
        What is worked.
    usable
        Positions with every reading they need, not void.
    """

    batch: Batch
    method: Method
    usable: tuple[Position, ...]
    choices: dict[str, str | float] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "choices", chosen(self.batch, self.method))

    def of(self, *kinds: PositionKind) -> tuple[Position, ...]:
        """Usable positions of these kinds."""
        return tuple(one for one in self.usable if one.kind in kinds)

    def number(self, name: str) -> float:
        """A choice that is a number [unit that ends its name]."""
        return float(self.choices[name])

    def text(self, name: str) -> str:
        """A choice that is a word."""
        return str(self.choices[name])

    @cached_property
    def _instruments(self) -> dict[str, Equipment]:
        return {one.kind: one for one in reversed(self.batch.equipment)}

    def instrument_u(self, column: str, kind: str) -> float:
        """Standard uncertainty of one reading of that column [unit of the column]."""
        tool = self._instruments.get(kind)
        if tool is None:
            return 0.0
        own = _IN_THEIR_UNIT.get(kind, "")
        factor = convert(1.0, own, unit_of(column)) if own else 1.0
        return tool.standard_uncertainty() * factor

    def reading(self, position: Position, column: str) -> Known:
        """One reading, with the doubt of the instrument it was read on."""
        instrument = self.method.column(column).instrument
        value = position.readings[column]
        u = self.instrument_u(column, instrument) if instrument else 0.0
        source = Source(
            f"{instrument}:{self.batch.id}:{position.order}:{column}",
            message("bench.source.reading", quantity=message("measure.quantity", id=column)),
        )
        return labelled(column, Estimate.of(value, {source: u}), **self._by(position))

    def _by(self, position: Position | None = None) -> dict[str, str]:
        when = self.batch.run_on.isoformat()
        if position is not None and position.read_at is not None:
            when = position.read_at.isoformat()
        return {"who": self.batch.analyst, "when": when}

    def readings(self, position: Position) -> dict[str, Known]:
        """Every reading of a position that its method knows."""
        names = [one.name for one in self.method.columns]
        return {name: self.reading(position, name) for name in names if position.has(name)}

    def chosen_amount(self, name: str, position: Position) -> Known:
        """A number chosen for the batch, such as an extract volume, as it was met at one place.

        What a certificate leaves open is shared by the whole batch; the scatter of one
        dispensing is not.
        """
        value = self.number(name)
        choice = next(one for one in self.method.choices if one.name == name)
        tool = self._instruments.get(choice.instrument)
        parts: dict[Source, float] = {}
        if tool is not None:
            label = message("bench.source.volume", name=tool.name)
            setting = Source(f"{tool.kind}:{tool.name}", label)
            single = Source(f"{tool.kind}:{self.batch.id}:{position.order}:{name}", label)
            parts = {setting: tool.setting_uncertainty(), single: tool.repeatability}
        return labelled(name, Estimate.of(value, parts), **self._by())

    def given(self, name: str, value: float) -> Known:
        """A number without doubt of its own [unit of the quantity]."""
        return labelled(name, exact(value), **self._by())

    def mean(self, name: str, members: Sequence[Known]) -> Known:
        """Mean of several readings or of values worked from them.

        Its doubt is their scatter over root n, or what their own readings leave open where that
        is larger (two blanks that happen to agree prove little).
        """
        values = [one.value for one in members]
        average = math.fsum(values) / len(values)
        total = members[0].estimate
        for one in members[1:]:
            total = total + one.estimate
        from_readings = total / float(len(members))
        n = len(values)
        if n > 1:
            sd = math.sqrt(math.fsum((v - average) ** 2 for v in values) / (n - 1))
            if sd / math.sqrt(n) > from_readings.u:
                label = message("bench.source.mean", quantity=message("measure.quantity", id=name))
                source = Source(f"mean:{self.batch.id}:{name}", label, df=n - 1)
                from_readings = Estimate.of(average, {source: sd / math.sqrt(n)})
        return labelled(name, from_readings, children=evidence_of(members))


def evidence_of(members: Iterable[Known]) -> tuple[Evidence, ...]:
    """The evidence of several known quantities."""
    return tuple(one.evidence for one in members)
