"""The sheet and what may be fed of it, on their pages: numbers of the pure functions, in words."""

from __future__ import annotations

import io
import re
from html import unescape

import pytest
from django.urls import reverse
from pypdf import PdfReader

from tests.office.conftest import TYPED

COWS = {
    "group": "other", "animals": "bred-cows", "head": 40, "fed": "mixed", "pregnant": "yes",
    "water_nitrate": 2, "drinks": 12,
}  # fmt: skip


def text(answer):
    """What a page says, without its tags."""
    said = re.sub(
        r"<(script|style|template).*?</\1>", " ", answer.content.decode(), flags=re.DOTALL
    )
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", said))).replace("\xa0", " ")


def paper(answer):
    """What a PDF says."""
    pages = PdfReader(io.BytesIO(answer.content)).pages
    return re.sub(r"\s+", " ", " ".join(one.extract_text() for one in pages)).replace("\xa0", " ")


def pure_decision(sheet, **facts):
    from haywright.files.ranches import ranch_of
    from haywright.files.reading import Checked
    from haywright.office.sheet.queries import version_of
    from haywright.office.sheet.shown import shown

    told = {"animals": "Bred cows", "head": 40, "fed": "mixed", "pregnant": True,
            "water_nitrate": "2 mg/L NO3-N", "drinks": "12 gal", **facts}  # fmt: skip
    ranch = ranch_of(Checked({"name": "others", "group": [told]}, ""), "")
    return shown(version_of(sheet, "")).decide(ranch.groups[0])


@pytest.fixture
def amended(cast, lot, bag, sheet):
    """The same sheet after the laboratory sent a corrected nitrate."""
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory

    told = [one.replace("1120", "1480") for one in TYPED]
    type_report(
        cast.actor("educator"), lot, told, profile=Laboratory(name="Plain laboratory"), bag=bag,
        reason="the laboratory sent another",
    )  # fmt: skip
    return sheet


@pytest.fixture
def clean(cast):
    """Other hay of the same ranch, so that the rest of the day's feed is known."""
    from datetime import date

    from haywright.office.bench.actions import type_report
    from haywright.office.stack.actions import describe_lot
    from haywright.sheet.typed import Laboratory
    from tests.office.conftest import OATS

    told = {**OATS, "name": "Clean brome", "crop": "bromegrass"}
    lot = describe_lot(cast.actor("educator"), told, ranch=cast.ranch, today=date(2026, 8, 2))
    type_report(
        cast.actor("educator"), lot, ["dm=88 %", "nitrate=90 ppm NO3-N dry matter"],
        profile=Laboratory(name="Plain laboratory"),
    )  # fmt: skip
    return lot


def test_the_amount_stops_at_the_share_of_what_one_eats(cast, clean, sheet):
    from haywright.measure.units import convert
    from haywright.way.how_much import how_much

    much = how_much(pure_decision(sheet, intake="26 lb"))
    assert much is not None
    assert 0 < much.share < 1
    dm = 0.884  # of the report the sheet was typed from
    by_hand = much.share * 26 / dm
    assert convert(much.per_head, "kg", "lb") == pytest.approx(by_hand, rel=1e-9)
    most = int(by_hand / 0.5) * 0.5
    address = reverse("feed", args=[sheet.pk])
    client = cast.client("educator")
    page = client.get(address, {**COWS, "intake": 26})
    assert f'max="{most}"' in page.content.decode()
    bales = most * 40 / 1120  # the lot's bales weigh 1,120 lb
    assert f"Bales a day for 40 head {bales:.1f}" in text(page)
    more = client.get(address, {**COWS, "intake": 26, "amount": most + 1})
    assert more.status_code == 422
    assert f"At most {most:g} lb" in text(more)


def test_without_what_one_eats_no_weight_is_given(cast, clean, sheet):
    page = cast.client("educator").get(reverse("feed", args=[sheet.pk]), COWS)
    assert "What one eats in a day is not known" in text(page)
    assert 'name="amount"' not in page.content.decode()


@pytest.mark.parametrize(
    ("typed", "field"), [({"animals": "unicorns"}, "animals"), ({"intake": "much"}, "intake")]
)
def test_whom_nobody_knows_is_refused_beside_the_field(cast, sheet, typed, field):
    page = cast.client("educator").get(reverse("feed", args=[sheet.pk]), {**COWS, **typed})
    assert page.status_code == 422
    assert f'id="id_{field}_error"' in page.content.decode()


def test_page_and_paper_say_the_same_of_animals_one_names(cast, sheet):
    asked = {**COWS, "intake": 26}
    client = cast.client("educator")
    page = client.get(reverse("feed", args=[sheet.pk]), asked)
    pdf = paper(client.get(reverse("feed-pdf", args=[sheet.pk]), asked))
    from haywright.office.sheet.queries import version_of
    from haywright.office.sheet.shown import shown
    from haywright.words import Reader

    said = shown(version_of(sheet, "")).decision(pure_decision(sheet, intake="26 lb"), Reader())
    for sentence in said["verdict"]:
        assert sentence.replace("\xa0", " ") in text(page)
        assert sentence.replace("\xa0", " ") in pdf
    assert "555 0101" in text(page)
    assert "555 0101" in pdf


def test_each_number_tells_how_it_came_about_and_who_kept_it(cast, sheet):
    client = cast.client("rancher")
    front = client.get(reverse("sheet", args=[sheet.pk])).content.decode()
    address = reverse("number", args=[sheet.pk, "nitrate_n"])
    assert address in front
    page = text(client.get(address))
    assert "1,120 mg/kg" in page
    assert "Educator" in page
    derived = text(client.get(reverse("number", args=[sheet.pk, "tdn"])))
    assert "worked out from other numbers" in derived
    assert "Acid detergent fiber" in derived
    assert client.get(reverse("number", args=[sheet.pk, "moonlight"])).status_code == 404


def test_another_tdn_equation_changes_page_and_paper_alike_and_says_so(cast, sheet):
    from haywright.office.sheet.queries import version_of
    from haywright.office.sheet.shown import shown
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader

    version = version_of(sheet, "")
    names = [one.method.name for one in shown(version).sample.sheet.energy if one.energy]
    other = next(
        name for name in names
        if shown(version, tdn=name).sample.sheet.get("tdn").value
        != shown(version).sample.sheet.get("tdn").value
    )  # fmt: skip
    words = Speaker(Reader())
    one = shown(version, tdn=other).sample.sheet.get("tdn")
    value = words.value(one.estimate, "tdn", unit=False)
    client = cast.client("educator")
    page = text(client.get(reverse("sheet", args=[sheet.pk]), {"tdn": other}))
    pdf = paper(client.get(reverse("sheet-pdf", args=[sheet.pk]), {"tdn": other}))
    for said in (page, pdf):
        assert f"Energy is worked out here by {words.equation(one.equation)}" in said
    assert value in page
    assert value in pdf
    plain = text(client.get(reverse("sheet", args=[sheet.pk]), {"tdn": "no such"}))
    assert "Energy is worked out here" not in plain


def test_two_versions_stand_side_by_side_with_what_changed_first(cast, amended):
    client = cast.client("rancher")
    page = client.get(reverse("compare", args=[amended.pk]))
    assert "1,120 mg/kg" in text(page)
    assert "1,480 mg/kg" in text(page)
    assert "the laboratory sent another" in text(page)
    rows = re.findall(r'<th scope="row">(.*?)</th>', page.content.decode())
    marked = [one.startswith("<mark>") for one in rows]
    assert any(marked)
    assert marked == sorted(marked, reverse=True)
    assert any("Nitrate" in one for one in rows if one.startswith("<mark>"))


def test_an_older_version_says_that_a_newer_one_stands_in_its_place(cast, amended):
    client = cast.client("rancher")
    old = text(client.get(reverse("sheet", args=[amended.pk]), {"version": 1}))
    assert "AN OLDER VERSION" in old
    assert "1,120" in old
    assert "Version 2 stands in its place" in old
    printed = paper(client.get(reverse("sheet-pdf", args=[amended.pk]), {"version": 1}))
    assert "AN OLDER VERSION" in printed
    assert "Version 2 stands in its place" in printed
    new = text(client.get(reverse("sheet", args=[amended.pk])))
    assert "AN OLDER VERSION" not in new


def test_an_amended_sheet_says_what_changed_and_why_on_page_and_paper(cast, amended):
    client = cast.client("rancher")
    address = reverse("sheet", args=[amended.pk])
    for said in (text(client.get(address)), paper(client.get(f"{address}sheet.pdf"))):
        assert "AMENDED" in said
        assert "It stands in place of version 1. Why: the laboratory sent another." in said
        assert re.search(r"Nitrate as nitrate-nitrogen \(NO.-N\) 1,120, now 1,480", said)


def test_an_interim_sheet_names_what_is_still_to_come_on_page_and_paper(cast, lot, bag):
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory

    told = [one for one in TYPED if not one.startswith("nitrate")]
    type_report(cast.actor("educator"), lot, told, profile=Laboratory(name="Plain laboratory"),
                bag=bag)  # fmt: skip
    address = reverse("sheet", args=[lot.sheets.get().pk])
    client = cast.client("rancher")
    for said in (text(client.get(address)), paper(client.get(f"{address}sheet.pdf"))):
        assert "INTERIM" in said
        assert re.search(r"Still to come: [^.]*[Nn]itrate", said)


