"""Which tests a lot needs, and why.

The rules are data (``sources/tables/test_advice.toml``): each speaks when every condition named
in it holds. What must be tested and was not makes the sheet print NOT TESTED.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal, get_args

from haywright.bag.tests import lab_test, left_out
from haywright.measure.errors import Refused
from haywright.measure.message import Message, MessageValue
from haywright.sources.animals import Animals, animals
from haywright.sources.crops import Crop, Event, Weed, crop, event, weed
from haywright.sources.named import NamedTable
from haywright.sources.tables import load_toml
from haywright.stack.lot import Lot

Need = Literal["must", "should", "basic", "note"]
Form = Literal["cured_hay", "standing_crop", "cornstalks", "baleage", "green_chop", "silage"]
Purpose = Literal["feed", "sale"]
Names = tuple[str, ...]
NEEDS: tuple[Need, ...] = get_args(Need)
FORMS: tuple[Form, ...] = get_args(Form)
PURPOSES: tuple[Purpose, ...] = get_args(Purpose)


@dataclass(frozen=True, slots=True)
class Place:
    """What the country is like, as far as it changes which tests a lot needs."""

    id: str
    name: str
    also: tuple[str, ...] = ()


_PLACES = NamedTable("places", Place, field="place")


@dataclass(frozen=True)
class AdviceQuestion:
    """What is known of a lot and of the stock that will eat it.

    Parameters
    ----------
    crops
        Crop words; several for a mixture.
    events
        What happened to the crop or the hay.
    weeds
        Weed word -> share of the hay [% by weight or eye], ``None`` when nobody looked closely.
    animals
        Kinds of stock.
    form
        What is to be fed.
    purpose
        feed or sale.
    places
        What the country is like.
    cp
        Crude protein already known [% of DM].
    """

    crops: tuple[str, ...]
    events: tuple[str, ...] = ()
    weeds: Mapping[str, float | None] = field(default_factory=dict)
    animals: tuple[str, ...] = ()
    form: Form = "cured_hay"
    purpose: Purpose = "feed"
    places: tuple[str, ...] = ()
    cp: float | None = None

    def __post_init__(self) -> None:
        if not self.crops:
            raise Refused("crop", "", key="bag.advise.crop_missing")
        for name, value, names in (
            ("form", self.form, FORMS),
            ("purpose", self.purpose, PURPOSES),
        ):
            if value not in names:
                raise Refused(name, value, ", ".join(names))
        for word, share in self.weeds.items():
            if share is not None and not 0 <= share <= 100:
                raise Refused(word, share, key="bag.advise.weed_share")
        if self.cp is not None and not 0 <= self.cp <= 100:
            raise Refused("cp", self.cp, key="bag.advise.cp")

    @classmethod
    def of_lot(
        cls,
        lot: Lot,
        *,
        animals: tuple[str, ...] = (),
        condition: tuple[str, ...] = (),
        places: tuple[str, ...] = (),
        cp: float | None = None,
    ) -> AdviceQuestion:
        """The question that a lot asks.

        Parameters
        ----------
        lot
            Crop, events, weeds, form and purpose come from it.
        animals, condition, places
            Who will eat it, what was seen at the bag, what the country is like.
        cp
            Crude protein already known [% of DM].
        """
        return cls(
            crops=lot.crops,
            events=tuple(dict.fromkeys((*lot.events, *condition))),
            weeds=lot.weeds,
            animals=animals,
            form=lot.form,
            purpose=lot.purpose,
            places=places,
            cp=cp,
        )

    @cached_property
    def known_crops(self) -> tuple[Crop, ...]:
        """The crops as the table gives them."""
        return tuple(crop(word) for word in self.crops)

    @cached_property
    def known_events(self) -> tuple[Event, ...]:
        """The events as the table gives them."""
        return tuple(event(word) for word in self.events)

    @cached_property
    def known_weeds(self) -> tuple[tuple[Weed, float | None], ...]:
        """The weeds as the table gives them, with their shares [%]."""
        return tuple((weed(word), share) for word, share in self.weeds.items())

    @cached_property
    def known_animals(self) -> tuple[Animals, ...]:
        """The kinds of stock as the table gives them."""
        return tuple(animals(word) for word in self.animals)

    @cached_property
    def known_places(self) -> tuple[Place, ...]:
        """What the country is like, as the table gives it."""
        return tuple(_PLACES.find(word) for word in self.places)


@dataclass(frozen=True, slots=True)
class Advice:
    """One rule that speaks for a lot.

    ``tests`` are test ids, empty for a caution that no test settles; ``mark`` is read or
    practice.
    """

    rule: str
    tests: tuple[str, ...]
    need: Need
    reason: Message
    source: str
    mark: str


@dataclass(frozen=True, slots=True)
class Ordered:
    """One test with everything that speaks for it, the strongest need first."""

    test: str
    need: Need
    advice: tuple[Advice, ...]


def advise(question: AdviceQuestion) -> list[Advice]:
    """Every rule that speaks for a lot, the most needed first.

    Raises
    ------
    UnknownName
        A crop, event, weed, kind of stock or place that is not in the tables.
    """
    said = [_spoken(rule, question) for rule in load_toml("test_advice")["advice"]]
    return sorted((a for a in said if a is not None), key=lambda a: NEEDS.index(a.need))


def by_test(advice: Iterable[Advice]) -> list[Ordered]:
    """The advice turned round: each test once, with its reasons; cautions are left out."""
    grouped: dict[str, list[Advice]] = {}
    for one in sorted(advice, key=lambda a: NEEDS.index(a.need)):
        for test in one.tests:
            grouped.setdefault(test, []).append(one)
    return [Ordered(test, speaks[0].need, tuple(speaks)) for test, speaks in grouped.items()]


def not_tested(advice: Iterable[Advice], ordered: Iterable[str]) -> list[Ordered]:
    """The tests that must be run and are not among those ordered: each prints NOT TESTED."""
    must = [one for one in by_test(advice) if one.need == "must"]
    missing = set(left_out([one.test for one in must], tuple(ordered)))
    return [one for one in must if one.test in missing]


def _spoken(rule: Mapping[str, Any], question: AdviceQuestion) -> Advice | None:
    about: dict[str, MessageValue] = {}
    for name, subject in _SUBJECTS.items():
        hits = subject(rule, question)
        if hits is None:
            return None
        about[name] = hits
    return Advice(
        rule["id"],
        tuple(lab_test(t).id for t in rule["tests"]),
        rule["need"],
        Message(f"bag.advise.{rule['id']}", about),
        rule["source"],
        rule["mark"],
    )


def _among(
    things: Iterable[Any], rule: Mapping[str, Any], looks: Mapping[str, str]
) -> Names | None:
    """Names of the things that meet every condition the rule has on them; None where none does."""
    asked = {attribute: _listed(rule[key]) for key, attribute in looks.items() if key in rule}
    if not asked:
        return tuple(one.name.lower() for one in things)
    met = [
        one.name.lower()
        for one in things
        if all(wanted & _listed(getattr(one, attribute)) for attribute, wanted in asked.items())
    ]
    return tuple(met) or None


def _listed(value: Any) -> set[Any]:
    return set(value) if isinstance(value, list | tuple) else {value}


def _crops(rule: Mapping[str, Any], question: AdviceQuestion) -> Names | None:
    return _among(question.known_crops, rule, _OF_CROP)


def _animals(rule: Mapping[str, Any], question: AdviceQuestion) -> Names | None:
    return _among(question.known_animals, rule, _OF_ANIMALS)


def _places(rule: Mapping[str, Any], question: AdviceQuestion) -> Names | None:
    return _among(question.known_places, rule, {"place": "id"})


def _events(rule: Mapping[str, Any], question: AdviceQuestion) -> Names | None:
    if any(e.id in rule.get("not_events", ()) for e in question.known_events):
        return None
    return _among(question.known_events, rule, {"events": "id", "raises": "raises"})


def _weeds(rule: Mapping[str, Any], question: AdviceQuestion) -> Names | None:
    if rule.get("weeds") == "nitrate":
        storing = [(w, share) for w, share in question.known_weeds if w.nitrate == "high"]
        known = sum(share for _, share in storing if share is not None)
        unknown = any(share is None for _, share in storing)
        enough = unknown or known > rule["weed_share"]
        return tuple(w.name.lower() for w, _ in storing) if enough else None
    if rule.get("weeds") == "cyanogenic":
        return tuple(w.name.lower() for w, _ in question.known_weeds if w.cyanogenic) or None
    return ()


def _lot(rule: Mapping[str, Any], question: AdviceQuestion) -> Names | None:
    fits = (
        question.form in rule.get("forms", (question.form,))
        and question.purpose in rule.get("purpose", (question.purpose,))
        and ("cp_over" not in rule or (question.cp or 0.0) > rule["cp_over"])
    )
    return (question.form,) if fits else None


_OF_CROP = {
    "crops": "id",
    "classes": "forage_class",
    "season": "season",
    "nitrate": "nitrate",
    "legume": "legume",
    "cyanogenic": "cyanogenic",
}
_OF_ANIMALS = {"species": "species", "traits": "traits"}
_SUBJECTS: dict[str, Callable[[Mapping[str, Any], AdviceQuestion], Names | None]] = {
    "crop": _crops,
    "events": _events,
    "weeds": _weeds,
    "animals": _animals,
    "places": _places,
    "form": _lot,
}
