"""The doubt of a result by drawing, through the very chains that worked it (JCGM 101).

Every reading, blank, curve, volume, portion and laboratory dry matter is drawn with what it
shares with others, so that first-order propagation can be held against it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from haywright.bench.batch import Batch
from haywright.bench.chain import Known, follow_numbers
from haywright.bench.pattern import BAG_KINDS, Lead
from haywright.bench.portions import inputs_of, portion, to_judged, valid
from haywright.bench.run import laid_out
from haywright.bench.scatter import parts_of_method, scatter_of
from haywright.bench.work import Earlier, Portion, Work, leans
from haywright.measure.analytes import quantity
from haywright.measure.estimate import Estimate, Source, State
from haywright.measure.montecarlo import draw, symmetric

Draws = dict[str, NDArray[np.float64]]


def drawn(
    batch: Batch,
    bag: str,
    earlier: Earlier | None = None,
    *,
    n: int,
    rng: np.random.Generator,
    sds_known: bool = False,
) -> Draws:
    """Draws of every result of one bag.

    Parameters
    ----------
    batch, bag
        Which batch and bag; a result beyond a limit is left out.
    earlier
        Results it leans on.
    n
        Number of draws.
    rng
        Generator.
    sds_known
        Whether every SD is taken as known: normal draws instead of Student's t. That tests the
        chains alone; with t, what Welch and Satterthwaite make of few degrees of freedom too.

    Returns
    -------
    dict
        Result -> draws, in the result's unit.
    """
    work, _ = laid_out(batch, earlier)
    known, _ = leans(work, bag)
    own = [portion(work, one) for one in work.desk.of(*BAG_KINDS) if one.sample == bag]
    together: dict[str, Estimate] = {name: one.estimate for name, one in known.items()}
    for one in own:
        inputs = inputs_of(work, one.position)
        together |= {f"{one.position.order}|{k}": v.estimate for k, v in inputs.items()}
    scatters = {lead: _scatter(work, bag, lead, _settled(own, lead), known) for lead in work.leads}
    together |= {lead.portion: given for lead, (given, _) in scatters.items()}
    if sds_known:
        together = {name: _sure(one) for name, one in together.items()}
    draws = draw(together, n, rng)
    values = {name: draws[name] for name in known}
    for lead, (given, alone) in scatters.items():
        members = _settled(own, lead)
        if members:
            worked = given.value if alone else _mean(work, lead, members, draws)
            values[lead.portion] = worked + draws[lead.portion] - given.value
    return follow_numbers(work.method.bag, values)


def _sure(estimate: Estimate) -> Estimate:
    """The same estimate with its SDs taken as known."""
    # A source is known by its name, so one with another df needs a name of its own.
    parts = {Source(f"{source.id}, known"): u for source, u in estimate.parts.items()}
    return Estimate.of(estimate.value, parts)


def _settled(own: list[Portion], lead: Lead) -> list[Portion]:
    """Portions that count and are ordinary numbers."""
    counted = valid(own, lead)
    return [p for p in counted if p.gave[lead.portion].estimate.state is State.MEASURED]


def _scatter(
    work: Work, bag: str, lead: Lead, members: list[Portion], known: Mapping[str, Known]
) -> tuple[Estimate, bool]:
    """The mean with the doubt no reading shows, and whether that doubt stands alone."""
    if not members:
        return Estimate.of(0.0), False
    value = math.fsum(p.gave[lead.portion].value for p in members) / len(members)
    to = to_judged(work, lead, known)
    unit = quantity(lead.judged_as).unit
    scatter = scatter_of(work.batch, lead.judged_as, level=abs(value * to), unit=unit)
    parts = parts_of_method(
        work.batch, lead, value, portions=len(members), sample=bag, scatter=scatter, to=to
    )
    return Estimate.of(value, parts), scatter.has_history


def _mean(
    work: Work, lead: Lead, members: list[Portion], draws: Mapping[str, NDArray[np.float64]]
) -> NDArray[np.float64]:
    worked = []
    for one in members:
        place = one.position.order
        inputs = {name: draws[f"{place}|{name}"] for name in inputs_of(work, one.position)}
        worked.append(follow_numbers(work.method.portion, inputs)[lead.portion])
    return np.asarray(np.mean(worked, axis=0))


def holds(
    estimate: Estimate,
    draws: NDArray[np.float64],
    *,
    digits: int = 1,
    sds_known: bool = False,
) -> bool:
    """Whether first-order end points lie within the tolerance of JCGM 101, clause 8.

    Parameters
    ----------
    estimate
        First-order result [its own unit].
    draws
        Draws of it [same unit].
    digits
        Figures of the standard uncertainty that count as meaningful.
    sds_known
        Whether the draws took every SD as known.
    """
    low, high = symmetric(draws)
    first_low, first_high = (_sure(estimate) if sds_known else estimate).interval()
    place = math.floor(math.log10(estimate.u)) - digits + 1
    tolerance = 0.5 * 10.0**place
    return abs(first_low - low) <= tolerance and abs(first_high - high) <= tolerance
