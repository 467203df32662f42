"""The page of a call about a high nitrate: whom to call, what the sheet says, who was called."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from haywright.measure.errors import HaywrightError
from haywright.measure.message import Amount
from haywright.office.action import DoneAlready
from haywright.office.people.actions import write_telephone
from haywright.office.people.models import Person
from haywright.office.people.office_views import TELEPHONE
from haywright.office.people.policies import may_with
from haywright.office.people.queries import keeps_own_hay, owners_of
from haywright.office.sheet.actions import note_call
from haywright.office.sheet.deeds import version_told
from haywright.office.sheet.models import Call, Version
from haywright.office.sheet.queries import nitrate_of, sheets
from haywright.office.sheet.shown import shown
from haywright.office.way.today_words import TodayWords
from haywright.office.web.pages import Form, actor_in, found, page, status_of
from haywright.paper.blocks import caution
from haywright.paper.emergency import call_card
from haywright.paper.speaker import Speaker
from haywright.words import Reader


class CallForm(Form):
    """Who was called, and what came of it."""

    called = forms.CharField(max_length=120)
    reached = forms.BooleanField(required=False)
    said = forms.CharField(max_length=500, required=False)
    telephone = forms.CharField(required=False, widget=TELEPHONE)
    labels: ClassVar = {"telephone": "office.call.telephone"}

    def __init__(self, request: HttpRequest, owners: list[Person]) -> None:
        super().__init__(request, request.POST or None)
        self.nobody = next((one for one in owners if not one.phone), None)
        self.fields["called"].initial = owners[0].name if owners else ""
        by = actor_in(request).person
        self.fields["called"].help_text = self.say("office.call.by", name=by.name if by else "")
        if self.nobody is None:
            del self.fields["telephone"]
        else:
            said = self.say("office.call.telephone_help", name=self.nobody.name)
            self.fields["telephone"].help_text = said

    def keep_telephone(self) -> None:
        """Write down the number of somebody who had none, where it was found."""
        number = self.cleaned_data.get("telephone", "").strip()
        if number and self.nobody is not None:
            write_telephone(actor_in(self.request), self.nobody, number)


@page("sheet.call")
def call(request: HttpRequest, key: str) -> HttpResponse:
    """Write down a call about a high nitrate."""
    sheet = found(sheets(request), pk=key)
    version = sheet.versions.order_by("number").last()
    if version is None or not may_with(actor_in(request), "sheet.call", sheet):
        raise Http404
    owners, own = owners_of(sheet.lot), keeps_own_hay(actor_in(request))
    form = CallForm(request, owners)
    if request.method == "POST" and form.is_valid() and _kept(request, form, version):
        return redirect("today")
    words = TodayWords(form.reader, owner=True, office=sheet.office)
    rows = Call.objects.filter(version__sheet=sheet).select_related("by", "version")
    calls = list(rows.order_by("-at"))
    held = {
        "form": form,
        "sheet": sheet,
        "version": version,
        "lot": sheet.lot,
        "owners": owners,
        "own": own,
        "verdict": _verdict(version, form.reader),
        "calls": [(words.call(one), one.said, _about(one, version, form)) for one in calls],
        "again": bool(calls) and all(one.version_id != version.pk for one in calls),
        "title": form.say("office.call.title", lot=sheet.lot.name),
        "lede": _call_lede(version, form, own=own),
        "does": form.say("office.call.keep"),
    }
    return render(request, "haywright/call.html", held, status=status_of(form))


def _kept(request: HttpRequest, form: CallForm, version: Version) -> bool:
    """Whether the call is written down, with a telephone that was found; else the form says why."""
    given = form.cleaned_data
    told = version_told(request) or version.number
    read = version.sheet.versions.filter(number=told).first() or version
    try:
        with transaction.atomic():
            note_call(
                actor_in(request),
                read,
                given["called"],
                reached=given["reached"],
                at=timezone.now(),
                said=given["said"],
                once=form.token,
            )
            form.keep_telephone()
    except DoneAlready:
        return True
    except HaywrightError as error:
        form.refuse(error)
        return False
    return True


def _verdict(version: Version, reader: Reader) -> dict[str, Any]:
    """What the sheet says of feeding it, what that rests on, and what goes with it always."""
    seen, words = shown(version), Speaker(reader)
    opening = seen.opening(reader)
    cautions = words.every(opening.cautions)
    return {
        "sentence": words.every(opening.sentence),
        "standing": words.every(opening.standing),
        "cautions": caution(words("paper.caution"), cautions) if cautions else None,
        "card": call_card(seen.known.office, words) if opening.restricted else None,
    }


def _call_lede(version: Version, form: Form, *, own: bool) -> str:
    lede = form.say("office.call.own" if own else "office.call.lede")
    found = nitrate_of(version.sheet)
    if found is None:
        return lede
    over = Amount(float(version.sheet.office.call_line), "mg/kg", analyte="nitrate_n")
    return f"{form.say('office.call.found', amount=found, line=over)} {lede}"


def _about(one: Call, version: Version, form: Form) -> str:
    """Which version a call was about, where that is not the one to call about now."""
    if one.version_id == version.pk:
        return ""
    said = form.say("office.call.earlier", n=one.version.number, now=version.number)
    if one.version.nitrate is None:
        return said
    found = Amount(float(one.version.nitrate), "mg/kg", analyte="nitrate_n")
    return f"{said} {form.say('office.call.earlier_found', amount=found)}"
