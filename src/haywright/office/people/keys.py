"""The page of one's keys for programs: made, shown once, withdrawn."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from haywright.measure.errors import HaywrightError
from haywright.office.action import DoneAlready
from haywright.office.people.models import Token
from haywright.office.people.tokens import SCOPES, make_token, withdraw_token
from haywright.office.web.pages import Form, actor_in, found, page, status_of


class KeyForm(Form):
    """What a key is for and what it may do."""

    name = forms.CharField(max_length=100)
    scopes = forms.MultipleChoiceField(widget=forms.CheckboxSelectMultiple)

    def __init__(self, request: HttpRequest, *args: Any) -> None:
        super().__init__(request, *args)
        said = [(one, self.say(f"office.scope.{one.replace(':', '.')}")) for one in SCOPES]
        self.fields["scopes"].choices = said  # type: ignore[attr-defined]


def _mine(request: HttpRequest) -> QuerySet[Token]:
    actor = actor_in(request)
    return Token.objects.filter(
        person=actor.person, office=actor.office, withdrawn_at__isnull=True
    ).order_by("-id")


@page("token.make")
def keys(request: HttpRequest) -> HttpResponse:
    """One's keys, and a new one."""
    form, secret = KeyForm(request, request.POST or None), ""
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            secret = make_token(actor_in(request), given["name"], given["scopes"], once=form.token)
            form = KeyForm(request)
        except DoneAlready:
            return redirect("keys")
        except HaywrightError as error:
            form.refuse(error)
    said = dict(form.fields["scopes"].choices)  # type: ignore[attr-defined]
    mine = [(one, [said.get(scope, scope) for scope in one.scopes]) for one in _mine(request)]
    held = {"form": form, "secret": secret, "keys": mine}
    return render(request, "haywright/keys.html", held, status=status_of(form))


@require_POST
@page("token.make")
def key_withdraw(request: HttpRequest, key: str) -> HttpResponse:
    """Withdraw one of one's keys."""
    withdraw_token(actor_in(request), found(_mine(request), pk=key))
    return redirect("keys")
