"""Whoever reads Spanish reads the sign-in, the test sheet and the verdict in Spanish."""

from __future__ import annotations

import sys
from typing import Any

import pytest
from django.urls import reverse

from haywright.words import catalogue
from tests.office.test_rights import read

SHEET = ("sheet", "sheet-pdf", "feed", "feed-pdf")


@pytest.fixture
def in_english(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """Keys said to a Spanish reader in English, for want of a translation."""
    found: set[str] = set()
    spanish = catalogue.catalogue("es")
    held = catalogue.text_of

    def noted(key: str, language: str) -> Any:
        if language == "es" and key not in spanish:
            found.add(key)
        return held(key, language)

    monkeypatch.setattr(sys.modules["haywright.words.say"], "text_of", noted)
    return found


def spanish(cast: Any, who: str) -> Any:
    person = cast.people[who]
    person.language = "es"
    person.save()
    return cast.client(who)


@pytest.mark.parametrize("name", SHEET)
def test_no_sentence_of_the_sheet_and_the_verdict_is_left_in_english(cast, sheet, in_english, name):
    answer = spanish(cast, "rancher").get(reverse(name, args=[sheet.pk]))
    assert answer.status_code == 200
    assert "materia seca" in read(answer)
    assert not in_english, sorted(in_english)
