"""Pages of the bag: sealing one, where each is, its label and papers."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from haywright.bag.adviser import AdviceQuestion, advise, by_test
from haywright.bag.bag import TAKEN
from haywright.bag.custody import Stage
from haywright.bag.tests import all_tests, lab_test
from haywright.measure.errors import HaywrightError
from haywright.measure.message import message
from haywright.office.action import DoneAlready
from haywright.office.bag import actions
from haywright.office.bag.models import Bag
from haywright.office.bag.queries import bags
from haywright.office.people.policies import MAY, may_with
from haywright.office.stack.queries import lots, one_page
from haywright.office.stack.views import pdf, stand_of
from haywright.office.stack.way import steps
from haywright.office.way.pure import pure_bag, pure_lot
from haywright.office.web.pages import Form, actor_in, found, page, status_of
from haywright.office.web.words import reader_of
from haywright.words import say


@page("bag.see")
def bag_list(request: HttpRequest) -> HttpResponse:
    """Every bag the person may see; a technician without the owner's name."""
    actor, reader = actor_in(request), reader_of(request)
    q, stage = request.GET.get("q", "").strip()[:20], request.GET.get("stage", "")
    rows = bags(actor)
    if q:
        rows = rows.filter(code__istartswith=q)
    if stage in [one.value for one in Stage]:
        rows = rows.filter(stage=stage)
    held, after = one_page(rows, _key(request.GET.get("after", "")))
    kept = {name: one for name, one in (("q", q), ("stage", stage)) if one}
    return render(
        request,
        "haywright/bags.html",
        {
            "bags": held,
            "q": q,
            "stage": stage,
            "stages": [(one.value, say(message(f"office.stage.{one.value}"), reader))
                       for one in Stage],
            "owner": bool(MAY["owner.see"] & actor.roles),
            "more": urlencode({**kept, "after": after}) if after else "",
        },
    )  # fmt: skip


def _key(text: str) -> str:
    from haywright.office.stack.queries import Asked

    return Asked.of({"after": text}).after


@page("bag.see")
def lot_bags(request: HttpRequest, key: str) -> HttpResponse:
    """The bags of one lot: its newest one, or sealing the first."""
    lot = found(lots(actor_in(request)), pk=key)
    newest = lot.bags.order_by("-id").first()
    return redirect("bag", newest.pk) if newest else redirect("bag-new", lot.pk)


