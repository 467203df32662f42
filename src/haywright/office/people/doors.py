"""Coming in and going out: a letter with a link and a code, a printed square, an invitation."""

from __future__ import annotations

from http import HTTPStatus

from allauth.account.utils import perform_login
from django import forms
from django.contrib.auth import logout
from django.core.mail import send_mail
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from haywright.measure.errors import HaywrightError
from haywright.measure.message import message
from haywright.office.people.actions import SignInFirst, invitation_of, join_as
from haywright.office.people.actor import actor_of
from haywright.office.people.links import (
    MINUTES,
    link_of,
    make_letter,
    still_opens,
    take_code,
    take_link,
)
from haywright.office.people.models import Membership, Office, Person, SignInLink
from haywright.office.people.offices import is_new
from haywright.office.people.policies import may
from haywright.office.people.throttle import MINUTES as MINUTES_LOCKED
from haywright.office.people.throttle import throttled
from haywright.office.web.pages import Form, actor_in, status_of
from haywright.office.web.words import reader_of
from haywright.words import say

_ASKED, _THEN = "asked_for", "then"


class AskForm(Form):
    """Where to send the letter."""

    email = forms.EmailField(widget=forms.EmailInput(attrs={"autocomplete": "email"}))


class CodeForm(Form):
    """The letter's code, typed."""

    email = forms.EmailField(widget=forms.EmailInput(attrs={"autocomplete": "email"}))
    sign_in_code = forms.CharField(
        max_length=20,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "one-time-code",
                "autocapitalize": "characters",
                "spellcheck": "false",
            }
        ),
    )


@never_cache
def sign_in(request: HttpRequest) -> HttpResponse:
    """Ask for a letter; the answer is the same whether or not the address is known."""
    if actor_in(request).person is not None:
        return redirect(_then(request))
    _remember_then(request)
    form = AskForm(request, request.POST or None)
    if request.method == "POST" and form.is_valid():
        email = form.cleaned_data["email"].lower()
        if throttled(request, "ask", person=email):
            form.add_error(None, form.say("office.sign_in.often", minutes=MINUTES_LOCKED))
        else:
            _send(request, form, email)
            request.session[_ASKED] = email
            return redirect("sign-in-code")
    return render(request, "haywright/sign_in.html", {"form": form}, status=status_of(form))


def _send(request: HttpRequest, form: Form, email: str) -> None:
    person = Person.objects.filter(email=email, is_active=True).first()
    if person is None:
        return
    secret, code = make_letter(person)
    address = request.build_absolute_uri(reverse("way-in", args=[secret]))
    send_mail(
        form.say("office.letter.subject"),
        form.say(
            "office.letter.text", address=address, code=f"{code[:4]} {code[4:]}", minutes=MINUTES
        ),
        None,
        [str(person.email)],
    )


@never_cache
def sign_in_code(request: HttpRequest) -> HttpResponse:
    """Type the code of the letter, on whichever machine one wants to come in."""
    asked = request.session.get(_ASKED, "")
    form = CodeForm(request, request.POST or None, initial={"email": asked})
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        if throttled(request, "code", person=given["email"]):
            form.add_error(None, form.say("office.sign_in.often", minutes=MINUTES_LOCKED))
        else:
            person = take_code(given["email"], given["sign_in_code"])
            if person is not None:
                return _enter(request, person)
            form.add_error("sign_in_code", form.say("office.sign_in.wrong_code"))
    held = {"form": form, "asked": asked, "minutes": MINUTES}
    return render(request, "haywright/sign_in_code.html", held, status=status_of(form))


@never_cache
def way_in(request: HttpRequest, secret: str) -> HttpResponse:
    """A link or a printed square: one touch signs in, so that no letter reader spends it."""
    if request.method == "POST":
        if throttled(request, "link"):
            return _often(request)
        person = take_link(secret)
        if person is not None:
            return _enter(request, person)
    link = link_of(secret)
    if link is None or not still_opens(link):
        return _over(request, "office.sign_in.spent", _office_of(link))
    return render(request, "haywright/way_in.html", {})


@never_cache
def join(request: HttpRequest, secret: str) -> HttpResponse:
    """Take up an invitation, as whoever is signed in or else as whom it names."""
    if request.method == "POST" and throttled(request, "join"):
        return _often(request)
    asked = invitation_of(secret)
    if asked is None or asked.taken_at is not None or asked.ends_at <= timezone.now():
        return _over(request, "office.join.spent", asked.office if asked else None)
    held = {"asked": asked, "office": asked.office, "first": False}
    if request.method != "POST":
        return render(request, "haywright/join.html", held)
    try:
        person = join_as(secret, actor_in(request).person)
    except SignInFirst:
        request.session[_THEN] = request.path
        held |= {"first": True}
        return render(request, "haywright/join.html", held, status=HTTPStatus.CONFLICT)
    except HaywrightError:  # taken up by another hand meanwhile
        return _over(request, "office.join.spent", asked.office)
    if actor_in(request).person is not None:
        return redirect("today")
    return _enter(request, person)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Out."""
    logout(request)
    return redirect("sign-in")


def _over(request: HttpRequest, key: str, office: Office | None) -> HttpResponse:
    """An address that opens nothing: why not, and whom to ask."""
    reader = reader_of(request)
    if office is None:
        said, status = [message("office.door.never")], HTTPStatus.NOT_FOUND
    else:
        ask = "office.read.ask_phone" if office.phone else "office.read.ask"
        asked = message(ask, office=office.name, phone=office.phone)
        said, status = [message(key), asked], HTTPStatus.GONE
    held = {"said": [say(one, reader) for one in said], "office": office}
    return render(request, "haywright/door_closed.html", held, status=status)


def _often(request: HttpRequest) -> HttpResponse:
    said = say(message("office.sign_in.often", minutes=MINUTES_LOCKED), reader_of(request))
    held = {"said": [said]}
    return render(request, "haywright/door_closed.html", held, status=HTTPStatus.TOO_MANY_REQUESTS)


def _office_of(link: SignInLink | None) -> Office | None:
    """The office somebody with a way in came to last."""
    if link is None:
        return None
    held = Membership.objects.filter(person=link.person_id).select_related("office")
    last = held.order_by("-made_at", "-id").first()
    return last.office if last is not None else None


def _enter(request: HttpRequest, person: Person) -> HttpResponse:
    """Sign in; who has a second factor is asked for it first."""
    actor = actor_of(person)
    asked = actor.office is not None and may(actor, "office.change") and is_new(actor.office)
    then = _then(request, reverse("office-begin" if asked else "today"))
    request.session.pop(_ASKED, None)
    entered: HttpResponse = perform_login(request, person, redirect_url=then)
    return entered


def _remember_then(request: HttpRequest) -> None:
    then = request.GET.get("next", "")
    if url_has_allowed_host_and_scheme(
        then, {request.get_host()}, require_https=request.is_secure()
    ):
        request.session[_THEN] = then


def _then(request: HttpRequest, usual: str = "/") -> str:
    return str(request.session.pop(_THEN, "") or usual)
