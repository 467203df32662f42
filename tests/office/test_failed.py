"""What is not there, too large, stale or broken is told in words, and nothing is kept by half."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from tests.office.test_sheet_pages import text


def test_a_page_that_is_not_there_says_so_in_words(cast):
    answer = cast.client("educator").get("/no/such/page")
    assert answer.status_code == 404
    assert "There is no such page here" in text(answer)


@pytest.mark.parametrize("name", ["batch-receive", "lots"])
def test_a_file_of_200_megabytes_is_refused_by_its_length(cast, name):
    class Never:
        def read(self, *_):
            raise AssertionError("it was read")

        readline = read

    client = cast.client("lab_manager")
    answer = client.post(reverse(name), CONTENT_LENGTH="200000000", **{"wsgi.input": Never()})
    assert answer.status_code == 413
    assert "too large to take" in text(answer)


def test_a_form_of_another_session_is_refused_in_words(cast, lot):
    client = Client(enforce_csrf_checks=True)
    client.force_login(cast.people["educator"], backend="django.contrib.auth.backends.ModelBackend")
    answer = client.post(reverse("lot-fed", args=[lot.pk]), {"fed": "on"})
    assert answer.status_code == 403
    assert "stood open too long" in text(answer)


def test_what_breaks_here_is_told_in_words_and_keeps_nothing(cast, lot, monkeypatch):
    from haywright.office.stack import actions

    def breaks(*_args, **_more):
        raise RuntimeError

    monkeypatch.setattr(actions, "describe_lot", breaks)
    client = cast.client("educator")
    client.raise_request_exception = False
    told = {"name": "Hill oats", "crop": "oats", "bales": "40"}
    answer = client.post(reverse("lot-new"), told)
    assert answer.status_code == 500
    assert "Nothing was half-written" in text(answer)
    assert list(type(lot).objects.all()) == [lot]
