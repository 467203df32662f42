"""A number that was typed wrong, corrected with its trace."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from haywright.measure.errors import HaywrightError
from haywright.measure.estimate import State
from haywright.measure.nitrate import NitrateForm
from haywright.measure.result import Result as PureResult
from haywright.office.action import DoneAlready
from haywright.office.bench.actions import correct_result
from haywright.office.bench.correcting import NITRATE, doubts_of
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
    sure = forms.BooleanField(required=False)
    seen = forms.CharField(required=False, max_length=60, widget=forms.HiddenInput)

    def __init__(self, request: HttpRequest, one: Result, *args: Any, **kwargs: Any) -> None:
        now = _as_typed(PureResult.from_json(one.whole))
        super().__init__(request, *args, initial={"right": now}, **kwargs)
        kind = "help_nitrate" if one.analyte == NITRATE else "help"
        self.fields["right"].help_text = self.say(f"office.correct.{kind}", now=now)

    def asks(self, one: Result) -> list[str]:
        """What is unusual and not confirmed; what cannot be is refused beside the number."""
        right = self.cleaned_data["right"]
        doubts = doubts_of(one, right)
        for why in doubts.impossible:
            said = say(why, self.reader)
            self.add_error("right", self.say("office.correct.impossible", why=said))
        if self.errors or (self.cleaned_data["sure"] and self.cleaned_data["seen"] == right):
            return []
        # a tick is for the number that was asked about, not for one typed after it
        self.data = {**self.request.POST.dict(), "seen": right, "sure": ""}
        return [say(said, self.reader) for said in doubts.unusual]


@page("result.correct")
def result_correct(request: HttpRequest, key: str) -> HttpResponse:
    """Correct one number; the wrong one stays where it is, with the reason."""
    actor = actor_in(request)
    rows = Result.objects.select_related("lot", "lot__office", "bag", "replaced_by")
    one = found(visible(actor, "result.correct", rows, ranch="lot__ranch"), pk=key)
    if not may_with(actor, "result.correct", one):
        raise Http404
    pure = PureResult.from_json(one.whole)
    form = CorrectForm(request, one, request.POST or None)
    words = Speaker(form.reader)
    stands = getattr(one, "replaced_by", None)
    asked: list[str] = []
    if request.method == "POST" and form.is_valid():
        try:
            asked = [] if one.batch_id or stands else form.asks(one)
            if not asked and not form.errors:
                return _corrected(request, one, form)
        except DoneAlready:
            return redirect("lot", one.lot_id)
        except HaywrightError as error:
            for said in error.messages():
                field = str(said.args.get("field", ""))
                form.add_error(field if field in form.fields else "right", say(said, form.reader))
    held = {
        "form": form,
        "asked": asked,
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
    status = HTTPStatus.UNPROCESSABLE_ENTITY if asked else status_of(form)
    return render(request, "haywright/correct.html", held, status=status)


def _corrected(request: HttpRequest, one: Result, form: CorrectForm) -> HttpResponse:
    given = form.cleaned_data
    correct_result(actor_in(request), one, given["right"], reason=given["reason"], once=form.token)
    newest = one.lot.sheets.order_by("-id").first()
    return redirect("sheet", newest.pk) if newest else redirect("lot", one.lot_id)


def _as_typed(one: PureResult) -> str:
    """A kept number as it may be typed again, with its unit, form and basis."""
    beyond = {State.BELOW: "<", State.ABOVE: ">"}.get(one.estimate.state, "")
    form = one.form or (NitrateForm.NO3_N if one.analyte == "nitrate_n" else None)
    parts = (f"{beyond}{one.value:.10g}", one.unit, form.value if form else "")
    basis = str(one.basis) if scales_with_moisture(one.analyte) else ""
    return " ".join(part for part in (*parts, basis) if part)
