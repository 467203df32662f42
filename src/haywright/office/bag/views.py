"""Pages of the bag: sealing one, where each is, its label and papers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from haywright.bag.adviser import AdviceQuestion, advise, by_test
from haywright.bag.bag import TAKEN
from haywright.bag.custody import Stage
from haywright.bag.tests import all_tests, lab_test
from haywright.measure.errors import HaywrightError
from haywright.measure.message import message
from haywright.office.action import DoneAlready
from haywright.office.bag import actions
from haywright.office.bag.models import Bag, HandOver
from haywright.office.bag.prices import price_list, prices_of
from haywright.office.bag.queries import bags, owner_blind, swapped_with
from haywright.office.bench.models import Laboratory
from haywright.office.people.policies import MAY, may_with
from haywright.office.stack.models import Lot
from haywright.office.stack.plan_view import PlanForm, plan_of
from haywright.office.stack.queries import Turn, code_begins, lots, one_page, searched
from haywright.office.stack.sought import Sought
from haywright.office.stack.views import form_page, pdf, stand_of
from haywright.office.stack.way import steps
from haywright.office.stack.yard_view import shelved
from haywright.office.way.pure import pure_bag, pure_lot
from haywright.office.web.pages import Form, actor_in, found, page, status_of
from haywright.office.web.words import reader_of
from haywright.stack.planned import PlannedBag
from haywright.words import say

_MORE = "bags"  # in the address of a bag whose plan asks for more of them
ROUND_DAYS = 14  # bags written down within them are of one plan (common practice: a day's work)


@page("bag.see")
def bag_list(request: HttpRequest) -> HttpResponse:
    """Every bag the person may see; a technician without the owner's name."""
    actor, reader = actor_in(request), reader_of(request)
    q, stage = searched(request.GET, 20), request.GET.get("stage", "")
    rows = bags(actor)
    stages = [one.value for one in Stage]
    if stage in stages:
        rows = rows.filter(stage=stage)
    turned = Turn.of(request.GET)
    kept = {name: one for name, one in (("q", q), ("stage", stage)) if one}
    coded = code_begins(q)
    held = one_page(Sought(rows, coded, (coded,)) if q else rows, turned)
    return render(
        request,
        "haywright/bags.html",
        {
            "bags": held.rows,
            "q": q,
            "stage": stage,
            "stages": [(one, say(message(f"office.stage.{one}"), reader)) for one in stages],
            "owner": bool(MAY["owner.see"] & actor.roles),
            "to_ship": any(one.stage == Stage.SEALED for one in held.rows),
            "may_ship": bool(MAY["bag.ship"] & actor.roles),
            "turn": held.addresses(kept),
        },
    )


@page("bag.see")
def lot_bags(request: HttpRequest, key: str) -> HttpResponse:
    """The bags of one lot: its newest one, or sealing the first."""
    lot = found(lots(actor_in(request)), pk=key)
    newest = lot.bags.order_by("-id").first()
    return redirect("bag", newest.pk) if newest else redirect("bag-new", lot.pk)


@dataclass(frozen=True)
class Planned:
    """How many bags the plan asks for, how many are sealed, and the next of them."""

    bags: int = 0
    sealed: int = 0
    next: PlannedBag | None = None

    @classmethod
    def of(cls, request: HttpRequest, lot: Lot) -> Planned:
        """What the plan of an address still asks for."""
        plan = plan_of(lot, PlanForm(request, request.GET or None))
        bags = () if plan is None else plan.bags
        since = timezone.now() - timedelta(days=ROUND_DAYS)
        sealed = lot.bags.exclude(stage=Stage.REFUSED).filter(made_at__gt=since).count()
        return cls(len(bags), sealed, bags[sealed] if sealed < len(bags) else None)


