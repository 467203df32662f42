"""In the yard: pages that open without a signal, and what waits on the phone to be handed over."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from django.contrib.staticfiles import finders
from django.db.models import Exists, OuterRef
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache

from haywright.office.bag.models import Bag
from haywright.office.stack.models import Lot, State
from haywright.office.stack.queries import lots
from haywright.office.web.pages import actor_in, page

MOST_LOTS = 12  # what a phone is asked to keep, and a day in the yard has


def shelved(held: Iterable[Lot]) -> list[str]:
    """The addresses a phone keeps for the yard: which bales, and sealing the bag."""
    pages = [reverse(name, args=[lot.pk]) for lot in held for name in ("lot-plan", "bag-new")]
    return [reverse("yard"), *pages]


@page("bag.seal")
def yard(request: HttpRequest) -> HttpResponse:
    """Lots to core, kept on the phone; bags that wait on it."""
    cored = Exists(Bag.objects.filter(lot=OuterRef("pk")))
    rows = lots(actor_in(request)).filter(~cored, state=State.HERE).order_by("-id")
    held = list(rows[:MOST_LOTS])
    return render(request, "haywright/yard.html", {"lots": held, "shelve": " ".join(shelved(held))})


@never_cache
def worker(_request: HttpRequest) -> HttpResponse:
    """The script that opens kept pages; it stands at the root, as it speaks for every page."""
    found = finders.find("haywright/yard-worker.js")
    return HttpResponse(Path(str(found)).read_bytes(), content_type="text/javascript")
