"""Pages of the stack: the list of lots, a lot's own page, its plan, and what can happen to it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from haywright.measure.errors import HaywrightError
from haywright.measure.message import Amount, message
from haywright.office.action import DoneAlready
from haywright.office.ledger.history import history
from haywright.office.people.models import Ranch
from haywright.office.people.policies import MAY, may_with, visible
from haywright.office.sheet.models import Version
from haywright.office.sheet.shown import shown
from haywright.office.stack import actions
from haywright.office.stack.forms import LotForm, initial
from haywright.office.stack.models import Lot, State
from haywright.office.stack.queries import Asked, asked_for, lots, one_page
from haywright.office.stack.way import Stand, next_step, steps
from haywright.office.way.pure import known, pure_lot, pure_office
from haywright.office.web.pages import Form, actor_in, found, one_of, page, status_of
from haywright.office.web.words import reader_of
from haywright.paper.emergency import call_card
from haywright.paper.speaker import Speaker
from haywright.paper.tokens import PAGE, PRINT, Palette
from haywright.sources.crops import crops
from haywright.stack.lot import storages
from haywright.stack.plan import make_plan
from haywright.stack.planned import Choices
from haywright.words import say


@page("lot.see")
def lot_list(request: HttpRequest) -> HttpResponse:
    """Every lot the person may see, searched and turned over."""
    asked = Asked.of(request.GET)
    rows, after = one_page(asked_for(lots(actor_in(request)), asked), asked.after)
    reader = reader_of(request)
    return render(
        request,
        "haywright/lots.html",
        {
            "asked": asked,
            "lots": rows,
            "rows": _rows(rows, reader),
            "crops": sorted(crops().values(), key=lambda one: one.name),
            "states": [(w, say(message(f"office.state.{w}"), reader)) for w in (*State, "all")],
            "more": urlencode({**asked.filters(), "after": after}) if after else "",
            "may_describe": bool(MAY["lot.describe"] & actor_in(request).roles),
        },
    )


def _rows(rows: list[Lot], reader: Any) -> list[dict[str, Any]]:
    newest = _latest(rows)
    out = []
    for lot in rows:
        one = newest.get(lot.pk)
        if one is None:
            said = message("office.lots.suspect" if lot.suspect else "office.lots.not_yet")
        elif one.nitrate is None:
            said = message("office.lots.sheet", day=one.made_at.date())
        else:
            found = Amount(float(one.nitrate), "mg/kg", analyte="nitrate_n")
            said = message("office.lots.nitrate", day=one.made_at.date(), amount=found)
        out.append({"lot": lot, "crop": crops()[lot.crop].name, "said": say(said, reader)})
    return out


def _latest(rows: Iterable[Lot]) -> dict[Any, Version]:
    """The newest version of each lot's sheet, in one query."""
    newest: dict[Any, Version] = {}
    found = Version.objects.filter(sheet__lot__in=list(rows)).select_related("sheet")
    for one in found.defer("snapshot").order_by("made_at"):
        newest[one.sheet.lot_id] = one
    return newest


@page("lot.see")
def lot_page(request: HttpRequest, key: str) -> HttpResponse:
    """One lot: what is known and how old it is, the next step, the stack, its history."""
    actor = actor_in(request)
    lot = found(lots(actor), pk=key)
    reader, words = reader_of(request), Speaker(reader_of(request))
    stand = stand_of(lot)
    seen = known(lot)
    version = Version.objects.filter(sheet_id=UUID(stand.sheet)).last() if stand.sheet else None
    opening = None if version is None else shown(version).opening(reader)
    return render(
        request,
        "haywright/lot.html",
        {
            "lot": lot,
            "steps": steps(stand, reader),
            "kicker": _kicker(lot, words),
            "sentence": words.every(opening.sentence) if opening else _untested(seen.lot, words),
            "lede": _how_old(stand, words),
            "standing": words.every(opening.standing) if opening else [],
            "next": next_step(stand, actor),
            "facts": _facts(lot, words),
            "pictures": _drawn(lot, seen, reader),
            "bags": stand.bags,
            "history": history(lot, reader),
            "card": call_card(pure_office(lot.office), words),
            "photos": lot.photos.all(),
            "temperatures": lot.temperatures.order_by("-taken_at")[:10],
            "kin": [*lot.came.select_related("of"), *lot.went.select_related("into")],
            "may_change": lot.state == State.HERE and may_with(actor, "lot.change", lot),
        },
    )


