"""The whole way of a lot, walked by each in turn in a real browser."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse


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
    assert "Hill oats" in page.content()
    assert "NOT TESTED" in page.locator("h1").inner_text()

    page.locator(".next a.button").click()
    assert re.search(r"Core \d+ of the 40 bales", page.locator("h1").inner_text())
    page.locator(".next a.button").click()
    page.get_by_label("Bales cored, by number").fill("1-20")
    page.get_by_role("button", name="Seal it").click()
    code = page.locator("h1").inner_text()
    assert code.startswith(cast.office.code)

    technician = visit("technician", size, scripts=scripts)
    technician.go(reverse("bags"))
    technician.page.get_by_role("link", name=code).click()
    assert "Hill oats" not in technician.page.content()
    technician.page.get_by_label("It arrived whole").check()
    technician.page.get_by_label("Who has it from now on").fill("the bench")
    technician.page.get_by_role("button", name="Write it down").click()
    assert "at the laboratory" in technician.page.locator(".lede").inner_text()

    from haywright.office.stack.models import Lot

    lot = Lot.objects.get(name="Hill oats")
    educator.go(reverse("lot-report", args=[lot.pk]))
    page.get_by_label("Laboratory").fill("Plain laboratory")
    page.get_by_label("Numbers, one a line").fill("dm=88.4 %\nnitrate=1120 ppm")
    page.get_by_role("button", name="Keep the numbers").click()
    assert "nitrate=1120 ppm" in page.content(), "what was typed stays"
    page.get_by_label("Numbers, one a line").fill(
        "dm = 88.4 %\ncp = 9.6 % dry matter\nadf = 38.2 % dry matter\n"
        "ndf = 61.5 % dry matter\nnitrate = 1120 ppm NO3-N dry matter"
    )
    page.get_by_role("button", name="Keep the numbers").click()
    assert "1,120" in page.content()

    rancher = visit("rancher", size, scripts=scripts)
    rancher.go(reverse("lot", args=[lot.pk]))
    rancher.page.get_by_role("link", name="See how to feed it").click()
    assert "What each guide says" in rancher.page.content()
    assert "555 0101" in rancher.page.content()


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
