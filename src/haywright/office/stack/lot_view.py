"""A lot's page: what is known, the next step, the stack; facts corrected where they stand."""

from __future__ import annotations

from datetime import date
from functools import partial
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from haywright.measure.errors import HaywrightError
from haywright.measure.message import Amount
from haywright.office.action import DoneAlready
from haywright.office.bench.models import Result
from haywright.office.ledger.history import history
from haywright.office.people.actor import Actor
from haywright.office.people.policies import may_with
from haywright.office.sheet.models import Sheet, Version
from haywright.office.sheet.queries import nitrate_of
from haywright.office.sheet.shown import shown
from haywright.office.stack import actions
from haywright.office.stack.forms import FACTS, FactForm
from haywright.office.stack.models import Lot, State
from haywright.office.stack.queries import lots, of_kin, with_kin
from haywright.office.stack.stand_form import StandForm
from haywright.office.stack.views import known_of, refuse, stand_of
from haywright.office.stack.way import Stand, next_step, steps
from haywright.office.way.pure import pure_bag, pure_lot, pure_office
from haywright.office.web.pages import actor_in, found, page, status_of
from haywright.office.web.standing import part, standing
from haywright.office.web.words import reader_of
from haywright.paper.emergency import call_card
from haywright.paper.speaker import Speaker
from haywright.paper.stack_matter import MAP_WIDTHS, stack_section
from haywright.paper.tokens import PAGE
from haywright.sources.crops import crops, event
from haywright.stack.lot import storages


@page("lot.see")
@partial(standing, lots_of=with_kin)
def lot_page(request: HttpRequest, key: str) -> HttpResponse:
    """One lot: what is known and how old it is, the next step, the stack, its history."""
    return _lot_page(request, found(lots(actor_in(request)), pk=key))


@page("lot.change")
def lot_fact(request: HttpRequest, key: str, fact: str) -> HttpResponse:
    """One fact corrected where it stands; what is refused stays on the page as it was typed."""
    lot = found(lots(actor_in(request)), pk=key)
    if fact not in FACTS or not _open(request, lot):
        raise Http404
    if request.method != "POST":
        return redirect("lot", lot.pk)
    form = FactForm(request, fact, lot, request.POST)
    if _changed(request, lot, form):
        return redirect("lot", lot.pk)
    return _lot_page(request, lot, fact, form)


@page("lot.change")
def lot_stand(request: HttpRequest, key: str) -> HttpResponse:
    """How the stack stands: faces, field parts, weeds, what cannot be reached."""
    lot = found(lots(actor_in(request)), pk=key)
    if not _open(request, lot):
        raise Http404
    form = StandForm(request, lot, request.POST or None)
    if request.method == "POST" and _changed(request, lot, form):
        return redirect("lot", lot.pk)
    held = {"form": form, "lot": lot, "rows": form.rows()}
    return render(request, "haywright/stand.html", held, status=status_of(form))


def _open(request: HttpRequest, lot: Lot) -> bool:
    return lot.state == State.HERE and may_with(actor_in(request), "lot.change", lot)


def _changed(request: HttpRequest, lot: Lot, form: Any) -> bool:
    """Whether the lot is as the form says now; a refusal is put beside its field."""
    if not form.is_valid():
        return False
    try:
        actions.change_lot(
            actor_in(request),
            lot,
            form.facts(lot.facts),
            today=timezone.localdate(),
            version=form.cleaned_data.get("version"),
            once=form.token,
        )
    except DoneAlready:
        return True
    except HaywrightError as error:
        refuse(form, lot, error)
        return False
    return True


def _lot_page(
    request: HttpRequest, lot: Lot, fact: str = "", form: FactForm | None = None
) -> HttpResponse:
    actor, reader = actor_in(request), reader_of(request)
    words, stand = Speaker(reader, PAGE), stand_of(lot)
    today = timezone.localdate()
    photos = list(lot.photos.order_by("id"))
    newest = _newest(stand)
    opening = None if newest is None else shown(newest).opening(reader)
    held = {
        "lot": lot,
        "steps": steps(stand, reader),
        "kicker": _kicker(lot, words),
        "sentence": _sentence(stand, opening, words),
        "lede": _how_old(stand, newest, words, today),
        "interim": newest is not None and newest.interim and _is_here(lot),
        "mind": words.every(opening.mind) if opening and _is_here(lot) else [],
        "standing": [" ".join(words.every(opening.standing))]
        if opening and opening.standing and _is_here(lot)
        else [],
        "parts": _parts(stand, words) if len(stand.parts) > 1 else [],
        "next": next_step(stand, actor, today),
        "facts": _facts(request, lot, words, fact, form),
        "form": form,
        "stacks": _stacks(request, lot, stand, words),
        "bags": stand.bags,
        "history": history(lot, reader),
        "card": call_card(pure_office(lot.office), words),
        "photos": [one for one in photos if not one.paper],
        "papers": [one for one in photos if one.paper],
        "temperatures": lot.temperatures.order_by("-taken_at")[:10],
        "kin": _kin(lot, stand, words),
        "may_change": _open(request, lot),
        "deeds": _deeds(actor, lot),
    }
    return render(request, "haywright/lot.html", held, status=status_of(form))


