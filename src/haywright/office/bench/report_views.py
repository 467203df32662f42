"""A paper report typed in: rows for what the paper has, looked over before it is kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from http import HTTPStatus
from typing import Any, ClassVar

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from haywright.bag.tests import lab_test
from haywright.measure.analytes import dictionary
from haywright.measure.basis import parse_basis
from haywright.measure.errors import HaywrightError
from haywright.measure.nitrate import NitrateForm, convert_form
from haywright.office.action import DoneAlready
from haywright.office.bench.actions import profile_of, type_report
from haywright.office.bench.models import Laboratory
from haywright.office.people.policies import may_with
from haywright.office.stack.models import Lot
from haywright.office.stack.queries import lots
from haywright.office.way.pure import pure_lot
from haywright.office.web.pages import Form, actor_in, found, one_of, page, status_of
from haywright.paper.speaker import Speaker
from haywright.sheet.typed import Laboratory as Profile
from haywright.sheet.typed import TypedReport, read_typed
from haywright.way.lot import sample_of_report
from haywright.words import Reader, say

# What a paper mostly has, in its usual order; the rest waits in a drawer.
FIRST = ("dm", "cp", "adf", "ndf", "nitrate_n")
MORE = ("tdn", "lignin", "ash", "fat", "ca", "p", "mg", "k", "na", "s", "cu", "zn", "mn", "fe")
UNITS = ("%", "g/kg", "ppm", "mg/kg")
FORMS = ("NO3-N", "NO3", "KNO3")
IMPOSSIBLE = "impossible"


class ReportForm(Form):
    """A paper report: a field a number; the laboratory's habits fill what the paper leaves out."""

    laboratory = forms.CharField(max_length=120)
    report = forms.CharField(max_length=80, required=False)
    basis = forms.ChoiceField(required=False)
    bag = forms.ChoiceField(required=False)
    nitrate_unit = forms.ChoiceField(required=False)
    numbers = forms.CharField(
        max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 6})
    )
    reason = forms.CharField(max_length=500, required=False)
    sure = forms.BooleanField(required=False)
    head: ClassVar = ("laboratory", "report", "basis", "bag")

    def __init__(self, request: HttpRequest, lot: Lot, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        self.lot = lot
        words = ("", "dry matter", "as received")
        names = [(w, self.say(f"office.basis.{w.replace(' ', '_') or 'each'}")) for w in words]
        self._choose("basis", names)
        own = [(str(b.pk), b.code) for b in lot.bags.order_by("-id")]
        self._choose("bag", [*own, ("", self.say("office.report.no_bag"))])
        self.fields["bag"].initial = own[0][0] if own else ""
        units = [("", self.say("office.report.by_habit"))]
        units += [(f"{u} {f}", f"{u} {f}") for f in FORMS for u in ("ppm", "%")]
        self._choose("nitrate_unit", units)
        self.fields["numbers"].help_text = self.say("office.help.numbers")
        self.fields["reason"].help_text = self.say("office.help.reason")
        self.fields["laboratory"].widget.attrs["list"] = "laboratories"
        speaker = Speaker(self.reader)
        for name in self.quantities():
            # the form of the nitrate is what is asked beside it, so its own name must not say one
            any_form = name == "nitrate_n"
            label = self.say("office.report.nitrate") if any_form else speaker.name(name)
            held = forms.CharField(required=False, max_length=40, label=label)
            held.widget.attrs["inputmode"] = "decimal"
            held.unit = "" if any_form else dictionary()[name].unit  # type: ignore[attr-defined]
            self.fields[f"n_{name}"] = held

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    def quantities(self) -> list[str]:
        """What has a field: the usual first, then what was asked of the newest bag, then more."""
        newest = self.lot.bags.order_by("-id").first()
        asked = [q for one in (newest.tests if newest else ()) for q in lab_test(one).gives]
        known = dictionary()
        return [one for one in dict.fromkeys((*FIRST, *asked, *MORE)) if one in known]

    @property
    def rows(self) -> list[Any]:
        """The fields every paper has."""
        return [self[f"n_{name}"] for name in FIRST]

    @property
    def more(self) -> list[Any]:
        """The fields in the drawer."""
        return [self[f"n_{name}"] for name in self.quantities() if name not in FIRST]

    def typed(self) -> list[tuple[str, str]]:
        """Field and text of every number that was typed, as the reader of reports takes it."""
        given = self.cleaned_data
        out = [("numbers", one.strip()) for one in given["numbers"].splitlines() if one.strip()]
        for name in self.quantities():
            typed = given.get(f"n_{name}", "").strip()
            if typed:
                unit = given["nitrate_unit"] if name == "nitrate_n" else ""
                # "nitrate_n" would name a form that the paper may not have: the form is asked for
                word = "nitrate" if name == "nitrate_n" else name
                out.append((f"n_{name}", f"{word}={typed} {unit}".strip()))
        return out

    def texts(self) -> list[str]:
        """The same without the fields."""
        return [text for _, text in self.typed()]

    def profile(self, laboratory: Laboratory | None) -> Profile:
        """What the paper leaves unsaid: by the laboratory's habits, or as chosen here."""
        held = replace(profile_of(laboratory), name=self.cleaned_data["laboratory"])
        basis = self.cleaned_data["basis"]
        return replace(held, basis=parse_basis(basis)) if basis else held

    def refuse_each(self, error: HaywrightError, profile: Profile) -> None:
        """A refused number stands beside the field it was typed in, or beside the lines.

        Parameters
        ----------
        error
            What was said of the report as a whole.
        profile
            What the paper leaves unsaid.
        """
        found = False
        for name, text in self.typed():
            try:
                read_typed([text], laboratory=profile)
            except HaywrightError as own:
                found = True
                for one in own.messages():
                    self.add_error(name, say(one, self.reader))
        if not found:
            self.refuse(error)

    def beside(self, field: str) -> str:
        """What is said of the report as a whole stands at the lines."""
        return field if field in self.fields else "numbers"


@page("result.type")
def lot_report(request: HttpRequest, key: str) -> HttpResponse:
    """Type a paper report: look it over, then keep it."""
    actor = actor_in(request)
    lot = found(lots(actor), pk=key)
    if not may_with(actor, "result.type", lot):
        raise Http404
    form = ReportForm(request, lot, request.POST or None)
    known = list(Laboratory.objects.filter(office=lot.office_id).order_by("name"))
    seen: dict[str, Any] | None = None
    if request.method == "POST" and form.is_valid():
        own = next((one for one in known if one.name == form.cleaned_data["laboratory"]), None)
        profile = form.profile(own)
        try:
            typed = read_typed(form.texts(), laboratory=profile)
            seen = looked_over(lot, typed, own, form.reader)
            bad = seen["impossible"] and not form.cleaned_data["sure"]
            if "look" not in request.POST and not bad:
                return _kept(request, lot, form, profile)
        except DoneAlready:
            return redirect("lot", lot.pk)
        except HaywrightError as error:
            form.refuse_each(error, profile)
    held = {"form": form, "lot": lot, "laboratories": known, "seen": seen,
            "head": [form[name] for name in form.head]}  # fmt: skip
    asked = seen is not None and seen["impossible"] and "look" not in request.POST
    status = HTTPStatus.UNPROCESSABLE_ENTITY if asked else status_of(form)
    return render(request, "haywright/report.html", held, status=status)


def _kept(request: HttpRequest, lot: Lot, form: ReportForm, profile: Profile) -> HttpResponse:
    given = form.cleaned_data
    type_report(
        actor_in(request),
        lot,
        form.texts(),
        profile=profile,
        report=given["report"],
        bag=one_of(lot.bags.all(), given["bag"]),
        reason=given["reason"],
        once=form.token,
    )
    newest = lot.sheets.order_by("-id").first()
    return redirect("sheet", newest.pk) if newest else redirect("lot", lot.pk)


def looked_over(
    lot: Lot, typed: TypedReport, laboratory: Laboratory | None, reader: Reader
) -> dict[str, Any]:
    """What was understood of a report, and what does not look right.

    Parameters
    ----------
    lot
        Whose hay it is.
    typed
        The report as it was read.
    laboratory
        Whose habits filled what it left out; ``None`` for one nobody knows here.
    reader
        Who looks it over.
    """
    words = Speaker(reader)
    sheet = sample_of_report(pure_lot(lot), typed.results).sheet
    flags = [*typed.flags, *sheet.flags]
    return {
        "rows": list(_understood(typed, sheet.as_received, words)),
        "flags": [(words(f"paper.flag.{one.kind}"), words.said(one.message)) for one in flags],
        "impossible": any(one.kind == IMPOSSIBLE for one in flags),
        "habits": laboratory is not None and bool(laboratory.profile),
    }


def _understood(typed: TypedReport, received: Any, words: Speaker) -> Iterator[dict[str, str]]:
    by_name = {one.analyte: one for one in typed.entries}
    for name, one in typed.results.items():
        entry = by_name.get(name)
        said = ""
        if entry is not None:
            form = entry.form.value if entry.form else ""
            parts = (entry.beyond, words.plain(entry.value), entry.unit, form, str(entry.basis))
            said = " ".join(part for part in parts if part)
        other = received.get(name)
        forms = ""
        if name == "nitrate_n" and one.settled:
            forms = "; ".join(
                f"{words.figure(convert_form(one.value, NitrateForm.NO3_N, f), name)} {f.value}"
                for f in (NitrateForm.NO3, NitrateForm.KNO3)
            )
        yield {
            "name": words.name(name),
            "typed": said,
            "dry": words.value(one.estimate, name),
            "received": "" if other is None or name == "dm" else words.value(other, name),
            "forms": forms,
        }
