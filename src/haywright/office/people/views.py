"""The people of an office: who belongs here, inviting, a printed way in, ending a membership."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache

from haywright.measure.errors import HaywrightError
from haywright.office.action import DoneAlready
from haywright.office.people import actions
from haywright.office.people.models import Membership, Ranch, Role
from haywright.office.people.policies import MAY
from haywright.office.web.pages import Form, actor_in, found, one_of, page, status_of
from haywright.office.web.words import reader_of


class InviteForm(Form):
    """Whom to ask, and what they will be."""

    person = forms.CharField(max_length=100)
    email = forms.EmailField(required=False)
    role = forms.ChoiceField()
    ranch = forms.ChoiceField(required=False)

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        actor = actor_in(request)
        open_to = list(Role) if actor.is_any(Role.OFFICE_ADMIN) else [Role.RANCHER]
        choices = [(r.value, self.say(f"office.role.{r.value}")) for r in open_to]
        self.fields["role"].choices = choices  # type: ignore[attr-defined]
        if len(open_to) > 1:
            self.fields["email"].help_text = self.say("people.invite.email_help")
        ranches = Ranch.objects.filter(office=actor.office)
        own = [("", "–"), *((str(r.pk), r.name) for r in ranches)]
        self.fields["ranch"].choices = own  # type: ignore[attr-defined]


class EndForm(Form):
    """Why somebody leaves."""

    reason = forms.CharField(max_length=300)


def _members(request: HttpRequest) -> QuerySet[Membership]:
    here = Membership.objects.filter(office=actor_in(request).office)
    return actions.live(here).select_related("person", "ranch", "office")


@never_cache
@page("person.invite")
def people(request: HttpRequest) -> HttpResponse:
    """Who belongs here; invite one more."""
    actor = actor_in(request)
    form = InviteForm(request, request.POST or None)
    secret = ""
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        ranch = one_of(Ranch.objects.filter(office=actor.office), given["ranch"])
        try:
            made = actions.invite(
                actor,
                given["person"],
                Role(given["role"]),
                ranch=ranch,
                email=given["email"],
                once=form.token,
            )
            secret = request.build_absolute_uri(reverse("join", args=[made]))
            form = InviteForm(request)
        except DoneAlready:
            return redirect("people")
        except HaywrightError as error:
            form.refuse(error)
    held = {
        "form": form,
        "secret": secret,
        "members": _members(request).order_by("person__name", "person_id", "id"),
        "may_end": bool(MAY["person.end"] & actor.roles),
        "may_print": bool(MAY["person.print_way_in"] & actor.roles),
        "rancher": Role.RANCHER,
    }
    return render(request, "haywright/people.html", held, status=status_of(form))


@page("person.end")
def member_end(request: HttpRequest, key: str) -> HttpResponse:
    """End a membership, with the reason."""
    member = found(_members(request), pk=key)
    form = EndForm(request, request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            actions.end_membership(
                actor_in(request), member, reason=form.cleaned_data["reason"], once=form.token
            )
        except DoneAlready:
            return redirect("people")
        except HaywrightError as error:
            form.refuse(error)
        else:
            return redirect("people")
    held = {
        "form": form,
        "title": form.say("office.people.end_title", name=member.person.name),
        "lede": form.say("office.people.end_lede"),
        "does": form.say("office.people.end_does"),
    }
    return render(request, "haywright/form.html", held, status=status_of(form))


@never_cache
@page("person.print_way_in")
def member_way_in(request: HttpRequest, key: str) -> HttpResponse:
    """A rancher's printed way in: said first what it does, then the paper."""
    from haywright.office.stack.views import pdf
    from haywright.paper.way_in_paper import way_in_pdf

    member = found(_members(request).filter(role=Role.RANCHER), pk=key)
    form = Form(request, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            secret = actions.print_way_in(actor_in(request), member)
        except HaywrightError as error:
            form.refuse(error)
        else:
            made = way_in_pdf(
                request.build_absolute_uri(reverse("way-in", args=[secret])),
                reader_of(request),
                person=member.person.name,
                ranch=member.ranch.name if member.ranch else "",
                office=member.office.name,
                phone=member.office.phone,
                page=member.office.paper,
            )
            return pdf(made, "way-in")
    held = {
        "form": form,
        "title": form.say("people.way_in.title", name=member.person.name),
        "lede": form.say("people.way_in.lede"),
        "does": form.say("people.way_in.does"),
    }
    return render(request, "haywright/form.html", held, status=status_of(form))
