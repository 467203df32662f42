"""No signal at the stack: the page opens from the phone, the bag waits on it and arrives once."""

from __future__ import annotations

import re
import socket
import threading
from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest
from django.urls import reverse
from playwright.sync_api import expect


class Mast:
    """What carries the signal to the office; it can be cut, and cut after the office has heard."""

    def __init__(self, port: int) -> None:
        self.to, self.up, self.deaf = port, True, False
        self.ear = socket.create_server(("127.0.0.1", 0))
        self.port = self.ear.getsockname()[1]
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        while True:
            try:
                phone, _ = self.ear.accept()
            except OSError:
                return
            if not self.up:
                phone.close()
                continue
            office = socket.create_connection(("127.0.0.1", self.to))
            for one, other, back in ((phone, office, False), (office, phone, True)):
                threading.Thread(
                    target=self._carry, args=(one, other), kwargs={"back": back}, daemon=True
                ).start()

    def _carry(self, one: socket.socket, other: socket.socket, *, back: bool) -> None:
        try:
            while data := one.recv(65536):
                if not self.up or (back and self.deaf):
                    break
                other.sendall(data)
        except OSError:
            pass
        for end in (one, other):
            end.close()


@pytest.fixture
def mast(live_server) -> Iterator[Mast]:
    held = Mast(urlsplit(live_server.url).port)
    yield held
    held.ear.close()


@pytest.fixture
def phone(visit, mast):
    """The educator's phone, with the mast between it and the office."""
    held = visit("educator", "phone")
    held.base = f"http://localhost:{mast.port}"
    cookie = held.page.context.cookies()[0]
    held.page.context.add_cookies(
        [{"name": cookie["name"], "value": cookie["value"], "url": held.base}]
    )
    return held


def ready_for_the_yard(phone, lot):
    phone.go(reverse("bag-new", args=[lot.pk]))
    expect(phone.page.locator("[data-shelved]")).to_be_visible()


def core(page, bales):
    page.get_by_label("Bales cored, by number").fill(bales)
    page.get_by_role("button", name="Seal it").click()


@pytest.mark.django_db(transaction=True)
def test_a_bag_sealed_without_a_signal_waits_on_the_phone_and_arrives_once(phone, mast, lot):
    ready_for_the_yard(phone, lot)
    mast.up = False
    phone.go(reverse("bag-new", args=[lot.pk]))
    core(phone.page, "1-20")
    expect(phone.page.get_by_role("status")).to_contain_text("is kept on this phone")
    phone.go(reverse("lot-plan", args=[lot.pk]))
    expect(phone.page.locator("h1")).to_contain_text("Core")
    phone.go(reverse("yard"))
    expect(phone.page.locator("[data-waiting]")).to_contain_text(lot.name)
    assert lot.bags.count() == 0
    mast.up = True
    phone.go(reverse("yard"))
    expect(phone.page.get_by_role("status")).to_contain_text("is handed over")
    expect(phone.page.locator("[data-waiting]")).to_have_text("")
    phone.go(reverse("lots"))
    expect(phone.page.locator("h1")).to_be_visible()
    assert lot.bags.get().bales_cored == 20


@pytest.mark.django_db(transaction=True)
def test_the_pages_of_a_day_are_kept_by_one_touch(phone, mast, lot):
    phone.go(reverse("yard"))
    phone.page.get_by_role("button", name="Keep these pages").click()
    expect(phone.page.locator("[data-shelved]")).to_be_visible()
    mast.up = False
    phone.go(reverse("lot-plan", args=[lot.pk]))
    expect(phone.page.locator("h1")).to_contain_text("Core")


@pytest.mark.django_db(transaction=True)
def test_two_bags_sealed_from_one_kept_page_are_two_bags(phone, mast, lot):
    ready_for_the_yard(phone, lot)
    mast.up = False
    for bales in ("1-20", "1-20"):
        phone.go(reverse("bag-new", args=[lot.pk]))
        core(phone.page, bales)
        expect(phone.page.get_by_role("status")).to_contain_text("is kept on this phone")
    mast.up = True
    phone.go(reverse("yard"))
    expect(phone.page.get_by_role("status")).to_have_count(2)
    assert lot.bags.count() == 2


@pytest.mark.django_db(transaction=True)
def test_an_answer_lost_on_its_way_makes_no_second_bag(phone, mast, lot):
    ready_for_the_yard(phone, lot)
    mast.deaf = True
    core(phone.page, "1-20")
    expect(phone.page.get_by_role("status")).to_contain_text("is kept on this phone")
    mast.deaf = False
    phone.go(reverse("yard"))
    expect(phone.page.get_by_role("status")).to_contain_text("is handed over")
    assert lot.bags.count() == 1


@pytest.mark.django_db(transaction=True)
def test_what_the_office_does_not_take_stays_and_is_asked_about(phone, mast, lot):
    ready_for_the_yard(phone, lot)
    mast.up = False
    phone.go(reverse("bag-new", args=[lot.pk]))
    core(phone.page, "1-900")
    expect(phone.page.get_by_role("status")).to_contain_text("is kept on this phone")
    mast.up = True
    phone.go(reverse("yard"))
    phone.page.get_by_role("link", name=re.compile("asks something")).click()
    expect(phone.page.get_by_label("Bales cored, by number")).to_have_value("1-900")
    core(phone.page, "1-900")
    expect(phone.page.locator(".error").first).to_be_visible()
    core(phone.page, "1-20")
    expect(phone.page.locator("h1")).to_contain_text(lot.office.code)
    phone.go(reverse("yard"))
    expect(phone.page.locator("[data-none]")).to_be_visible()
    assert lot.bags.get().bales_cored == 20


@pytest.mark.django_db(transaction=True)
def test_signing_out_takes_the_kept_pages_from_the_phone(phone, mast, lot):
    ready_for_the_yard(phone, lot)
    phone.page.get_by_role("button", name="Sign out").click()
    expect(phone.page.locator("h1")).to_contain_text("Sign in")
    assert phone.page.evaluate("caches.keys().then((held) => held.length)") == 0
