"""What is done with a sheet on its page: words to the rancher, links for reading."""

from __future__ import annotations

from http import HTTPStatus

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from haywright.measure.errors import HaywrightError
from haywright.measure.message import message
from haywright.office.action import DoneAlready, NotAllowed
from haywright.office.sheet import actions
from haywright.office.sheet.queries import sheets, version_of
from haywright.office.sheet.views import sheet_answer
from haywright.office.web.pages import actor_in, found, page
from haywright.office.web.words import reader_of
from haywright.words import say

MOST_TYPED = 4000


@require_POST
@page("sheet.note")
def sheet_note(request: HttpRequest, key: str) -> HttpResponse:
    """Keep the educator's words to this rancher; what is refused stays in its field."""
    sheet = found(sheets(request), pk=key)
    typed = request.POST.get("note", "")[:MOST_TYPED]
    once = request.POST.get("once", "")
    try:
        actions.write_note(actor_in(request), sheet, typed, read=version_told(request), once=once)
    except DoneAlready:
        pass
    except NotAllowed:
        raise
    except HaywrightError as error:
        return sheet_answer(
            request,
            sheet,
            version_of(sheet, ""),
            refused=_said(error, request),
            typed=typed,
            status=HTTPStatus.UNPROCESSABLE_ENTITY,
        )
    return redirect("sheet", sheet.pk)


@require_POST
@page("sheet.link")
def sheet_link(request: HttpRequest, key: str) -> HttpResponse:
    """Make a link by which anyone may read this sheet for a while."""
    sheet = found(sheets(request), pk=key)
    once = request.POST.get("once", "")
    try:
        secret = actions.make_link(actor_in(request), sheet, read=version_told(request), once=once)
    except NotAllowed:
        raise
    except HaywrightError as error:
        messages.error(request, _said(error, request))
    else:
        address = request.build_absolute_uri(reverse("read", args=[secret]))
        said = message("office.sheet.link_made", address=address, days=actions.READ_DAYS)
        messages.success(request, say(said, reader_of(request)))
    return redirect("sheet", sheet.pk)


@require_POST
@page("sheet.link")
def link_withdraw(request: HttpRequest, key: str, link: str) -> HttpResponse:
    """End a link by which the sheet was read."""
    sheet = found(sheets(request), pk=key)
    actions.withdraw_link(actor_in(request), found(sheet.links.all(), pk=link))
    messages.success(request, say(message("office.sheet.link_ended"), reader_of(request)))
    return redirect("sheet", sheet.pk)


def version_told(request: HttpRequest) -> int | None:
    """Number of the version that stood on the page a form was sent from.

    Parameters
    ----------
    request
        With what was sent.
    """
    told = request.POST.get("version", "")
    return int(told) if told.isdecimal() else None


def _said(error: HaywrightError, request: HttpRequest) -> str:
    return " ".join(say(one, reader_of(request)) for one in error.messages())