def _deeds(actor: Actor, lot: Lot) -> list[tuple[str, str]]:
    """What can be done about samples at any time, whatever the one next step is."""
    if not _is_here(lot):
        return []
    every = {
        "plan": ("plan.print", "lot-plan"),
        "seal": ("bag.seal", "bag-new"),
        "type": ("result.type", "lot-report"),
    }
    return [
        (f"office.next.{name}", reverse(address, args=[lot.pk]))
        for name, (deed, address) in every.items()
        if may_with(actor, deed, lot)
    ]


def _newest(stand: Stand) -> Version | None:
    """The newest version of the sheet that leads."""
    if not stand.sheet:
        return None
    sheet = next(one for one in stand.parts if str(one.pk) == stand.sheet)
    sheet.lot, sheet.office = stand.lot, stand.lot.office
    version = Version.objects.filter(sheet=sheet).defer("snapshot").order_by("number").last()
    if version is not None:
        version.sheet = sheet
    return version


def _kicker(lot: Lot, words: Speaker) -> list[str]:
    said = [lot.name, words("office.lot.number", number=lot.number)]
    said += [lot.ranch.name] if lot.ranch else []
    said += [words("office.lot.baled", day=words.day(lot.baled_on))] if lot.baled_on else []
    said += [] if lot.state == State.HERE else [words(f"office.state.{lot.state}")]
    return said


def _is_here(lot: Lot) -> bool:
    return lot.state == State.HERE


def _sentence(stand: Stand, opening: Any, words: Speaker) -> list[str]:
    """What stands first: that the hay is gone; the verdict; that nobody tested it."""
    lot = stand.lot
    if not _is_here(lot):
        return [words(f"office.lot.gone.{lot.state}")]
    if opening is None:
        return _untested(lot, words)
    said = list(words.every(opening.sentence))
    if len(stand.parts) == 1:
        return said
    part = stand.parts[0].part or words("office.lot.rest")
    return [words("office.lot.most_in", n=len(stand.parts), part=part), *said]


def _parts(stand: Stand, words: Speaker) -> list[dict[str, Any]]:
    """Each part of a lot that is judged by itself, the one with the most nitrate first."""
    newest = {
        one.sheet_id: one
        for one in Version.objects.filter(sheet__in=stand.parts)
        .select_related("sheet__lot", "sheet__office")
        .order_by("number")
    }
    return [
        {
            "name": one.part or words("office.lot.rest"),
            "address": reverse("sheet", args=[one.pk]),
            "said": words.every(shown(newest[one.pk]).opening(words.reader).sentence),
            "found": _part_found(one, words),
        }
        for one in stand.parts
        if one.pk in newest
    ]


def _part_found(sheet: Sheet, words: Speaker) -> str:
    found = nitrate_of(sheet)
    return "" if found is None else words("office.lot.part_found", amount=found)


def _kin(lot: Lot, stand: Stand, words: Speaker) -> list[dict[str, Any]]:
    """How bales came and went, and what was measured of hay that came and was not tested since."""
    kin = list(of_kin(lot.pk).select_related("of", "into").order_by("id"))
    came = ((one, "came", one.of) for one in kin if one.into_id == lot.pk)
    went = ((one, "went", one.into) for one in kin if one.of_id == lot.pk)
    line, out = float(lot.office.call_line), []
    for one, way, other in (*came, *went):
        parts: list[Sheet] = []
        if way == "came" and not stand.parts and other is not None:
            parts = list(other.sheets.filter(written_at__isnull=False).order_by("nitrate"))
        name = other.name if other is not None else one.buyer
        out.append(
            {
                "says": words(f"office.kin.{one.kind}_{way}", n=one.bales or 0, name=name),
                "address": reverse("lot", args=[other.pk]) if other is not None else "",
                "known": [words.said(m) for m in known_of(lot, parts, line)] if parts else [],
            }
        )
    return out


