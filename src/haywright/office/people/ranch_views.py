"""Ranches: the list, a new one, and a ranch's page with its herd groups."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.db.models import Count, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from haywright.measure.errors import HaywrightError
from haywright.office.action import DoneAlready, NotAllowed
from haywright.office.people import actions
from haywright.office.people.models import Ranch
from haywright.office.people.policies import MAY, may, visible
from haywright.office.people.ranch_form import RanchForm, initial_of
from haywright.office.web.pages import Form, actor_in, found, page, status_of


class NewRanchForm(Form):
    """A ranch's name; the rest stands on its page."""

    name = forms.CharField(max_length=120)


def _ranches(request: HttpRequest) -> QuerySet[Ranch]:
    return visible(actor_in(request), "ranch.see", Ranch.objects.all(), ranch="pk")


@page("ranch.see")
def ranch_list(request: HttpRequest) -> HttpResponse:
    """The ranches one may see."""
    rows = _ranches(request).annotate(lot_count=Count("lots")).order_by("name")
    held = {
        "ranches": [(one, len(one.facts.get("group", []))) for one in rows],
        "may_describe": bool(MAY["ranch.describe"] & actor_in(request).roles),
    }
    return render(request, "haywright/people_ranches.html", held)


@page("ranch.describe")
def ranch_new(request: HttpRequest) -> HttpResponse:
    """Write down a ranch."""
    form = NewRanchForm(request, request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            made = actions.describe_ranch(
                actor_in(request), form.cleaned_data["name"], once=form.token
            )
        except DoneAlready as done:
            return redirect("ranch", done.entry.thing_id)
        except HaywrightError as error:
            form.refuse(error)
        else:
            return redirect("ranch", made.pk)
    held = {
        "form": form,
        "title": form.say("people.ranches.new"),
        "does": form.say("people.ranches.new_does"),
    }
    return render(request, "haywright/form.html", held, status=status_of(form))


@page("ranch.see")
def ranch_page(request: HttpRequest, key: str) -> HttpResponse:
    """One ranch: its herd groups, editable where they stand."""
    actor = actor_in(request)
    ranch = found(_ranches(request), pk=key)
    changes = may(actor, "ranch.change", ranch.pk)
    if request.method == "POST" and not changes:
        raise NotAllowed("ranch.change")
    form = _form_of(request, ranch)
    if request.method == "POST" and form.is_valid():
        try:
            actions.change_ranch(
                actor,
                ranch,
                form.told(ranch.facts),
                version=form.cleaned_data["version"] or 0,
                once=form.token,
            )
        except DoneAlready:
            return redirect("ranch", ranch.pk)
        except HaywrightError as error:
            form.refuse(error)
        else:
            messages.success(request, form.say("people.ranches.kept"))
            return redirect("ranch", ranch.pk)
    held = {"ranch": ranch, "form": form, "changes": changes}
    return render(request, "haywright/people_ranch.html", held, status=status_of(form))


def _form_of(request: HttpRequest, ranch: Ranch) -> Any:
    initial = {**initial_of(ranch.facts), "version": ranch.version}
    groups = len(ranch.facts.get("group", []))
    return RanchForm(request, request.POST or None, groups=groups, initial=initial)
