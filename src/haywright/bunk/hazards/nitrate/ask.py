"""From what a person says on the telephone to a question: nothing is guessed."""

from __future__ import annotations

import math

from haywright.bunk.hazards.nitrate.blend import water_over_feed
from haywright.bunk.hazards.nitrate.doubt import Sampling, Spread
from haywright.bunk.hazards.nitrate.lookup import classes_of
from haywright.bunk.hazards.nitrate.question import Fed, How, NitrateQuestion, Rest
from haywright.bunk.hazards.nitrate.rules import rules
from haywright.measure.basis import DRY_MATTER, DryMatters, parse_basis, rebase
from haywright.measure.errors import Refused, UnknownName
from haywright.measure.estimate import exact
from haywright.measure.nitrate import NitrateForm, convert_form, parse_nitrate_unit
from haywright.measure.units import convert
from haywright.sources.animals import animals as kind_of
from haywright.sources.guides import default_guide
from haywright.sources.guides import guide as guide_of

_HOW = {"probe": How.PROBE, "grab": How.GRAB, "spot-test": How.SPOT_TEST}


def to_no3n_on_dry_matter(
    value: float, *, unit: str, basis: str, dry_matter: float | None
) -> float:
    """A nitrate as a laboratory printed it, on dry matter.

    Parameters
    ----------
    value
        As printed [``unit``].
    unit
        Unit with form, "ppm NO3-N".
    basis
        What it is a share of.
    dry_matter
        Dry matter of the hay [%]; needed unless on dry matter or a stated one.

    Returns
    -------
    float
        [mg/kg NO3-N of DM].
    """
    printed_unit, form = parse_nitrate_unit(unit)
    on = parse_basis(basis)
    if not (value >= 0 and math.isfinite(value)):
        raise Refused("nitrate", value, ">= 0")
    no3n = convert(convert_form(value, form, NitrateForm.NO3_N), printed_unit, "mg/kg")
    if convert(value, printed_unit, "%") > 100:
        raise Refused("nitrate", value, key="bunk.nitrate.over_all", unit=unit)
    return float(rebase(no3n, on, DRY_MATTER, dry=DryMatters(total=dry_matter)))


def over_feed(water: float | None) -> float | None:
    """Water nitrate spread over the dry matter eaten, at the table's generous drinking rate.

    Parameters
    ----------
    water
        [mg/L NO3-N]; ``None`` when not known.

    Returns
    -------
    float
        [mg/kg NO3-N of DM].
    """
    return None if water is None else float(water_over_feed(rules().water_per_feed, water, 1.0))


def asked(
    value: float,
    *,
    unit: str,
    basis: str,
    animals: str,
    dry_matter: float | None = None,
    guide: str = "",
    bales: int | None = None,
    cored: int = 1,
    cores: int = 1,
    taken: str = "probe",
    spread: float | None = None,
    fed: str = "mixed",
    rest: float | None = None,
    water: float | None = None,
    assumed: bool = False,
) -> NitrateQuestion:
    """The question behind a telephone call.

    Parameters
    ----------
    value
        Nitrate as printed [``unit``].
    unit, basis
        Unit with form; basis.
    animals
        Who eats it.
    dry_matter
        Of the hay [%].
    guide
        Id of the guide; "" for the default.
    bales, cored, cores
        In the lot; cored; from each [count].
    taken
        probe, grab or spot-test.
    spread
        Between bales, measured [% of the mean].
    fed
        mixed, limited or free.
    rest
        Rest of the feed [mg/kg NO3-N of DM].
    water
        Water [mg/L NO3-N].
    assumed
        Whether rest and water are assumed rather than tested.

    Raises
    ------
    Refused
        Form, unit, basis or animals missing; each named.
    """
    no3n = to_no3n_on_dry_matter(value, unit=unit, basis=basis, dry_matter=dry_matter)
    if not animals.strip():
        raise Refused("animals", animals, key="bunk.nitrate.who")
    kind = kind_of(animals)
    if taken not in _HOW:
        raise UnknownName("taken", taken, _HOW)
    if fed not in list(Fed):
        raise UnknownName("fed", fed, list(Fed))
    r = rules()
    own = None if spread is None else Spread(spread / 100, math.inf, r.within, "entered")
    known = tuple(n for n, v in (("feed", rest), ("water", water)) if v is not None)
    return NitrateQuestion(
        result=exact(no3n),
        classes=classes_of(kind),
        guide=guide_of(guide) if guide else default_guide(kind.species),
        how=_HOW[taken],
        sampling=Sampling(cored, bales, cores),
        spread=own,
        rest=Rest(rest, over_feed(water), known if assumed else ()),
        fed=Fed(fed),
        animals=kind.name,
    )
