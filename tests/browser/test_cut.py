"""The line is cut while a bag is sealed: no bag, or one; sent again it is one."""

from __future__ import annotations

import socket
import time
from contextlib import closing
from urllib.parse import urlencode, urlsplit

import pytest
from django.test import Client
from django.urls import reverse

FORM = {"cored_on": "2026-09-08", "taken": "probe", "tests": ["dm", "nitrate"], "bales": "1-20",
        "once": "sealed-in-the-yard"}  # fmt: skip


def sent_whole(cast, live_server, lot, part=1.0):
    """Send a bag's form over a socket of our own, or a part of it, and hang up at once."""
    client = cast.client("educator")
    address = reverse("bag-new", args=[lot.pk])
    guard = client.get(address).cookies["csrftoken"].value
    body = urlencode({**FORM, "csrfmiddlewaretoken": guard}, doseq=True).encode()
    at = urlsplit(live_server.url)
    head = (
        f"POST {address} HTTP/1.1\r\nHost: {at.netloc}\r\nConnection: close\r\n"
        f"Cookie: haywright={client.cookies['haywright'].value}; csrftoken={guard}\r\n"
        f"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {len(body)}\r\n\r\n"
    ).encode()
    with closing(socket.create_connection((at.hostname, at.port))) as line:
        line.sendall(head + body[: int(len(body) * part)])
        line.shutdown(socket.SHUT_WR)


def settled(count, wanted):
    """How many there are once the office is done with what it was sent."""
    for _ in range(100):
        if count() == wanted:
            break
        time.sleep(0.1)
    return count()


@pytest.mark.django_db(transaction=True)
def test_a_form_cut_off_half_way_seals_nothing_and_sent_again_seals_one(cast, live_server, lot):
    from haywright.office.bag.models import Bag, HandOver
    from haywright.office.ledger.models import Entry

    before = Entry.objects.count()
    sent_whole(cast, live_server, lot, part=0.7)
    client: Client = cast.client("educator")
    assert client.get(reverse("bags")).status_code == 200
    assert (Bag.objects.count(), HandOver.objects.count()) == (0, 0)
    assert Entry.objects.count() == before
    sent_whole(cast, live_server, lot)
    assert settled(Bag.objects.count, 1) == 1


@pytest.mark.django_db(transaction=True)
def test_a_bag_whose_answer_never_came_back_is_one_bag_when_it_is_sent_again(
    cast, live_server, lot
):
    from haywright.office.bag.models import Bag, HandOver

    for _ in range(3):
        sent_whole(cast, live_server, lot)
    assert settled(Bag.objects.count, 1) == 1
    answer = cast.client("educator").post(reverse("bag-new", args=[lot.pk]), FORM)
    assert answer.status_code == 302
    assert (Bag.objects.count(), HandOver.objects.count()) == (1, 1)