def stand_of(lot: Lot) -> Stand:
    """What is there of a lot."""
    bags = list(lot.bags.order_by("-id"))
    sheet = lot.sheets.order_by("-id").first()
    return Stand(lot, bags, sheet is not None, str(sheet.pk) if sheet else "")


def _kicker(lot: Lot, words: Speaker) -> list[str]:
    said = [lot.name, words("office.lot.number", number=lot.number)]
    said += [lot.ranch.name] if lot.ranch else []
    said += [words("office.lot.baled", day=words.day(lot.baled_on))] if lot.baled_on else []
    return said


def _untested(lot: Any, words: Speaker) -> list[str]:
    if lot.suspects_nitrate():
        return [words("bunk.nitrate.answer.not_tested")]
    return [words("office.lot.untested")]


def _how_old(stand: Stand, words: Speaker) -> str:
    if not stand.bags:
        return words("office.lot.no_bag")
    bag = stand.bags[0]
    days = (timezone.now().date() - bag.cored_on).days
    cored = words.day(bag.cored_on)
    return words("office.lot.cored", n=len(stand.bags), day=cored, days=days)


def _facts(lot: Lot, words: Speaker) -> list[tuple[str, str]]:
    unknown = words("office.form.unknown")
    kilograms = None if lot.mean_bale_kg is None else float(lot.mean_bale_kg)
    weight = None if kilograms is None else Amount(kilograms, "kg", "as received", digits=0)
    said = {
        "crop": crops()[lot.crop].name,
        "count": None if lot.bales is None else words.count(lot.bales),
        "weight": None if weight is None else words("paper.amount", amount=weight),
        "storage": storages()[lot.storage].name if lot.storage in storages() else None,
        "field": lot.field,
        "purpose": words(f"office.purpose.{lot.purpose}"),
    }
    return [(words(f"office.field.{name}"), one or unknown) for name, one in said.items()]


def _drawn(lot: Lot, seen: Any, reader: Any) -> list[dict[str, Any]]:
    """The stack as it is seen, with the bales the plan picks or the bag was cored from."""
    from haywright.paper.plan_paper import plan_data
    from haywright.paper.yard import yard_sheet

    try:
        plan = make_plan(seen.lot)
    except HaywrightError:
        return []
    ranch = lot.ranch.name if lot.ranch else ""
    data = plan_data(yard_sheet(plan, seen.office, reader, ranch=ranch), reader, PAGE)
    return [s for s in data["sections"] if any(b["kind"] == "picture" for b in s["blocks"])][:2]


@page("lot.describe")
def lot_new(request: HttpRequest) -> HttpResponse:
    """Describe a lot."""
    form = LotForm(request, request.POST or None)
    if request.method == "POST" and form.is_valid():
        actor = actor_in(request)
        ranches = visible(actor, "lot.describe", Ranch.objects.all(), ranch="pk")
        ranch = one_of(ranches, form.cleaned_data["ranch"])
        try:
            lot = actions.describe_lot(
                actor,
                form.facts(),
                ranch=ranch,
                today=timezone.now().date(),
                seller=form.cleaned_data["seller"],
                seller_paper=form.cleaned_data["seller_paper"],
                once=form.token,
            )
        except DoneAlready as done:
            return redirect("lot", done.entry.thing_id)
        except HaywrightError as error:
            form.refuse(error)
        else:
            return redirect("lot", lot.pk)
    return form_page(request, form, "office.lot.new", "office.lot.keep", two=True)


@page("lot.change")
def lot_change(request: HttpRequest, key: str) -> HttpResponse:
    """Correct what is written of a lot; what somebody else saved since is never overwritten."""
    actor = actor_in(request)
    lot = found(lots(actor), pk=key)
    opened = {**initial(lot.facts), "ranch": str(lot.ranch_id or "")}
    form = LotForm(request, request.POST or None, initial=opened)
    form.fields["version"] = forms.IntegerField(
        widget=forms.HiddenInput, initial=lot.version, required=False, label=" "
    )
    for name in ("ranch", "seller", "seller_paper"):
        form.fields.pop(name)
    if request.method == "POST" and form.is_valid():
        try:
            actions.change_lot(
                actor,
                lot,
                form.facts(lot.facts),
                version=form.cleaned_data.get("version"),
                once=form.token,
            )
        except DoneAlready:
            return redirect("lot", lot.pk)
        except HaywrightError as error:
            form.refuse(error)
        else:
            return redirect("lot", lot.pk)
    return form_page(request, form, "office.lot.change", "office.lot.keep", two=True)


def form_page(
    request: HttpRequest, form: Any, title: str, does: str, *, two: bool = False
) -> HttpResponse:
    """A page with one form."""
    reader = reader_of(request)
    held = {
        "form": form,
        "title": say(message(title), reader),
        "does": say(message(does), reader),
        "two": two,
    }
    return render(
        request,
        "haywright/form.html",
        held,
        status=status_of(form),
    )


class PlanForm(Form):
    """How many bales to core, and what for."""

    purpose_of_test = forms.ChoiceField(required=False)
    bales_to_core = forms.IntegerField(required=False, min_value=1, max_value=500)

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        words = ("", "nutrients", "nitrate")
        choices = [(w, self.say(f"office.plan.purpose.{w or 'usual'}")) for w in words]
        self.fields["purpose_of_test"].choices = choices  # type: ignore[attr-defined]


def _plan(request: HttpRequest, lot: Lot, palette: Palette) -> tuple[Any, dict[str, Any] | None]:
    from haywright.paper.plan_paper import plan_data
    from haywright.paper.yard import yard_sheet

    form = PlanForm(request, request.GET or None)
    reader = reader_of(request)
    if form.is_bound and not form.is_valid():
        return form, None
    given = form.cleaned_data if form.is_bound else {}
    choices = Choices(
        purpose=given.get("purpose_of_test") or None,
        bales=given.get("bales_to_core"),
    )
    try:
        plan = make_plan(pure_lot(lot), choices, today=timezone.now().date())
    except HaywrightError as error:
        form.is_bound = True
        form.full_clean()
        form.refuse(error)
        return form, None
    ranch = lot.ranch.name if lot.ranch else ""
    yard = yard_sheet(
        plan, pure_office(lot.office), reader, ranch=ranch, made_on=timezone.now().date()
    )
    return form, plan_data(yard, reader, palette)


@page("plan.print")
def lot_plan(request: HttpRequest, key: str) -> HttpResponse:
    """Which bales to core and how deep; choose a number and see the curve move."""
    lot = found(lots(actor_in(request)), pk=key)
    form, data = _plan(request, lot, PAGE)
    held = {
        "lot": lot,
        "steps": steps(stand_of(lot), reader_of(request), on="stack"),
        "form": form,
        "paper": data,
        "pdf": f"{reverse('lot-plan-pdf', args=[lot.pk])}?{request.GET.urlencode()}",
        "next": reverse("bag-new", args=[lot.pk]),
    }
    return render(
        request,
        "haywright/plan.html",
        held,
        status=status_of(form),
    )


@page("plan.print")
def lot_plan_pdf(request: HttpRequest, key: str) -> HttpResponse:
    """The same plan on paper."""
    from haywright.paper.typeset import set_pdf

    lot = found(lots(actor_in(request)), pk=key)
    _, data = _plan(request, lot, PRINT)
    if data is None:
        raise Http404
    return pdf(set_pdf("sampling_plan", data), f"plan-{lot.number}")


def pdf(data: bytes, name: str) -> HttpResponse:
    """A PDF to look at, with a name to keep it under."""
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer
