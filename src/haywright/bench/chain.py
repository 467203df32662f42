"""A chain of equations worked one after another on named quantities.

The same chain works on Estimates (first order, sources kept, evidence gathered) and on arrays
(Monte Carlo), so that the two can be held against each other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from haywright.measure.analytes import dictionary
from haywright.measure.estimate import Estimate, as_estimate
from haywright.measure.message import message
from haywright.measure.register import Equation, apply, declared
from haywright.measure.result import Evidence


class Known(NamedTuple):
    """A quantity that is known so far: its estimate and how it came about."""

    estimate: Estimate
    evidence: Evidence

    @property
    def value(self) -> float:
        """The number, in the unit of the quantity."""
        return self.estimate.value


@dataclass(frozen=True, slots=True)
class Step:
    """One equation of a chain.

    Parameters
    ----------
    fn
        A declared equation.
    given
        Parameter -> name of the quantity that goes in, where the two differ.
    gives
        Name of what comes out, where it differs from the equation's own output.
    """

    fn: Callable[..., Any]
    given: Mapping[str, str] = field(default_factory=dict)
    gives: str = ""

    @property
    def equation(self) -> Equation:
        """The declaration."""
        return declared(self.fn)

    @property
    def output(self) -> str:
        """Name of what comes out."""
        return self.gives or self.equation.output.name

    def inputs(self, known: Mapping[str, Any]) -> dict[str, str] | None:
        """Parameter -> name of what goes in; ``None`` when something needed is not known."""
        found = {}
        for term in self.equation.inputs:
            name = self.given.get(term.name, term.name)
            if name in known:
                found[term.name] = name
            elif term.default is None:
                return None
        return found


def labelled(name: str, estimate: Estimate | float, **more: Any) -> Known:
    """A quantity with its evidence; unit and basis come from the dictionary.

    Parameters
    ----------
    name
        Dictionary name.
    estimate
        The number [unit of the quantity].
    more
        Further fields of the evidence: who, when, equation, source, children.
    """
    entry = dictionary().get(name)
    number = as_estimate(estimate)
    evidence = Evidence(
        label=message("measure.quantity", id=name),
        value=number.value,
        unit=entry.unit if entry else "",
        basis=entry.basis if entry else "",
        **more,
    )
    return Known(number, evidence)


def follow(
    steps: Iterable[Step],
    known: Mapping[str, Known],
    *,
    then: Callable[[str, Known], Known] | None = None,
) -> dict[str, Known]:
    """Work the steps whose inputs are known; the rest are passed over.

    Parameters
    ----------
    steps
        The chain.
    known
        What is known before it.
    then
        Called with the name and value of each output; what it gives is kept.

    Returns
    -------
    dict
        What was known and what came out, by name.
    """
    found = dict(known)
    for step in steps:
        inputs = step.inputs(found)
        if inputs is None:
            continue
        estimate = apply(step.equation, {p: found[name].estimate for p, name in inputs.items()})
        worked = labelled(
            step.output,
            estimate,
            equation=step.equation.id,
            source=step.equation.source,
            children=tuple(found[name].evidence for name in inputs.values()),
        )
        found[step.output] = then(step.output, worked) if then else worked
    return found


def follow_numbers(steps: Iterable[Step], known: Mapping[str, Any]) -> dict[str, Any]:
    """The same chain on plain numbers or arrays, for Monte Carlo.

    Parameters
    ----------
    steps
        The chain.
    known
        Name -> number or array [unit of the quantity].
    """
    found = dict(known)
    for step in steps:
        inputs = step.inputs(found)
        if inputs is not None:
            found[step.output] = step.equation.fn(**{p: found[n] for p, n in inputs.items()})
    return found
