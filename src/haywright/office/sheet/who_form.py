"""Who eats it: a group of the ranch, or any animals one names, and what else is known of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any, ClassVar
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest

from haywright.bunk.hazards.nitrate.question import Fed
from haywright.bunk.ranch import FeedingGroup
from haywright.files.ranches import ranch_of
from haywright.files.reading import Checked
from haywright.measure.errors import Refused
from haywright.office.sheet.shown import Shown
from haywright.office.web.pages import Form
from haywright.sources.animals import Animals, animals, kinds
from haywright.way.lot import Decision

# What a bare number is meant in, by the reader's units.
MASS = {"us": "lb", "si": "kg"}
VOLUME = {"us": "gal", "si": "L"}
OTHER = "other"
_ASKED_APART = {"lactating", "stressed"}


def chooser_kinds() -> Iterator[Animals]:
    """One kind of stock for each set of classes that guides tell apart, stress asked for apart."""
    seen: set[tuple[str, ...]] = set()
    for one in kinds().values():
        if one.classes not in seen and not _ASKED_APART & set(one.classes):
            seen.add(one.classes)
            yield one


class WhoForm(Form):
    """Who eats it; everything but the group may be left as it is known."""

    group = forms.ChoiceField(required=False, widget=forms.RadioSelect)
    animals = forms.ChoiceField(required=False)
    head = forms.IntegerField(required=False, min_value=1, max_value=100_000)
    fed = forms.ChoiceField(required=False)
    pregnant = forms.ChoiceField(required=False)
    intake = forms.FloatField(required=False, min_value=0.1, max_value=150)
    rest = forms.FloatField(required=False, min_value=0, max_value=10_000)
    water_nitrate = forms.FloatField(required=False, min_value=0, max_value=10_000)
    drinks = forms.FloatField(required=False, min_value=0.1, max_value=300)
    stressed = forms.BooleanField(required=False)
    asked = (
        "animals", "head", "fed", "pregnant", "intake", "rest", "water_nitrate", "drinks",
        "stressed",
    )  # fmt: skip
    labels: ClassVar = {
        "group": "office.feed.who",
        **{name: f"people.group.{name}" for name in asked if name not in ("stressed", "rest")},
    }

    def __init__(self, request: HttpRequest, seen: Shown, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        del self.fields["once"]
        self.seen = seen
        self.units = {
            "intake": MASS[self.reader.units],
            "water_nitrate": "mg/L NO3-N",
            "drinks": VOLUME[self.reader.units],
        }
        self.own = seen.known.ranch is not None
        self._choose("group", list(self._groups()))
        self._choose("animals", [("", "–"), *self._kinds(kinds().values())])
        as_known = [("", self.say("office.feed.as_known"))]
        self._choose("fed", as_known + [(one.value, self.say(f"people.fed.{one.value}"))
                                        for one in Fed])  # fmt: skip
        known = [("", "unknown"), ("yes", "yes"), ("no", "no")]
        said = {"unknown": "office.feed.as_known", "yes": "office.yes", "no": "office.no"}
        self._choose("pregnant", [(value, self.say(said[word])) for value, word in known])
        self.fields["group"].initial = self.fields["group"].choices[0][0]  # type: ignore[attr-defined]
        for name, unit in {**self.units, "rest": "mg/kg NO3-N"}.items():
            self.fields[name].unit = unit  # type: ignore[attr-defined]
        for name in ("animals", "intake", "rest", "pregnant", "fed"):
            self.fields[name].help_text = self.say(f"office.feed.{name}_help")

    def _groups(self) -> Iterator[tuple[str, str]]:
        if self.own:
            for n, one in enumerate(self.seen.decisions):
                name = self.reader.name(one.group.name)
                yield str(n), self.say("office.feed.group", name=name, n=one.group.head)
        else:
            yield from self._kinds(chooser_kinds())
        yield OTHER, self.say("office.feed.other")

    def _kinds(self, many: Any) -> Iterator[tuple[str, str]]:
        for one in many:
            yield one.id, self.reader.name(one.name)

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    @property
    def told(self) -> bool:
        """Whether anything is said of them beside which group they are."""
        return self.is_bound and any(self.data.get(name) for name in self.asked)

    def decision(self) -> Decision:
        """The verdict for whom was chosen.

        Raises
        ------
        Refused, Problems
            What does not fit, by its field.
        """
        given = self.cleaned_data
        chosen = given["group"] or self.fields["group"].initial
        if given["animals"]:
            chosen = OTHER
        if chosen.isdecimal() and not self.told:
            return self.seen.decisions[int(chosen)]
        group = (
            self._said_of(self.seen.decisions[int(chosen)].group)
            if chosen.isdecimal()
            else (self._named(chosen))
        )
        return self.seen.decide(group, assumed_feed=given["rest"])

    def _named(self, chosen: str) -> FeedingGroup:
        """Animals of no group of the ranch."""
        kind = self.cleaned_data["animals"] if chosen == OTHER else chosen
        if not kind:
            raise Refused("animals", "", key="office.feed.say_which")
        return self._read(kind)

    def _said_of(self, group: FeedingGroup) -> FeedingGroup:
        """A group of the ranch with what was said of it here in place of what is written down."""
        typed = self._facts()
        read = self._read(group.stock.id)
        return replace(group, **{name: getattr(read, name) for name in typed})

    def _read(self, kind: str) -> FeedingGroup:
        usual = {"head": 1, "fed": Fed.FREE.value}  # nothing is allowed for what is not said
        told = {**usual, **self._facts(), "animals": animals(kind).name}
        return ranch_of(Checked({"name": OTHER, "group": [told]}, ""), "").groups[0]

    def _facts(self) -> dict[str, Any]:
        """What was said, as the form of a ranch has it."""
        given = self.cleaned_data
        told: dict[str, Any] = {n: given[n] for n in ("fed", "head") if given[n]}
        for name, unit in self.units.items():
            if given[name] is not None:
                told[name] = f"{given[name]} {unit}"
        if given["pregnant"]:
            told["pregnant"] = given["pregnant"] == "yes"
        if given["stressed"]:
            told["stressed"] = True
        return told

    def address(self) -> str:
        """What stands in the address for whom was chosen."""
        held = self.cleaned_data if self.is_bound and self.is_valid() else {}
        return urlencode(
            {
                n: self.data[n]
                for n, v in held.items()
                if v not in ("", None, False) and n in self.data
            }
        )
