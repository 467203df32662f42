"""The question: whose hay, which result, how the bag was taken, who eats it and how."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from haywright.bunk.hazards.nitrate.doubt import Laboratory, Sampling, Spread
from haywright.bunk.hazards.nitrate.lookup import HORSES, Says, checked_classes, says
from haywright.bunk.hazards.nitrate.rules import Rules, rules
from haywright.measure.errors import Refused
from haywright.measure.estimate import Estimate
from haywright.sources.guides import Guide


class Fed(StrEnum):
    """How the hay is fed."""

    MIXED = "mixed"
    LIMITED = "limited"
    FREE = "free"


class How(StrEnum):
    """How the sample was taken or tested; the last two are screens that clear nothing."""

    PROBE = "probe"
    GRAB = "grab"
    SPOT_TEST = "spot test"


def planning_spread(
    *,
    risky: bool,
    by_part: bool = False,
    own: tuple[float, float] | None = None,
    history: tuple[float, float] | None = None,
) -> Spread:
    """Between-bale spread in order of worth: this lot's bags, office history, provisional.

    Parameters
    ----------
    risky
        Annual, stressed or weedy hay bagged as one.
    by_part
        Field parts bagged apart.
    own
        (CV, degrees of freedom) of this lot's separately tested bags [fraction, count].
    history
        (CV, degrees of freedom) of the office's repeats within lots [fraction, count].

    Returns
    -------
    Spread
        Never under the table's least, unless measured on this lot.
    """
    r = rules()
    if own is not None:
        return Spread(own[0], own[1], r.within, "lot")
    if history is not None:
        return Spread(max(history[0], r.least), history[1], r.within, "history")
    provisional = r.by_part if by_part else r.risky if risky else r.other
    return Spread(max(provisional, r.least), r.df, r.within, "provisional")


@dataclass(frozen=True, slots=True)
class Rest:
    """The rest of the ration and the water; an unknown is never nothing.

    Parameters
    ----------
    feed
        Nitrate of the rest of the ration at its upper 95 % [mg/kg NO3-N of DM]; ``None`` unknown.
    water
        Nitrate of the water spread over the dry matter eaten [mg/kg NO3-N of DM]; ``None`` unknown.
    assumed
        Names (feed, water) that a person assumed rather than tested; printed.
    over_household_limit
        Whether the water is above the limit for people too; the household is then warned.
    """

    feed: float | None = None
    water: float | None = None
    assumed: tuple[str, ...] = ()
    over_household_limit: bool = False

    def __post_init__(self) -> None:
        for name in ("feed", "water"):
            value = getattr(self, name)
            if value is not None and not value >= 0:
                raise Refused(name, value, ">= 0")


@dataclass(frozen=True, slots=True)
class NitrateQuestion:
    """Everything a verdict rests on.

    Parameters
    ----------
    result
        Nitrate of the bag [mg/kg NO3-N of DM]; ``None`` when not tested.
    classes
        Classes of the animals as guides name them; unknown pregnancy counts as pregnant.
    guide
        The chosen guide.
    must_test
        Why an untested lot must be tested: accumulator, event, protein; empty when nothing says so.
    how, sampling, spread, laboratory
        How the bag was taken, how bales differ, what the laboratory's number is worth.
    rest
        Rest of the ration and water.
    fed
        How it is fed.
    mixed
        Bales ground together in one mix [count]; 1 judges a meal by the single bale.
    parts_known
        Whether the field has known parts that can be tested apart.
    animals
        What a person calls them.
    rules
        Lines, levels and planning figures; an office may change them.
    """

    result: Estimate | None
    classes: tuple[str, ...]
    guide: Guide
    must_test: tuple[str, ...] = ()
    how: How = How.PROBE
    sampling: Sampling = field(default_factory=Sampling)
    spread: Spread | None = None
    laboratory: Laboratory | None = None
    rest: Rest = field(default_factory=Rest)
    fed: Fed = Fed.MIXED
    mixed: int = 1
    parts_known: bool = False
    animals: str = ""
    rules: Rules = field(default_factory=rules)

    def __post_init__(self) -> None:
        bales = self.sampling.bales
        if self.mixed < 1 or (bales is not None and self.mixed > bales):
            raise Refused("mixed", self.mixed, key="bunk.nitrate.mixed", bales=bales or "")
        if self.mixed > 1 and self.fed is not Fed.MIXED:
            raise Refused("mixed", self.mixed, key="bunk.nitrate.mixed_only")

    @property
    def all_classes(self) -> tuple[str, ...]:
        """The classes, with pregnancy where it was not known."""
        return checked_classes(self.classes)

    @property
    def horse(self) -> bool:
        """Whether these are horses."""
        return bool(set(HORSES) & set(self.all_classes))

    @property
    def tender(self) -> bool:
        """Pregnant, young or stressed stock."""
        return bool({"pregnant", "young", "stressed"} & set(self.all_classes))

    def says(self, level: float) -> Says:
        """What the chosen guide says of a level [mg/kg NO3-N of DM] for these animals."""
        return says(self.guide, level, self.classes)

    def worked_spread(self) -> Spread:
        """The spread given, or the cautious provisional one."""
        return self.spread or planning_spread(risky=True)

    def worked_laboratory(self) -> Laboratory:
        """The laboratory's uncertainty given, or the planning one."""
        return self.laboratory or Laboratory(self.rules.repeat, self.rules.bias)
