"""Pages of the stack: the list of lots, a lot's own page, its plan, and what can happen to it."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

from haywright.measure.errors import HaywrightError
from haywright.measure.message import Message, message
from haywright.office.action import DoneAlready, Stale
from haywright.office.ledger.history import history
from haywright.office.people.models import Ranch
from haywright.office.people.policies import MAY, visible
from haywright.office.sheet.models import Sheet
from haywright.office.sheet.queries import leading_first, may_be_over, nitrate_of
from haywright.office.stack import actions
from haywright.office.stack.forms import LotForm, groups, initial, version_field
from haywright.office.stack.models import Lot, State
from haywright.office.stack.queries import Asked, Turn, asked_for, lots, one_page
from haywright.office.stack.way import Stand
from haywright.office.web.pages import actor_in, found, one_of, page, status_of
from haywright.office.web.standing import standing
from haywright.office.web.words import reader_of
from haywright.sources.crops import crops
from haywright.words import Reader, say


@page("lot.see")
@standing
def lot_list(request: HttpRequest) -> HttpResponse:
    """Every lot the person may see, searched and turned over."""
    asked = Asked.of(request.GET)
    rows = lots(actor_in(request)).prefetch_related(None)  # their office is the reader's
    leaf = one_page(asked_for(rows, asked), Turn.of(request.GET))
    reader, office = reader_of(request), actor_in(request).office
    return render(
        request,
        "haywright/lots.html",
        {
            "asked": asked,
            "lots": leaf.rows,
            "rows": _rows(leaf.rows, reader, float(office.call_line) if office else math.inf),
            "crops": _crop_options(reader, asked.crop),
            "states": [(w, say(message(f"office.state.{w}"), reader)) for w in (*State, "all")],
            "turn": leaf.addresses(asked.filters()),
            "may_describe": bool(MAY["lot.describe"] & actor_in(request).roles),
        },
    )


@lru_cache(maxsize=512)
def _crop_options(reader: Reader, chosen: str) -> SafeString:
    """Every crop by its name, to choose from: more than a hundred, written down once."""
    named = sorted((reader.name(one.name), one.id) for one in crops().values())
    rows = ((one, " selected" if one == chosen else "", name) for name, one in named)
    return format_html_join("", '<option value="{}"{}>{}</option>', rows)


def _rows(rows: list[Lot], reader: Any, line: float) -> list[dict[str, Any]]:
    parts: dict[Any, list[Sheet]] = defaultdict(list)
    for sheet in Sheet.objects.filter(lot__in=rows, written_at__isnull=False).order_by("nitrate"):
        parts[sheet.lot_id].append(sheet)
    return [
        {
            "lot": lot,
            "crop": reader.name(crops()[lot.crop].name),
            "said": [say(one, reader) for one in known_of(lot, parts[lot.pk], line)],
        }
        for lot in rows
    ]


def known_of(lot: Lot, parts: list[Sheet], line: float) -> Iterator[Message]:
    """What is known of a lot in short: of hay judged in parts, the part with the most nitrate.

    Parameters
    ----------
    lot, parts
        The lot, and its sheets, the one with the most nitrate last.
    line
        The office's line [mg/kg NO3-N of DM].
    """
    if not parts:
        yield message("office.lots.suspect" if lot.suspect else "office.lots.not_yet")
        return
    day = timezone.localdate(max(one.written_at for one in parts if one.written_at))
    worst = next((found for one in reversed(parts) if (found := nitrate_of(one))), None)
    if worst is None:
        yield message("office.lots.sheet", day=day)
        return
    if len(parts) == 1:
        yield message("office.lots.nitrate", day=day, amount=worst)
    else:
        yield message("office.lots.parts", day=day, amount=worst, n=len(parts))
    if any(may_be_over(one, line) for one in parts):
        yield message("office.lots.over")


def stand_of(lot: Lot, *, part: str | None = None) -> Stand:
    """What is there of a lot.

    Parameters
    ----------
    lot
        The lot.
    part
        The part of it that is looked at; left out, the one with the most nitrate stands for it.
    """
    bags = list(lot.bags.order_by("-id"))
    parts = leading_first(lot.sheets.all())
    sheet = next((one for one in parts if one.part == part), parts[0] if parts else None)
    return Stand(lot, bags, bool(parts), str(sheet.pk) if sheet else "", parts)


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
                today=timezone.localdate(),
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
    form.fields["version"] = version_field(lot)
    for name in ("ranch", "seller", "seller_paper"):
        form.fields.pop(name)
    if request.method == "POST" and form.is_valid():
        try:
            actions.change_lot(
                actor,
                lot,
                form.facts(lot.facts),
                today=timezone.localdate(),
                version=form.cleaned_data.get("version"),
                once=form.token,
            )
        except DoneAlready:
            return redirect("lot", lot.pk)
        except HaywrightError as error:
            refuse(form, lot, error)
        else:
            return redirect("lot", lot.pk)
    back = reverse("lot", args=[lot.pk])
    told = {"lede": lot.name, "back": back, "two": True}
    return form_page(request, form, "office.lot.change", "office.lot.keep", **told)


def refuse(form: Any, lot: Lot, error: HaywrightError) -> None:
    """Say a refusal on a form of a lot; what somebody else saved in between is told.

    Parameters
    ----------
    form, lot
        What was typed, of which lot.
    error
        Why it was not kept.
    """
    form.refuse(error)
    if isinstance(error, Stale):
        for told in history(lot, form.reader, most=1):
            form.add_error(None, ". ".join(p for p in (told.says, told.detail) if p))


def form_page(
    request: HttpRequest,
    form: Any,
    title: str,
    does: str,
    *,
    lede: str = "",
    back: str = "",
    two: bool = False,
    template: str = "haywright/lot_form.html",
    **more: Any,
) -> HttpResponse:
    """A page with one form; the fields it calls folded wait in a drawer."""
    reader = reader_of(request)
    held = {
        "form": form,
        "title": say(message(title), reader),
        "does": say(message(does), reader),
        "lede": lede,
        "back": back,
        "two": two,
        "groups": groups(form),
        **more,
    }
    return render(request, template, held, status=status_of(form))


def pdf(data: bytes, name: str) -> HttpResponse:
    """A PDF to look at, with a name to keep it under."""
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer
