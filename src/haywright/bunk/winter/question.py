"""What a winter plan is asked: hay, feeds to buy, herds with their needs, and what may happen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Literal

from haywright.bunk.animals import HerdGroup
from haywright.bunk.ration.feed import RationFeed
from haywright.bunk.requirements.need import Choices, DailyNeed
from haywright.bunk.requirements.needs import need_of_week
from haywright.bunk.weather import Day
from haywright.bunk.winter.feeding_out import waste_fraction
from haywright.measure.errors import HaywrightError, Problems, Refused, UnknownName
from haywright.sources.tables import load_toml

Fed = Literal["free", "limited", "mixed"]
FED: tuple[Fed, ...] = ("free", "limited", "mixed")
Charge = Literal["neg", "nem"]
WEEK = 7


@dataclass(frozen=True, slots=True)
class Hay:
    """One lot as the plan sees it; a hay that can be bought is a lot with nothing in it yet.

    Parameters
    ----------
    feed
        Its name and what its dry matter holds.
    stock
        On the first day [kg of dry matter].
    loss
        By week, lost of what stands [fraction].
    shares
        Herd name -> most of the ration for the way it is fed [0 to 1], one for all weeks or one a
        week; 1 where not named. What is lost in storage concentrates nitrate: see
        :func:`haywright.bunk.winter.nitrate.shares_by_week`.
    tested
        False where a nitrate test is called for and missing: then no herd gets it.
    buy, buy_most
        Delivered price [money per kg of dry matter], and how much there is [kg of dry matter].
    sell, sell_most
        Price at the stack [money per kg of dry matter], and how much is wanted [kg of dry matter].
    handling
        Of putting it out [money per kg of dry matter].
    left_worth
        Of what is left at the end [money per kg of dry matter].
    bale
        In one bale [kg of dry matter]; ``None`` for loose hay.
    """

    feed: RationFeed
    stock: float
    loss: tuple[float, ...] = ()
    shares: Mapping[str, float | Sequence[float]] = field(default_factory=dict)
    tested: bool = True
    buy: float | None = None
    buy_most: float | None = None
    sell: float | None = None
    sell_most: float | None = None
    handling: float = 0.0
    left_worth: float = 0.0
    bale: float | None = None

    @property
    def name(self) -> str:
        """Of the lot."""
        return self.feed.name

    def share_for(self, herd: str) -> float:
        """Most of a herd's ration in any week [0 to 1]; nothing of a lot that is not tested."""
        return max(self.shares_for(herd, 1))

    def shares_for(self, herd: str, weeks: int) -> tuple[float, ...]:
        """Most of a herd's ration by week [0 to 1]; weeks [count]."""
        if not self.tested:
            return (0.0,) * weeks
        found = self.shares.get(herd, 1.0)
        return tuple(found) if isinstance(found, Sequence) else (found,) * weeks


@dataclass(frozen=True, slots=True)
class Herd:
    """One group with its needs by week.

    Parameters
    ----------
    group
        Which animals.
    needs
        Of one head, by week.
    fed
        free (they eat their fill), limited (a day's amount at a time) or mixed.
    waste
        Of hay put out [%].
    target
        Condition wanted at calving [score]; ``None`` for none.
    least
        Condition never to fall below [score]; ``None`` for the usual floor of cows or heifers.
    sale
        What one head brings today [money]; ``None`` when none is for sale.
    replacement
        What one like it costs in the spring [money].
    most_hays
        How many different lots it may be fed over the winter; ``None`` for any number.
    in_turn
        Whether one lot is fed up before the next is begun.
    most
        Dictionary name -> most of the diet [as the dictionary has it], such as starch; fat has a
        limit anyhow.
    water_sulfate
        Of the water they drink [mg/L]; ``None`` when not tested.
    drinks
        Water one drinks [L/day]; ``None`` when not known.
    """

    group: HerdGroup
    needs: tuple[DailyNeed, ...]
    fed: Fed = "free"
    waste: float = 0.0
    target: float | None = None
    least: float | None = None
    sale: float | None = None
    replacement: float = 0.0
    most_hays: int | None = None
    in_turn: bool = False
    most: Mapping[str, float] = field(default_factory=dict)
    water_sulfate: float | None = None
    drinks: float | None = None

    @property
    def name(self) -> str:
        """Of the group."""
        return self.group.name

    @property
    def reserves(self) -> bool:
        """Whether body condition is a store of energy in the plan: cows and heifers in calf."""
        return self.group.family in ("cow", "heifer") and not self.group.gain

    @property
    def floor(self) -> float:
        """Condition never to fall below [score]: the usual one if not said."""
        if self.least is not None:
            return self.least
        family = "heifer" if self.group.family == "heifer" else "cow"
        return float(load_toml("winter_rules")["condition"][f"floor_{family}"])

    @property
    def whole(self) -> bool:
        """Whether lots are chosen whole, which takes whole numbers."""
        return self.in_turn or self.most_hays is not None


