"""Laboratories the office sends to: what their reports leave unsaid, prices, where bags go."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from haywright.bag.tests import all_tests, lab_test
from haywright.measure.errors import HaywrightError
from haywright.office.action import DoneAlready
from haywright.office.bag.prices import price_list
from haywright.office.bench.actions import HABITS, TOLD, keep_laboratory
from haywright.office.bench.models import Laboratory
from haywright.office.people.policies import visible
from haywright.office.web.pages import Form, actor_in, found, page, status_of
from haywright.sheet.families import family

WHERE = ("name", "phone", "address")


class LaboratoryForm(Form):
    """What is known of a laboratory."""

    name = forms.CharField(max_length=120)
    address = forms.CharField(
        required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 3})
    )
    basis = forms.ChoiceField(required=False)
    nitrate = forms.ChoiceField(required=False)
    energy = forms.ChoiceField(required=False)
    tdn_method = forms.ChoiceField(required=False)
    phone = forms.CharField(required=False, max_length=40)
    methods = forms.CharField(required=False, max_length=300)
    proficiency = forms.CharField(required=False, max_length=200)
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    labels: ClassVar = {
        "name": "office.laboratory.called",
        "address": "office.laboratory.address",
        "nitrate": "office.field.nitrate_unit",
        "energy": "office.laboratory.energy",
        "tdn_method": "office.laboratory.tdn",
        "phone": "office.laboratory.phone",
        "methods": "office.laboratory.methods",
        "proficiency": "office.laboratory.proficiency",
    }

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        words = ("", "dry matter", "as received")
        names = [(w, self.say(f"office.basis.{w.replace(' ', '_') or 'each'}")) for w in words]
        unsaid = ("", self.say("office.laboratory.asks"))
        written = [f"{unit} {form}" for form in ("NO3-N", "NO3", "KNO3") for unit in ("ppm", "%")]
        energy = ("Mcal/lb", "Mcal/kg")
        methods = [(one.name, one.equation.name) for one in family("tdn").methods]
        self._choose("basis", names)
        self._choose("nitrate", [unsaid, *((one, one) for one in written)])
        self._choose("energy", [unsaid, *((one, one) for one in energy)])
        self._choose("tdn_method", [("", self.say("office.laboratory.unknown")), *methods])
        for test in all_tests():
            held = forms.DecimalField(
                required=False, min_value=Decimal(0), max_digits=9, decimal_places=2
            )
            held.label = lab_test(test).name
            held.unit = actor_in(request).office.currency  # type: ignore[attr-defined,union-attr]
            self.fields[f"price_{test}"] = held

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    @property
    def head(self) -> list[Any]:
        """What it is called and where it is."""
        return [self[name] for name in WHERE]

    @property
    def habits(self) -> list[Any]:
        """What its reports leave unsaid."""
        return [self[name] for name in HABITS]

    @property
    def told(self) -> list[Any]:
        """What else the office knows of it."""
        return [self[name] for name in TOLD]

    @property
    def prices(self) -> list[Any]:
        """Its price list."""
        return [self[f"price_{test}"] for test in all_tests()]

    def facts(self) -> dict[str, Any]:
        """What was typed."""
        given = self.cleaned_data
        prices = {t: str(given[f"price_{t}"]) for t in all_tests()
                  if given[f"price_{t}"] is not None}  # fmt: skip
        return {**{one: given[one] for one in (*WHERE, *HABITS, *TOLD)}, "prices": prices}


def laboratories(request: HttpRequest) -> Any:
    """The laboratories of the person's office."""
    return visible(actor_in(request), "laboratory.change", Laboratory.objects.all())


@page("laboratory.change")
def laboratory_list(request: HttpRequest) -> HttpResponse:
    """Every laboratory the office knows."""
    rows = list(laboratories(request).order_by("name"))
    return render(request, "haywright/laboratories.html", {"laboratories": rows})


@page("laboratory.change")
def laboratory_new(request: HttpRequest) -> HttpResponse:
    """Write down a laboratory."""
    return _form(request, None)


@page("laboratory.change")
def laboratory_page(request: HttpRequest, key: str) -> HttpResponse:
    """What is known of one laboratory; corrected where it stands."""
    return _form(request, found(laboratories(request), pk=key))


def _form(request: HttpRequest, one: Laboratory | None) -> HttpResponse:
    opened: dict[str, Any] = {}
    if one is not None:
        prices = {f"price_{t}": p for t, p in price_list(one.prices).items()}
        where = {name: getattr(one, name) for name in (*WHERE, "version")}
        opened = {**where, **one.profile, **prices}
    form = LaboratoryForm(request, request.POST or None, initial=opened)
    if request.method == "POST" and form.is_valid():
        try:
            seen = form.cleaned_data["version"]
            keep_laboratory(actor_in(request), one, form.facts(), version=seen, once=form.token)
        except DoneAlready:
            return redirect("laboratories")
        except HaywrightError as error:
            form.refuse(error)
        else:
            return redirect("laboratories")
    held = {"form": form, "laboratory": one, "priced": bool(one and one.prices)}
    return render(request, "haywright/laboratory.html", held, status=status_of(form))
