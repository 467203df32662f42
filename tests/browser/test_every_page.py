"""Every page: fits a phone, reaches nowhere, weighs little, is open to everybody who reads."""

from __future__ import annotations

import html5lib
import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

MOST_BYTES = 300_000


def given_out(sheet) -> str:
    """A link by which anyone may read the sheet."""
    from datetime import timedelta

    from django.utils import timezone

    from haywright.office.sheet.actions import digest
    from haywright.office.sheet.models import ReadLink

    held = {"by": sheet.versions.first().by, "ends_at": timezone.now() + timedelta(days=1)}
    ReadLink.objects.get_or_create(sheet=sheet, digest=digest("held"), defaults=held)
    return "held"


def addresses(lot, bag, sheet) -> list[str]:
    return [
        reverse("today"), reverse("lots"), reverse("lot-new"), reverse("bags"), reverse("season"),
        reverse("people"), reverse("yard"), reverse("batches"), reverse("laboratories"),
        reverse("laboratory-new"), reverse("ranches"), reverse("me"), reverse("number",
        args=[sheet.pk, "nitrate_n"]), reverse("number", args=[sheet.pk, "tdn"]),
        reverse("compare", args=[sheet.pk]), reverse("sheet", args=[sheet.pk]) + "?tdn=manitoba",
        reverse("feed", args=[sheet.pk]) + "?group=other&animals=ewes&head=30&fed=mixed&intake=4"
        "&rest=90&water_nitrate=1&drinks=1",
        reverse("read", args=[given_out(sheet)]),
        *(reverse(name, args=[lot.pk]) for name in (
            "lot", "lot-change", "lot-plan", "bag-new", "lot-report", "lot-split", "lot-heat")),
        reverse("bag", args=[bag.pk]),
        *(reverse(name, args=[sheet.pk]) for name in ("sheet", "feed", "call")),
    ]  # fmt: skip


@pytest.mark.parametrize("size", ["phone", "desk"])
@pytest.mark.django_db(transaction=True)
def test_every_page_fits_reaches_nowhere_and_weighs_little(visit, lot, bag, sheet, size):
    reader = visit("educator", size)
    findings = []
    for address in addresses(lot, bag, sheet):
        answer = reader.go(address)
        if answer.status != 200:
            findings.append(f"{address}: {answer.status}")
        if reader.overflows():
            findings.append(f"{address}: scrolls sideways at {size}")
        if reader.errors:
            findings.append(f"{address}: {reader.errors}")
        if reader.outside:
            findings.append(f"{address}: asks {reader.outside}")
        if reader.bytes > MOST_BYTES:
            findings.append(f"{address}: {reader.bytes} bytes")
    assert not findings, "\n".join(findings)


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.django_db(transaction=True)
def test_axe_finds_nothing_in_the_way_of_anybody(visit, lot, bag, sheet, dark):
    reader = visit("educator", "desk", dark=dark)
    findings = []
    for address in addresses(lot, bag, sheet):
        reader.go(address)
        found = Axe().run(reader.page)
        findings += [
            f"{address}: {one['id']}: {one['nodes'][0]['html'][:160]}"
            for one in found.response["violations"]
        ]
    assert not findings, "\n".join(findings)


@pytest.mark.django_db(transaction=True)
def test_every_page_is_sound_html(cast, lot, bag, sheet):
    client = cast.client("educator")
    findings = []
    for address in [*addresses(lot, bag, sheet), reverse("sign-in")]:
        text = client.get(address, follow=True).content.decode()
        parser = html5lib.HTMLParser()
        parser.parse(text)
        findings += [f"{address}: {place} {code}" for place, code, _ in parser.errors]
    assert not findings, "\n".join(findings)