@dataclass(frozen=True, slots=True)
class WinterQuestion:
    """What is asked.

    Parameters
    ----------
    first
        First day.
    weeks
        How many [count].
    hays
        Lots on the place, and hay that can be bought.
    feeds
        Other feeds that can be bought, each with its delivered price.
    herds
        Who eats.
    condition_worth
        Of body reserves at the end [money per Mcal].
    charge
        Whether a gain of condition is charged at net energy for gain (promises less) or, as
        Nebraska does, at net energy for maintenance.
    """

    first: date
    weeks: int
    hays: tuple[Hay, ...]
    feeds: tuple[RationFeed, ...] = ()
    herds: tuple[Herd, ...] = ()
    condition_worth: float = 0.0
    charge: Charge = "neg"

    def __post_init__(self) -> None:
        """Refuse what cannot be, every problem at once."""
        problems = list(_problems(self))
        if problems:
            raise problems[0] if len(problems) == 1 else Problems(problems)

    def day(self, week: int) -> date:
        """First day of a week, counted from 0 [count]."""
        return self.first + timedelta(days=WEEK * week)

    @property
    def last(self) -> date:
        """The day after the last."""
        return self.day(self.weeks)

    def with_herds(self, herds: Sequence[Herd]) -> WinterQuestion:
        """The same question with other herds."""
        return replace(self, herds=tuple(herds))

    def with_hays(self, hays: Sequence[Hay]) -> WinterQuestion:
        """The same question with other hay."""
        return replace(self, hays=tuple(hays))


def _problems(q: WinterQuestion) -> Iterator[HaywrightError]:
    if q.weeks < 1:
        yield Refused("weeks", q.weeks, key="winter.weeks")
    if not q.herds or not any(one.group.head for one in q.herds):
        yield Refused("herds", None, key="winter.no_animals")
    if not q.hays and not q.feeds:
        yield Refused("hays", None, key="winter.no_hay")
    names = [hay.name for hay in q.hays] + [feed.name for feed in q.feeds]
    for twice in sorted({one for one in names if names.count(one) > 1}):
        yield Refused("name", twice, key="winter.twice")
    for hay in q.hays:
        yield from _hay_problems(hay, q.weeks)
    for herd in q.herds:
        yield from _herd_problems(herd, q)


def _hay_problems(hay: Hay, weeks: int) -> Iterator[HaywrightError]:
    if not hay.stock >= 0:
        yield Refused("stock", hay.stock, key="winter.stock", name=hay.name)
    if hay.loss and len(hay.loss) != weeks:
        yield Refused("loss", len(hay.loss), key="winter.by_week", name=hay.name, weeks=weeks)
    for herd in hay.shares:
        by_week = replace(hay, tested=True).shares_for(herd, weeks)
        if len(by_week) != weeks:
            yield Refused("share", len(by_week), key="winter.by_week", name=hay.name, weeks=weeks)
        for share in [one for one in by_week if not 0 <= one <= 1][:1]:
            yield Refused("share", share, key="winter.share", name=hay.name, herd=herd)
    if hay.feed.holds("cp") is None:
        yield Refused("cp", None, key="winter.no_protein", name=hay.name)


def _herd_problems(herd: Herd, q: WinterQuestion) -> Iterator[HaywrightError]:
    if herd.fed not in FED:
        yield UnknownName("fed", herd.fed, FED)
    if len(herd.needs) != q.weeks:
        yield Refused("needs", len(herd.needs), key="winter.by_week", name=herd.name, weeks=q.weeks)
        return
    if not herd.needs:
        return
    try:
        waste_fraction(herd.waste)
    except Refused as error:
        yield error
    energy = herd.needs[0].energy
    for feed in (*(hay.feed for hay in q.hays), *q.feeds):
        if feed.holds(energy) is None and "mineral" not in feed.carries:
            yield Refused(energy, None, key="winter.no_energy", name=feed.name, herd=herd.name)
    if herd.reserves and herd.group.condition < herd.floor:
        yield Refused(
            "condition", herd.group.condition, key="winter.thin", name=herd.name, least=herd.floor
        )
    for name, most in herd.most.items():
        if not most >= 0:
            yield Refused(name, most, key="winter.most", name=herd.name)
    for name, amount in (("water_sulfate", herd.water_sulfate), ("drinks", herd.drinks)):
        if amount is not None and not amount >= 0:
            yield Refused(name, amount, key="winter.most", name=herd.name)


def needs_of(
    group: HerdGroup,
    first: date,
    weeks: int,
    *,
    weather: Sequence[Sequence[Day]] = (),
    choices: Choices | None = None,
) -> tuple[DailyNeed, ...]:
    """A group's needs by week.

    Parameters
    ----------
    group
        Which animals.
    first
        First day.
    weeks
        How many [count].
    weather
        By week, its days; none counts no cold.
    choices
        Editions and rules.
    """
    return tuple(
        need_of_week(
            group,
            first + timedelta(days=WEEK * week),
            weather=weather[week] if weather else (),
            choices=choices,
        )
        for week in range(weeks)
    )
