"""What is sent wrongly, twice, late or by the wrong office: nothing lost, nothing doubled."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import html5lib
import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from tests.office.conftest import CORED, OATS
from tests.office.test_reports import report_of
from tests.office.test_rights import (
    address_of,
    addresses,
    keys,  # noqa: F401 - a fixture
)

SCRIPT = '"><script>alert(1)</script>'
TEXTS = ("text", "search", "tel")
# Sent last, because what they do closes what others are tried on.
CLOSING = ("lot-split", "lot-merge", "lot-carry", "lot-fed", "member-end")
# Nobody is let in or out while the others are tried, and no data is made.
LEFT_OUT = ("way-in", "join", "sign-in", "sign-in-code", "take-my-data", "account_logout")
WORDS = "{http://www.w3.org/1999/xhtml}"


def forms_of(page: str, address: str) -> Iterator[tuple[str, dict[str, str], list[str]]]:
    """Address, what stands in it and the text fields of each form that writes."""
    for form in html5lib.parse(page).iter(f"{WORDS}form"):
        if form.get("method", "").lower() != "post":
            continue
        held: dict[str, str] = {}
        texts = []
        for one in form.iter():
            kind, name = one.tag.removeprefix(WORDS), one.get("name", "")
            type_ = one.get("type", "text")
            if not name or name == "once":
                continue
            if kind == "textarea" or (kind == "input" and type_ in TEXTS):
                texts.append(name)
                held[name] = one.get("value", "") if kind == "input" else one.text or ""
            elif kind == "select":
                options = [o.get("value", "") for o in one.iter(f"{WORDS}option")]
                held[name] = next((o for o in options if o), "")
            elif kind == "input" and type_ in ("checkbox", "radio"):
                held.setdefault(name, one.get("value", "on"))
            elif kind == "input" and type_ != "file":
                held[name] = one.get("value", "") or {"number": "1", "date": "2026-09-08"}.get(
                    type_, ""
                )
        yield form.get("action") or address, held, texts


def told(client: Client, address: str, fields: dict[str, str], at: str) -> list[str]:
    """Where a script of ours came back as a script after a form was sent."""
    cache.clear()  # so many in a row would be asked to wait
    answer = client.post(address, fields, follow=True)
    assert answer.status_code < 500, (at, address)
    return [f"{at}: {address}"] if b"<script>alert" in answer.content else []


def tried(client: Client, name: str, address: str) -> list[str]:
    """Every text field of every form of a page with a script in it, alone and all together."""
    page = client.get(address)
    if "html" not in page.get("Content-Type", "") or page.status_code != 200:
        return []
    found = []
    for action, held, texts in forms_of(page.content.decode(), address):
        for one in texts:
            found += told(client, action, {**held, one: SCRIPT}, name)
        if texts:
            found += told(client, action, {**held, **dict.fromkeys(texts, SCRIPT)}, name)
    return found


def shown_on(client: Client, there: dict[str, str]) -> tuple[list[str], int]:
    """Pages on which a script is a script, and how often it stands as text."""
    found, as_text = [], 0
    for name, address in there.items():
        answer = client.get(address, follow=True)
        if "html" in answer.get("Content-Type", ""):
            page = answer.content.decode()
            found += [name] if "<script>alert" in page else []
            as_text += page.count("&lt;script&gt;alert(1)")
            assert "script-src 'self'" in answer["Content-Security-Policy"], name
    return found, as_text


def test_a_script_in_every_text_field_of_every_form_is_shown_and_never_part_of_a_page(
    cast, keys  # noqa: F811
):  # fmt: skip
    there = {
        name: address_of(name, held, keys)
        for name, held in addresses().items()
        if not name.startswith(("mfa_", "account_")) and name not in LEFT_OUT
    }
    order = [n for n in there if n not in CLOSING] + [n for n in there if n in CLOSING]
    findings: list[str] = []
    for who in ("educator", "lab_manager", "office_admin", "rancher", "technician"):
        client = cast.client(who)
        for name in order if who == "educator" else order[: -len(CLOSING)]:
            findings += tried(client, name, there[name])
        bad, as_text = shown_on(client, there)
        findings += [f"{who} sees it run on {one}" for one in bad]
        assert as_text or who == "technician", "no script came to stand on any page: nothing tried"
    assert not findings, "\n".join(findings)


@pytest.fixture
def far(cast) -> Any:
    """A bag of another office."""
    from haywright.office.bag.actions import seal_bag
    from haywright.office.stack.actions import describe_lot

    actor = cast.actor("stranger")
    lot = describe_lot(actor, {**OATS, "name": "Far oats"}, ranch=None, today=CORED.date())
    return seal_bag(actor, lot, {"cored_on": "2026-09-08", "tests": ["dm", "nitrate"]}, at=CORED)


def test_a_code_of_another_office_finds_nothing_here(cast, lot, far):
    client = cast.client("educator")
    for page in ("lots", "bags"):
        answer = client.get(reverse(page), {"q": far.code})
        assert answer.status_code == 200
        assert "Far oats" not in answer.content.decode()
        assert reverse("bag", args=[far.pk]) not in answer.content.decode()
    assert client.get(reverse("bag", args=[far.pk])).status_code == 404
    assert client.get(reverse("bags-ship"), {"bag": far.pk}).status_code == 404


def test_a_bag_is_not_exchanged_with_one_of_another_office(cast, bag, far):
    typed = {"other_code": far.code, "reason": "labels mixed up"}
    answer = cast.client("educator").post(reverse("bag-swap", args=[bag.pk]), typed)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert 'id="id_other_code_error"' in page
    assert f'value="{far.code}"' in page
    far.refresh_from_db()
    assert far.lot.name == "Far oats"


def test_results_of_a_bag_of_another_office_are_refused_whole(cast, bag, far):
    from haywright.measure.errors import HaywrightError
    from haywright.office.bench.actions import receive_results
    from haywright.office.bench.models import Batch, Result

    with pytest.raises(HaywrightError) as error:
        receive_results(cast.actor("lab_manager"), [report_of(far.code, held=False)])
    assert any(far.code in str(one.args) for one in error.value.messages())
    assert not Batch.objects.exists()
    assert not Result.objects.exists()


@pytest.mark.parametrize(
    ("field", "typed"),
    [("weight", "1,150 gal"), ("weight", "5 ft"), ("weathered_outside", "3 lb"),
     ("weight", "heavy")],
)  # fmt: skip
def test_a_wrong_unit_is_told_beside_its_field_and_nothing_typed_is_lost(cast, field, typed):
    from haywright.office.stack.models import Lot

    form = {"name": "Hill oats", "crop": "oats", "count": "40", "package": "5x4", field: typed}
    answer = cast.client("educator").post(reverse("lot-new"), form)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert f'id="id_{field}_error"' in page
    assert f'value="{typed}"' in page
    assert 'value="Hill oats"' in page
    assert not Lot.objects.exists()


def test_who_saves_second_is_told_what_changed_and_keeps_what_they_typed(cast, lot):
    address = reverse("lot-change", args=[lot.pk])
    first, second = cast.client("rancher"), cast.client("educator")
    form = {"name": lot.name, "crop": "oats", "count": "64", "weight": "1,120 lb",
            "field": lot.field, "version": lot.version}  # fmt: skip
    saved = first.post(address, {**form, "field": "upper field"})
    assert saved.status_code == 302
    answer = second.post(address, {**form, "name": "My own oats"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Nothing was overwritten" in page
    assert "corrected the lot: Rancher" in page
    assert "lower field, now upper field" in page
    assert 'value="My own oats"' in page
    lot.refresh_from_db()
    assert (lot.name, lot.field) == ("Lower oats", "upper field")


def amended(cast, lot, bag):
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory

    type_report(
        cast.actor("educator"), lot, ["nitrate=2300 ppm NO3-N dry matter"], bag=bag,
        profile=Laboratory(name="Plain laboratory"), reason="typed wrongly",
    )  # fmt: skip


def test_a_note_to_a_sheet_amended_since_comes_back_as_it_was_typed(cast, lot, bag, sheet):
    amended(cast, lot, bag)
    address = reverse("sheet-note", args=[sheet.pk])
    client = cast.client("educator")
    answer = client.post(address, {"note": "Half the day's feed.", "version": "1"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "This sheet was amended" in page
    assert "Half the day&#x27;s feed.</textarea>" in page
    assert "2,300" in page
    assert not sheet.notes.exists()
    client.post(address, {"note": "None of it.", "version": "2"})
    assert sheet.notes.get().text == "None of it."


def test_a_call_about_a_sheet_amended_since_is_not_written_to_numbers_nobody_read(
    cast, lot, bag, sheet
):
    from haywright.office.sheet.models import Call

    amended(cast, lot, bag)
    address = reverse("call", args=[sheet.pk])
    typed = {"called": "Wren Ochre", "reached": "on", "version": "1"}
    answer = cast.client("educator").post(address, typed)
    assert answer.status_code == 422
    assert 'value="Wren Ochre"' in answer.content.decode()
    assert "2,300" in answer.content.decode()
    assert not Call.objects.exists()
    assert cast.client("educator").post(address, {**typed, "version": "2"}).status_code == 302
    assert Call.objects.get().version.number == 2


@pytest.mark.parametrize("name", ["lot-photo", "lot-paper"])
def test_a_file_larger_than_is_kept_is_refused_in_words_beside_its_field(cast, lot, name, settings,
                                                                         tmp_path):  # fmt: skip
    from io import BytesIO

    from haywright.office.stack.kept import MOST_BYTES

    settings.MEDIA_ROOT = tmp_path
    large = BytesIO(b"\xff\xd8\xff" + bytes(MOST_BYTES))
    large.name = "stack.jpg"
    typed = {"photo": large, "shows": "the south face"}
    answer = cast.client("rancher").post(reverse(name, args=[lot.pk]), typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'id="id_photo_error"' in page
    assert 'value="the south face"' in page
    assert not lot.photos.exists()
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("lot-heat", {"degrees": "95"}),
        ("lot-sell", {"bales_sold": "4"}),
        ("lot-carry", {"bales_left": "10", "year": "2027"}),
    ],
)
def test_a_deed_sent_twice_is_done_once(cast, lot, name, typed):
    from haywright.office.ledger.models import Entry

    before = Entry.objects.count()
    address = reverse(name, args=[lot.pk])
    client = cast.client("rancher")
    first = client.post(address, {**typed, "once": "opened-once"})
    written = Entry.objects.count()
    assert first.status_code == 302
    assert written > before
    assert client.post(address, {**typed, "once": "opened-once"}).status_code == 302
    assert client.post(address, {**typed, "once": "another-tab"}).status_code == 302
    assert Entry.objects.count() == written