class BagForm(Form):
    """What stands on a bag."""

    cored_on = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}))
    bales = forms.CharField(required=False, max_length=400)
    part = forms.ChoiceField(required=False)
    mass_sealed_g = forms.DecimalField(required=False, min_value=0, max_digits=8, decimal_places=2)
    tests = forms.MultipleChoiceField(required=False, widget=forms.CheckboxSelectMultiple)
    laboratory = forms.CharField(required=False, max_length=120)
    taken = forms.ChoiceField(widget=forms.RadioSelect)
    cores_per_bale = forms.IntegerField(required=False, min_value=1, max_value=100)
    sampler = forms.CharField(required=False, max_length=100)
    more_tests = forms.MultipleChoiceField(required=False, widget=forms.CheckboxSelectMultiple)
    sealed_at = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput)
    folded = ("more_tests", "taken", "cores_per_bale", "sampler")

    def __init__(
        self, request: HttpRequest, lot: Any, planned: Planned, *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(request, *args, **kwargs)
        pure = pure_lot(lot)
        asked = by_test(advise(AdviceQuestion.of_lot(pure)))
        reasons = {one.test: say(one.advice[0].reason, self.reader) for one in asked}
        self._choose("taken", [(w, self.say(f"office.taken.{w}")) for w in TAKEN])
        self._choose("part", [("", self.say("office.bag.whole")),
                              *((p.name, p.name) for p in pure.field_parts)])  # fmt: skip
        prices, currency = self._laboratories(lot), lot.office.currency
        further = [one for one in all_tests() if one not in reasons]
        for name, many in (("tests", [*reasons]), ("more_tests", further)):
            self._choose(name, [(t, _ordered(t, prices, currency)) for t in many])
        self.fields["tests"].grouped = reasons  # type: ignore[attr-defined]
        if not pure.field_parts:
            del self.fields["part"]
        needed = [one.test for one in asked if one.need != "note"]
        self.fields["tests"].initial = needed
        self.fields["taken"].initial = "probe"
        self.fields["cored_on"].initial = timezone.localdate().isoformat()
        self.fields["mass_sealed_g"].unit = "g"  # type: ignore[attr-defined]
        self.fields["bales"].help_text = self.say("office.help.bales")
        if planned.next is not None:
            self._as_planned(planned.next, planned)

    def _as_planned(self, bag: PlannedBag, planned: Planned) -> None:
        """Its part and its bales as the plan has them, for who seals it to correct."""
        if "part" in self.fields:
            self.fields["part"].initial = bag.part
        if bag.bales:
            self.fields["bales"].initial = ", ".join(map(str, bag.bales))
            self.fields["bales"].help_text = self.say(
                "office.help.bales_planned", n=planned.sealed + 1, of=planned.bags
            )

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    def _laboratories(self, lot: Any) -> dict[str, Decimal]:
        """The office's laboratories to choose from, and the price list of the first."""
        held = list(Laboratory.objects.filter(office=lot.office_id).order_by("name"))
        if not held:
            return {}
        names = [(one.name, one.name) for one in held]
        elsewhere = ("", self.say("office.bag.no_laboratory"))
        label = self.fields["laboratory"].label
        first = held[0]
        self.fields["laboratory"] = forms.ChoiceField(
            required=False, choices=[*names, elsewhere], initial=first.name, label=label
        )
        prices = price_list(first.prices)
        if prices:
            said = self.say("office.help.prices", laboratory=first.name)
            self.fields["tests"].help_text = said
        return prices

    def at(self) -> datetime:
        """When it was sealed: by the phone that kept it in the yard, or now."""
        now, told = timezone.now(), parse_datetime(self.cleaned_data["sealed_at"])
        return told if told is not None and told.tzinfo is not None and told <= now else now

    def facts(self) -> dict[str, Any]:
        """The bag's form."""
        given = self.cleaned_data
        facts = {"cored_on": str(given["cored_on"]), "taken": given["taken"],
                 "tests": [*given["tests"], *given["more_tests"]]}  # fmt: skip
        for name in ("bales", "cores_per_bale", "part", "sampler"):
            if given.get(name):
                facts[name] = given[name]
        if given.get("mass_sealed_g"):
            facts["mass_sealed_g"] = float(given["mass_sealed_g"])
        return facts


def _ordered(test: str, prices: dict[str, Decimal], currency: str) -> str:
    """A test with its price, as one ticks it."""
    said = lab_test(test).name
    return f"{said} ({prices[test]:.2f} {currency})" if test in prices else said


@page("bag.seal")
def bag_new(request: HttpRequest, key: str) -> HttpResponse:
    """Seal a bag of a lot."""
    actor = actor_in(request)
    lot = found(lots(actor), pk=key)
    if not may_with(actor, "bag.seal", lot):
        raise Http404
    planned = Planned.of(request, lot)
    form = BagForm(request, lot, planned, request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            bag = actions.seal_bag(
                actor,
                lot,
                form.facts(),
                at=form.at(),
                laboratory=form.cleaned_data["laboratory"],
                once=form.token,
            )
        except DoneAlready as done:
            return _sealed(request, form, lot, done.entry.thing_id)
        except HaywrightError as error:
            form.refuse(error)
        else:
            return _sealed(request, form, lot, bag.pk)
    return form_page(
        request,
        form,
        "office.bag.new",
        "office.bag.keep",
        lede=lot.name,
        back=reverse("lot", args=[lot.pk]),
        template="haywright/bag_new.html",
        shelve=" ".join(shelved([lot])),
    )


def _sealed(request: HttpRequest, form: BagForm, lot: Lot, bag: UUID) -> HttpResponse:
    """On to the bag that was sealed, with the way to the next where the plan asks for more."""
    planned = Planned.of(request, lot)
    if planned.next is None:
        return redirect("bag", bag)
    messages.info(request, form.say("office.bag.more_planned", of=planned.bags))
    asked = urlencode({**request.GET.dict(), _MORE: planned.bags})
    return redirect(f"{reverse('bag', args=[bag])}?{asked}")


class PassForm(Form):
    """What happens to a bag next."""

    stage = forms.ChoiceField(widget=forms.RadioSelect)
    who = forms.CharField(required=False, max_length=100)
    mass_g = forms.DecimalField(required=False, max_digits=8, decimal_places=2)
    reason = forms.CharField(required=False, max_length=300)

    def __init__(
        self, request: HttpRequest, stages: list[Stage], *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(request, *args, **kwargs)
        choices = [(one.value, self.say(f"office.pass.{one.value}")) for one in stages]
        self.fields["stage"].choices = choices  # type: ignore[attr-defined]
        if len(choices) == 1:
            self.fields["stage"].initial = choices[0][0]
        self.fields["mass_g"].unit = "g"  # type: ignore[attr-defined]
        self.fields["reason"].help_text = self.say("office.help.refused")

    def clean(self) -> dict[str, Any]:
        """What each step needs, asked for at once: a reason, or who has the bag then."""
        given: dict[str, Any] = super().clean() or {}
        refused = given.get("stage") == Stage.REFUSED
        reason, who = given.get("reason", "").strip(), given.get("who", "").strip()
        if refused and not reason:
            self.add_error("reason", self.say("office.pass.why_refused"))
        if not refused and reason:
            self.add_error("reason", self.say("office.pass.no_reason"))
        if not refused and not who:
            self.add_error("who", self.say("office.form.missing"))
        mass = given.get("mass_g")
        if mass is not None and mass <= 0:
            self.add_error("mass_g", self.say("office.pass.no_mass"))
        return given


def _open_to(request: HttpRequest, bag: Bag) -> list[Stage]:
    """What this person may do with a bag as it stands."""
    actor = actor_in(request)
    after = {
        Stage.SEALED: [Stage.SHIPPED, Stage.RECEIVED, Stage.REFUSED],
        Stage.SHIPPED: [Stage.RECEIVED, Stage.REFUSED],
    }.get(Stage(bag.stage), [])
    deeds = {Stage.SHIPPED: "bag.ship", Stage.RECEIVED: "bag.receive", Stage.REFUSED: "bag.receive"}
    return [one for one in after if may_with(actor, deeds[one], bag)]


def _at(bag: Bag, journey: list[HandOver]) -> list[tuple[date, str]]:
    """Day and hour of each hand-over, by the office's own clock."""
    local = [one.at.astimezone(bag.office.zone) for one in journey]
    return [(one.date(), f"{one:%H:%M}") for one in local]


def _next(stages: list[Stage]) -> str:
    """What the button on top reads: what this person is to do, where it is one thing."""
    if Stage.RECEIVED in stages and Stage.SHIPPED not in stages:
        return "office.bag.take_in"
    return "office.bag.send_off" if stages == [Stage.SHIPPED] else "office.bag.pass_on"


def _further(request: HttpRequest, bag: Bag) -> dict[str, str] | None:
    """The next bag of the plan this one was sealed by, where that asks for more."""
    if _MORE not in request.GET or not may_with(actor_in(request), "bag.seal", bag.lot):
        return None
    planned = Planned.of(request, bag.lot)
    if planned.next is None:
        return None
    asked = {name: one for name, one in request.GET.items() if name != _MORE}
    said = message("office.bag.seal_next", n=planned.sealed + 1, of=planned.bags)
    address = f"{reverse('bag-new', args=[bag.lot_id])}?{urlencode(asked)}"
    return {"does": say(said, reader_of(request)), "address": address}


@page("bag.see")
def bag_page(request: HttpRequest, key: str) -> HttpResponse:
    """One bag: what it holds, who had it when, what can happen next."""
    actor = actor_in(request)
    bag = found(bags(actor), pk=key)
    stages = _open_to(request, bag)
    form = PassForm(request, stages, request.POST or None) if stages else None
    if request.method == "POST" and form is not None and form.is_valid():
        given = form.cleaned_data
        try:
            actions.pass_on(
                actor,
                bag,
                Stage(given["stage"]),
                at=timezone.now(),
                who=given["who"].strip() or str(actor.person),  # a refused bag stays where it is
                mass_g=given["mass_g"],
                reason=given["reason"].strip(),
                once=form.token,
            )
        except DoneAlready:
            return redirect("bag", bag.pk)
        except HaywrightError as error:
            form.refuse(error)
        else:
            return redirect("bag", bag.pk)
    reader = reader_of(request)
    owner = bool(MAY["owner.see"] & actor.roles)
    journey = list(bag.journey.select_related("person"))
    who = [bag.sampler, *(one.who for one in journey)]
    by = [one.person.name if one.person else "" for one in journey]
    who, by = (names if owner else owner_blind(bag, names) for names in (who, by))
    held = {
        "bag": bag,
        "owner": owner,
        "steps": steps(stand_of(bag.lot, part=bag.part), reader, on="bag") if owner else None,
        "journey": list(zip(journey, _at(bag, journey), who[1:], by, strict=True)),
        "next": _next(stages),
        "further": _further(request, bag),
        "sampler": who[0],
        "order": _order(bag, reader),
        "taken": say(message(f"office.taken.{bag.taken}"), reader),
        "notes": pure_bag(bag, journey, bag.lot).notes(),
        "form": form,
        "swap": swapped_with(bag) if may_with(actor, "bag.swap", bag) else None,
        "may_swap": may_with(actor, "bag.swap", bag),
    }
    return render(
        request,
        "haywright/bag.html",
        held,
        status=status_of(form),
    )


def _order(bag: Bag, reader: Any) -> str:
    """What the tests ordered cost; "" where the laboratory has no price list."""
    prices = prices_of(bag)
    priced = [prices[one] for one in bag.tests if one in prices]
    if not priced:
        return ""
    total = f"{sum(priced):.2f} {bag.office.currency}"
    left = len(bag.tests) - len(priced)
    return say(message("office.bag.order", total=total, n=left), reader) if left else total


@page("bag.see")
def bag_label(request: HttpRequest, key: str) -> HttpResponse:
    """The label of a bag."""
    from haywright.paper.label_paper import labels_pdf

    bag = found(bags(actor_in(request)), pk=key)
    pure = pure_bag(bag, bag.journey.all(), bag.lot)
    return pdf(labels_pdf([pure], reader_of(request)), f"label-{bag.code}")
