"""The register: an equation is declared once and known everywhere.

An equation is an ordinary function over floats or NumPy arrays with one output. The decorator
records what a reader needs to check it; from that one declaration come the equation book, the
``equations`` and ``work`` commands, the evidence drawer and the warnings about range.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, TypeVar

from haywright.measure.errors import Refused, UnknownName
from haywright.measure.message import Amount, Message, message

F = TypeVar("F", bound=Callable[..., Any])


class Mark(StrEnum):
    """How well an equation is known here."""

    READ = "read"
    CONFIRMED = "recalled_confirmed"
    RECALLED = "recalled"
    PRACTICE = "practice"
    DEFINITION = "definition"
    DERIVED = "derived"


@dataclass(frozen=True, slots=True)
class Term:
    """An input or the output of an equation: its name, unit and basis."""

    name: str
    unit: str
    basis: str = ""
    default: float | None = None


@dataclass(frozen=True, slots=True)
class Equation:
    """One declared equation.

    Parameters
    ----------
    id
        "place.module.function".
    name
        Plain name, as printed.
    inputs, output
        Terms with unit and basis.
    source
        Key into the bibliography.
    mark
        How well it is known: read, recalled, practice, definition, derived.
    species, crops
        What it is meant for; empty when for all.
    valid
        Input name -> (least, most) of the range it was made for.
    fn
        The function itself.
    """

    id: str
    name: str
    inputs: tuple[Term, ...]
    output: Term
    source: str
    mark: Mark
    fn: Callable[..., Any]
    species: tuple[str, ...] = ()
    crops: tuple[str, ...] = ()
    valid: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    @property
    def recalled(self) -> bool:
        """Whether the equation rests on memory alone and must be shown with its mark."""
        return self.mark is Mark.RECALLED

    def warnings(self, inputs: Mapping[str, float]) -> list[Message]:
        """A message for each input outside the range the equation was made for."""
        units = {term.name: term.unit for term in resolved(self)} if self.valid else {}
        return [
            message(
                "measure.outside_range",
                equation=self.name,
                quantity=message("measure.quantity", id=name),
                value=Amount(float(inputs[name]), units[name], analyte=name),
                least=least,
                most=most,
            )
            for name, (least, most) in self.valid.items()
            if name in inputs and not least <= float(inputs[name]) <= most
        ]

    def term(self, name: str) -> Term:
        """The input of that name."""
        for one in self.inputs:
            if one.name == name:
                return one
        raise UnknownName("input", name, [one.name for one in self.inputs])


_REGISTER: dict[str, Equation] = {}


def equation(
    *,
    name: str,
    output: tuple[str, str, str],
    source: str,
    mark: str,
    species: tuple[str, ...] = (),
    crops: tuple[str, ...] = (),
    valid: Mapping[str, tuple[float, float]] | None = None,
    units: Mapping[str, str] | None = None,
) -> Callable[[F], F]:
    """Declare an equation; the function stays an ordinary function.

    Parameters
    ----------
    name
        Plain name, as printed.
    output
        (dictionary name, unit, basis).
    source
        Bibliography key.
    mark
        One of :class:`Mark`.
    species, crops
        What it is meant for.
    valid
        Input name -> (least, most).
    units
        "unit" or "unit of basis" for inputs that differ from, or are not in, the dictionary.
    """

    def declare(fn: F) -> F:
        where = fn.__module__.removeprefix("haywright.")
        one = Equation(
            id=f"{where}.{fn.__name__}",
            name=name,
            inputs=_terms(fn, units or {}),
            output=Term(*output),
            source=source,
            mark=Mark(mark),
            fn=fn,
            species=species,
            crops=crops,
            valid=dict(valid or {}),
        )
        if one.id in _REGISTER and _REGISTER[one.id].fn.__code__ is not fn.__code__:
            raise Refused("equation", one.id, key="measure.equation_twice")
        _REGISTER[one.id] = one
        fn.equation = one  # type: ignore[attr-defined]
        return fn

    return declare


def _terms(fn: Callable[..., Any], units: Mapping[str, str]) -> tuple[Term, ...]:
    terms = []
    for name, parameter in inspect.signature(fn).parameters.items():
        unit, _, basis = units.get(name, "").partition(" of ")
        default = parameter.default
        terms.append(
            Term(
                name,
                unit if name in units else "?",
                basis,
                None if default is inspect.Parameter.empty else float(default),
            )
        )
    return tuple(terms)


def resolved(one: Equation) -> tuple[Term, ...]:
    """The inputs of an equation with units and bases filled from the dictionary."""
    from haywright.measure.analytes import quantity

    def full(term: Term) -> Term:
        if term.unit != "?":
            return term
        entry = quantity(term.name)
        return Term(term.name, entry.unit, entry.basis, term.default)

    return tuple(full(term) for term in one.inputs)


def declared(fn: Callable[..., Any]) -> Equation:
    """The declaration behind an equation function."""
    return fn.equation  # type: ignore[attr-defined, no-any-return]


def get(equation_id: str) -> Equation:
    """The equation of an id; its module is imported when it is not yet known."""
    if equation_id not in _REGISTER:
        import importlib.util

        module = "haywright." + equation_id.rpartition(".")[0]
        try:
            known = importlib.util.find_spec(module) is not None
        except (ModuleNotFoundError, ValueError):
            known = False
        if known:
            importlib.import_module(module)
    try:
        return _REGISTER[equation_id]
    except KeyError:
        raise UnknownName("equation", equation_id, _REGISTER) from None


def all_equations() -> list[Equation]:
    """Every equation declared by the modules imported so far, by id."""
    return sorted(_REGISTER.values(), key=lambda one: one.id)


def apply(one: Equation | Callable[..., Any], inputs: Mapping[str, Any]) -> Any:
    """Work an equation on Estimates or numbers, first order, keeping sources.

    Parameters
    ----------
    one
        The equation or its function.
    inputs
        Name -> Estimate or number, in the units of the declaration.

    Returns
    -------
    Estimate
        In the unit of the output.
    """
    from haywright.measure.estimate import combine

    eq = one if isinstance(one, Equation) else declared(one)
    names = [term.name for term in eq.inputs if term.name in inputs or term.default is None]
    missing = [name for name in names if name not in inputs]
    if missing:
        from haywright.measure.errors import CannotDerive

        raise CannotDerive(eq.output.name, missing)
    return combine(
        lambda *values: eq.fn(**dict(zip(names, values, strict=True))),
        *(inputs[name] for name in names),
    )
