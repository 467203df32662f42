"""What every page does alike: who may, which thing, what a refusal says beside which field."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import replace
from functools import wraps
from http import HTTPStatus
from typing import Any, ClassVar
from uuid import uuid4

from django import forms
from django.contrib import messages
from django.contrib.auth.views import redirect_to_login
from django.core.cache import cache
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.functional import Promise

from haywright.measure.errors import HaywrightError
from haywright.measure.message import Message, message
from haywright.office.action import NotAllowed
from haywright.office.people.actor import Actor
from haywright.office.people.models import Role
from haywright.office.people.policies import MAY
from haywright.office.web.words import reader_of
from haywright.words import say

SAME_SECONDS = 10 * 60
# Refusals of a typed amount, and the unit whoever thinks in pounds and feet is shown as an example.
_OF_AMOUNTS = ("measure.unit_missing", "measure.amount", "measure.not_a_number")
_US = {"kg": "lb", "m": "in"}
# What a field may pass, how it is said, and where the framework puts the limit into the words.
_LIMITS = {
    "min_value": ("office.form.least", "%(limit_value)s"),
    "max_value": ("office.form.most", "%(limit_value)s"),
    "max_length": ("office.form.longest", "%(limit_value)s"),
    "max_decimal_places": ("office.form.places", "%(max)s"),
    "max_digits": ("office.form.digits", "%(max)s"),
    "max_whole_digits": ("office.form.digits", "%(max)s"),
}
View = Callable[..., HttpResponse]


def actor_in(request: HttpRequest) -> Actor:
    """Who asks."""
    return request.actor  # type: ignore[attr-defined,no-any-return]


def page(deed: str = "") -> Callable[[View], View]:
    """A page only for those signed in, and of those only for roles that may do the deed."""

    def made(view: View) -> View:
        @wraps(view)
        def inner(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            actor = actor_in(request)
            if actor.person is None:
                return redirect_to_login(request.get_full_path())
            if deed and not MAY[deed] & actor.roles:
                return refused(request, NotAllowed(deed))
            try:
                return view(request, *args, **kwargs)
            except NotAllowed as error:
                return refused(request, error)

        inner.deed = deed  # type: ignore[attr-defined]
        return inner

    return made


def refused(
    request: HttpRequest, error: HaywrightError, status: int = HTTPStatus.FORBIDDEN
) -> HttpResponse:
    """A page that says why not; where a role is wanting, whose it is."""
    said = [say(one, reader_of(request)) for one in _why(request, error)]
    return render(request, "haywright/refused.html", {"said": said}, status=status)


def _why(request: HttpRequest, error: HaywrightError) -> tuple[Message, ...]:
    roles = MAY.get(error.deed, ()) if isinstance(error, NotAllowed) else ()
    if not roles or not actor_in(request).roles.isdisjoint(roles):
        return tuple(error.messages())
    named = tuple(message(f"office.role.{one.value}") for one in Role if one in roles)
    return (message("office.refused_for", roles=named),)


def found(rows: Any, **lookup: Any) -> Any:
    """The one row among those an actor may see; anything else is not there."""
    try:
        return rows.get(**lookup)
    except (rows.model.DoesNotExist, ValueError):
        raise Http404 from None


def status_of(form: forms.Form | None) -> int:
    """The status of a page with a form: not kept yet, or fine."""
    return HTTPStatus.UNPROCESSABLE_ENTITY if form is not None and form.errors else HTTPStatus.OK


def one_of(rows: Any, key: str) -> Any:
    """The row of a key chosen in a form; ``None`` where none was chosen."""
    return rows.filter(pk=key).first() if key else None


# What is said of a text a field cannot take.
_NOT: dict[type[forms.Field], str] = {
    forms.DateField: "no_day",
    forms.DecimalField: "no_number",  # before the whole number, whose kind it is for Django
    forms.IntegerField: "no_count",
}


class Form(forms.Form):
    """A form of ours: labels and help from the catalogue, a token against doing it twice."""

    once = forms.CharField(widget=forms.HiddenInput, required=False)
    use_required_attribute = False
    labels: ClassVar[dict[str, str]] = {}  # field -> key, where it is not the field's own
    stands_alone = False  # nothing is there to do it with

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        self.request, self.reader = request, reader_of(request)
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.fields["once"].initial = str(uuid4())
        for name, held in self.fields.items():
            if not held.widget.is_hidden and not held.label:
                held.label = self.say(self.labels.get(name, f"office.field.{name}"))

    def full_clean(self) -> None:
        """Look over what was typed; a limit that is passed is told with the limit, in our words."""
        told = {code: self.say(key, most=most) for code, (key, most) in _LIMITS.items()}
        for held in self.fields.values():
            held.error_messages = {**told, **self._told(held)}
        super().full_clean()

    def _told(self, held: forms.Field) -> dict[str, Any]:
        """What is said of a field that is left out or cannot be read, where it says nothing own."""
        wrong = next((key for of, key in _NOT.items() if isinstance(held, of)), "wrong")
        return {
            code: self.say(f"office.form.{'missing' if code == 'required' else wrong}")
            if isinstance(said, Promise)  # the framework's words
            else said
            for code, said in held.error_messages.items()
        }

    def say(self, key: str, **args: Any) -> str:
        """The text of a key for this reader."""
        return say(message(key, **args), self.reader)

    def refuse(self, error: HaywrightError) -> None:
        """Put a refusal beside the fields it concerns; what was typed stays."""
        for one in error.messages():
            at = self.beside(str(one.args.get("field", "")))
            there = at in self.fields and not self.fields[at].widget.is_hidden
            told = self._plainly(one, str(self.fields[at].label)) if there else one
            self.add_error(at if there else None, say(told, self.reader))

    def _plainly(self, one: Message, label: str) -> Message:
        """A refusal by the name its field has here, an amount in the reader's own units."""
        own = dict(one.args) | {"field": label}
        unit = str(own.get("accepted", ""))
        if one.key in _OF_AMOUNTS and self.reader.units == "us":
            own["accepted"] = _US.get(unit, unit)
        return replace(one, args=own)

    def beside(self, field: str) -> str:
        """The field of this page at which a refusal of a field of a form is said."""
        return field.rpartition(": ")[2]

    @property
    def token(self) -> str:
        """What was sent along, so that the same form sent twice is done once.

        A browser that goes back may fetch the form anew and keep what was typed: the same from
        the same person on the same page within ten minutes is the same deed, and they are told.
        """
        sent = {
            k: v for k, v in self.request.POST.lists() if k not in ("once", "csrfmiddlewaretoken")
        }
        body = json.dumps([str(self.request.user.pk), self.request.path, sent], sort_keys=True)
        key = f"once:{hashlib.sha256(body.encode()).hexdigest()}"
        own = str(self.cleaned_data.get("once") or uuid4())
        first = str(cache.get_or_set(key, own, SAME_SECONDS))
        if first != own:
            messages.info(self.request, self.say("office.done_already"))
        return first
