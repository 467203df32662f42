"""The amount moved by hand: it follows in proportion, stops at the most, works without scripts."""

from __future__ import annotations

import pytest
from django.urls import reverse

ASKED = (
    "?group=other&animals=bred-cows&head=40&fed=mixed&intake=26&rest=90&water_nitrate=2&drinks=12"
)


def said(page, name):
    return page.locator(f"[data-of={name}]").inner_text()


@pytest.mark.django_db(transaction=True)
def test_the_thumb_cannot_pass_what_is_allowed(visit, sheet):
    reader = visit("rancher", "phone")
    reader.go(reverse("feed", args=[sheet.pk]) + ASKED)
    page = reader.page
    most = float(page.locator("[data-amount]").get_attribute("data-most"))
    thumb = page.locator("[data-range]")
    assert float(thumb.get_attribute("max")) > most
    thumb.press("End")
    assert float(thumb.input_value()) == most
    assert float(page.locator("#amount").input_value()) == most
    assert float(said(page, "amount")) == most
    thumb.press("Home")
    assert said(page, "group") == "0"
    page.fill("#amount", "6")
    page.press("#amount", "Tab")
    assert said(page, "group") == "240"  # 6 lb for each of 40 head
    assert not reader.errors


@pytest.mark.django_db(transaction=True)
def test_without_scripts_the_field_and_the_button_do_the_same(visit, sheet):
    reader = visit("rancher", "phone", scripts=False)
    reader.go(reverse("feed", args=[sheet.pk]) + ASKED)
    page = reader.page
    assert not page.locator("[data-range]").is_visible()
    page.fill("#amount", "6")
    page.locator("#amount-part button").click()
    assert said(page, "group") == "240"
