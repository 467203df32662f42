"""Whoever reads Spanish reads the sign-in, the test sheet and the verdict in Spanish."""

from __future__ import annotations

import re
import sys
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from haywright.paper.typeset import UNPRINTABLE, printable_text
from haywright.words import catalogue
from tests.office.test_rights import read
from tests.office.test_units import visible

NUMERAL = re.compile(r"\d[\d,.]*\d|\d")

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


WAY = ("today", "lots", "lot-new", "me", "yard")


@pytest.mark.parametrize("name", [*WAY, "lot", "lot-change", "lot-stand", "lot-sell", "lot-heat"])
def test_a_rancher_finds_the_way_to_the_sheet_in_spanish(cast, lot, sheet, in_english, name):
    address = reverse(name) if name in WAY else reverse(name, args=[lot.pk])
    page = spanish(cast, "rancher").get(address).content.decode()
    assert '<html lang="es">' in page
    assert not in_english, sorted(in_english)


DOORS = ("sign-in", "sign-in-code", "account_login", "account_signup", "account_reset_password")


@pytest.mark.parametrize("name", DOORS)
def test_a_browser_that_asks_for_spanish_comes_in_through_spanish_doors(db, in_english, name):
    page = Client().get(reverse(name), headers={"Accept-Language": "es-MX,es;q=0.9,en;q=0.5"})
    assert '<html lang="es">' in page.content.decode()
    assert not in_english, sorted(in_english)


@pytest.mark.parametrize("secret", ["way-in", "join"])
def test_a_link_that_opens_nothing_says_so_in_spanish(db, in_english, secret):
    address, asked = reverse(secret, args=["no-such"]), {"Accept-Language": "es"}
    said = Client().post(address, headers=asked).content.decode()
    assert "no abre nada" in said
    assert not in_english, sorted(in_english)


def test_the_letter_goes_out_in_the_language_of_its_reader(cast, in_english, mailoutbox):
    spanish(cast, "rancher")
    asked = {"Accept-Language": "es"}
    Client().post(reverse("sign-in"), {"email": "rancher@example.org"}, headers=asked)
    assert mailoutbox[0].subject == "Su entrada a Haywright"
    assert "escriba este código" in mailoutbox[0].body
    assert not in_english


@pytest.mark.parametrize(
    ("asked", "language"),
    [
        ("es", "es"), ("es-US,es;q=0.9", "es"), ("en-US,en;q=0.9,es;q=0.8", "en"), ("", "en"),
        ("fr-CA,es;q=0.3", "es"), ("es;q=0,en", "en"), ("de", "en"), ("*", "en"),
    ],
)  # fmt: skip
def test_a_browser_is_answered_in_the_language_it_wants_most_of_ours(db, asked, language):
    page = Client().get(reverse("sign-in"), headers={"Accept-Language": asked}).content.decode()
    assert f'<html lang="{language}">' in page


def test_a_person_s_own_language_goes_before_the_browser_s(cast):
    client = spanish(cast, "rancher")
    page = client.get(reverse("me"), headers={"Accept-Language": "en"}).content.decode()
    assert '<html lang="es">' in page
    told = {"name": "R", "phone": "", "units": "us", "language": "en"}
    client.post(reverse("me"), told)
    assert '<html lang="en">' in client.get(reverse("me")).content.decode()


@pytest.mark.parametrize("name", ["sheet", "feed"])
def test_a_number_is_written_alike_in_both_languages(cast, sheet, name):
    """1,120.5 as it is printed on paper in the United States, whichever language is read."""
    client, address = cast.client("rancher"), reverse(name, args=[sheet.pk])
    english = NUMERAL.findall(visible(client.get(address).content.decode()))
    held = NUMERAL.findall(visible(spanish(cast, "rancher").get(address).content.decode()))
    assert sorted(english) == sorted(held)
    assert "1,120" in held


def test_the_paper_s_own_letters_print_every_spanish_text(cast, sheet):
    paper = read(spanish(cast, "rancher").get(reverse("sheet-pdf", args=[sheet.pk])))
    assert UNPRINTABLE not in paper
    for word in ("análisis", "nitrógeno", "energía", "página"):
        assert word.casefold() in paper.casefold(), word
    held = {*"¿¡ñÑáéíóúüÁÉÍÓÚÜ“”"}
    held |= {letter for one in catalogue.catalogue("es").values() for letter in one.text}
    assert not {one for one in held if printable_text(one) != one} - {"\n"}


@pytest.mark.parametrize("role", ["rancher", "educator", "technician", "lab_manager"])
def test_an_invitation_is_read_in_spanish(cast, in_english, role):
    from haywright.office.people.actions import invite
    from haywright.office.people.models import Role

    ranch = cast.ranch if role == "rancher" else None
    address = reverse(
        "join",
        args=[invite(cast.actor("office_admin"), "Rosa", Role(role), ranch=ranch, email="r@x.org")],
    )
    said = Client().get(address, headers={"Accept-Language": "es"}).content.decode()
    assert "Tiene una invitación" in said
    assert cast.office.name in said
    assert not in_english, sorted(in_english)
