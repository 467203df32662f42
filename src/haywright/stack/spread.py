"""The spread a plan rests on: whose it is, how it is pooled, and how it is found from readings.

Order: this lot's own cores or bags analysed apart; the office's repeats within lots (never the
spread of single bags from lot to lot); what the person gives; the library. The first two are
pooled with what stands below them by degrees of freedom, so that two repeats do not overrule
everything and fifty do.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from haywright.measure.errors import Refused
from haywright.measure.message import Amount, Message, message
from haywright.measure.register import equation
from haywright.sources.tables import load_toml
from haywright.stack.error import Spread, core_sd_implied, multiplier


class Origin(StrEnum):
    """Whose spread it is."""

    LOT = "lot"
    OFFICE = "office"
    GIVEN = "given"
    LIBRARY = "library"


@dataclass(frozen=True, slots=True)
class Repeat:
    """A spread of single cores found within one lot.

    Parameters
    ----------
    sd
        Standard deviation; relative for nitrate [unit of the result].
    df
        Degrees of freedom [count].
    """

    sd: float
    df: float

    def __post_init__(self) -> None:
        if not 0 <= self.sd < math.inf:
            raise Refused("sd", self.sd, key="stack.spread")
        if not self.df > 0:
            raise Refused("df", self.df, key="stack.positive")


@dataclass(frozen=True, slots=True)
class PlanSpread:
    """A spread with where it comes from.

    Parameters
    ----------
    quantity
        Dictionary name.
    spread
        The components [unit of the quantity, or relative].
    origin
        Whose it is.
    relative
        Whether the components are shares of the value.
    source
        Bibliography key of the library row that stands under it; "" when none does.
    """

    quantity: str
    spread: Spread
    origin: Origin
    relative: bool = False
    source: str = ""

    @property
    def provisional(self) -> bool:
        """Whether it rests on the library alone."""
        return self.origin is Origin.LIBRARY

    @property
    def said(self) -> Message:
        """Which spread was used, for the plan."""
        df = self.spread.df
        known = "known" if math.isinf(df) else "pooled"
        rests = message(f"stack.spread.{known}", df=0 if math.isinf(df) else round(df, 1))
        return message(
            "stack.spread.line",
            quantity=message("measure.quantity", id=self.quantity),
            sd=self._shown(math.hypot(self.spread.between, self.spread.within)),
            origin=message(f"stack.spread.{self.origin.value}", rests=rests),
        )

    def _shown(self, value: float) -> Amount:
        if self.relative:
            return Amount(100 * value, "%", digits=0)
        from haywright.measure.analytes import quantity

        return Amount(value, quantity(self.quantity).unit, digits=2)


def pooled_sd(prior: Repeat, repeats: Sequence[Repeat]) -> Repeat:
    """sigma^2 = (nu_0 sigma_0^2 + sum nu_i s_i^2)/(nu_0 + sum nu_i), on nu_0 + sum nu_i."""
    every = (prior, *repeats)
    df = math.fsum(one.df for one in every)
    return Repeat(math.sqrt(math.fsum(one.df * one.sd**2 for one in every) / df), df)


def library_row(name: str) -> PlanSpread | None:
    """The library's spread by row name ("cp", "nitrate-stressed"); ``None`` when it has none."""
    table = load_toml("planning_sds")
    row: dict[str, Any] | None = table.get(name)
    if row is None or "nu_0" not in row:
        return None
    if row.get("relative"):
        laboratory = table["nitrate-laboratory"]
        spread = Spread(
            row["between"],
            row["within"],
            repeat=laboratory["repeat"],
            laboratory=laboratory["bias"],
            df=row["nu_0"],
        )
    else:
        sd = float(core_sd_implied(row["half_width"], row["cores"], multiplier(row["confidence"])))
        bias = float(load_toml("between_laboratories")["u"].get(row["quantity"], 0.0))
        spread = Spread(sd, laboratory=bias, df=row["nu_0"], split=False)
    return PlanSpread(
        row["quantity"],
        spread,
        Origin.LIBRARY,
        relative=bool(row.get("relative")),
        source=row["source"],
    )


def choose_spread(
    quantity: str,
    *,
    library: str = "",
    given: Spread | None = None,
    office: Sequence[Repeat] = (),
    lot: Sequence[Repeat] = (),
) -> PlanSpread:
    """The spread to plan with, by the order that stands at the top of this module.

    Parameters
    ----------
    quantity
        Dictionary name.
    library
        Row of the library; the quantity's own when left out.
    given
        What the person gives [unit of the quantity; relative for nitrate].
    office
        The office's repeats within lots of this forage and package.
    lot
        Repeats of this lot: cores or bags analysed apart.

    Raises
    ------
    Refused
        Nobody has a spread for the quantity; none is guessed.
    """
    row = library_row(library or _library_name(quantity))
    under = row if given is None else _given(quantity, given, row)
    repeats, origin = (lot, Origin.LOT) if lot else (office, Origin.OFFICE)
    if not repeats:
        if under is None:
            name = message("measure.quantity", id=quantity)
            raise Refused(quantity, None, key="stack.spread.nobody", name=name)
        return under
    if under is None:
        found = pooled_sd(repeats[0], repeats[1:])
        return PlanSpread(quantity, Spread(found.sd, df=found.df, split=False), origin)
    base = under.spread
    # A spread taken as known would never learn: it then counts as one repeat of the library's.
    known = base.df if math.isfinite(base.df) else _library_df()
    total = math.hypot(base.between, base.within)
    found = pooled_sd(Repeat(total, known), repeats)
    scale = found.sd / total if total else 0.0
    spread = replace(
        base,
        between=base.between * scale if total else found.sd,
        within=base.within * scale,
        df=found.df,
    )
    return PlanSpread(quantity, spread, origin, relative=under.relative, source=under.source)


