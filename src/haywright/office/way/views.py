"""Pages that span places: Today and the season."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from haywright.measure.message import Message, message
from haywright.office.people.policies import MAY, may
from haywright.office.stack.queries import lots
from haywright.office.way import season as seasons
from haywright.office.way.today import season_of
from haywright.office.way.today import today as parts_of
from haywright.office.web.pages import actor_in, page
from haywright.office.web.standing import standing
from haywright.office.web.words import reader_of
from haywright.paper.blocks import picture, section
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
        "no_call": not actor.office.call_phone and may(actor, "office.change"),
        "day": date_text(timezone.localdate(now), reader),
        "season": say(message(f"office.today.season.{season_of(now)}"), reader),
        "parts": parts,
        "sentence": say(
            message(f"office.today.{many}", n=n) if n else message("office.today.nothing"), reader
        ),
    }
    return render(request, "haywright/today.html", held)


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
        "turnaround": "" if days is None else say(_took(days), reader),
        "kinds": seasons.KINDS.items(),
        "may_export": bool(MAY["season.export"] & actor.roles),
    }
    return render(request, "haywright/season.html", held)


def _took(days: float) -> Message:
    """How long half of the sheets took."""
    if days < 1:
        return message("office.season.took_a_day")
    return message("office.season.took", days=round(days, None if days >= 10 else 1))


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
        else seasons.hay_year(timezone.localdate())
    )


def _line(request: HttpRequest, usual: Decimal) -> Decimal:
    try:
        asked = Decimal(request.GET.get("line", ""))
    except InvalidOperation:
        return usual
    return asked if asked.is_finite() and asked > 0 else usual
