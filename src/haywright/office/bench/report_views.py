"""A paper report typed in: looked over first, then kept."""

from __future__ import annotations

from http import HTTPStatus

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from haywright.measure.errors import HaywrightError
from haywright.office.action import DoneAlready
from haywright.office.bench.actions import type_report
from haywright.office.bench.looked import IMPOSSIBLE, UNUSUAL, Looked, look_over
from haywright.office.bench.models import Laboratory
from haywright.office.bench.report_form import ReportForm
from haywright.office.people.policies import MAY, may_with
from haywright.office.stack.models import Lot
from haywright.office.stack.queries import lots
from haywright.office.web.pages import actor_in, found, one_of, page, status_of
from haywright.words import say


@page("result.type")
def lot_report(request: HttpRequest, key: str) -> HttpResponse:
    """Type a paper report: look it over, then keep it."""
    actor = actor_in(request)
    lot = found(lots(actor), pk=key)
    if not may_with(actor, "result.type", lot):
        raise Http404
    known = Laboratory.objects.filter(office=lot.office_id).order_by("name")
    form = ReportForm(request, lot, known, request.POST or None)
    looked, asked = None, False
    if request.method == "POST" and form.is_valid():
        try:
            looked = _looked(lot, form)
            if looked is not None and "look" not in request.POST:
                asked = _must_ask(form, looked)
                if not asked:
                    return _kept(request, lot, form)
        except DoneAlready:
            return redirect("lot", lot.pk)
        except HaywrightError as error:
            form.refuse(error)
    may_laboratory = bool(MAY["laboratory.change"] & actor.roles)
    held = {
        "form": form,
        "lot": lot,
        "laboratories": form.known,
        "looked": looked,
        "unusual": looked.of_kind(UNUSUAL) if looked else [],
        "asked": asked,
        "head": [form[name] for name in form.head],
        "habits": form.habits(),
        "may_laboratory": may_laboratory,
    }
    status = HTTPStatus.UNPROCESSABLE_ENTITY if asked else status_of(form)
    return render(request, "haywright/report.html", held, status=status)


def _looked(lot: Lot, form: ReportForm) -> Looked | None:
    """The report as it is understood; nothing where a number cannot be, which is said beside it."""
    given = form.cleaned_data
    typed = form.read()
    bag = one_of(lot.bags.all(), given["bag"])
    looked = look_over(lot, bag, typed, form.reader, chosen=bool(given["basis"]))
    for flag in looked.flags:
        said = say(flag.message, form.reader)
        rows = form.at(flag.quantities)
        if flag.kind == IMPOSSIBLE:
            places: list[str | None] = [row.key for row in rows]
            for place in places or [None]:
                form.add_error(place, form.say("office.report.impossible", why=said))
        for row in rows:
            row.noticed.append(said)
    return looked if not looked.of_kind(IMPOSSIBLE) else None


def _must_ask(form: ReportForm, looked: Looked) -> bool:
    """Whether it is shown again: numbers changed since, or what is unusual is not confirmed."""
    seen = form.cleaned_data["seen"]
    changed = bool(seen) and seen != looked.token
    sure = form.cleaned_data["sure"] and not changed
    return changed or (bool(looked.of_kind(UNUSUAL)) and not sure)


def _kept(request: HttpRequest, lot: Lot, form: ReportForm) -> HttpResponse:
    given = form.cleaned_data
    type_report(
        actor_in(request),
        lot,
        form.texts(),
        profile=form.profile(),
        report=given["report"],
        dated=given["dated"],
        bag=one_of(lot.bags.all(), given["bag"]),
        reason=given["reason"],
        once=form.token,
    )
    newest = lot.sheets.order_by("-id").first()
    return redirect("sheet", newest.pk) if newest else redirect("lot", lot.pk)