def test_a_link_for_reading_is_listed_and_ends_when_it_is_ended(cast, sheet):
    from haywright.office.sheet.actions import make_link
    from haywright.office.sheet.models import ReadLink

    secret = make_link(cast.actor("educator"), sheet)
    nobody, educator = cast.client("nobody"), cast.client("educator")
    assert nobody.get(reverse("read", args=[secret])).status_code == 200
    page = educator.get(reverse("sheet", args=[sheet.pk])).content.decode()
    link = ReadLink.objects.get()
    end = reverse("link-end", args=[sheet.pk, link.pk])
    assert end in page
    educator.post(end)
    ended = nobody.get(reverse("read", args=[secret]))
    assert ended.status_code == 410
    assert "This link was withdrawn" in text(ended)
    assert "555 0100" in text(ended)
    page = educator.get(reverse("sheet", args=[sheet.pk]))
    assert end not in page.content.decode()
    assert "withdrawn" in text(page)


def test_a_link_that_ran_out_says_whom_to_ask_and_one_that_never_was_says_so(cast, sheet):
    from datetime import timedelta

    from django.utils import timezone

    from haywright.office.sheet.actions import digest
    from haywright.office.sheet.models import ReadLink

    link = ReadLink.objects.create(
        sheet=sheet, digest=digest("short"), by=cast.people["educator"],
        ends_at=timezone.now() + timedelta(days=1),
    )  # fmt: skip
    ReadLink.objects.filter(pk=link.pk).update(
        made_at=timezone.now() - timedelta(days=2), ends_at=timezone.now() - timedelta(days=1)
    )
    nobody = cast.client("nobody")
    over = nobody.get(reverse("read", args=["short"]))
    assert over.status_code == 410
    assert "This link ran out on" in text(over)
    assert "Sedge County hay office for another: 555 0100" in text(over)
    never = nobody.get(reverse("read", args=["no-such"]))
    assert never.status_code == 404
    assert "This link opens nothing" in text(never)


def test_who_reads_by_a_link_has_the_number_to_call_in_sight(cast, sheet):
    from haywright.office.sheet.actions import make_link

    page = cast.client("nobody").get(reverse("read", args=[make_link(cast.actor("educator"),
                                                                     sheet)]))  # fmt: skip
    assert 'href="tel:555 0101"' in page.content.decode()
    assert page["Referrer-Policy"] == "no-referrer"


def test_the_office_s_own_words_stand_on_page_and_paper(cast, sheet):
    client = cast.client("educator")
    address = reverse("sheet", args=[sheet.pk])
    client.post(reverse("sheet-note", args=[sheet.pk]),
                {"note": "Feed it after the frost.\nCall me first.", "version": 1})  # fmt: skip
    for said in (text(client.get(address)), paper(client.get(f"{address}sheet.pdf"))):
        assert "Feed it after the frost." in said
        assert "Call me first." in said
        assert "Educator, " in said


def test_who_sampled_and_which_laboratory_stand_apart_on_page_and_paper(cast, lot):
    from haywright.office.bag.actions import seal_bag
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory
    from tests.office.conftest import CORED

    facts = {"cored_on": "2026-09-08", "taken": "probe", "tests": ["nitrate"], "bales": "1-20",
             "sampler": "N. Coring"}  # fmt: skip
    bag = seal_bag(cast.actor("educator"), lot, facts, at=CORED)
    type_report(cast.actor("educator"), lot, TYPED, profile=Laboratory(name="Plain laboratory"),
                bag=bag)  # fmt: skip
    client = cast.client("rancher")
    address = reverse("sheet", args=[lot.sheets.get().pk])
    for said in (text(client.get(address)), paper(client.get(f"{address}sheet.pdf"))):
        assert re.search(r"N\. Coring(?! ?, Plain)", said)
        assert "Plain laboratory" in said


@pytest.mark.parametrize("deed", ["sheet-note", "sheet-link", "call"])
def test_a_deed_on_a_version_that_was_amended_is_refused_and_what_was_typed_stays(
    cast, amended, deed
):
    from haywright.office.sheet.models import Call, Note, ReadLink

    typed = {"note": "Half the feed is right.", "called": "Juniper Flat", "said": "They will wait.",
             "version": 1, "once": "tab-one"}  # fmt: skip
    client = cast.client("educator")
    answer = client.post(reverse(deed, args=[amended.pk]), typed, follow=True)
    assert "This sheet was amended while you had it open: version 2" in text(answer)
    assert not Note.objects.exists()
    assert not ReadLink.objects.exists()
    assert not Call.objects.exists()
    kept = {"sheet-note": ["Half the feed is right."], "call": ["Juniper Flat", "They will wait."]}
    for words in kept.get(deed, []):
        assert words in answer.content.decode()
    if deed != "sheet-link":
        assert answer.status_code == 422
    again = client.post(reverse(deed, args=[amended.pk]), {**typed, "version": 2}, follow=True)
    assert again.status_code == 200
    assert Note.objects.count() + ReadLink.objects.count() + Call.objects.count() == 1
