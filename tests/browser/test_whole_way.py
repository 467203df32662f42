"""The whole way of a lot, walked by each in turn in a real browser."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect


def shows(page, words):
    """The page comes to show these words: a page under way is waited for."""
    expect(page.locator("body")).to_contain_text(words)


@pytest.mark.parametrize(("size", "scripts"), [("phone", True), ("desk", True), ("phone", False)])
@pytest.mark.django_db(transaction=True)
def test_a_lot_goes_from_description_to_verdict(visit, cast, size, scripts):
    educator = visit("educator", size, scripts=scripts)
    page = educator.page
    educator.go(reverse("lot-new"))
    page.get_by_label("Name", exact=True).fill("Hill oats")
    page.get_by_label("Ranch", exact=True).select_option(label=cast.ranch.name)
    page.get_by_label("Crop", exact=True).select_option(value="oats")
    page.get_by_label("Bales", exact=True).fill("40")
    page.get_by_role("button", name="Keep it").click()
    expect(page.locator("h1")).to_contain_text("NOT TESTED")
    shows(page, "Hill oats")

    page.locator(".next a.button").click()
    expect(page.locator("h1")).to_contain_text(re.compile(r"Core \d+ of the 40 bales"))
    page.locator(".next a.button").click()
    page.get_by_label("Bales cored, by number").fill("1-20")
    page.get_by_role("button", name="Seal it").click()
    expect(page.locator("h1")).to_contain_text(cast.office.code)
    code = page.locator("h1").inner_text()

    technician = visit("technician", size, scripts=scripts)
    technician.go(reverse("bags"))
    technician.page.get_by_role("link", name=code).click()
    expect(technician.page.locator("h1")).to_contain_text(code)
    assert "Hill oats" not in technician.page.content()
    technician.page.get_by_label("It arrived whole").check()
    technician.page.get_by_label("Who has it from now on").fill("the bench")
    technician.page.get_by_role("button", name="Write it down").click()
    expect(technician.page.locator(".lede")).to_contain_text("at the laboratory")

    from haywright.office.stack.models import Lot

    lot = Lot.objects.get(name="Hill oats")
    educator.go(reverse("lot-report", args=[lot.pk]))
    page.get_by_label("Laboratory").fill("Plain laboratory")
    page.get_by_label("Dry matter", exact=True).fill("88.4")
    page.get_by_label("Nitrate, as on the paper", exact=True).fill("1120")
    page.get_by_role("button", name="Look it over").click()
    expect(page.locator(".problems")).to_be_visible()
    expect(page.get_by_label("Dry matter", exact=True)).to_have_value("88.4")
    page.get_by_label("Basis of its numbers").select_option(value="dry matter")
    page.get_by_label("Unit: Nitrate, as on the paper").select_option(value="ppm NO3-N")
    page.get_by_label("Crude protein", exact=True).fill("9.6")
    page.get_by_label("Acid detergent fiber (ADF)", exact=True).fill("38.2")
    page.get_by_label("Neutral detergent fiber (aNDF)", exact=True).fill("61.5")
    page.get_by_role("button", name="Look it over").click()
    shows(page, "Nothing is kept yet")
    assert not lot.sheets.exists()
    page.get_by_role("button", name="Keep the numbers").first.click()
    shows(page, "1,120")

    rancher = visit("rancher", size, scripts=scripts)
    rancher.go(reverse("lot", args=[lot.pk]))
    rancher.page.get_by_role("link", name="See who may eat it").click()
    shows(rancher.page, "What each guide says")
    shows(rancher.page, "555 0101")


@pytest.mark.django_db(transaction=True)
def test_the_back_button_and_a_second_touch_do_nothing_twice(visit, cast):
    from haywright.office.stack.models import Lot

    educator = visit("educator", "phone")
    page = educator.page
    educator.go(reverse("lot-new"))
    page.get_by_label("Name", exact=True).fill("Twice oats")
    page.get_by_label("Bales", exact=True).fill("12")
    page.get_by_label("Crop", exact=True).select_option(value="oats")
    page.get_by_role("button", name="Keep it").click()
    page.get_by_role("heading", name="The hay").wait_for()
    page.go_back()
    page.get_by_role("button", name="Keep it").click()
    page.get_by_role("heading", name="The hay").wait_for()
    assert Lot.objects.filter(name="Twice oats").count() == 1
