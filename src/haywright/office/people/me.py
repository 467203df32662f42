"""A person's own page: what is written of them, which office they are in, and taking it along."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth import logout
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from haywright.measure.errors import HaywrightError
from haywright.office.action import DoneAlready
from haywright.office.people import actions
from haywright.office.people.models import Membership, Office
from haywright.office.people.offices import LANGUAGE_NAMES
from haywright.office.people.policies import MAY
from haywright.office.people.taken import all_my_data_file
from haywright.office.web.pages import Form, actor_in, found, page, status_of
from haywright.words.numbers import SCALES


class MeForm(Form):
    """What a person says of themselves."""

    name = forms.CharField(max_length=100, widget=forms.TextInput(attrs={"autocomplete": "name"}))
    phone = forms.CharField(
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "tel", "inputmode": "tel"}),
    )
    units = forms.ChoiceField(widget=forms.RadioSelect)
    language = forms.ChoiceField(widget=forms.RadioSelect)

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        self.fields["phone"].label = self.say("people.me.phone")
        units = [(one, self.say(f"office.units.{one}")) for one in SCALES]
        self.fields["units"].choices = units  # type: ignore[attr-defined]
        self.fields["language"].choices = list(LANGUAGE_NAMES.items())  # type: ignore[attr-defined]


@page()
def me(request: HttpRequest) -> HttpResponse:
    """One's own page."""
    actor = actor_in(request)
    person = actor.person
    initial = {name: getattr(person, name) for name in actions.OWN}
    form = MeForm(request, request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        told = {name: form.cleaned_data[name] for name in actions.OWN}
        try:
            actions.change_me(actor, told, once=form.token)
        except DoneAlready:
            return redirect("me")
        except HaywrightError as error:
            form.refuse(error)
        else:
            messages.success(request, form.say("people.me.kept"))
            return redirect("me")
    mine = actions.live(Membership.objects.filter(person=person))
    held = {
        "form": form,
        "person": person,
        "memberships": mine.select_related("office", "ranch").order_by("made_at", "id"),
        "offices": Office.objects.filter(memberships__in=mine).distinct().order_by("name"),
        "may_keys": bool(MAY["token.make"] & actor.roles),
    }
    return render(request, "haywright/people_me.html", held, status=status_of(form))


@require_POST
@page()
def choose_office(request: HttpRequest) -> HttpResponse:
    """Go into another of one's offices."""
    mine = actions.live(Membership.objects.filter(person=actor_in(request).person))
    offices = Office.objects.filter(memberships__in=mine).distinct()
    chosen = found(offices, pk=_key(request.POST.get("office", "")))
    request.session["office"] = str(chosen.pk)
    return redirect("today")


@require_POST
@page("person.change")
def sign_out_everywhere(request: HttpRequest) -> HttpResponse:
    """End every session of one's own."""
    actions.sign_out_everywhere(actor_in(request))
    logout(request)
    return redirect("sign-in")


@page("data.take")
def take_my_data(request: HttpRequest) -> HttpResponse:
    """Everything that is the person's, as one file."""
    made = all_my_data_file(actor_in(request), at=timezone.now())
    answer = HttpResponse(made, content_type="application/zip")
    answer["Content-Disposition"] = 'attachment; filename="my-data.zip"'
    return answer


def _key(text: str) -> str:
    """A key as typed, or not there."""
    from uuid import UUID

    try:
        return str(UUID(text))
    except ValueError:
        raise Http404 from None
