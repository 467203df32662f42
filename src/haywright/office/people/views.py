"""Signing in without a password, invitations, the people of an office, and taking one's data."""

from __future__ import annotations

import json
from http import HTTPStatus
from typing import Any

from django import forms
from django.contrib.auth import login, logout
from django.core.cache import cache
from django.core.mail import send_mail
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from haywright.measure.errors import HaywrightError
from haywright.office.action import DoneAlready
from haywright.office.people import actions
from haywright.office.people.actor import actor_of
from haywright.office.people.links import MINUTES, make_link, take_link
from haywright.office.people.models import Membership, Person, Ranch, Role
from haywright.office.people.offices import is_new
from haywright.office.people.policies import MAY, may
from haywright.office.people.taken import all_my_data
from haywright.office.web.pages import Form, actor_in, one_of, page, status_of

_BACKEND = "django.contrib.auth.backends.ModelBackend"
TRIES, MINUTES_LOCKED = 10, 10


class AskForm(Form):
    """Where to send the link."""

    email = forms.EmailField()


def throttled(request: HttpRequest, what: str, tries: int = TRIES) -> bool:
    """Whether somebody tried too often; counts this try."""
    key = f"throttle:{what}:{request.META.get('REMOTE_ADDR', '')}"
    cache.add(key, 0, MINUTES_LOCKED * 60)
    try:
        return int(cache.incr(key)) > tries
    except ValueError:
        return False


def sign_in(request: HttpRequest) -> HttpResponse:
    """Ask for a link; the answer is the same whether or not the address is known."""
    if actor_in(request).person is not None:
        return redirect("today")
    form = AskForm(request, request.POST or None)
    sent = False
    if request.method == "POST" and form.is_valid():
        if throttled(request, "ask"):
            form.add_error(None, form.say("office.sign_in.often", minutes=MINUTES_LOCKED))
        else:
            sent = True
            _send(request, form)
    held = {"form": form, "sent": sent}
    return render(
        request,
        "haywright/sign_in.html",
        held,
        status=status_of(form),
    )


def _send(request: HttpRequest, form: AskForm) -> None:
    person = Person.objects.filter(email=form.cleaned_data["email"].lower(), is_active=True).first()
    if person is None:
        return
    address = request.build_absolute_uri(reverse("way-in", args=[make_link(person)]))
    send_mail(
        form.say("office.letter.subject"),
        form.say("office.letter.text", address=address, minutes=MINUTES),
        None,
        [str(person.email)],
    )


def way_in(request: HttpRequest, secret: str) -> HttpResponse:
    """A link or a printed square: one touch signs in, so that no letter reader spends it."""
    if request.method != "POST":
        return render(request, "haywright/way_in.html", {})
    person = None if throttled(request, "link") else take_link(secret)
    if person is None:
        return render(
            request, "haywright/way_in.html", {"spent": True}, status=HTTPStatus.FORBIDDEN
        )
    login(request, person, backend=_BACKEND)
    actor = actor_of(person)
    asked = actor.office is not None and may(actor, "office.change") and is_new(actor.office)
    return redirect("office-begin" if asked else "today")


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Out."""
    logout(request)
    return redirect("sign-in")


def join(request: HttpRequest, secret: str) -> HttpResponse:
    """Take up an invitation."""
    if request.method != "POST":
        return render(request, "haywright/join.html", {})
    try:
        person = actions.join(secret, actor_in(request).person)
    except HaywrightError:
        return render(request, "haywright/join.html", {"spent": True}, status=HTTPStatus.FORBIDDEN)
    login(request, person, backend=_BACKEND)
    return redirect("today")


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
        ranches = Ranch.objects.filter(office=actor.office)
        own = [("", "–"), *((str(r.pk), r.name) for r in ranches)]
        self.fields["ranch"].choices = own  # type: ignore[attr-defined]


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
    members = Membership.objects.filter(office=actor.office, until__isnull=True)
    held = {
        "may_keys": bool(MAY["token.make"] & actor.roles),
        "form": form,
        "secret": secret,
        "members": members.select_related("person", "ranch").order_by("person__name"),
        "may_end": bool(MAY["person.end"] & actor.roles),
    }
    return render(
        request,
        "haywright/people.html",
        held,
        status=status_of(form),
    )


@page("data.take")
def take_my_data(request: HttpRequest) -> HttpResponse:
    """Everything that is the person's, as one file."""
    actor = actor_in(request)
    if actor.person is None:
        raise Http404
    text = json.dumps(all_my_data(actor), indent=1, ensure_ascii=False)
    answer = HttpResponse(text, content_type="application/json")
    answer["Content-Disposition"] = 'attachment; filename="my-data.json"'
    return answer
