"""A group of stock, and where it stands on a day: by dates, never by the name of a stage."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any, Literal, cast

from haywright.bunk.intake import Age
from haywright.bunk.requirements.condition import weight_share
from haywright.bunk.requirements.gestation import birth_weight
from haywright.bunk.requirements.maintenance import shrunk_weight
from haywright.measure.errors import Refused, UnknownName
from haywright.sources.animals import Animals, animals
from haywright.sources.named import plain
from haywright.sources.tables import load_toml

Family = Literal["cow", "heifer", "growing", "bull", "dairy", "ewe", "doe", "horse"]
Work = Literal["idle", "light", "moderate", "heavy", "very heavy"]
WORK: tuple[Work, ...] = ("idle", "light", "moderate", "heavy", "very heavy")
FAMILIES: dict[str, Family] = {
    "bred-cows": "cow",
    "late-bred-cows": "cow",
    "milking-beef-cows": "cow",
    "open-cows": "cow",
    "stressed-cattle": "cow",
    "bred-heifers": "heifer",
    "heifers": "growing",
    "steers": "growing",
    "calves": "growing",
    "bulls": "bull",
    "dairy-cows": "dairy",
    "ewes": "ewe",
    "nursing-ewes": "ewe",
    "rams": "ewe",
    "wethers": "ewe",
    "does": "doe",
    "milking-does": "doe",
    "goat-wethers": "doe",
    "kids": "doe",
    "horses": "horse",
    "laminitic-horses": "horse",
    "mares-in-foal": "horse",
}
_SETTLED = 80


@dataclass(frozen=True, slots=True)
class HerdGroup:
    """Animals that are fed together.

    Parameters
    ----------
    name
        What the rancher calls them.
    kind
        Kind of stock, in any of its words.
    head
        How many [count].
    weight
        Live weight of one on ``weighed`` [kg].
    weighed
        When.
    condition
        Body condition [score, 1 to 9].
    due
        Mean date of calving, lambing, kidding or foaling; ``None`` for stock that is not bred.
    weaned
        When the young are weaned; a usual age is taken when not said.
    rebred
        Whether they are bred back after ``due``.
    breed
        Breed of beef cattle.
    peak_milk
        At the peak of a grown cow, or on the day for dairy stock [kg/day].
    milk_fat, milk_snf, milk_protein
        Of the milk [%].
    calf_birth_weight
        [kg].
    mature_weight
        Weight grown or finished, at condition 5 [kg]; for growing stock.
    gain
        Wanted of growing stock [kg/day].
    age
        grown, calf (under 12 months) or yearling: a choice, not read off the weight.
    litter
        Young of a birth [count].
    work
        Of horses.
    walking
        Walking to feed [% of maintenance].
    """

    name: str
    kind: str
    head: float
    weight: float
    weighed: date
    condition: float = 5.0
    due: date | None = None
    weaned: date | None = None
    rebred: bool = True
    breed: str = "british"
    peak_milk: float | None = None
    milk_fat: float = 4.0
    milk_snf: float = 8.3
    milk_protein: float = 3.4
    calf_birth_weight: float | None = None
    mature_weight: float | None = None
    gain: float = 0.0
    age: Age = "grown"
    litter: float = 1.0
    work: Work = "idle"
    walking: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be: a weight in the wrong unit, negative head, a score of 12."""
        _check(self)

    @property
    def stock(self) -> Animals:
        """The kind of stock of the table."""
        return animals(self.kind)

    @property
    def family(self) -> Family:
        """Which requirements apply."""
        return FAMILIES[self.stock.id]

    @property
    def species(self) -> str:
        """cattle, sheep, goat or horse."""
        return self.stock.species

    @property
    def breed_factor(self) -> float:
        """Factor on maintenance [factor]; the mean of two breeds written with a slash."""
        parts = [_breed(word) for word in self.breed.split("/")]
        return sum(float(row["maintenance"]) for row in parts) / len(parts)

    @property
    def breed_recalled(self) -> bool:
        """Whether the breed's factor is recalled."""
        return any(_breed(word)["mark"] == "recalled" for word in self.breed.split("/"))

    @property
    def weight_at_5(self) -> float:
        """Weight of one at condition 5 [kg]."""
        return float(self.weight * 100.0 / weight_share(self.condition))

    @property
    def grown_weight(self) -> float:
        """Shrunk weight grown, at condition 5 [kg]."""
        return float(shrunk_weight(self.mature_weight or self.weight_at_5))

    @property
    def calf(self) -> float:
        """Birth weight of the calf, taken from its mother when not said [kg]."""
        return float(self.calf_birth_weight or birth_weight(self.grown_weight))

    def with_head(self, head: float) -> HerdGroup:
        """The same group with another number of animals [count]."""
        return replace(self, head=head)


