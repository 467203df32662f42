"""The plan page: precision or cores chosen, and the curve moves; the same plan on paper."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.units import convert
from haywright.office.stack.models import Lot
from haywright.office.stack.queries import lots
from haywright.office.stack.views import pdf, stand_of
from haywright.office.stack.way import steps
from haywright.office.way.pure import pure_lot, pure_office
from haywright.office.web.pages import Form, actor_in, found, page, status_of
from haywright.office.web.words import reader_of
from haywright.paper.speaker import Speaker
from haywright.paper.stack_matter import MAP_TEXT, MAP_WIDTHS
from haywright.paper.tokens import PAGE
from haywright.stack.plan import make_plan
from haywright.stack.planned import Choices, SamplingPlan
from haywright.stack.precision import USUAL
from haywright.stack.probe import Probe, usual_probe
from haywright.words import Reader, reads

_FIELDS = {
    "bales": "bales_to_core", "cores_per_bale": "cores_each", "target": "half", "length": "probe",
    "core length": "probe", "bore": "bore",
}  # fmt: skip

# Sizes of the curve's field in pixels of the page: what stands around it comes on top.
CURVES = {"wide": (650.0, 190.0, MAP_TEXT), "narrow": (290.0, 180.0, MAP_TEXT)}


class PlanForm(Form):
    """What the test is for, how near it is to come or how many bales, and the probe."""

    purpose_of_test = forms.ChoiceField(required=False)
    precise_in = forms.ChoiceField(required=False)
    half = forms.FloatField(required=False, min_value=0)
    bales_to_core = forms.IntegerField(required=False, min_value=1, max_value=500)
    cores_each = forms.IntegerField(required=False, min_value=1, max_value=20)
    probe = forms.FloatField(required=False, min_value=0)
    bore = forms.FloatField(required=False, min_value=0)

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        del self.fields["once"]
        purposes = [(w, self.say(f"office.plan.purpose.{w or 'usual'}"))
                    for w in ("", "nutrients", "nitrate")]  # fmt: skip
        words = Speaker(self.reader)
        names = [("", self.say("office.plan.no_target"))]
        names += [(one, words.name(one)) for one in (*USUAL, "nitrate_n")]
        self.fields["purpose_of_test"].choices = purposes  # type: ignore[attr-defined]
        self.fields["precise_in"].choices = names  # type: ignore[attr-defined]
        self.length_unit = "cm" if self.reader.units == "si" else "in"
        for name in ("probe", "bore"):
            self.fields[name].unit = self.length_unit  # type: ignore[attr-defined]
        self.fields["half"].unit = "± %"  # type: ignore[attr-defined]
        for name in ("half", "bales_to_core", "probe", "bore"):
            self.fields[name].help_text = self.say(f"office.help.plan.{name}")
        for one in self.fields.values():
            one.widget.attrs["inputmode"] = "decimal"

    def beside(self, field: str) -> str:
        """A refusal of the plan stands at what was chosen."""
        return _FIELDS.get(super().beside(field), super().beside(field))

    def choices(self) -> Choices:
        """What was chosen; the rest is usual."""
        given = self.cleaned_data if self.is_bound else {}
        target, half = given.get("precise_in"), given.get("half")
        if bool(target) != bool(half):
            raise Refused("target", half or "", key="office.plan.target")
        return Choices(
            purpose=given.get("purpose_of_test") or None,
            bales=given.get("bales_to_core"),
            cores_per_bale=given.get("cores_each"),
            target=(target, half) if target and half else None,
            probe=self._probe(given.get("probe"), given.get("bore")),
        )

    def _probe(self, length: float | None, bore: float | None) -> Probe | None:
        if not length and not bore:
            return None
        usual, unit = usual_probe(), self.length_unit
        return Probe(
            convert(length, unit, "m") if length else usual.length,
            convert(bore, unit, "m") if bore else usual.bore,
        )

    def asked(self) -> str:
        """What stands in the address of this plan."""
        return urlencode({n: v for n, v in self.data.items() if v and n in self.fields})


def plan_of(lot: Lot, form: PlanForm) -> SamplingPlan | None:
    """The plan asked for; ``None`` with the refusal beside its field.

    Parameters
    ----------
    lot, form
        The lot, and what was chosen of its plan.
    """
    if form.is_bound and not form.is_valid():
        return None
    try:
        return make_plan(pure_lot(lot), form.choices(), today=timezone.localdate())
    except HaywrightError as error:
        form.is_bound = True
        form.full_clean()
        form.refuse(error)
        return None


def _reader(request: HttpRequest) -> Reader:
    """Whoever reads the plan: page and paper are of one language."""
    return reads("paper.plan.title", reader_of(request))


def _yard(request: HttpRequest, lot: Lot, plan: SamplingPlan) -> Any:
    from haywright.paper.yard import yard_sheet

    reader, ranch = _reader(request), lot.ranch.name if lot.ranch else ""
    today = timezone.localdate()
    return yard_sheet(plan, pure_office(lot.office), reader, ranch=ranch, made_on=today)


def _shown(request: HttpRequest, lot: Lot, plan: SamplingPlan) -> dict[str, Any]:
    """The plan as the page has it: its map drawn for both screens, nothing to fill in by hand."""
    from haywright.paper.plan_paper import map_section, plan_data, precision_section

    reader = _reader(request)
    yard, words = _yard(request, lot, plan), Speaker(reader, PAGE)
    data = plan_data(yard, reader, PAGE)
    maps, curves = {}, {}
    for name, width in MAP_WIDTHS.items():
        maps[name] = map_section(yard, words, width=width, text=MAP_TEXT)
        wide, high, text = CURVES[name]
        curves[name] = precision_section(yard, words, width=wide, height=high, text=text)
    told = data["sections"][1:] if yard.faces else data["sections"]
    drawn = precision_section(yard, words)
    rest = [
        one for one in told if one != drawn and any(b["kind"] != "blanks" for b in one["blocks"])
    ]
    return {**data, "maps": maps, "curves": curves, "sections": rest}


@page("plan.print")
def lot_plan(request: HttpRequest, key: str) -> HttpResponse:
    """Which bales to core and how deep; choose a number and see the curve move."""
    lot = found(lots(actor_in(request)), pk=key)
    form = PlanForm(request, request.GET or None)
    plan = plan_of(lot, form)
    held = {
        "lot": lot,
        "steps": steps(stand_of(lot), reader_of(request), on="stack"),
        "form": form,
        "paper": None if plan is None else _shown(request, lot, plan),
        "faces": _faces(plan, _reader(request)),
        "pdf": f"{reverse('lot-plan-pdf', args=[lot.pk])}?{form.asked()}",
        "next": _sealing(lot, form.asked() if form.is_bound and form.is_valid() else ""),
    }
    return render(request, "haywright/plan.html", held, status=status_of(form))


def _sealing(lot: Lot, asked: str) -> str:
    """Where the bags of this plan are sealed."""
    address = reverse("bag-new", args=[lot.pk])
    return f"{address}?{asked}" if asked else address


def _faces(plan: SamplingPlan | None, reader: Any) -> list[dict[str, str]]:
    """What the probe would see through each face of a bale."""
    if plan is None or plan.probe is None:
        return []
    words = Speaker(reader)
    return [
        {"name": words(f"office.plan.face.{one.face}"), "reason": words.said(one.reason)}
        for one in plan.probe.views
    ]


@page("plan.print")
def lot_plan_pdf(request: HttpRequest, key: str) -> HttpResponse:
    """The same plan on paper."""
    from haywright.paper.plan_paper import plan_pdf

    lot = found(lots(actor_in(request)), pk=key)
    plan = plan_of(lot, PlanForm(request, request.GET or None))
    if plan is None:
        raise Http404
    yard = _yard(request, lot, plan)
    return pdf(plan_pdf(yard, _reader(request)), f"plan-{lot.number}")
