"""Loose hay: the volume of a stack by each published rule, and the weight it may hold.

The rules disagree by a third on one stack. Nobody is given one figure: every rule that the
measured lengths allow is worked, named and shown with the spread.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from haywright.measure.errors import CannotDerive, UnknownName
from haywright.measure.register import equation
from haywright.measure.units import convert
from haywright.sources.named import NamedTable

_VOLUME = ("stack_volume", "m3", "")


@equation(
    name="Stack = (over - width)/2 x width x length (half difference)",
    output=_VOLUME,
    source="half-difference-1880",
    mark="read",
)
def volume_half_difference(stack_over: Any, stack_width: Any, stack_length: Any) -> Any:
    """From stack_over [m], stack_width [m] and stack_length [m]."""
    return (stack_over - stack_width) / 2 * stack_width * stack_length


@equation(
    name="Stack = over x width / 4 x length (outlaw)",
    output=_VOLUME,
    source="outlaw-rule",
    mark="read",
)
def volume_outlaw(stack_over: Any, stack_width: Any, stack_length: Any) -> Any:
    """From stack_over [m], stack_width [m] and stack_length [m]; its source calls it inaccurate."""
    return stack_over * stack_width / 4 * stack_length


@equation(
    name="Stack = ((over + width)/4)^2 x length (quartermaster)",
    output=_VOLUME,
    source="quartermaster-rule",
    mark="read",
)
def volume_quartermaster(stack_over: Any, stack_width: Any, stack_length: Any) -> Any:
    """From stack_over [m], stack_width [m] and stack_length [m]."""
    return ((stack_over + stack_width) / 4) ** 2 * stack_length


@equation(
    name="Stack, flat top = (0.56 over - 0.55 width) width x length",
    output=_VOLUME,
    source="usda-leaflet-72",
    mark="recalled",
)
def volume_usda_flat_top(stack_over: Any, stack_width: Any, stack_length: Any) -> Any:
    """From stack_over [m], stack_width [m] and stack_length [m]."""
    return (0.56 * stack_over - 0.55 * stack_width) * stack_width * stack_length


@equation(
    name="Stack, low round top = (0.52 over - 0.44 width) width x length",
    output=_VOLUME,
    source="usda-leaflet-72",
    mark="recalled",
)
def volume_usda_low_round(stack_over: Any, stack_width: Any, stack_length: Any) -> Any:
    """From stack_over [m], stack_width [m] and stack_length [m]."""
    return (0.52 * stack_over - 0.44 * stack_width) * stack_width * stack_length


@equation(
    name="Stack, high round top = (0.52 over - 0.46 width) width x length",
    output=_VOLUME,
    source="usda-leaflet-72",
    mark="recalled",
)
def volume_usda_high_round(stack_over: Any, stack_width: Any, stack_length: Any) -> Any:
    """From stack_over [m], stack_width [m] and stack_length [m]."""
    return (0.52 * stack_over - 0.46 * stack_width) * stack_width * stack_length


@equation(
    name="Oblong stack = length x width x (eaves + share of the roof)",
    output=_VOLUME,
    source="salt-1846",
    mark="read",
)
def volume_eaves(
    stack_eaves: Any, stack_roof: Any, stack_width: Any, stack_length: Any, roof_share: Any
) -> Any:
    """A third of the roof for a hipped end, half for a gable.

    Parameters
    ----------
    stack_eaves, stack_roof
        Height of the eaves, and from eaves to ridge [m].
    stack_width, stack_length
        On the ground [m].
    roof_share
        Share of the roof's height that is counted [fraction].
    """
    return stack_length * stack_width * (stack_eaves + roof_share * stack_roof)


@equation(
    name="Round stack = (0.04 over - 0.012 around) around^2",
    output=_VOLUME,
    source="usda-leaflet-72",
    mark="recalled",
)
def volume_usda_round_stack(stack_over: Any, stack_around: Any) -> Any:
    """From stack_over [m] and stack_around [m], the circumference."""
    return (0.04 * stack_over - 0.012 * stack_around) * stack_around**2


@equation(
    name="Round stack = 0.75 d^2 (over - d)/2 with d = around / (22/7)",
    output=_VOLUME,
    source="round-stack-1880",
    mark="read",
)
def volume_round_1880(stack_over: Any, stack_around: Any) -> Any:
    """From stack_over [m] and stack_around [m], the circumference."""
    d = stack_around / (22 / 7)
    return 0.75 * d**2 * (stack_over - d) / 2


@equation(
    name="Mow = length x width x height",
    output=_VOLUME,
    source="solid-geometry",
    mark="definition",
)
def volume_mow(stack_length: Any, stack_width: Any, stack_height: Any) -> Any:
    """From stack_length [m], stack_width [m] and stack_height [m]."""
    return stack_length * stack_width * stack_height


@equation(
    name="Weight of loose hay = volume / room it takes",
    output=("hay_mass", "kg", "as it stands"),
    source="solid-geometry",
    mark="definition",
)
def loose_weight(stack_volume: Any, hay_room: Any) -> Any:
    """Weight from stack_volume [m3] and hay_room [m3/kg as it stands]."""
    return stack_volume / hay_room


_FUNCTIONS: dict[str, Callable[..., Any]] = {
    "half-difference": volume_half_difference,
    "outlaw": volume_outlaw,
    "quartermaster": volume_quartermaster,
    "usda-flat-top": volume_usda_flat_top,
    "usda-low-round": volume_usda_low_round,
    "usda-high-round": volume_usda_high_round,
    "eaves-third": volume_eaves,
    "eaves-half": volume_eaves,
    "usda-round-stack": volume_usda_round_stack,
    "round-1880": volume_round_1880,
    "mow": volume_mow,
}


@dataclass(frozen=True, slots=True)
class StackRule:
    """One rule for the volume of loose hay, and what has to be measured for it."""

    id: str
    name: str
    needs: tuple[str, ...]
    source: str
    mark: str
    roof_share: tuple[int, int] | None = None
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Room:
    """Room that a short ton of loose hay takes [ft3], between two printed figures."""

    id: str
    name: str
    low: float
    high: float
    source: str
    mark: str
    also: tuple[str, ...] = ()

    @property
    def per_kg(self) -> tuple[float, float]:
        """The two figures [m3/kg as it stands]."""
        low = convert(self.low, "ft3/short_ton", "m3/kg")
        return low, convert(self.high, "ft3/short_ton", "m3/kg")


_RULES = NamedTable("loose_stack_rules", StackRule, field="stack rule")
_ROOMS = NamedTable("loose_hay", Room, field="loose hay")


def stack_rules(measured: Mapping[str, float] | None = None) -> list[StackRule]:
    """The rules that the measured lengths [m] allow; all when none are given."""
    every = list(_RULES.rows.values())
    if measured is None:
        return every
    return [one for one in every if set(one.needs) <= set(measured)]


def loose_hay(word: str) -> Room:
    """How loose hay lies: settled-30-days, new-in-mow ..."""
    return _ROOMS.find(word)


def stack_volume(method: str, measured: Mapping[str, float]) -> float:
    """Volume of a loose stack by one rule [m3].

    Parameters
    ----------
    method
        Name of the rule, as :func:`stack_rules` lists them.
    measured
        over, width, length, eaves, roof, around, height as far as the rule needs them [m].

    Raises
    ------
    UnknownName
        No such rule; the names are given.
    CannotDerive
        A length is missing.
    """
    if method not in _FUNCTIONS:
        raise UnknownName("method", method, _FUNCTIONS)
    rule = _RULES.rows[method]
    missing = [f"stack_{name}" for name in rule.needs if name not in measured]
    if missing:
        raise CannotDerive("stack_volume", missing)
    lengths = {f"stack_{name}": measured[name] for name in rule.needs}
    if rule.roof_share is not None:
        lengths["roof_share"] = rule.roof_share[0] / rule.roof_share[1]
    return float(_FUNCTIONS[method](**lengths))


def stack_volumes(measured: Mapping[str, float]) -> dict[str, float]:
    """Volume by every rule that the measured lengths [m] allow, smallest first [m3]."""
    found = {one.id: stack_volume(one.id, measured) for one in stack_rules(measured)}
    if not found:
        raise CannotDerive("stack_volume", ["stack_over", "stack_width", "stack_length"])
    return dict(sorted(found.items(), key=lambda pair: pair[1]))


def rule_spread(volumes: Mapping[str, float]) -> float:
    """How far the rules lie apart, as a share of their mean [fraction], from volumes [m3]."""
    values = np.array(list(volumes.values()))
    return float((values.max() - values.min()) / values.mean())
