"""A number that was typed wrong, corrected with its trace."""

from __future__ import annotations

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from haywright.measure.errors import HaywrightError
from haywright.measure.estimate import State
from haywright.measure.nitrate import NitrateForm
from haywright.measure.result import Result as PureResult
from haywright.office.action import DoneAlready
from haywright.office.bench.actions import correct_result
from haywright.office.bench.models import Result
from haywright.office.people.policies import may_with, visible
from haywright.office.web.pages import Form, actor_in, found, page, status_of
from haywright.paper.speaker import Speaker
from haywright.sheet.normal import scales_with_moisture
from haywright.words import say


class CorrectForm(Form):
    """The number as it should have been, and what was wrong."""

    right = forms.CharField(max_length=60)
    reason = forms.CharField(max_length=500)


@page("result.correct")
def result_correct(request: HttpRequest, key: str) -> HttpResponse:
    """Correct one number; the wrong one stays where it is, with the reason."""
    actor = actor_in(request)
    rows = Result.objects.select_related("lot", "lot__office", "bag", "replaced_by")
    one = found(visible(actor, "result.correct", rows, ranch="lot__ranch"), pk=key)
    if not may_with(actor, "result.correct", one):
        raise Http404
    pure = PureResult.from_json(one.whole)
    form = CorrectForm(request, request.POST or None, initial={"right": _as_typed(pure)})
    words = Speaker(form.reader)
    stands = getattr(one, "replaced_by", None)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            correct_result(actor, one, given["right"], reason=given["reason"], once=form.token)
        except DoneAlready:
            return redirect("lot", one.lot_id)
        except HaywrightError as error:
            for said in error.messages():
                field = str(said.args.get("field", ""))
                form.add_error(field if field in form.fields else "right", say(said, form.reader))
        else:
            newest = one.lot.sheets.order_by("-id").first()
            return redirect("sheet", newest.pk) if newest else redirect("lot", one.lot_id)
    held = {
        "form": form,
        "lot": one.lot,
        "name": words.name(one.analyte),
        "value": words.value(pure.estimate, one.analyte),
        "sheet": one.lot.sheets.order_by("-id").first(),
        "by_bench": one.batch_id is not None,
        "stands": words.value(PureResult.from_json(stands.whole).estimate, one.analyte)
        if stands is not None
        else "",
        "why": stands.reason if stands is not None else "",
    }
    return render(request, "haywright/correct.html", held, status=status_of(form))


def _as_typed(one: PureResult) -> str:
    """A kept number as it may be typed again, with its unit, form and basis."""
    beyond = {State.BELOW: "<", State.ABOVE: ">"}.get(one.estimate.state, "")
    form = one.form or (NitrateForm.NO3_N if one.analyte == "nitrate_n" else None)
    parts = (f"{beyond}{one.value:.10g}", one.unit, form.value if form else "")
    basis = str(one.basis) if scales_with_moisture(one.analyte) else ""
    return " ".join(part for part in (*parts, basis) if part)
