"""The equation book: the modules that declare equations, and one equation worked by hand."""

from __future__ import annotations

import importlib
import math
import pkgutil
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from haywright.measure.errors import CannotDerive, Refused, UnknownName
from haywright.measure.message import Amount, Message, message
from haywright.measure.parse import parse_number
from haywright.measure.register import Equation, all_equations, get, resolved
from haywright.sources.bibliography import cite

PLACES = ("measure", "stack", "bag", "bench", "sheet", "bunk", "gate")


@lru_cache(maxsize=1)
def modules() -> tuple[str, ...]:
    """Every module of the places; the ones that declare equations are among them."""
    found = []
    for place in PLACES:
        package = importlib.import_module(f"haywright.{place}")
        found += [
            info.name for info in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
        ]
    return tuple(found)


def equation_book() -> list[Equation]:
    """Every equation there is, by id."""
    for name in modules():
        importlib.import_module(name)
    return all_equations()


@dataclass(frozen=True, slots=True)
class Worked:
    """One equation with numbers put in.

    Parameters
    ----------
    equation
        Which one.
    inputs
        Name -> number in the unit of the declaration.
    value
        What came out, in the unit of the output.
    warnings
        Inputs outside the range it was made for.
    """

    equation: Equation
    inputs: dict[str, float]
    value: float
    warnings: tuple[Message, ...]

    def to_json(self) -> dict[str, Any]:
        """The working as plain JSON values."""
        out = self.equation.output
        return {
            "id": self.equation.id,
            "inputs": self.inputs,
            "value": self.value if math.isfinite(self.value) else None,
            "unit": out.unit,
            "basis": out.basis,
            "source": self.equation.source,
            "kind": self.equation.mark.value,
            "warnings": [one.to_json() for one in self.warnings],
        }

    def lines(self) -> list[Message]:
        """The working in words: name, inputs, result, source, warnings."""
        eq = self.equation
        given = [
            message(
                "way.work.input",
                name=term.name,
                quantity=message("measure.quantity", id=term.name),
                value=Amount(
                    self.inputs[term.name], term.unit, digits=_decimals(self.inputs[term.name])
                ),
                basis=term.basis,
            )
            for term in resolved(eq)
            if term.name in self.inputs
        ]
        result = message(
            "way.work.result",
            quantity=message("measure.quantity", id=eq.output.name),
            value=Amount(self.value, eq.output.unit, digits=4),
            basis=eq.output.basis,
        )
        source = message(
            "way.work.source",
            line=cite(eq.source).line,
            mark=message(f"way.mark.{eq.mark.value}"),
        )
        head = message("way.work.head", name=eq.name, id=eq.id)
        return [head, *given, result, source, *self.warnings]


def _decimals(value: float) -> int:
    text = f"{value:.6g}"
    return len(text.partition(".")[2]) if "." in text and "e" not in text else 0


def worked(equation_id: str, values: Sequence[str]) -> Worked:
    """Work one equation on "name=value" texts.

    Raises
    ------
    UnknownName
        No such equation or input.
    CannotDerive
        Inputs missing; they are named.
    Refused
        A value that is not a number, or a result that is not one.
    """
    try:
        eq = get(equation_id)
    except UnknownName:
        raise UnknownName("equation", equation_id, [one.id for one in equation_book()]) from None
    inputs = _inputs(eq, values)
    missing = [t.name for t in eq.inputs if t.default is None and t.name not in inputs]
    if missing:
        raise CannotDerive(eq.output.name, missing)
    try:
        value = float(eq.fn(**inputs))
    except (ZeroDivisionError, OverflowError, ValueError):
        value = math.nan
    if not math.isfinite(value):
        raise Refused(eq.output.name, ", ".join(values), key="way.work.no_number")
    return Worked(eq, inputs, value, tuple(eq.warnings(inputs)))


def _inputs(eq: Equation, values: Sequence[str]) -> dict[str, float]:
    inputs: dict[str, float] = {}
    for text in values:
        name, equals, number = text.partition("=")
        if not equals:
            raise Refused("input", text, key="way.work.name_value")
        inputs[eq.term(name.strip()).name] = parse_number(number)
    return inputs
