"""Scatter of results: the laboratory's own where it is known, else planning figures.

Top-down where there is history (scatter of the check sample between runs, and bias); else what
the readings themselves leave open, with the scatter between portions and the laboratory's bias
added, because readings alone see neither.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np

from haywright.bench.batch import Batch, Scatter
from haywright.bench.chain import Known
from haywright.bench.pattern import Lead
from haywright.measure.estimate import Estimate, Source, State, t_quantile
from haywright.measure.message import message
from haywright.measure.register import equation
from haywright.sources.tables import load_toml

_AS_PERCENT = 100.0


@equation(
    name="Scatter between laboratories by Horwitz",
    output=("rsd_between", "%", "of the result"),
    source="horwitz-aoac-f",
    mark="read",
    units={"mass_fraction": "kg/kg"},
)
def horwitz(mass_fraction: Any) -> Any:
    """Relative standard deviation between laboratories that is usual at a level.

    Parameters
    ----------
    mass_fraction
        Level of the analyte [kg/kg].
    """
    return 2.0 * np.power(mass_fraction, -0.15)


def library_scatter(analyte: str, level: float, unit: str) -> Scatter:
    """Planning figures for a laboratory that does not know its own scatter yet.

    Parameters
    ----------
    analyte
        Dictionary name.
    level
        The result [``unit``].
    unit
        "%" or "mg/kg".
    """
    row = load_toml("bench_scatter").get(analyte)
    if row is not None:
        repeat, between = float(row["repeat"]), float(row["between_laboratories"])
        bias = math.sqrt(max(between**2 - repeat**2, 0.0))
        df = float(row["df"])
        return Scatter(
            repeat=repeat,
            repeat_df=df,
            bias=bias,
            bias_df=df,
            source=row["source"],
            mark=row["mark"],
        )
    row = load_toml("bench_scatter")["horwitz"]
    repeat, bias = usual_scatter(level, unit)
    df = float(row["df"])
    return Scatter(
        repeat_pct=float(repeat),
        repeat_df=df,
        bias_pct=float(bias),
        bias_df=df,
        source=row["source"],
        mark=row["mark"],
    )


def usual_scatter(level: Any, unit: str) -> tuple[Any, Any]:
    """Scatter between portions and of a laboratory's bias that is usual at a level.

    Parameters
    ----------
    level
        The result, a number or an array [``unit``].
    unit
        "%" or "mg/kg".

    Returns
    -------
    tuple
        Relative standard deviation between portions, and of the bias [% of the result].
    """
    fraction = np.asarray(level, dtype=float) / (_AS_PERCENT if unit == "%" else 1e6)
    there = fraction > 0
    between = np.where(there, horwitz(np.where(there, fraction, 1.0)), 0.0)
    repeat = float(load_toml("bench_scatter")["horwitz"]["repeat_share"]) * between
    return repeat, np.sqrt(between**2 - repeat**2)


def scatter_of(batch: Batch, analyte: str, *, level: float, unit: str) -> Scatter:
    """The laboratory's own scatter of a quantity, else planning figures.

    Parameters
    ----------
    batch
        The batch.
    analyte
        Dictionary name.
    level
        The result [``unit``].
    unit
        Unit of the result.
    """
    own = batch.scatter.get(analyte)
    return own if own is not None else library_scatter(analyte, level, unit)


def with_scatter(
    batch: Batch,
    lead: Lead,
    known: Known,
    *,
    portions: int,
    sample: str,
    scatter: Scatter,
    to: float,
) -> Known:
    """A mean of portions with the scatter of the method added.

    Parameters
    ----------
    batch, lead, sample
        What it is a mean of.
    known
        The mean, with what its readings leave open.
    portions
        How many portions.
    scatter
        Scatter in the unit of the judged quantity.
    to
        What the mean is multiplied by to be in that unit on its basis [ratio].
    """
    if known.estimate.state is not State.MEASURED:
        return known
    parts = parts_of_method(
        batch, lead, known.value, portions=portions, sample=sample, scatter=scatter, to=to
    )
    if scatter.has_history:
        return Known(Estimate.of(known.value, parts), known.evidence)
    return Known(known.estimate.with_parts(parts), known.evidence)


def parts_of_method(
    batch: Batch,
    lead: Lead,
    value: float,
    *,
    portions: int,
    sample: str,
    scatter: Scatter,
    to: float,
) -> dict[Source, float]:
    """Scatter of the method and bias of the laboratory, which no reading shows.

    With history the scatter between runs is taken, which holds the readings' own; else the
    scatter between portions, which comes on top of them.

    Parameters
    ----------
    batch, lead, sample
        What it is of.
    value
        Mean of the portions [unit of a portion].
    portions
        How many portions.
    scatter
        Scatter in the unit of the judged quantity.
    to
        What the mean is multiplied by to be in that unit on its basis [ratio].
    """
    level = abs(value * to)
    place = f"{batch.id}:{sample}:{lead.portion}"
    of = message("measure.quantity", id=lead.judged_as)
    bias = bias_source(batch, lead, scatter)
    parts: dict[Source, float] = {bias: scatter.bias_at(level) / to}
    if scatter.has_history:
        label = message("bench.source.between_runs", quantity=of)
        run = Source(f"run:{place}", label, scatter.between_runs_df)
        return parts | {run: scatter.between_runs_at(level) / to}
    label = message("bench.source.repeat", quantity=of)
    repeat = Source(f"repeat:{place}", label, scatter.repeat_df)
    return parts | {repeat: scatter.repeat_at(level) / math.sqrt(portions) / to}


def bias_source(batch: Batch, lead: Lead, scatter: Scatter) -> Source:
    """The laboratory's bias in one quantity: one source for all its results by that method."""
    drying = ":".join(str(v) for n, v in sorted(batch.choices.items()) if n.startswith("drying"))
    where = f"bias:{batch.laboratory}:{batch.determination}:{batch.method}:{drying}:{lead.portion}"
    label = message("bench.source.bias", quantity=message("measure.quantity", id=lead.judged_as))
    return Source(where, label, scatter.bias_df)


def expanded(estimate: Estimate, confidence: float = 0.95) -> tuple[float, float]:
    """Expanded uncertainty [unit of the estimate] and its coverage factor, on truncated df.

    Parameters
    ----------
    estimate
        A measured Estimate [its own unit].
    confidence
        Chance that the interval holds the true value [fraction].
    """
    df = estimate.df if math.isinf(estimate.df) else float(math.floor(estimate.df + _EXACT))
    k = t_quantile((1 + confidence) / 2, max(df, 1.0))
    return k * estimate.u, k


# Effective degrees of freedom that are whole but for the last bits count as whole.
_EXACT = 1e-9


def budget(estimate: Estimate) -> list[tuple[Source, float]]:
    """Signed contributions of an estimate [its own unit], the largest first."""
    return sorted(estimate.parts.items(), key=lambda item: -abs(item[1]))


def share_of_kinds(estimate: Estimate) -> dict[str, float]:
    """Share of the variance by kind of source [fraction]: balance, curve, repeat, bias, mean ..."""
    total = estimate.u**2
    shares: dict[str, float] = {}
    for source, u in estimate.parts.items():
        kind = source.id.partition(":")[0]
        shares[kind] = shares.get(kind, 0.0) + u * u / total
    return shares


def pooled_repeat(pairs: Iterable[tuple[float, float]]) -> float:
    """SD between portions from duplicates [unit of the results]: root of sum d^2 over 2 n."""
    squares = [(a - b) ** 2 for a, b in pairs]
    return math.sqrt(math.fsum(squares) / (2 * len(squares)))
