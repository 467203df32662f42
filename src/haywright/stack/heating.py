"""Hot hay: what each published scale says to do at a temperature, and heating degree-days.

An edge belongs to the higher step. What a step leaves out it keeps from the step below. When
nobody has chosen a scale the most cautious one speaks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from haywright.measure.errors import Refused, UnknownName
from haywright.measure.message import Message, message
from haywright.measure.units import convert
from haywright.sources.tables import load_toml

NOT_SCALES = ("heating", "adicp")
FIRE_CAUTIONS = ("call_first", "never_stand", "no_air", "worst_point", "six_weeks", "acid_smoke")


@dataclass(frozen=True, slots=True)
class HeatAction:
    """What one scale says to do.

    Parameters
    ----------
    method, name
        The scale.
    temperature
        As read [degC].
    action
        What to do, in one word; "none" below the first step.
    check_hours
        Time between checks [h]; 0 where the scale gives none.
    take_apart
        Whether the stack is opened or taken apart.
    fire_service
        Whether the fire service is called, alerted or there.
    caution
        Order of urgency, 0 to 8.
    source, mark
        Bibliography key, and whether the line is printed (read) or filled in (practice).
    """

    method: str
    name: str
    temperature: float
    action: str
    check_hours: float
    take_apart: bool
    fire_service: bool
    caution: int
    source: str
    mark: str

    @property
    def said(self) -> Message:
        """What to do, as a sentence."""
        return message(f"stack.heat.{self.action}", scale=self.name)

    def to_json(self) -> dict[str, Any]:
        """Plain values."""
        return {
            "method": self.method,
            "temperature_c": self.temperature,
            "action": self.action,
            "check_hours": self.check_hours,
            "take_apart": self.take_apart,
            "fire_service": self.fire_service,
            "source": self.source,
            "mark": self.mark,
        }


def heat_scales() -> tuple[str, ...]:
    """Names of the published scales."""
    return tuple(name for name in load_toml("heat_actions") if name not in NOT_SCALES)


def heat_action(temperature: float, *, method: str = "") -> HeatAction:
    """What to do at a temperature.

    Parameters
    ----------
    temperature
        Highest of many points in the hay [degC].
    method
        A scale; the most cautious one when empty.

    Raises
    ------
    UnknownName
        No such scale.
    """
    if not -60 < temperature < 1000:
        raise Refused("temperature", temperature, key="stack.heat.temperature")
    if not method:
        return heat_actions(temperature)[0]
    if method not in heat_scales():
        raise UnknownName("method", method, heat_scales())
    column = load_toml("heat_actions")[method]
    # The figures are printed in degF; a reading handed over in degC must not miss an edge by noise.
    reading = round(convert(temperature, "degC", "degF"), 6)
    step: dict[str, Any] = {}
    for one in column["steps"]:
        if one["from_f"] <= reading:
            step = {**step, **one}
    return HeatAction(
        method=method,
        name=column["name"],
        temperature=temperature,
        action=step.get("action", "none"),
        check_hours=float(step.get("check_hours", 0)),
        take_apart=bool(step.get("open", False)),
        fire_service=bool(step.get("fire_service", False)),
        caution=int(step.get("caution", 0)),
        source=column["source"],
        mark=step.get("mark", "read"),
    )


def heat_actions(temperature: float) -> list[HeatAction]:
    """What every scale says at a temperature [degC], the most cautious first."""
    every = [heat_action(temperature, method=name) for name in heat_scales()]
    return sorted(every, key=lambda one: (-one.caution, one.check_hours or float("inf")))


def heat_cautions(temperature: float) -> tuple[Message, ...]:
    """What to mind at a temperature in the hay [degC]; empty while no scale says anything."""
    first = heat_action(temperature)
    if first.action == "none":
        return ()
    said = [message(f"stack.heat.mind.{one}") for one in FIRE_CAUTIONS]
    if order_heat_test(temperature):
        said.append(message("stack.heat.mind.adicp"))
    return tuple(said)


def order_heat_test(temperature: float) -> bool:
    """Whether hay has been hot enough [degC] to order the test of heat-damaged protein."""
    edge = float(load_toml("heat_actions")["adicp"]["from_f"])
    return round(convert(temperature, "degC", "degF"), 6) > edge


def heating_degree_days(daily_highest: Sequence[float], *, base: float | None = None) -> float:
    """Sum of daily highest temperatures over a base; days at or below it add nothing.

    Parameters
    ----------
    daily_highest
        Highest temperature inside, day by day [degC].
    base
        Base [degC]; 30 (86 degF) when not given.

    Returns
    -------
    float
        Degree-days in degC; in degF they are 1.8 times as many.
    """
    edge = load_toml("heat_actions")["heating"]["base_f"]
    at = convert(float(edge), "degF", "degC") if base is None else base
    return float(sum(max(0.0, one - at) for one in daily_highest))


def in_fahrenheit_days(degree_days: float) -> float:
    """Degree-days [degC days] as degF days."""
    return round(degree_days * (9 / 5), 6)


def heating_said(degree_days: float) -> Message:
    """What heating degree-days mean for the hay [degC days]."""
    row = load_toml("heat_actions")["heating"]
    printed = in_fahrenheit_days(degree_days)
    if printed <= row["usual_most_f"]:
        return message("stack.heat.days.usual", days=round(printed))
    key = "harm" if printed > row["harm_from_f"] else "more"
    return message(f"stack.heat.days.{key}", days=round(printed))