def _untested(lot: Lot, words: Speaker) -> list[str]:
    key = "bunk.nitrate.answer.not_tested" if lot.suspect else "office.lot.untested"
    return [words(key)]


def _how_old(stand: Stand, newest: Version | None, words: Speaker, today: Any) -> str:
    """How old what is known is: as the coring, or as the paper where no bag of ours was tested."""
    cored = _cored(stand, words, today)
    if newest is None or shown(newest).sample.bags:
        return cored
    days = [date.fromisoformat(one) for one in _days_of(stand.lot)]
    if not days:
        return f"{cored} {words('office.lot.no_day')}"
    oldest = min(days)
    if oldest == today:
        return f"{cored} {words('office.lot.of_report_today')}"
    said = words("office.lot.of_report", day=words.day(oldest), n=(today - oldest).days)
    return f"{cored} {said}"


def _cored(stand: Stand, words: Speaker, today: Any) -> str:
    if not stand.bags:
        return words("office.lot.no_bag")
    bag = stand.bags[0]
    days = (today - bag.cored_on).days
    if not days:
        return words("office.lot.cored_today", n=len(stand.bags))
    return words("office.lot.cored", n=len(stand.bags), day=words.day(bag.cored_on), days=days)


def _days_of(lot: Lot) -> list[str]:
    """The days the paper reports bear whose numbers stand for a lot."""
    rows = Result.objects.filter(lot=lot, bag__isnull=True, replaced_by__isnull=True)
    held = rows.values_list("whole__dated", flat=True)
    return [one for one in held if one]


def _facts(
    request: HttpRequest, lot: Lot, words: Speaker, fact: str, form: FactForm | None
) -> SafeString:
    """Each fact in words, with the form that corrects it where this person may."""
    may, said = _open(request, lot), _said(lot, words)

    def drawn() -> str:
        unknown = words("office.form.unknown")
        facts = [
            {
                "name": name,
                "label": words(f"office.field.{name}"),
                "value": said[name] or unknown,
                "form": (form if name == fact else FactForm(request, name, lot)) if may else None,
                "open": name == fact,
            }
            for name in FACTS
        ]
        return render_to_string("haywright/parts/facts.html", {"lot": lot, "facts": facts}, request)

    if form is not None:
        return mark_safe(drawn())  # noqa: S308 - a template made it
    return part(request, ("facts", lot.pk, lot.version, repr(lot.facts), repr(said), may), drawn)


def _said(lot: Lot, words: Speaker) -> dict[str, str]:
    facts = lot.facts
    named = facts["crop"] if isinstance(facts["crop"], list) else [facts["crop"]]
    own = words.reader.name
    crop = [own(crops()[one].name) if one in crops() else str(one) for one in named]
    crop += [words("office.lot.cutting", n=lot.cutting)] if lot.cutting else []
    bales = [words.count(lot.bales)] if lot.bales else []
    if lot.mean_bale_kg is not None:
        each = Amount(float(lot.mean_bale_kg), "kg", digits=0)
        bales.append(words("office.lot.each", amount=each))
    kept = [own(storages()[lot.storage].name)] if lot.storage in storages() else []
    rind = pure_lot(lot).rind
    if rind:
        kept.append(words("office.lot.rind", depth=Amount(rind, "m", digits=1)))
    events = facts.get("events", [])
    events = events if isinstance(events, list) else [events]
    return {
        "name": lot.name,
        "crop": ", ".join(crop),
        "count": ", ".join(bales),
        "baled_on": words.day(lot.baled_on) if lot.baled_on else "",
        "storage": ", ".join(kept),
        "events": ", ".join(own(event(one).name) for one in events) or words("office.form.nothing"),
        "field": lot.field,
        "purpose": words(f"office.purpose.{lot.purpose}"),
    }


def _stacks(request: HttpRequest, lot: Lot, stand: Stand, words: Speaker) -> SafeString:
    """The stack with the bales of the newest bag that names them, drawn for both screens."""
    code = ""
    cored: tuple[int, ...] = ()
    for bag in stand.bags:
        named = pure_bag(bag, [], lot).bales
        if named:
            code, cored = bag.code, named
            break

    def drawn() -> str:
        pure = pure_lot(lot)
        both = {
            name: stack_section(pure, cored, words, code=code, width=width)
            for name, width in MAP_WIDTHS.items()
        }
        return render_to_string("haywright/parts/both.html", {"both": both}, request)

    return part(request, ("stack", lot.pk, lot.version, repr(lot.facts), code, cored), drawn)
