"""The form of a lot: a few plain fields, each amount with its unit, into the lot's form."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.http import HttpRequest

from haywright.measure.message import Amount
from haywright.office.people.models import Ranch
from haywright.office.people.policies import visible
from haywright.office.web.pages import Form, actor_in
from haywright.sources.crops import crops, event, events
from haywright.stack.lot import storage, storages
from haywright.stack.packages import BaleSize, bale_sizes

_OWN = ("name", "field", "cutting", "baled_on", "storage", "purpose", "events", "form",
        "weathered_outside")  # fmt: skip
_BALES = ("count", "package", "weight")
_FORMS = ("cured_hay", "baleage", "standing_crop", "cornstalks")
# What the page of a lot lets one correct where it stands, and the fields behind each fact.
FACTS: dict[str, tuple[str, ...]] = {
    "name": ("name",),
    "crop": ("crop", "also_crop", "cutting", "form"),
    "count": _BALES,
    "baled_on": ("baled_on",),
    "storage": ("storage", "weathered_outside"),
    "events": ("events",),
    "field": ("field",),
    "purpose": ("purpose",),
}
# By need: what a plan cannot do without stands open, the rest waits in a drawer.
FOLDED = ("also_crop", "form", "field", "cutting", "weathered_outside", "purpose", "seller",
          "seller_paper")  # fmt: skip


class LotForm(Form):
    """What a person writes down of a lot, in under two minutes."""

    name = forms.CharField(max_length=120)
    ranch = forms.ChoiceField(required=False)
    crop = forms.ChoiceField()
    count = forms.IntegerField(required=False, min_value=1, max_value=100_000)
    package = forms.ChoiceField(required=False)
    weight = forms.CharField(required=False, max_length=40)
    baled_on = forms.DateField(required=False, widget=forms.DateInput(attrs={"type": "date"}))
    storage = forms.ChoiceField(required=False)
    events = forms.MultipleChoiceField(required=False, widget=forms.CheckboxSelectMultiple)
    also_crop = forms.ChoiceField(required=False)
    form = forms.ChoiceField(required=False)
    field = forms.CharField(max_length=120, required=False)
    cutting = forms.IntegerField(required=False, min_value=1, max_value=20)
    weathered_outside = forms.CharField(required=False, max_length=40)
    purpose = forms.ChoiceField(required=False)
    seller = forms.CharField(max_length=120, required=False)
    seller_paper = forms.CharField(
        required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 3})
    )
    folded: tuple[str, ...] = FOLDED

    def __init__(
        self, request: HttpRequest, *args: Any, only: tuple[str, ...] = (), **kwargs: Any
    ) -> None:
        super().__init__(request, *args, **kwargs)
        if only:
            self.fields = {n: one for n, one in self.fields.items() if n in (*only, "once")}
        empty = ("", self.say("office.form.unknown"))
        own = self.reader.name
        named = sorted(((c.id, own(c.name)) for c in crops().values()), key=lambda p: p[1])
        self._choose("crop", [("", self.say("office.form.choose")), *named])
        self._choose("also_crop", [("", self.say("office.form.nothing")), *named])
        self._choose("form", [(w, self.say(f"office.form_of_hay.{w}")) for w in _FORMS])
        self._choose(
            "package", [empty, *((s.id, _size_name(s, self)) for s in bale_sizes().values())]
        )
        self._choose("storage", [empty, *((s.id, own(s.name)) for s in storages().values())])
        self._choose("purpose", [(w, self.say(f"office.purpose.{w}")) for w in ("feed", "sale")])
        self._choose("events", [(e.id, own(e.name)) for e in events().values()])
        if "ranch" in self.fields:
            self._choose("ranch", self._ranches(request))
        for name in {"count", "cutting"} & {*self.fields}:
            self.fields[name].widget.attrs["inputmode"] = "numeric"
        for name in {"name", "events"} & {*self.fields}:
            self.fields[name].help_text = self.say(f"office.help.{name}")
        for name in {"weight", "weathered_outside"} & {*self.fields}:
            self.fields[name].help_text = self.say(f"office.help.{name}.{self.reader.units}")

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        if name in self.fields:
            self.fields[name].choices = choices  # type: ignore[attr-defined]

    def _ranches(self, request: HttpRequest) -> list[tuple[str, str]]:
        actor = actor_in(request)
        mine = visible(actor, "lot.describe", Ranch.objects.all(), ranch="pk").order_by("name")
        own = [(str(one.pk), one.name) for one in mine]
        return [("", self.say("office.no_ranch")), *own] if actor.staff else own

    def beside(self, field: str) -> str:
        """A refusal of the bales or the thickness of the rind stands at what was typed."""
        last = super().beside(field)
        return {"bales": "count", "rind": "weathered_outside", "bale weight": "weight"}.get(
            last, last
        )

    def facts(self, before: dict[str, Any] | None = None) -> dict[str, Any]:
        """The lot's form; what this page does not show of an earlier one stays as it was."""
        given, old = self.cleaned_data, dict(before or {})
        facts = {k: v for k, v in old.items() if k not in _OWN or k not in self.fields}
        for name in _OWN:
            if given.get(name) not in (None, "", []):
                facts[name] = _plain(given[name])
        if "crop" in self.fields:
            facts["crop"] = _mixture(given["crop"], given.get("also_crop", ""), old.get("crop"))
        if "count" in self.fields:
            bales = _bales(given, old.get("bales", {}))
            facts = {k: v for k, v in facts.items() if k != "bales"}
            facts |= {"bales": bales} if bales else {}
        return facts


