"""From what a person says on the telephone to a question: nothing is guessed."""

from __future__ import annotations

import math

from haywright.bunk.hazards.nitrate.blend import water_over_feed
from haywright.bunk.hazards.nitrate.doubt import Sampling, Spread
from haywright.bunk.hazards.nitrate.lookup import classes_of
from haywright.bunk.hazards.nitrate.question import Fed, How, NitrateQuestion, Rest
from haywright.bunk.hazards.nitrate.rules import rules
from haywright.bunk.hazards.nitrate.typed import hay_nitrate
from haywright.bunk.hazards.water import over_household_limit
from haywright.measure.errors import Refused, UnknownName
from haywright.measure.estimate import exact
from haywright.sources.animals import animals as kind_of
from haywright.sources.guides import default_guide
from haywright.sources.guides import guide as guide_of

_HOW = {"probe": How.PROBE, "grab": How.GRAB, "spot-test": How.SPOT_TEST}


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
    cored: int | None = None,
    cores: int = 1,
    mixed: int = 1,
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
        In the lot; cored, one when nobody said; cores from each [count].
    mixed
        Bales ground together in one mix [count].
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
    no3n, _ = hay_nitrate(value, unit, basis, dm=dry_matter)
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
        sampling=Sampling(cored or 1, bales, cores, said=cored is not None),
        spread=own,
        rest=Rest(
            rest,
            over_feed(water),
            known if assumed else (),
            water is not None and over_household_limit(water),
        ),
        fed=Fed(fed),
        mixed=mixed,
        animals=kind.name,
    )
