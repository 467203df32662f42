"""Sheets as they are asked for."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from uuid import UUID

from django.db.models import QuerySet
from django.http import Http404, HttpRequest

from haywright.measure.estimate import State as How
from haywright.measure.message import Amount, Message, message
from haywright.office.people.policies import visible
from haywright.office.sheet.models import Sheet, Version
from haywright.office.web.pages import actor_in


def sheets(request: HttpRequest) -> QuerySet[Sheet]:
    """The sheets the person may see."""
    rows = Sheet.objects.select_related("lot", "lot__ranch", "lot__office", "office")
    return visible(actor_in(request), "sheet.see", rows, ranch="lot__ranch")


def leading_first(rows: Iterable[Sheet]) -> list[Sheet]:
    """The sheets of one lot, the one with the most nitrate first: it stands for the lot.

    Parameters
    ----------
    rows
        The sheets.
    """
    none = Decimal(-1)
    return sorted(rows, key=lambda r: (none if r.nitrate is None else r.nitrate, r.pk),
                  reverse=True)  # fmt: skip


def lot_of(key: UUID) -> set[UUID]:
    """The lot a sheet is of; none for a sheet that is not there."""
    return set(Sheet.objects.filter(pk=key).values_list("lot", flat=True))


def version_of(sheet: Sheet, asked: str) -> Version:
    """The version of a number; the newest, when none is asked for."""
    rows = sheet.versions.select_related("by").defer("snapshot")  # shown once, then kept
    one = rows.filter(number=int(asked)).first() if asked.isdecimal() else rows.last()
    if one is None:
        raise Http404
    return one


def nitrate_of(sheet: Sheet) -> Amount | Message | None:
    """The nitrate of a sheet's newest version, in words where it lies beyond a limit."""
    if sheet.nitrate is None:
        return None
    found = Amount(float(sheet.nitrate), "mg/kg", analyte="nitrate_n")
    if sheet.nitrate_state == How.ABOVE:
        return message("office.lots.above", amount=found)
    if sheet.nitrate_state in (How.BELOW, How.BETWEEN):
        return message("office.lots.under", amount=found)
    return found


def may_be_over(sheet: Sheet, line: float) -> bool:
    """Whether the nitrate of a sheet is, or above its range may be, over a line.

    Parameters
    ----------
    sheet
        The sheet.
    line
        The office's line [mg/kg NO3-N of DM].
    """
    if sheet.nitrate is None or sheet.nitrate_state == How.BELOW:
        return False
    return sheet.nitrate_state == How.ABOVE or float(sheet.nitrate) >= line