class FactForm(LotForm):
    """One fact of a lot, corrected where it stands."""

    folded = ()

    def __init__(self, request: HttpRequest, fact: str, lot: Any, data: Any = None) -> None:
        super().__init__(
            request, data, initial=initial(lot.facts), auto_id=f"{fact}_%s", only=FACTS[fact]
        )
        self.fields["version"] = version_field(lot)


def version_field(lot: Any) -> forms.IntegerField:
    """Which state of the lot a page was opened on."""
    return forms.IntegerField(
        widget=forms.HiddenInput, initial=lot.version, required=False, label=" "
    )


def initial(facts: dict[str, Any]) -> dict[str, Any]:
    """What a page opens with for a lot that is there."""
    held = {name: facts[name] for name in _OWN if name in facts}
    if "storage" in held:
        held["storage"] = storage(held["storage"]).id
    if "events" in held:
        told = held["events"]
        held["events"] = [event(one).id for one in ([told] if isinstance(told, str) else told)]
    crops_of = facts.get("crop", "")
    words = crops_of if isinstance(crops_of, list) else [crops_of]
    bales = facts.get("bales", {})
    package = bales.get("package")
    sizes = {"package": _size(package)} if package else {}
    return {
        **held,
        "crop": _crop(words[0]),
        "also_crop": _crop(words[1]) if len(words) > 1 else "",
        **{n: bales[n] for n in ("count", "weight") if n in bales},
        **sizes,
    }


def groups(form: Any) -> tuple[list[Any], list[Any]]:
    """The fields of a form that stand open, and those in the drawer."""
    folded = getattr(form, "folded", ())
    shown = form.visible_fields()
    return [one for one in shown if one.name not in folded], [
        one for one in shown if one.name in folded
    ]


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value


def _crop(word: str) -> str:
    from haywright.sources.crops import crop

    return crop(word).id if word else ""


def _size(word: str) -> str:
    from haywright.stack.packages import bale_size

    return bale_size(word).id


def _size_name(size: BaleSize, form: Form) -> str:
    """The trade's name of a bale; its sides for whom feet say nothing."""
    if form.reader.units == "us":
        return size.name
    sides = [Amount(one, "m", digits=0) for one in size.package.sides]
    if size.package.round:
        return form.say("office.size.round", across=sides[0], wide=sides[1])
    return form.say(f"office.size.{size.kind}", high=sides[0], wide=sides[1], long=sides[2])


def _mixture(first: str, second: str, before: Any) -> str | list[str]:
    """The crop, or the crops of a mixture; a third one that this page does not show stays."""
    third = before[2:] if isinstance(before, list) else []
    held = [one for one in dict.fromkeys((first, second, *third)) if one]
    return held if len(held) > 1 else first


def _bales(given: dict[str, Any], old: dict[str, Any]) -> dict[str, Any]:
    """The bales' part of the form; a total or measured sides stay until something replaces them."""
    bales = {name: given[name] for name in _BALES if given.get(name) not in (None, "")}
    kept = {name: one for name, one in old.items() if name not in _BALES}
    if "weight" in bales:
        kept.pop("total", None)
    if "package" in bales:
        kept = {name: one for name, one in kept.items() if name in ("total", "weighed")}
    return {**kept, **bales}
