"""Pages of bags on their way: several shipped at once, what goes with them, two exchanged."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from haywright.bag.codes import read_code
from haywright.measure.errors import HaywrightError, Refused
from haywright.office.action import DoneAlready
from haywright.office.bag import actions
from haywright.office.bag.models import Bag
from haywright.office.bag.prices import address_of, prices_of
from haywright.office.bag.queries import bags, owner_blind
from haywright.office.people.policies import may_with
from haywright.office.stack.views import form_page, pdf
from haywright.office.way.pure import pure_bag, pure_lot, pure_office
from haywright.office.web.pages import Form, actor_in, found, page, status_of
from haywright.office.web.words import reader_of
from haywright.paper.slip_paper import Slip, shipment_pdf, slip_pdf

MOST_TOGETHER = 200


class ShipForm(Form):
    """Who takes the bags that were ticked."""

    who = forms.CharField(max_length=100)


def _chosen(request: HttpRequest, keys: list[str]) -> list[Bag]:
    """The bags ticked, in the order of their codes; one that is not the person's is not there."""
    try:
        held = list(bags(actor_in(request)).filter(pk__in=keys[:MOST_TOGETHER]).order_by("number"))
    except (ValueError, forms.ValidationError):
        raise Http404 from None
    if len(held) != len(set(keys)):
        raise Http404
    return held


@page("bag.ship")
def ship(request: HttpRequest) -> HttpResponse:
    """Several bags go on their way together."""
    sent = request.POST if request.method == "POST" else request.GET
    held = _chosen(request, sent.getlist("bag"))
    form = ShipForm(request, request.POST or None)
    if request.method == "POST" and form.is_valid():
        who, now = form.cleaned_data["who"], timezone.now()
        try:
            actions.ship_bags(actor_in(request), held, at=now, who=who, once=form.token)
        except DoneAlready:
            return redirect("bags")
        except HaywrightError as error:
            form.refuse(error)
        else:
            return redirect("bags")
    context = {"form": form, "bags": held}
    return render(request, "haywright/ship.html", context, status=status_of(form))


@page("bag.see")
def shipment_list(request: HttpRequest) -> HttpResponse:
    """The list of the bags ticked, on paper."""
    held = _chosen(request, request.GET.getlist("bag"))
    if not held:
        raise Http404
    office = pure_office(held[0].office)
    made_on, reader = timezone.localdate(), reader_of(request)
    return pdf(shipment_pdf([_slip(one) for one in held], office, reader, made_on=made_on),
               f"shipment-{made_on}")  # fmt: skip


@page("bag.see")
def bag_slip(request: HttpRequest, key: str) -> HttpResponse:
    """The submission slip of a bag, on paper."""
    bag = found(bags(actor_in(request)), pk=key)
    slip = replace(_slip(bag), prices=prices_of(bag), address=address_of(bag))
    return pdf(slip_pdf(slip, pure_office(bag.office), reader_of(request)), f"slip-{bag.code}")


def _slip(bag: Bag) -> Slip:
    return Slip(
        pure_bag(bag, bag.journey.all(), bag.lot),
        pure_lot(bag.lot),
        laboratory=bag.laboratory,
        sampler=owner_blind(bag, [bag.sampler])[0],
    )


class SwapForm(Form):
    """Which bag it was exchanged with, and how that came out."""

    other_code = forms.CharField(max_length=20)
    reason = forms.CharField(max_length=300)

    def beside(self, field: str) -> str:
        """A refusal of the code stands at the code."""
        return "other_code" if field in ("bag", "code") else super().beside(field)


@page("bag.swap")
def bag_swap(request: HttpRequest, key: str) -> HttpResponse:
    """Two bags exchange their lots."""
    actor = actor_in(request)
    bag = found(bags(actor), pk=key)
    if not may_with(actor, "bag.swap", bag):
        raise Http404
    opened = {"other_code": request.GET.get("other", "")[:20]}
    form: Any = SwapForm(request, request.POST or None, initial=opened)
    if request.method == "POST" and form.is_valid():
        try:
            other = _coded(request, form.cleaned_data["other_code"])
            reason = form.cleaned_data["reason"]
            actions.swap_bags(actor, bag, other, reason=reason, once=form.token)
        except DoneAlready:
            return redirect("bag", bag.pk)
        except HaywrightError as error:
            form.refuse(error)
        else:
            return redirect("bag", bag.pk)
    says = form.say("office.bag.swap_lede")
    return form_page(
        request, form, "office.bag.swap", "office.bag.swap_does", lede=bag.code, says=says
    )


def _coded(request: HttpRequest, typed: str) -> Bag:
    code = str(read_code(typed))
    held = bags(actor_in(request)).filter(code=code).first()
    if held is None:
        raise Refused("bag", code, key="office.bag.not_ours")
    return held