def _breed(word: str) -> dict[str, Any]:
    table = load_toml("breeds")
    wanted = plain(word)
    for key, row in table.items():
        if wanted in {plain(key), plain(row["name"]), *map(plain, row["also"])}:
            return cast("dict[str, Any]", row)
    raise UnknownName("breed", word, {*table, *(w for row in table.values() for w in row["also"])})


def _check(group: HerdGroup) -> None:
    kind = animals(group.kind).id
    if kind not in FAMILIES:
        raise UnknownName("kind", group.kind, FAMILIES)
    if not group.head >= 0:
        raise Refused("head", group.head, key="animals.head")
    least, most = load_toml("reproduction")[group.family]["weight"]
    if not least <= group.weight <= most:
        raise Refused(
            "weight", f"{group.weight:g}", key="animals.weight", least=least, most=most,
            name=group.name,
        )  # fmt: skip
    if not 1.0 <= group.condition <= 9.0:
        raise Refused("condition", group.condition, key="animals.condition")
    if group.work not in WORK:
        raise UnknownName("work", group.work, WORK)
    if group.due is not None and group.family in ("growing", "bull"):
        raise Refused("due", group.due, key="animals.not_bred", name=group.name)
    if group.gain < 0 or (group.peak_milk is not None and group.peak_milk < 0):
        raise Refused("gain", group.gain, key="animals.gain")


@dataclass(frozen=True, slots=True)
class Stage:
    """Where a group stands on a day.

    Parameters
    ----------
    days_pregnant
        0 when open [day].
    days_to_birth
        ``None`` when not pregnant [day].
    days_milking
        Since the last birth; ``None`` when dry [day].
    """

    days_pregnant: float = 0.0
    days_to_birth: float | None = None
    days_milking: float | None = None

    @property
    def milking(self) -> bool:
        """Whether they nurse."""
        return self.days_milking is not None

    @property
    def weeks_milking(self) -> float:
        """Since the last birth [week]; 0 when dry."""
        return (self.days_milking or 0.0) / 7.0

    @property
    def settled(self) -> bool:
        """Whether pregnancy is beyond about 80 days, as the intake rules ask."""
        return self.days_pregnant >= _SETTLED


def stage_on(group: HerdGroup, day: date) -> Stage:
    """Where the group stands on a day, from its dates."""
    if group.due is None:
        return Stage()
    row = load_toml("reproduction")[group.family]
    gestation, wean = int(row["gestation"]), int(row["wean"])
    if day < group.due:
        to_birth = (group.due - day).days
        return Stage(
            days_pregnant=float(max(gestation - to_birth, 0)),
            days_to_birth=float(to_birth) if to_birth < gestation else None,
            days_milking=_nursing_last_years(group, day),
        )
    since = (day - group.due).days
    weaned = group.weaned if group.weaned and group.weaned > group.due else None
    until = (weaned - group.due).days if weaned else wean
    pregnant = max(since - int(row["rebreed"]), 0) if group.rebred else 0
    return Stage(
        days_pregnant=float(min(pregnant, gestation)),
        days_to_birth=float(max(gestation - pregnant, 0)) if pregnant else None,
        days_milking=float(since) if since < until else None,
    )


def _nursing_last_years(group: HerdGroup, day: date) -> float | None:
    """Days milking of last year's young, for a group that is not weaned yet."""
    if group.weaned is None or group.due is None or day >= group.weaned:
        return None
    if group.weaned > group.due or group.family == "heifer":
        return None
    since = (day - (group.due - timedelta(days=load_toml("reproduction")["usual"]["year"]))).days
    return float(since) if since >= 0 else None


def weight_on(group: HerdGroup, day: date) -> float:
    """Live weight of one on a day [kg]; growing stock gains from the day it was weighed."""
    if group.family not in ("growing", "heifer") or group.gain == 0:
        return group.weight
    return max(group.weight + group.gain * (day - group.weighed).days, 0.0)
