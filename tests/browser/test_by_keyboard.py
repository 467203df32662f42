"""Signing in and describing a lot by keys alone; whoever tabs sees where they are."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.core import mail
from django.urls import reverse
from playwright.sync_api import Locator, expect

MOST_TABS = 60
# What marks the place: an outline of its own, or of the frame around a field.
SEEN = """() => {
  const at = document.activeElement;
  if (!at || at === document.body) return "";
  const marked = [at, at.closest(".frame")].some((one) => {
    if (!one) return false;
    const style = getComputedStyle(one);
    return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 3;
  });
  const box = at.getBoundingClientRect();
  const inside = box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
  return marked && inside ? "" : at.outerHTML.slice(0, 160);
}"""


def tab_to(page: Any, there: Locator) -> None:
    """Tab until something has the keys; every place on the way is seen."""
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        unseen = page.evaluate(SEEN)
        assert not unseen, f"nobody sees the keys are at {unseen}"
        if there.evaluate("e => e === document.activeElement"):
            return
    raise AssertionError(f"{there} is not reached by Tab")


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("size", ["phone", "desk"])
def test_somebody_signs_in_and_describes_a_lot_by_keys_alone(visit, cast, size):
    from haywright.office.stack.models import Lot

    visitor = visit("nobody", size)
    page, keys = visitor.page, visitor.page.keyboard
    visitor.go(reverse("lot-new"))
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")
    tab_to(page, page.get_by_label("E-mail address"))
    keys.type("educator@example.org")
    keys.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Type the code")
    code = re.search(r"\b([A-Z0-9]{4} [A-Z0-9]{4})\b", mail.outbox[-1].body)
    assert code, mail.outbox[-1].body
    tab_to(page, page.get_by_label("Code", exact=True))
    keys.type(code[1])
    tab_to(page, page.get_by_role("button", name="Come in"))
    keys.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Describe a lot")
    tab_to(page, page.get_by_label("Name", exact=True))
    keys.type("Keyed oats")
    tab_to(page, page.get_by_label("Crop", exact=True))
    keys.type("Oats")
    tab_to(page, page.get_by_label("Bales", exact=True))
    keys.type("40")
    tab_to(page, page.get_by_label("Hail"))
    keys.press("Space")
    tab_to(page, page.get_by_role("button", name="Keep it"))
    keys.press("Enter")
    expect(page.locator("h1")).to_contain_text("NOT TESTED")
    lot = Lot.objects.get()
    assert (lot.name, lot.crop, lot.bales, lot.facts["events"]) == (
        "Keyed oats", "oats", 40, ["hail"])  # fmt: skip


@pytest.mark.django_db(transaction=True)
def test_the_first_tab_leads_past_the_rooms_to_the_matter(visit, cast):
    reader = visit("educator", "phone")
    reader.go(reverse("lots"))
    reader.page.keyboard.press("Tab")
    assert not reader.page.evaluate(SEEN)
    reader.page.keyboard.press("Enter")
    expect(reader.page).to_have_url(re.compile("#matter$"))
    expect(reader.page.locator("main")).to_be_focused()
    reader.page.keyboard.press("Tab")
    expect(reader.page.get_by_role("link", name="Describe a lot")).to_be_focused()
