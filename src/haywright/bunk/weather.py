"""Cold: wind chill for cattle, the temperature below which they need more, and how much more."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from haywright.measure.errors import UnknownName
from haywright.measure.register import equation
from haywright.sources.tables import load_toml

_CATTLE = ("cattle",)
Coat = Literal["heavy_winter", "winter", "fall", "summer"]
Flesh = Literal["thin", "average", "fleshy"]
Base = Literal["ration", "maintenance"]
COATS: tuple[Coat, ...] = ("heavy_winter", "winter", "fall", "summer")
_FLESH = {"thin": 1, "average": 0, "fleshy": -1}
THIN_BELOW, FLESHY_ABOVE = 4.5, 6.5
_CHARTS = {"unl": "lower_critical", "sdsu": "lower_critical_sdsu"}


@equation(
    name="Wind chill for cattle, the short cut",
    output=("effective_f", "degF", ""),
    source="intake-illinois",
    mark="read",
    species=_CATTLE,
    valid={"wind_mph": (0, 20)},
)
def wind_chill_short(air_f: Any, wind_mph: Any) -> Any:
    """Air less wind, good to about 20 mph; air_f [°F], wind_mph [miles per hour]."""
    return air_f - wind_mph


@equation(
    name="More energy for cold, per degree",
    output=("cold_increase", "%", ""),
    source="sdsu-cold",
    mark="read",
    species=_CATTLE,
)
def cold_increase(lower_critical_f: Any, effective_f: Any, per_degree: Any = 1.0) -> Any:
    """Per degree x degrees below the lower critical temperature, never below 0.

    Parameters
    ----------
    lower_critical_f
        [°F].
    effective_f
        Wind chill for cattle [°F].
    per_degree
        1 dry; wet coats 1 or 2, the sources differ [% per °F].
    """
    return np.maximum(per_degree * (lower_critical_f - effective_f), 0.0)


@equation(
    name="An amount raised for cold",
    output=("raised", "as the amount", ""),
    source="mass-balance",
    mark="definition",
    units={"amount": ""},
)
def raised_for_cold(amount: Any, cold_increase: Any) -> Any:
    """Amount x (1 + increase / 100); amount [any unit], cold_increase [%]."""
    return amount * (1.0 + cold_increase / 100.0)


@equation(
    name="Surface of cattle",
    output=("surface", "m2", ""),
    source="nrc-environment-1981",
    mark="recalled",
    species=_CATTLE,
)
def surface(shrunk_weight: Any) -> Any:
    """0.09 x weight^0.67; shrunk_weight [kg]."""
    return 0.09 * shrunk_weight**0.67


@equation(
    name="Tissue insulation of grown cattle",
    output=("tissue_insulation", "degC m2 day/Mcal", ""),
    source="nrc-environment-1981",
    mark="recalled",
    species=_CATTLE,
)
def tissue_insulation(condition: Any) -> Any:
    """5.25 + 0.75 x score; condition [score, 1 to 9]."""
    return 5.25 + 0.75 * condition


@equation(
    name="Tissue insulation of yearlings",
    output=("tissue_insulation", "degC m2 day/Mcal", ""),
    source="nrc-environment-1981",
    mark="recalled",
    species=_CATTLE,
)
def tissue_insulation_yearling(condition: Any) -> Any:
    """5.1875 + 0.3125 x score; condition [score, 1 to 9]."""
    return 5.1875 + 0.3125 * condition


@equation(
    name="Insulation of coat and air",
    output=("external_insulation", "degC m2 day/Mcal", ""),
    source="nrc-environment-1981",
    mark="recalled",
    species=_CATTLE,
)
def external_insulation(wind: Any, hair: Any, mud_factor: Any = 1.0, hide_factor: Any = 1.0) -> Any:
    """(7.36 - 0.296 wind + 2.55 hair) x mud x hide, never below 0.

    Parameters
    ----------
    wind
        [km/h].
    hair
        [cm].
    mud_factor
        1 dry, 0.8 some mud below, 0.5 wet and matted, 0.2 wet snow or mud [factor].
    hide_factor
        0.8 thin, 1, 1.2 thick [factor].
    """
    return np.maximum(7.36 - 0.296 * wind + 2.55 * hair, 0.0) * mud_factor * hide_factor


@equation(
    name="Heat made by the body",
    output=("heat_made", "Mcal/m2 day", ""),
    source="nrc-environment-1981",
    mark="recalled",
    species=_CATTLE,
)
def heat_made(me_eaten: Any, ne_product: Any, surface: Any) -> Any:
    """(ME eaten - energy kept) / surface.

    Parameters
    ----------
    me_eaten
        [Mcal/day].
    ne_product
        Kept in gain, milk and calf [Mcal/day].
    surface
        [m2].
    """
    return (me_eaten - ne_product) / surface


@equation(
    name="Lower critical temperature by heat balance",
    output=("lower_critical", "degC", ""),
    source="nrc-environment-1981",
    mark="recalled",
    species=_CATTLE,
)
def lower_critical(insulation: Any, heat_made: Any) -> Any:
    """39 - 0.85 x insulation x heat.

    Parameters
    ----------
    insulation
        Tissue + external [°C m2 day/Mcal].
    heat_made
        [Mcal/m2 day].
    """
    return 39.0 - 0.85 * insulation * heat_made


@equation(
    name="Energy against cold by heat balance",
    output=("me_cold", "Mcal/day", ""),
    source="nrc-environment-1981",
    mark="recalled",
    species=_CATTLE,
)
def me_cold(surface: Any, insulation: Any, lower_critical: Any, air: Any) -> Any:
    """Surface x (LCT - air) / insulation where it is colder, else 0.

    Parameters
    ----------
    surface
        [m2].
    insulation
        [°C m2 day/Mcal].
    lower_critical, air
        [°C].
    """
    return surface * np.maximum(lower_critical - air, 0.0) / insulation


@equation(
    name="Net energy against cold by heat balance",
    output=("nem_cold", "Mcal/day", ""),
    source="nrc-environment-1981",
    mark="recalled",
    species=_CATTLE,
)
def nem_cold(me_cold: Any, km: Any) -> Any:
    """ME x NEm/ME of the diet; me_cold [Mcal/day], km [fraction], 0.55 to 0.62 of hay."""
    return me_cold * km


def flesh_of(condition: float) -> Flesh:
    """The flesh of the charts from a score [1 to 9]: thin below 4.5, fleshy above 6.5."""
    if condition < THIN_BELOW:
        return "thin"
    return "fleshy" if condition > FLESHY_ABOVE else "average"


def chart_lower_critical(
    coat: Coat, *, flesh: Flesh = "average", wet: bool = False, chart: str = "unl"
) -> float:
    """Temperature below which a cow needs more, from a printed chart [°F].

    Parameters
    ----------
    coat
        heavy_winter, winter, fall or summer.
    flesh
        thin, average or fleshy.
    wet
        Whether the coat is soaked.
    chart
        unl or sdsu.
    """
    if chart not in _CHARTS:
        raise UnknownName("chart", chart, _CHARTS)
    if coat not in COATS:
        raise UnknownName("coat", coat, COATS)
    if flesh not in _FLESH:
        raise UnknownName("flesh", flesh, _FLESH)
    table = load_toml("cold")[_CHARTS[chart]]
    return float(table["wet" if wet else "dry"][coat] + _FLESH[flesh] * table["thin"])


def wind_chill(air_f: Any, wind_mph: Any) -> Any:
    """Wind chill for cattle from the printed table, straight lines both ways [°F].

    Beyond the table's air temperatures the last line goes on; beyond 40 mph the wind counts as 40.

    Parameters
    ----------
    air_f
        Number or array [°F].
    wind_mph
        Number or array [miles per hour].
    """
    table = load_toml("cold")["wind_chill"]
    air, wind = np.array(table["air"], float), np.array(table["wind"], float)
    chill = np.array(table["chill"], float)
    blowing = np.clip(wind_mph, wind[0], wind[-1])
    i = np.clip(np.searchsorted(wind, blowing, side="right") - 1, 0, len(wind) - 2)
    j = np.clip(np.searchsorted(air, air_f, side="right") - 1, 0, len(air) - 2)
    u = (blowing - wind[i]) / (wind[i + 1] - wind[i])
    v = (np.asarray(air_f, float) - air[j]) / (air[j + 1] - air[j])
    here = chill[i, j] * (1 - v) + chill[i, j + 1] * v
    windier = chill[i + 1, j] * (1 - v) + chill[i + 1, j + 1] * v
    return np.minimum(here * (1 - u) + windier * u, air_f)[()]


@dataclass(frozen=True, slots=True)
class Day:
    """Weather of one day, or of days like it.

    Parameters
    ----------
    air_f
        Mean air temperature [°F].
    wind_mph
        [miles per hour].
    wet
        Whether coats are soaked.
    sheltered
        Whether there is a windbreak: then the air temperature counts.
    days
        How many such days.
    """

    air_f: float
    wind_mph: float = 0.0
    wet: bool = False
    sheltered: bool = False
    days: float = 1.0


@dataclass(frozen=True, slots=True)
class ColdRule:
    """How cold is turned into feed.

    Parameters
    ----------
    rule
        one-percent, two-when-wet or purdue.
    coat
        Coat of the season.
    base
        Whether the per cent is of the whole ration (as the sources do) or of maintenance alone.
    chart
        unl or sdsu.
    """

    rule: str = "one-percent"
    coat: Coat = "winter"
    base: Base = "ration"
    chart: str = "unl"


def rules() -> tuple[str, ...]:
    """The rules of more energy for cold, by name."""
    return tuple(load_toml("cold")["rules"])


def effective_temperature(day: Day) -> float:
    """What the day feels like to cattle [°F]; wind counts up to what a plan allows for."""
    if day.sheltered:
        return day.air_f
    most = float(load_toml("cold")["windy"]["most"])
    return float(wind_chill(day.air_f, min(day.wind_mph, most)))


def increase_of_day(day: Day, condition: float, rule: ColdRule) -> float:
    """More energy needed on a day [%].

    Parameters
    ----------
    day
        The weather.
    condition
        Body condition [score, 1 to 9].
    rule
        How cold is counted.
    """
    edge, per_degree = edge_and_slope(condition, rule, wet=day.wet)
    return float(cold_increase(edge, effective_temperature(day), per_degree))


def edge_and_slope(condition: float, rule: ColdRule, *, wet: bool = False) -> tuple[float, float]:
    """The temperature below which more is needed [°F], and how much for each degree [% per °F].

    Parameters
    ----------
    condition
        Body condition [score, 1 to 9].
    rule
        How cold is counted.
    wet
        Whether the coat is soaked.
    """
    table = load_toml("cold")["rules"]
    if rule.rule not in table:
        raise UnknownName("rule", rule.rule, table)
    row = table[rule.rule]
    edge = row.get("below") or chart_lower_critical(
        rule.coat, flesh=flesh_of(condition), wet=wet, chart=rule.chart
    )
    return float(edge), float(row["wet" if wet else "dry"])


def increase_over(days: Iterable[Day], condition: float, rule: ColdRule) -> float:
    """Mean of the days' increases, each never below 0 [%].

    A mild day does not pay back a cold one, so the mean of the days is more than the increase at
    their mean temperature.

    Parameters
    ----------
    days
        The weather.
    condition
        Body condition [score, 1 to 9].
    rule
        How cold is counted.
    """
    held: Sequence[Day] = list(days)
    total = sum(day.days for day in held)
    if not total:
        return 0.0
    return sum(day.days * increase_of_day(day, condition, rule) for day in held) / total


def eaten_at_most() -> float:
    """The increase beyond which a cow cannot eat it the same day [%]."""
    return float(load_toml("cold")["eaten_at_most"]["most"])
