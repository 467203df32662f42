"""Results on their way in, in a browser: every state of the pages fits and hinders nobody."""

from __future__ import annotations

import json

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import expect

from tests.office.test_reports import report_of


def _sound(reader, where: str) -> list[str]:
    """What axe finds of the page as it stands, and whether it scrolls sideways."""
    found = [
        f"{where}: {one['id']}: {one['nodes'][0]['html'][:160]}"
        for one in Axe().run(reader.page).response["violations"]
    ]
    return found + ([f"{where}: scrolls sideways"] if reader.overflows() else [])


@pytest.mark.parametrize(("size", "dark"), [("phone", False), ("desk", True)])
@pytest.mark.django_db(transaction=True)
def test_a_report_hinders_nobody_while_it_is_typed_refused_and_looked_over(visit, lot, size, dark):
    reader = visit("educator", size, dark=dark)
    page = reader.page
    reader.go(reverse("lot-report", args=[lot.pk]))
    findings = _sound(reader, "typed")
    page.get_by_label("Laboratory", exact=True).fill("Plain laboratory")
    page.get_by_label("Dry matter", exact=True).fill("88.4")
    page.get_by_label("Crude protein", exact=True).fill("24.5 lb")
    page.get_by_label("Another number (1)", exact=True).fill("3")
    page.get_by_role("button", name="Look it over").click()
    expect(page.locator(".problems")).to_be_visible()
    expect(page.locator("#id_n_cp_error")).to_contain_text("Accepted: %, g/kg")
    expect(page.locator("#id_v1_error")).to_contain_text("Say what this number is")
    findings += _sound(reader, "refused")
    page.get_by_label("Crude protein", exact=True).fill("24.5")
    page.get_by_label("What number 1 is").select_option(value="ca")
    page.get_by_label("Basis of its numbers").select_option(value="dry matter")
    page.get_by_label("Nitrate, as on the paper", exact=True).fill("1120")
    page.get_by_label("Unit: Nitrate, as on the paper").select_option(value="ppm NO3")
    page.get_by_role("button", name="Look it over").click()
    expect(page.locator("#seen")).to_contain_text("Nothing is kept yet")
    expect(page.locator(".caution")).to_contain_text("Crude protein")
    findings += _sound(reader, "looked over")
    page.get_by_role("button", name="Keep the numbers").click()
    expect(page.locator("#seen .error")).to_contain_text("Look once more")
    assert not lot.results.exists()
    page.get_by_label("It stands so on the paper").check()
    page.get_by_role("button", name="Keep the numbers").click()
    expect(page.locator("h1")).to_be_visible()
    expect(page.locator("body")).to_contain_text("24.5")
    assert lot.results.filter(analyte="cp").count() == 1
    assert not findings, "\n".join(findings)


@pytest.mark.parametrize(("size", "dark"), [("phone", True), ("desk", False)])
@pytest.mark.django_db(transaction=True)
def test_the_pages_of_the_bench_hinder_nobody(visit, cast, lot, bag, sheet, tmp_path, size, dark):
    from haywright.office.bench.actions import keep_laboratory
    from haywright.office.bench.models import Batch

    file = tmp_path / "results.json"
    file.write_text(json.dumps(report_of(bag.code, held=True) | {"rerun_of": "earlier"}), "utf-8")
    facts = {"name": "Ridge laboratory", "basis": "dry matter", "prices": {"nitrate": "12.50"}}
    ridge = keep_laboratory(cast.actor("educator"), None, facts)
    reader = visit("lab_manager", size, dark=dark)
    page, findings = reader.page, []
    reader.go(reverse("batch-receive"))
    findings += _sound(reader, "receive")
    page.locator("input[type=file]").set_input_files(str(file))
    page.get_by_role("button", name="Receive it").click()
    expect(page.locator("h1")).to_contain_text("2026-09-14-adf")
    findings += _sound(reader, "held batch")
    batch = Batch.objects.get()
    typed = lot.results.get(analyte="cp")
    for name, key in (("result-correct", typed.pk), ("laboratory", ridge.pk), ("batch", batch.pk)):
        answer = reader.go(reverse(name, args=[key]))
        assert answer.status == 200
        findings += _sound(reader, name)
    reader.go(reverse("batches") + "?held=1")
    expect(page.locator("main")).to_contain_text("HELD")
    findings += _sound(reader, "what is held")
    assert not findings, "\n".join(findings)