def _library_df() -> float:
    rows = load_toml("planning_sds").values()
    return float(min(row["nu_0"] for row in rows if "nu_0" in row))


def _library_name(quantity: str) -> str:
    return "nitrate" if quantity == "nitrate_n" else quantity


def _given(quantity: str, given: Spread, row: PlanSpread | None) -> PlanSpread:
    laboratory = row.spread if row is not None else Spread(0.0)
    spread = given
    if given.repeat == 0 and given.laboratory == 0:
        spread = replace(given, repeat=laboratory.repeat, laboratory=laboratory.laboratory)
    relative = row.relative if row is not None else False
    return PlanSpread(quantity, spread, Origin.GIVEN, relative=relative)


def repeat_from_bags(results: Sequence[float], cores: int, repeat_sd: float = 0.0) -> Repeat:
    """Spread of single cores from bags of one lot on different bales, each read once.

    Parameters
    ----------
    results
        Results of the bags [unit of the result].
    cores
        Cores in each bag, one from each bale [count].
    repeat_sd
        Repeat of the laboratory [unit of the result].
    """
    if len(results) < 2:
        raise Refused("bags", len(results), key="stack.two_bags")
    found = float(np.var(np.asarray(results, float), ddof=1))
    return Repeat(math.sqrt(max(cores * (found - repeat_sd**2), 0.0)), len(results) - 1)


@dataclass(frozen=True, slots=True)
class Components:
    """Variance components of a balanced nested trial.

    ``ms`` are the mean squares of primary units, units within them and readings; ``variance`` the
    components, negative ones set to 0 [unit of the result, squared]; ``df`` their degrees of
    freedom; ``mean`` the grand mean and ``se`` its standard error on ``df[0]`` [unit].
    """

    ms: tuple[float, float, float]
    variance: tuple[float, float, float]
    df: tuple[int, int, int]
    mean: float
    se: float


def nested_components(readings: ArrayLike) -> Components:
    """Analysis of variance of readings in units in primary units (bales, cores, readings).

    Parameters
    ----------
    readings
        Array of shape (a, b, c): a primary units, b units in each, c readings of each
        [unit of the result].
    """
    x = np.asarray(readings, float)
    if x.ndim != 3 or x.shape[0] < 2 or x.shape[1] < 2 or x.shape[2] < 2:
        raise Refused("readings", x.shape, key="stack.nested_shape")
    a, b, c = x.shape
    unit, primary, grand = x.mean(axis=2), x.mean(axis=(1, 2)), float(x.mean())
    df = (a - 1, a * (b - 1), a * b * (c - 1))
    ms = (
        b * c * float(np.sum((primary - grand) ** 2)) / df[0],
        c * float(np.sum((unit - primary[:, None]) ** 2)) / df[1],
        float(np.sum((x - unit[:, :, None]) ** 2)) / df[2],
    )
    variance = (
        max((ms[0] - ms[1]) / (b * c), 0.0),
        max((ms[1] - ms[2]) / c, 0.0),
        ms[2],
    )
    return Components(ms, variance, df, grand, math.sqrt(ms[0] / (a * b * c)))


@equation(
    name="Spread from a range = (highest - lowest)/d2",
    output=("core_sd", "", "in the unit of the result"),
    source="range-d2",
    mark="definition",
    units={"lowest": "", "highest": "", "d2": ""},
)
def sd_from_range(lowest: Any, highest: Any, d2: Any) -> Any:
    """Standard deviation of a normal sample of which only the range is printed.

    Parameters
    ----------
    lowest, highest
        Ends of the range [unit of the result].
    d2
        Mean range of a sample of that size [standard deviations].
    """
    return (highest - lowest) / d2


@equation(
    name="Spread of the logarithms from a range = ln(highest/lowest)/d2",
    output=("log_spread", "", ""),
    source="range-d2",
    mark="definition",
    units={"lowest": "", "highest": "", "d2": ""},
)
def log_sd_from_range(lowest: Any, highest: Any, d2: Any) -> Any:
    """The same for skewed data, such as nitrate.

    Parameters
    ----------
    lowest, highest
        Ends of the range, above 0 [unit of the result].
    d2
        Mean range of a sample of that size [standard deviations].
    """
    return np.log(highest / lowest) / d2


@equation(
    name="Spread over mean",
    output=("relative_spread", "", ""),
    source="range-d2",
    mark="definition",
    units={"mean_value": ""},
)
def spread_over_mean(core_sd: Any, mean_value: Any) -> Any:
    """From core_sd [unit of the result] and mean_value [unit of the result]."""
    return core_sd / mean_value


def range_in_sds(n: int) -> float:
    """d2 of a sample of n values [standard deviations]; sizes outside the table are refused."""
    rows = load_toml("range_d2")["d2"]
    if str(n) not in rows:
        raise Refused("n", n, ", ".join(rows))
    return float(rows[str(n)])
