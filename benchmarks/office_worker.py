"""One office of a size, asked for pages in process: reads a page's name, writes what it took.

python -m benchmarks.office_worker      the office the settings name; answers on standard output
"""

from __future__ import annotations

import json
import sys
import time
from datetime import UTC, datetime
from decimal import Decimal
from http import HTTPStatus
from typing import Any

READS = 5


def plain(request: Any) -> Any:
    """A view that reads five rows by their keys and answers with a page made beforehand."""
    from django.http import HttpResponse

    for model, key in KEYS:
        model.objects.get(pk=key)
    return HttpResponse(BODY[request.GET["of"]])


KEYS: list[tuple[Any, Any]] = []
BODY: dict[str, str] = {}


def addresses() -> dict[str, str]:
    """The pages measured, of the newest lot that stands here and has its sheet whole."""
    from django.urls import reverse

    from haywright.office.bag.models import Bag
    from haywright.office.people.models import Office, Person
    from haywright.office.sheet.models import Sheet
    from haywright.office.stack.models import Lot

    lot = Lot.objects.filter(state="here").order_by("-id").first()
    lot = Lot.objects.order_by("id").first() if lot is None or not lot.sheets.exists() else lot
    sheet = Sheet.objects.get(lot=Lot.objects.order_by("id")[3])
    lot = sheet.lot
    middle = Lot.objects.order_by("-id")[min(100, Lot.objects.count() - 60)]
    bag = Bag.objects.filter(lot=lot).first()
    KEYS.extend([(Lot, lot.pk), (Bag, bag.pk), (Sheet, sheet.pk),
                 (Office, lot.office_id), (Person, Person.objects.get().pk)])  # fmt: skip
    lots = reverse("lots")
    return {
        "lot list": lots,
        "lot list, further on": f"{lots}?state=all&after={middle.pk}",
        "lots by name": f"{lots}?state=all&q=Field+1",
        "lots by a rare name": f"{lots}?state=all&q=old+field",
        "lots by bag code": f"{lots}?state=all&q={bag.code}",
        "lot": reverse("lot", args=[lot.pk]),
        "sheet": reverse("sheet", args=[sheet.pk]),
        "Today": reverse("today"),
    }


def write_down(hay: str) -> None:
    """A deed: on the hay the pages measured are of, or on other hay."""
    from haywright.office.people.actor import actor_of
    from haywright.office.people.models import Person
    from haywright.office.stack.actions import take_temperature
    from haywright.office.stack.models import Lot

    mine = dict(KEYS)[Lot]
    lot = Lot.objects.get(pk=mine) if hay == "same" else Lot.objects.order_by("id")[1]
    actor = actor_of(Person.objects.get())
    take_temperature(actor, lot, Decimal(31), at=datetime.now(UTC), bale="7")


def main() -> None:
    """Answer until the input ends."""
    from haywright.office import start

    start.ready(desk=start.is_desk())
    from django.conf import settings
    from django.core.cache import caches
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext
    from django.urls import path

    from haywright.office import urls
    from haywright.office.people.models import Person

    settings.ALLOWED_HOSTS = ["*"]
    settings.SECURE_SSL_REDIRECT = False
    urls.urlpatterns.append(path("plain", plain))
    client = Client(headers={"accept-encoding": "gzip"})
    client.force_login(Person.objects.get(), backend="django.contrib.auth.backends.ModelBackend")
    there = addresses()
    queries = {}
    for name, address in there.items():
        client.get(address)
        with CaptureQueriesContext(connection) as held:
            answer = client.get(address, headers={"accept-encoding": "identity"})
        if answer.status_code != HTTPStatus.OK:
            raise SystemExit(f"{name}: {answer.status_code}")
        BODY[name], queries[name] = answer.content.decode(), len(held)
    print(json.dumps(queries), flush=True)
    for line in sys.stdin:
        kind, _, name = line.strip().partition(" ")
        address = there[name] if kind != "plain" else f"/plain?of={name}"
        if kind == "first":  # nothing stands: the program has just begun
            caches["pages"].clear()
        if kind in ("other", "same"):  # somebody writes something down of hay
            client.get(address)
            write_down(kind)
        began = time.perf_counter()
        client.get(address)
        print(time.perf_counter() - began, flush=True)


if __name__ == "__main__":
    main()
