"""What the lab manager and the office admin do, from end to end, with scripts and without."""

from __future__ import annotations

import json
import re

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from tests.office.test_reports import report_of


@pytest.mark.parametrize(("size", "scripts"), [("desk", True), ("phone", False)])
@pytest.mark.django_db(transaction=True)
def test_the_bench_receives_a_run_and_releases_what_was_held_in_writing(
    visit, cast, lot, bag, tmp_path, size, scripts
):
    from haywright.bag.custody import Stage
    from haywright.office.bag.actions import pass_on

    pass_on(cast.actor("educator"), bag, Stage.SHIPPED, at=timezone.now(), who="county van")
    run = tmp_path / "results.json"
    run.write_text(json.dumps(report_of(bag.code, held=True)), encoding="utf-8")
    manager = visit("lab_manager", size, scripts=scripts)
    page = manager.page
    manager.go(reverse("today"))
    page.get_by_role("link", name=re.compile("Take it in")).first.click()
    page.get_by_label("It arrived whole").check()
    page.get_by_label("Who has it from now on").fill("the bench")
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator(".lede").first).to_contain_text("at the laboratory")
    manager.go(reverse("batch-receive"))
    page.locator("input[type=file]").set_input_files(run)
    page.locator("main form button").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("2026-09-14-adf")
    expect(page.get_by_role("heading", level=2).first).to_contain_text("held", ignore_case=True)
    manager.go(reverse("today"))
    page.get_by_role("link", name=re.compile("Look at it")).click()
    page.get_by_role("textbox").last.fill("The check was read twice; the second reading stands.")
    page.locator("main form button").last.click()
    expect(page.locator("body")).to_contain_text("the second reading stands")
    manager.go(reverse("today"))
    expect(page.locator("main")).not_to_contain_text("Batches held back")


@pytest.mark.parametrize(("size", "scripts"), [("desk", True), ("phone", False)])
@pytest.mark.django_db(transaction=True)
def test_the_admin_sets_the_office_up_and_invites_a_rancher_who_joins(visit, cast, size, scripts):
    admin = visit("office_admin", size, scripts=scripts)
    page = admin.page
    admin.go(reverse("office"))
    page.get_by_label("Telephone of the office").fill("555 0199")
    page.locator("main form button").click()
    expect(page.locator("footer")).to_contain_text("555 0199")
    admin.go(reverse("people"))
    page.get_by_label("Name", exact=True).fill("Rosa Gate")
    page.get_by_label("Ranch", exact=True).select_option(label=cast.ranch.name)
    page.get_by_role("button", name="Invite").click()
    invitation = page.locator("strong.long")
    expect(invitation).to_contain_text("/join/")
    asked = visit("nobody", size, scripts=scripts)
    asked.page.goto(invitation.inner_text())
    asked.page.get_by_role("button", name="Join").click()
    expect(asked.page.locator("main h1")).to_have_text("Nothing waits for you today.")
    expect(asked.page.get_by_role("link", name="Lots")).to_be_visible()
    expect(asked.page.get_by_role("link", name="People")).to_have_count(0)


@pytest.mark.parametrize(("size", "scripts"), [("phone", True), ("desk", False)])
@pytest.mark.django_db(transaction=True)
def test_an_educator_calls_about_nitrate_from_today_and_it_stands_who_was_reached(
    visit, cast, lot, sheet, size, scripts
):
    educator = visit("educator", size, scripts=scripts)
    page = educator.page
    educator.go(reverse("today"))
    page.get_by_role("link", name=re.compile(f"^Call\\s*: {lot.name}")).click()
    expect(page.locator(".lede").first).to_contain_text("1,120")
    page.get_by_label("Whom you called").fill("Rosa Gate")
    page.get_by_role("button", name="Write the call down").click()
    expect(page.locator(".emergency")).to_contain_text("Rosa Gate did not answer")
    page.get_by_role("link", name=re.compile(f"^Call\\s*: {lot.name}")).click()
    page.get_by_label("Whom you called").fill("Rosa Gate")
    page.get_by_label("They answered").check()
    page.get_by_role("button", name="Write the call down").click()
    expect(page.locator("main")).to_contain_text("Rosa Gate was reached")
    expect(page.locator(".emergency")).to_have_count(0)
