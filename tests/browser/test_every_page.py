"""Every page, by who uses it: fits phone and desk, light and dark, reaches nowhere, is sound."""

from __future__ import annotations

import re
from typing import Any

import html5lib
import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import expect

from tests.office.test_rights import address_of, addresses, keys  # noqa: F401 - a fixture
from tests.office.test_sign_in import PASSWORD, phone_number, with_password

MOST_BYTES = 300_000
# Who uses a page, and so looks at it here. A page many use is looked at once more where it differs.
WALKED = {
    "educator": """today lots lot-new lot lot-change lot-stand lot-plan lot-split lot-merge lot-sell
        lot-heat lot-photo lot-paper lot-carry lot-fed bag-new lot-report yard bags bags-ship bag
        bag-swap sheet feed number compare call season ranches ranch-new ranch people member-way-in
        me keys batches laboratories laboratory-new laboratory mfa_index mfa_activate_totp
        account_email account_set_password account_logout""",
    "rancher": "today lots lot bags bag sheet feed ranches ranch me",
    "technician": "today bags bag batches batch me",
    "lab_manager": "today batches batch batch-receive result-correct sheet season",
    "office_admin": "today office office-begin people member-end",
    "nobody": """sign-in sign-in-code way-in join read account_login account_signup
        account_reset_password account_reset_password_done account_reset_password_from_key
        account_reset_password_from_key_done account_inactive account_confirm_email
        account_email_verification_sent""",
}
NOT_WALKED = {
    "a paper": "lot-plan-pdf bag-slip bag-label shipment-list sheet-pdf feed-pdf batch-report",
    "a file": "photo season-export take-my-data yard-worker mfa_download_recovery_codes",
    "only written to": """sheet-note sheet-link link-end choose-office sign-out
        sign-out-everywhere key-withdraw""",
    "goes on to another page": "lot-fact lot-bags account_confirm_login_code",
    "open to who has a password and a second factor, walked below": """mfa_authenticate
        account_change_password mfa_view_recovery_codes mfa_generate_recovery_codes
        mfa_deactivate_totp account_reauthenticate mfa_reauthenticate""",
}


def test_every_address_is_walked_or_has_its_reason():
    walked = {name for held in WALKED.values() for name in held.split()}
    reasons = [name for held in NOT_WALKED.values() for name in held.split()]
    assert not walked & set(reasons)
    assert walked | set(reasons) == set(addresses())


def looked_at(reader: Any, address: str, status: int = 200) -> list[str]:
    """What is wrong with a page, on a phone and at a desk, in light and in the dark."""
    page, found = reader.page, []
    page.set_viewport_size({"width": 390, "height": 844})
    page.emulate_media(color_scheme="light")
    answer = reader.go(address)
    found += [] if answer.status == status else [f"{answer.status}"]
    found += reader.errors if status == 200 else []
    found += [f"asks {reader.outside}"] if reader.outside else []
    found += [f"{reader.bytes} bytes"] if reader.bytes > MOST_BYTES else []
    found += ["scrolls sideways on a phone"] if reader.overflows() else []
    page.set_viewport_size({"width": 1280, "height": 900})
    found += ["scrolls sideways at a desk"] if reader.overflows() else []
    seen = Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
    page.emulate_media(color_scheme="dark")
    dark = {"runOnly": ["color-contrast"], "resultTypes": ["violations"]}
    seen += Axe().run(page, options=dark).response["violations"]
    found += [f"{one['id']}: {one['nodes'][0]['html'][:160]}" for one in seen]
    parser = html5lib.HTMLParser()
    parser.parse(answer.text())
    found += [f"{place} {code}" for place, code, _ in parser.errors]
    return [f"{address}: {one}" for one in found]


def doors_of(cast):
    """A letter's address and an invitation, neither used yet."""
    from haywright.office.people.actions import invite
    from haywright.office.people.links import make_link
    from haywright.office.people.models import Role

    asked = invite(cast.actor("office_admin"), "Rosa Gate", Role.RANCHER, ranch=cast.ranch)
    secrets = {"way-in": make_link(cast.people["rancher"]), "join": asked}
    return {name: reverse(name, args=[secret]) for name, secret in secrets.items()}


@pytest.mark.django_db(transaction=True)
def test_every_page_fits_is_light_reaches_nowhere_and_is_in_nobody_s_way(visit, cast, keys):  # noqa: F811
    there, doors = addresses(), doors_of(cast)
    findings: list[str] = []
    for who, names in WALKED.items():
        reader = visit(who, "phone")
        for name in names.split():
            address = doors.get(name) or address_of(name, there[name], keys)
            found = looked_at(reader, address)
            findings += [f"{who}: {one}" for one in found]
        reader.page.context.close()
    assert not findings, "\n".join(findings)


@pytest.mark.django_db(transaction=True)
def test_pages_that_say_why_there_is_no_page_are_pages_too(visit, cast, lot):
    educator = visit("educator", "phone")
    findings = looked_at(educator, "/no/such/page", 404)
    findings += looked_at(educator, reverse("office"), 403)
    findings += looked_at(educator, reverse("read", args=["no-such-link"]), 404)
    educator.page.context.clear_cookies()
    findings += looked_at(educator, "/no/such/page", 404)
    findings += looked_at(educator, reverse("lot", args=[lot.pk]))  # asked to sign in
    assert not findings, "\n".join(findings)


@pytest.mark.django_db(transaction=True)
def test_what_prints_has_no_buttons_and_keeps_whom_to_call(visit, cast, lot, bag, sheet):
    reader = visit("educator", "desk")
    reader.page.emulate_media(media="print")
    for name, thing in (("lot", lot), ("sheet", sheet), ("feed", sheet), ("bag", bag)):
        reader.go(reverse(name, args=[thing.pk]))
        page = reader.page
        shown = page.locator("button:visible, .rooms:visible, .way:visible, input:visible")
        assert shown.count() == 0, (name, shown.first.evaluate("e => e.outerHTML"))
        assert page.get_by_text("555 0101").first.is_visible(), name
    reader.go(reverse("lot", args=[lot.pk]))
    assert reader.page.get_by_text("1,120 lb each").is_visible()


@pytest.mark.django_db(transaction=True)
def test_the_pages_of_password_and_second_factor_are_in_nobody_s_way(visit, cast):
    person = with_password(cast.people["educator"])
    reader = visit("nobody", "phone")
    page = reader.page
    reader.go(reverse("account_login"))
    page.get_by_label("E-mail address").fill(person.email)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Set up the number")
    secret = page.locator(".long, code, kbd").last.inner_text().strip()
    page.get_by_label("Six figures").fill(phone_number(secret))
    page.get_by_role("button", name="Turn it on").click()
    expect(page.get_by_role("heading", level=1)).not_to_contain_text("Set up the number")
    findings = []
    for name in ("mfa_index", "account_change_password", "mfa_view_recovery_codes",
                 "mfa_generate_recovery_codes", "mfa_deactivate_totp"):  # fmt: skip
        findings += looked_at(reader, reverse(name))
    page.context.clear_cookies()
    reader.go(reverse("account_login"))
    page.get_by_label("E-mail address").fill(person.email)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page).to_have_url(re.compile(re.escape(reverse("mfa_authenticate"))))
    findings += looked_at(reader, reverse("mfa_authenticate"))
    assert not findings, "\n".join(findings)
