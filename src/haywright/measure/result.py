"""Results: a number with everything that makes it defensible."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from haywright.measure.basis import DRY_MATTER, Basis, parse_basis
from haywright.measure.errors import CannotDerive
from haywright.measure.estimate import Estimate, State
from haywright.measure.message import Message
from haywright.measure.nitrate import NitrateForm


class Kind(StrEnum):
    """Where a number comes from; printed beside it."""

    MEASURED = "measured"
    PREDICTED = "predicted"
    CALCULATED = "calculated"
    OTHER_LABORATORY = "another laboratory"
    TYPED = "typed in"


@dataclass(frozen=True, slots=True)
class Evidence:
    """How one number came about: an equation, its inputs and their evidence, down to readings.

    Parameters
    ----------
    label
        Message naming the step, or a dictionary name.
    value
        Number at this step; ``None`` for a step without one.
    unit, basis
        Of the value.
    equation, source
        Register id and bibliography key, when there is one.
    who, when
        Who read or reviewed it and at what instant (ISO 8601), when known.
    children
        What it was made from.
    """

    label: Message | str
    value: float | None = None
    unit: str = ""
    basis: str = ""
    equation: str = ""
    source: str = ""
    who: str = ""
    when: str = ""
    children: tuple[Evidence, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values, empty fields left out."""
        out: dict[str, Any] = {
            "label": self.label.to_json() if isinstance(self.label, Message) else self.label
        }
        for name in ("value", "unit", "basis", "equation", "source", "who", "when"):
            held = getattr(self, name)
            if held not in ("", None):
                out[name] = held
        if self.children:
            out["children"] = [child.to_json() for child in self.children]
        return out

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Evidence:
        """Read back what :meth:`to_json` wrote."""
        label = data["label"]
        fields = {k: v for k, v in data.items() if k not in ("label", "children")}
        return cls(
            label=Message.from_json(label) if isinstance(label, Mapping) else label,
            children=tuple(cls.from_json(child) for child in data.get("children", ())),
            **fields,
        )


_TEXTS = ("method", "equation", "laboratory", "report", "dated")


@dataclass(frozen=True, slots=True)
class Result:
    """One result of one sample.

    Parameters
    ----------
    analyte
        Dictionary name.
    estimate
        The number with its doubt, in ``unit`` on ``basis``.
    unit, basis, form
        Unit name, basis, and the chemical form for nitrate.
    kind
        Measured, predicted, calculated, another laboratory's, typed in.
    method
        Name of the laboratory method, when one was named.
    equation
        Register id, for a calculated value.
    laboratory, report, dated
        Whose result it is, on which report, and the day that bears (ISO 8601).
    evidence
        How it came about.
    notes
        Cautions and remarks that travel with it.
    """

    analyte: str
    estimate: Estimate
    unit: str
    basis: Basis = DRY_MATTER
    kind: Kind = Kind.MEASURED
    form: NitrateForm | None = None
    method: str = ""
    equation: str = ""
    laboratory: str = ""
    report: str = ""
    dated: str = ""
    evidence: Evidence | None = None
    notes: tuple[Message, ...] = ()

    @property
    def value(self) -> float:
        """The number, in ``unit`` on ``basis``."""
        return self.estimate.value

    @property
    def settled(self) -> bool:
        """Whether the number is an ordinary one: not held, not beyond a limit."""
        return self.estimate.settled

    def with_notes(self, *notes: Message) -> Result:
        """The same result with further remarks."""
        return replace(self, notes=(*self.notes, *notes))

    def to_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        out: dict[str, Any] = {
            "analyte": self.analyte,
            **self.estimate.to_json(),
            "unit": self.unit,
            "basis": str(self.basis),
            "kind": self.kind.value,
        }
        for name in _TEXTS:
            if getattr(self, name):
                out[name] = getattr(self, name)
        if self.form is not None:
            out["form"] = self.form.value
        if self.evidence is not None:
            out["evidence"] = self.evidence.to_json()
        if self.notes:
            out["notes"] = [note.to_json() for note in self.notes]
        return out

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Result:
        """Read back what :meth:`to_json` wrote."""
        texts = {n: data.get(n, "") for n in _TEXTS}
        return cls(
            analyte=data["analyte"],
            estimate=Estimate.from_json(data),
            unit=data["unit"],
            basis=parse_basis(data["basis"]),
            kind=Kind(data["kind"]),
            form=NitrateForm(data["form"]) if "form" in data else None,
            evidence=Evidence.from_json(data["evidence"]) if "evidence" in data else None,
            notes=tuple(Message.from_json(n) for n in data.get("notes", ())),
            **texts,
        )


class Results(Mapping[str, Result]):
    """The results of one sample by dictionary name; what is pending is known by name too."""

    def __init__(self, results: Iterable[Result] = (), *, pending: Iterable[str] = ()) -> None:
        self._by_name = {one.analyte: one for one in results}
        self.pending = tuple(name for name in pending if name not in self._by_name)

    def __getitem__(self, analyte: str) -> Result:
        return self._by_name[analyte]

    def __iter__(self) -> Iterator[str]:
        return iter(self._by_name)

    def __len__(self) -> int:
        return len(self._by_name)

    def need(self, analyte: str, *, wanted: str = "") -> Result:
        """The result, or an error that names what is missing for what."""
        if analyte not in self._by_name:
            raise CannotDerive(wanted or analyte, [analyte])
        return self._by_name[analyte]

    def have(self, *analytes: str) -> bool:
        """Whether all of them are here and not held."""
        return all(
            name in self._by_name and self._by_name[name].estimate.state is not State.HELD
            for name in analytes
        )

    def with_results(self, *more: Result) -> Results:
        """A copy with further results; one of the same name replaces."""
        return Results([*self._by_name.values(), *more], pending=self.pending)
