"""The office's own pages: the few questions when it is new, and what it has chosen."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from haywright.measure.errors import HaywrightError
from haywright.office.action import DoneAlready
from haywright.office.people.models import Office
from haywright.office.people.offices import (
    CHOSEN,
    LANGUAGE_NAMES,
    PAPERS,
    change_office,
    currency_names,
    time_zones,
)
from haywright.office.web.pages import Form, actor_in, page, status_of
from haywright.sources.guides import guides
from haywright.words.numbers import SCALES

# Without a longest length: a browser would cut what is pasted, and say nothing.
TELEPHONE = forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "off"})


class NewOfficeForm(Form):
    """What a new office is asked, and nothing else."""

    name = forms.CharField(max_length=200)
    code = forms.CharField(max_length=3)
    units = forms.ChoiceField(widget=forms.RadioSelect)
    language = forms.ChoiceField(widget=forms.RadioSelect)
    guide = forms.ChoiceField(required=False)
    call_name = forms.CharField(max_length=100, required=False)
    call_phone = forms.CharField(required=False, widget=TELEPHONE)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        say = self.say
        self.fields["name"].label = say("office.field.office_name")
        self.fields["code"].label = say("office.field.office_code")
        self._choose("units", [(one, say(f"office.units.{one}")) for one in SCALES])
        self._choose("language", list(LANGUAGE_NAMES.items()))
        usual = ("", say("office.settings.usual_guide"))
        self._choose("guide", [usual, *((one.id, one.name) for one in guides().values())])
        for name in ("code", "guide", "call_name"):
            self.fields[name].help_text = say(f"office.help.{name}")

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    def clean_code(self) -> str:
        """A code is written in capitals, however it was typed."""
        return str(self.cleaned_data["code"]).upper()

    def clean(self) -> dict[str, Any]:
        """A version that cannot be read is an old page."""
        held = super().clean() or self.cleaned_data
        return {**held, "version": held.get("version") or 0}


class OfficeForm(NewOfficeForm):
    """Everything an office has chosen."""

    phone = forms.CharField(required=False, widget=TELEPHONE)
    call_line = forms.DecimalField(
        min_value=Decimal(1), max_digits=9, decimal_places=2, localize=False
    )
    paper = forms.ChoiceField(widget=forms.RadioSelect)
    currency = forms.CharField(widget=forms.TextInput(attrs={"list": "currencies"}))
    time_zone = forms.CharField(widget=forms.TextInput(attrs={"list": "time_zones"}))

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        self.offered = {
            "currencies": currency_names(self.reader.language),
            "time_zones": ((one, "") for one in time_zones()),
        }
        self._choose("paper", [(one, self.say(f"office.paper.{one}")) for one in PAPERS])
        self.fields["call_line"].unit = "mg/kg NO3-N"  # type: ignore[attr-defined]
        for name in ("call_line", "currency", "time_zone"):
            self.fields[name].help_text = self.say(f"office.help.{name}")

    def clean_currency(self) -> str:
        """A currency's code is written in capitals, however it was typed."""
        return str(self.cleaned_data["currency"]).upper()


@page("office.change")
def begin(request: HttpRequest) -> HttpResponse:
    """The few questions of a new office."""
    return _asked(request, NewOfficeForm, "begin", "today")


@page("office.change")
def settings(request: HttpRequest) -> HttpResponse:
    """What the office has chosen."""
    return _asked(request, OfficeForm, "settings", "office")


def _asked(request: HttpRequest, made: type[NewOfficeForm], place: str, then: str) -> HttpResponse:
    actor = actor_in(request)
    form = made(request, request.POST or None, initial=_initial(actor.office, actor.person))
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        told = {name: given[name] for name in CHOSEN if name in given}
        try:
            change_office(
                actor,
                told,
                language=given["language"],
                version=given["version"],
                once=form.token,
            )
        except DoneAlready:
            return redirect(then)
        except HaywrightError as error:
            form.refuse(error)
        else:
            messages.success(request, form.say("office.settings.kept"))
            return redirect(then)
    held = {
        "form": form,
        "title": form.say(f"office.{place}.title"),
        "lede": form.say(f"office.{place}.lede"),
        "does": form.say(f"office.{place}.does"),
        "two": True,
    }
    return render(request, "haywright/office_form.html", held, status=status_of(form))


def _initial(office: Office | None, person: Any) -> dict[str, Any]:
    held = {name: getattr(office, name) for name in (*CHOSEN, "version")}
    held["call_line"] = f"{held['call_line'].normalize():f}"
    return {**held, "language": person.language}
