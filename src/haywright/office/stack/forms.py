"""The form of a lot: a few plain fields, each amount with its unit, into the lot's form."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest

from haywright.office.people.models import Ranch
from haywright.office.people.policies import visible
from haywright.office.web.pages import Form, actor_in
from haywright.sources.crops import crops, events
from haywright.stack.lot import storages
from haywright.stack.packages import bale_sizes

_OWN = ("name", "field", "crop", "cutting", "baled_on", "storage", "purpose", "events", "form")


class LotForm(Form):
    """What a person writes down of a lot, in under two minutes."""

    name = forms.CharField(max_length=120)
    ranch = forms.ChoiceField(required=False)
    crop = forms.ChoiceField()
    form = forms.ChoiceField(required=False)
    field = forms.CharField(max_length=120, required=False)
    cutting = forms.IntegerField(required=False, min_value=1, max_value=20)
    baled_on = forms.DateField(required=False, widget=forms.DateInput(attrs={"type": "date"}))
    count = forms.IntegerField(required=False, min_value=1, max_value=100_000)
    package = forms.ChoiceField(required=False)
    weight = forms.CharField(required=False, max_length=40)
    storage = forms.ChoiceField(required=False)
    purpose = forms.ChoiceField(required=False)
    events = forms.MultipleChoiceField(required=False, widget=forms.CheckboxSelectMultiple)
    seller = forms.CharField(max_length=120, required=False)
    seller_paper = forms.CharField(
        required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        empty = ("", self.say("office.form.unknown"))
        actor = actor_in(request)
        mine = visible(actor, "lot.describe", Ranch.objects.all(), ranch="pk").order_by("name")
        own = [(str(one.pk), one.name) for one in mine]
        self._choose("ranch", own if not actor.staff else [("", self.say("office.no_ranch")), *own])
        self._choose("crop", sorted(((c.id, c.name) for c in crops().values()), key=lambda p: p[1]))
        self._choose("form", [(w, self.say(f"office.form_of_hay.{w}")) for w in _FORMS])
        self._choose("package", [empty, *((w, w) for w in bale_sizes())])
        self._choose("storage", [empty, *((s.id, s.name) for s in storages().values())])
        self._choose("purpose", [(w, self.say(f"office.purpose.{w}")) for w in ("feed", "sale")])
        self._choose("events", [(e.id, e.name) for e in events().values()])
        self.fields["weight"].widget.attrs["inputmode"] = "decimal"
        self.fields["weight"].help_text = self.say("office.help.weight")
        self.fields["name"].help_text = self.say("office.help.lot_name")

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    def facts(self, before: dict[str, Any] | None = None) -> dict[str, Any]:
        """The lot's form; what this page does not show of an earlier one stays as it was."""
        given = self.cleaned_data
        facts = {k: v for k, v in (before or {}).items() if k not in (*_OWN, "bales")}
        for name in _OWN:
            value = given.get(name)
            if value not in (None, "", []):
                facts[name] = str(value) if name == "baled_on" else value
        old = (before or {}).get("bales", {})
        asked = {"count": given["count"], "package": given["package"], "weight": given["weight"]}
        bales = {name: one for name, one in asked.items() if one not in (None, "")}
        kept = {k: v for k, v in old.items() if k not in ("count", "package", "weight")}
        if bales.get("weight"):
            kept.pop("total", None)
        if bales.get("package"):
            kept = {k: v for k, v in kept.items() if k in ("total", "weighed")}
        if bales or kept:
            facts["bales"] = {**kept, **bales}
        return facts


_FORMS = ("cured_hay", "baleage", "standing_crop", "cornstalks")


def initial(facts: dict[str, Any]) -> dict[str, Any]:
    """What a page opens with for a lot that is there."""
    held = {name: facts[name] for name in _OWN if name in facts}
    held["crop"] = held["crop"][0] if isinstance(held.get("crop"), list) else held.get("crop")
    bales = facts.get("bales", {})
    return {**held, **{n: bales[n] for n in ("count", "package", "weight") if n in bales}}
