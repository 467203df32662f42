"""The form of a ranch's herd groups: what is typed becomes the ranch form, and back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import HttpRequest

from haywright.bunk.hazards.nitrate.question import Fed
from haywright.measure.errors import HaywrightError
from haywright.office.web.pages import Form
from haywright.sources.animals import animals, kinds
from haywright.sources.guides import guides
from haywright.words import say

GROUP = ("name", "animals", "head", "fed", "weight", "intake", "water_nitrate", "drinks",
         "pregnant")  # fmt: skip
# What a bare number is meant in, by the person's units.
_UNITS = {
    "weight": {"us": "lb", "si": "kg"},
    "intake": {"us": "lb", "si": "kg"},
    "water_nitrate": {"us": "mg/L NO3-N", "si": "mg/L NO3-N"},
    "drinks": {"us": "gal", "si": "L"},
}
_BARE = re.compile(r"[\d.,\s]+")
_AT = re.compile(r"group (\d+): (\w+)$")
_ALIKE = {"water": "water_nitrate"}
MOST_GROUPS = 30


class RanchForm(Form):
    """A ranch, its guide, its groups, and room for one more."""

    guide = forms.ChoiceField(required=False)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, request: HttpRequest, *args: Any, groups: int = 0, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        usual = ("", self.say("office.settings.usual_guide"))
        choices = [usual, *((one.id, one.name) for one in guides().values())]
        self.fields["guide"].choices = choices  # type: ignore[attr-defined]
        sent = str(self.data.get("groups", "")) if self.is_bound else ""
        count = int(sent) if sent.isascii() and sent.isdigit() else groups + 1
        self.count = min(count, MOST_GROUPS)
        self.places: list[int] = []
        for index in range(self.count):
            self._add(index)

    def _add(self, index: int) -> None:
        fed = [("", "–"), *((one.value, self.say(f"people.fed.{one.value}")) for one in Fed)]
        own = self.reader.name
        stock = [("", "–"), *((one.name, own(one.name)) for one in kinds().values())]
        known = [("", self.say("office.form.unknown")), ("yes", self.say("office.yes")),
                 ("no", self.say("office.no"))]  # fmt: skip
        made: dict[str, forms.Field] = {
            "name": forms.CharField(required=False, max_length=80),
            "animals": forms.ChoiceField(required=False, choices=stock),
            "head": forms.CharField(required=False, max_length=10),
            "fed": forms.ChoiceField(required=False, choices=fed),
            **{one: forms.CharField(required=False, max_length=40) for one in _UNITS},
            "pregnant": forms.ChoiceField(required=False, choices=known),
        }
        for name, held in made.items():
            held.label = self.say(f"people.group.{name}")
            if name in _UNITS:
                held.help_text = self.say(f"people.group.help.{name}")
                held.unit = _UNITS[name][self.reader.units]  # type: ignore[attr-defined]
                self._bare(f"g{index}_{name}", held.unit)  # type: ignore[attr-defined]
            self.fields[f"g{index}_{name}"] = held

    def _bare(self, name: str, unit: str) -> None:
        """What stands in the frame's own unit stands there without it: the frame says it."""
        held = str(self.initial.get(name) or "")
        if held.endswith(f" {unit}"):
            self.initial[name] = held.removesuffix(unit).strip()

    @property
    def sets(self) -> list[dict[str, Any]]:
        """The fields of each group, for the page."""
        return [
            {"number": index + 1, "fields": [self[f"g{index}_{name}"] for name in GROUP]}
            for index in range(self.count)
        ]

    def told(self, before: Mapping[str, Any]) -> dict[str, Any]:
        """What was typed as a ranch form; what this form does not ask stays as it was."""
        held = list(before.get("group", []))
        groups: list[dict[str, Any]] = []
        self.places = []
        for index in range(self.count):
            typed = {name: self._typed(index, name) for name in GROUP}
            if not any(value for name, value in typed.items() if value not in ("", None)):
                continue
            kept = dict(held[index]) if index < len(held) else {}
            for name, value in typed.items():
                kept.pop(name, None)
                if value not in ("", None):
                    kept[name] = value
            groups.append(kept)
            self.places.append(index)
        facts = {name: value for name, value in before.items() if name not in ("group", "guide")}
        if self.cleaned_data["guide"]:
            facts["guide"] = self.cleaned_data["guide"]
        return {**facts, "group": groups} if groups else facts

    def _typed(self, index: int, name: str) -> Any:
        value = str(self.cleaned_data.get(f"g{index}_{name}") or "").strip()
        if name == "head" and value.replace(",", "").isdigit():
            return int(value.replace(",", ""))
        if name == "pregnant":
            return {"yes": True, "no": False}.get(value)
        if name in _UNITS and value and _BARE.fullmatch(value):
            return f"{value} {_UNITS[name][self.reader.units]}"
        return value

    def refuse(self, error: HaywrightError) -> None:
        """Beside the field of the group it concerns."""
        for one in error.messages():
            at = _AT.search(str(one.args.get("field", "")))
            place = int(at[1]) - 1 if at else len(self.places)
            name = _ALIKE.get(at[2], at[2]) if at else ""
            field = f"g{self.places[place]}_{name}" if place < len(self.places) else ""
            self.add_error(field if field in self.fields else None, say(one, self.reader))


def initial_of(facts: Mapping[str, Any]) -> dict[str, Any]:
    """A ranch form as the page's fields first hold it."""
    out: dict[str, Any] = {"guide": facts.get("guide", "")}
    for index, group in enumerate(facts.get("group", [])):
        for name in GROUP:
            value = group.get(name, "")
            said = {True: "yes", False: "no"}.get(value) if isinstance(value, bool) else value
            out[f"g{index}_{name}"] = animals(value).name if name == "animals" else said
    return out