class BagForm(Form):
    """What stands on a bag."""

    cored_on = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}))
    taken = forms.ChoiceField(widget=forms.RadioSelect)
    bales = forms.CharField(required=False, max_length=400)
    cores_per_bale = forms.IntegerField(required=False, min_value=1, max_value=100)
    part = forms.ChoiceField(required=False)
    mass_sealed_g = forms.DecimalField(required=False, max_digits=8, decimal_places=2)
    tests = forms.MultipleChoiceField(widget=forms.CheckboxSelectMultiple)
    laboratory = forms.CharField(required=False, max_length=120)
    sampler = forms.CharField(required=False, max_length=100)

    def __init__(self, request: HttpRequest, lot: Any, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        pure = pure_lot(lot)
        asked = by_test(advise(AdviceQuestion.of_lot(pure)))
        reasons = {one.test: say(one.advice[0].reason, self.reader) for one in asked}
        self._choose("taken", [(w, self.say(f"office.taken.{w}")) for w in TAKEN])
        self._choose("part", [("", self.say("office.bag.whole")),
                              *((p.name, p.name) for p in pure.field_parts)])  # fmt: skip
        ordered = [*reasons, *(t for t in all_tests() if t not in reasons)]
        self._choose(
            "tests",
            [
                (t, f"{lab_test(t).name}: {reasons[t]}" if t in reasons else lab_test(t).name)
                for t in ordered
            ],
        )
        needed = [one.test for one in asked if one.need in ("must", "should")]
        self.fields["tests"].initial = needed
        self.fields["taken"].initial = "probe"
        self.fields["cored_on"].initial = timezone.now().date().isoformat()
        self.fields["mass_sealed_g"].unit = "g"  # type: ignore[attr-defined]
        self.fields["bales"].help_text = self.say("office.help.bales")

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    def facts(self) -> dict[str, Any]:
        """The bag's form."""
        given = self.cleaned_data
        facts = {"cored_on": str(given["cored_on"]), "taken": given["taken"],
                 "tests": given["tests"]}  # fmt: skip
        for name in ("bales", "cores_per_bale", "part", "sampler"):
            if given.get(name):
                facts[name] = given[name]
        if given.get("mass_sealed_g"):
            facts["mass_sealed_g"] = float(given["mass_sealed_g"])
        return facts


@page("bag.seal")
def bag_new(request: HttpRequest, key: str) -> HttpResponse:
    """Seal a bag of a lot."""
    actor = actor_in(request)
    lot = found(lots(actor), pk=key)
    if not may_with(actor, "bag.seal", lot):
        raise Http404
    form = BagForm(request, lot, request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            bag = actions.seal_bag(
                actor,
                lot,
                form.facts(),
                at=timezone.now(),
                laboratory=form.cleaned_data["laboratory"],
                once=form.token,
            )
        except DoneAlready as done:
            return redirect("bag", done.entry.thing_id)
        except HaywrightError as error:
            form.refuse(error)
        else:
            return redirect("bag", bag.pk)
    held = {
        "form": form,
        "title": form.say("office.bag.new"),
        "does": form.say("office.bag.keep"),
        "lede": lot.name,
    }
    return render(
        request,
        "haywright/form.html",
        held,
        status=status_of(form),
    )


class PassForm(Form):
    """What happens to a bag next."""

    stage = forms.ChoiceField(widget=forms.RadioSelect)
    who = forms.CharField(max_length=100)
    mass_g = forms.DecimalField(required=False, max_digits=8, decimal_places=2)
    reason = forms.CharField(required=False, max_length=300)

    def __init__(
        self, request: HttpRequest, stages: list[Stage], *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(request, *args, **kwargs)
        choices = [(one.value, self.say(f"office.pass.{one.value}")) for one in stages]
        self.fields["stage"].choices = choices  # type: ignore[attr-defined]
        self.fields["mass_g"].unit = "g"  # type: ignore[attr-defined]
        self.fields["reason"].help_text = self.say("office.help.refused")


def _open_to(request: HttpRequest, bag: Bag) -> list[Stage]:
    """What this person may do with a bag as it stands."""
    actor = actor_in(request)
    after = {
        Stage.SEALED: [Stage.SHIPPED, Stage.RECEIVED, Stage.REFUSED],
        Stage.SHIPPED: [Stage.RECEIVED, Stage.REFUSED],
    }.get(Stage(bag.stage), [])
    deeds = {Stage.SHIPPED: "bag.ship", Stage.RECEIVED: "bag.receive", Stage.REFUSED: "bag.receive"}
    return [one for one in after if may_with(actor, deeds[one], bag)]


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
                who=given["who"],
                mass_g=given["mass_g"],
                reason=given["reason"],
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
    journey = list(bag.journey.all())
    held = {
        "bag": bag,
        "owner": owner,
        "steps": steps(stand_of(bag.lot), reader, on="bag") if owner else None,
        "journey": journey,
        "taken": say(message(f"office.taken.{bag.taken}"), reader),
        "notes": pure_bag(bag, journey, bag.lot).notes(),
        "form": form,
    }
    return render(
        request,
        "haywright/bag.html",
        held,
        status=status_of(form),
    )


@page("bag.see")
def bag_label(request: HttpRequest, key: str) -> HttpResponse:
    """The label of a bag."""
    from haywright.paper.label_paper import labels_pdf

    bag = found(bags(actor_in(request)), pk=key)
    pure = pure_bag(bag, bag.journey.all(), bag.lot)
    return pdf(labels_pdf([pure], reader_of(request)), f"label-{bag.code}")
