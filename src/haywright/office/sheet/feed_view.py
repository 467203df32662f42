"""May it be fed: to whom, how much of it, what each guide says, whom to call."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.office.sheet.amount import Amount, amount_of, amount_section
from haywright.office.sheet.queries import sheets, version_of
from haywright.office.sheet.shown import Shown, shown
from haywright.office.sheet.who_form import OTHER, WhoForm
from haywright.office.stack.views import pdf, stand_of
from haywright.office.stack.way import steps
from haywright.office.web.pages import found, page, status_of
from haywright.office.web.words import reader_of
from haywright.paper.speaker import Speaker
from haywright.paper.tokens import PAGE
from haywright.way.how_much import how_much
from haywright.way.lot import Decision
from haywright.words import Reader, say


def _asked(request: HttpRequest, seen: Shown) -> tuple[WhoForm, Decision]:
    """Whom was asked for; the first group, with the refusal beside its field, where none fits."""
    form = WhoForm(request, seen, request.GET if "group" in request.GET else None)
    if form.is_bound and form.is_valid():
        try:
            return form, form.decision()
        except (Refused, Problems) as error:
            form.refuse(error)
    return form, seen.decisions[0]


def _amount(
    request: HttpRequest, decision: Decision, reader: Reader
) -> tuple[Amount | None, list[str]]:
    """What was asked for of it, and why that cannot be; nothing where no weight can be given."""
    much = how_much(decision)
    if much is None or not much.share:
        return None, []
    typed = request.GET.get("amount", "").strip()
    try:
        return amount_of(much, _number(typed) if typed else None, reader), []
    except HaywrightError as error:
        said = [say(one, reader) for one in error.messages()]
        return amount_of(much, None, reader), said


def _number(typed: str) -> float:
    try:
        return float(typed.replace(",", "."))
    except ValueError:
        raise Refused("amount", typed, key="office.form.wrong") from None


@page("sheet.see")
def feed_page(request: HttpRequest, key: str) -> HttpResponse:
    """May it be fed, to whom, how much of it."""
    sheet = found(sheets(request), pk=key)
    seen = shown(version_of(sheet, ""))
    reader = reader_of(request)
    form, decision = _asked(request, seen)
    amount, problems = (None, []) if form.errors else _amount(request, decision, reader)
    data = seen.decision(decision, reader, PAGE)
    held = {
        "sheet": sheet,
        "paper": data,
        "parts": {one["id"]: one for one in data["sections"]},
        "narrow": seen.narrow(decision, reader, PAGE),
        "steps": steps(stand_of(sheet.lot, part=sheet.part), reader, on="bunk"),
        "form": form,
        "named": [form[name] for name in form.asked],
        "open": form.told or form.data.get("group") == OTHER or not form.own,
        "carried": [(n, v) for n, v in request.GET.items() if n in form.fields],
        "amount": amount,
        "typed": request.GET.get("amount", "") if problems else "",
        "no_intake": not decision.group.intake,
        "problems": problems,
        "pdf": _pdf(request, sheet.pk, form, amount),
    }
    status = HTTPStatus.UNPROCESSABLE_ENTITY if problems else status_of(form)
    return render(request, "haywright/feed.html", held, status=status)


def _pdf(request: HttpRequest, key: Any, form: WhoForm, amount: Amount | None) -> str:
    """Where the paper of the same animals and the same amount is."""
    asked = [one for one in (form.address(),) if one]
    if amount is not None and request.GET.get("amount"):
        asked.append(urlencode({"amount": amount.now}))
    address = reverse("feed-pdf", args=[key])
    return f"{address}?{'&'.join(asked)}" if asked else address


@page("sheet.see")
def feed_pdf(request: HttpRequest, key: str) -> HttpResponse:
    """The same decision on paper."""
    from haywright.paper.typeset import set_pdf

    sheet = found(sheets(request), pk=key)
    seen = shown(version_of(sheet, ""))
    reader = reader_of(request)
    form, decision = _asked(request, seen)
    data = seen.decision(decision, reader)
    amount, _ = (None, []) if form.errors else _amount(request, decision, reader)
    if amount is not None:
        after = next(n for n, one in enumerate(data["sections"], 1) if one["id"] == "limits")
        data["sections"].insert(after, amount_section(amount, Speaker(reader)))
    return pdf(set_pdf("decision", data), f"decision-{sheet.number}")
