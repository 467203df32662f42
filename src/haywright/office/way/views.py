"""Pages that span places: Today, Season, the call about a high nitrate."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any, ClassVar

from django import forms
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from haywright.measure.errors import HaywrightError
from haywright.measure.message import Amount, message
from haywright.office.action import DoneAlready
from haywright.office.people.actions import write_telephone
from haywright.office.people.models import Person
from haywright.office.people.office_views import TELEPHONE
from haywright.office.people.policies import MAY, may, may_with
from haywright.office.people.queries import owners_of
from haywright.office.sheet.actions import note_call
from haywright.office.sheet.deeds import version_told
from haywright.office.sheet.models import Call, Version
from haywright.office.sheet.queries import sheets
from haywright.office.sheet.shown import shown
from haywright.office.stack.queries import lots
from haywright.office.way import season as seasons
from haywright.office.way.today import season_of
from haywright.office.way.today import today as parts_of
from haywright.office.way.today_words import TodayWords
from haywright.office.web.pages import Form, actor_in, found, page, status_of
from haywright.office.web.standing import standing
from haywright.office.web.words import reader_of
from haywright.paper.blocks import caution, picture, section
from haywright.paper.emergency import call_card
from haywright.paper.season_chart import SEASON_WIDTHS, crop_bars
from haywright.paper.speaker import Speaker
from haywright.paper.tokens import PAGE
from haywright.sources.crops import crops
from haywright.words import Reader, say
from haywright.words.numbers import date_text, month_year_text


@page()
@standing
def today(request: HttpRequest) -> HttpResponse:
    """What there is to do today."""
    actor, reader, now = actor_in(request), reader_of(request), timezone.now()
    if actor.office is None:
        return render(request, "haywright/refused.html",
                      {"said": [say(message("office.no_office"), reader)]})  # fmt: skip
    parts = parts_of(actor, now, reader)
    waiting = [part for part in parts if part.name != "called"]
    n = sum(len(part.items) + part.more for part in waiting)
    many = "many" if any(part.many for part in waiting) else "sentence"
    held = {
        "first": not n and may(actor, "lot.describe") and not lots(actor).exists(),
        "day": date_text(now.date(), reader),
        "season": say(message(f"office.today.season.{season_of(now)}"), reader),
        "parts": parts,
        "sentence": say(
            message(f"office.today.{many}", n=n) if n else message("office.today.nothing"), reader
        ),
    }
    return render(request, "haywright/today.html", held)


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
    owners = owners_of(sheet.lot)
    form = CallForm(request, owners)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        told = version_told(request) or version.number
        read = sheet.versions.filter(number=told).first() or version
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
            return redirect("today")
        except HaywrightError as error:
            form.refuse(error)
        else:
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
        "verdict": _verdict(version, form.reader),
        "calls": [(words.call(one), one.said, _about(one, version, form)) for one in calls],
        "again": bool(calls) and all(one.version_id != version.pk for one in calls),
        "title": form.say("office.call.title", lot=sheet.lot.name),
        "lede": _call_lede(version, form),
        "does": form.say("office.call.keep"),
    }
    return render(request, "haywright/call.html", held, status=status_of(form))


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


def _call_lede(version: Version, form: Form) -> str:
    lede = form.say("office.call.lede")
    if version.nitrate is None:
        return lede
    line = version.sheet.office.call_line
    found, over = (
        Amount(float(one), "mg/kg", analyte="nitrate_n") for one in (version.nitrate, line)
    )
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


@page("season.see")
def season(request: HttpRequest) -> HttpResponse:
    """What the office saw in one hay year."""
    actor, reader = actor_in(request), reader_of(request)
    year = _year(request)
    line = _line(request, actor.office.call_line if actor.office else Decimal(1))
    rows = seasons.by_crop(actor, year, float(line))
    tested, over = sum(r.tested for r in rows), sum(r.over for r in rows)
    days = seasons.turnaround(actor, year)
    held = {
        "year": year,
        "line": line,
        "rows": [_season_row(one, reader) for one in rows],
        "bars": _bars(rows, reader),
        "sentence": say(
            message("office.season.sentence", n=tested, over=over, year=str(year)), reader
        ),
        "turnaround": ""
        if days is None
        else say(
            message("office.season.took", days=round(days, None if days >= 10 else 1)), reader
        ),
        "kinds": seasons.KINDS.items(),
        "may_export": bool(MAY["season.export"] & actor.roles),
    }
    return render(request, "haywright/season.html", held)


def _season_row(one: seasons.Seen, reader: Reader) -> dict[str, Any]:
    return {
        "crop": reader.name(crops()[one.crop].name),
        "month": month_year_text(one.month, reader) if one.month else "–",
        "tested": one.tested,
        "over": one.over,
        "share": Speaker(reader).percent(one.over / one.tested),
    }


def _bars(rows: list[seasons.Seen], reader: Reader) -> dict[str, Any]:
    """The crops drawn for both screens; nothing without a result."""
    crop: dict[str, list[int]] = {}
    for one in rows:
        held = crop.setdefault(reader.name(crops()[one.crop].name), [0, 0])
        held[0], held[1] = held[0] + one.tested, held[1] + one.over
    drawn = sorted(((name, n, over) for name, (n, over) in crop.items()), key=lambda r: -r[1])
    words = Speaker(reader, PAGE)
    return {
        name: section(words("paper.season.head"), picture(crop_bars(drawn, words, width=width),
                      width=width), note=words("paper.season.note"))
        for name, width in SEASON_WIDTHS.items()
        if drawn
    }  # fmt: skip


@page("season.export")
def season_export(request: HttpRequest, kind: str) -> HttpResponse:
    """One year's results as a file."""
    if kind not in seasons.KINDS:
        raise Http404
    year = _year(request)
    owners = request.GET.get("owners", "yes") != "no"
    data = seasons.export(kind, seasons.rows_of(actor_in(request), year, owners=owners))
    answer = HttpResponse(data, content_type="application/octet-stream")
    answer["Content-Disposition"] = f'attachment; filename="season-{year}.{kind}"'
    return answer


def _year(request: HttpRequest) -> int:
    asked = request.GET.get("year", "")
    return (
        int(asked)
        if asked.isdigit() and len(asked) == 4
        else seasons.hay_year(timezone.now().date())
    )


def _line(request: HttpRequest, usual: Decimal) -> Decimal:
    try:
        asked = Decimal(request.GET.get("line", ""))
    except InvalidOperation:
        return usual
    return asked if asked.is_finite() and asked > 0 else usual
