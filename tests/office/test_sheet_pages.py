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
    plain = unescape(re.sub(r"<[^>]+>", " ", said)).replace("\N{WORD JOINER}", "")
    return re.sub(r"\s+", " ", plain).replace("\xa0", " ")


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
    told = {name: one for name, one in told.items() if one is not None}
    ranch = ranch_of(Checked({"name": "others", "group": [told]}, ""), "")
    return shown(version_of(sheet, "")).decide(ranch.groups[0])


@pytest.fixture
def amended(cast, lot, bag, sheet):
    """The same sheet after the laboratory sent a corrected nitrate."""
    amend(cast, lot, bag)
    return sheet


def amend(cast, lot, bag):
    """The laboratory sends a corrected nitrate of 1,480 mg/kg."""
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory

    told = [one.replace("1120", "1480") for one in TYPED]
    type_report(
        cast.actor("educator"), lot, told, profile=Laboratory(name="Plain laboratory"), bag=bag,
        reason="the laboratory sent another",
    )  # fmt: skip


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
        assert "In place of version 1." in said
        assert "Why: the laboratory sent another." in said
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
    assert "Its sheet is interim" in text(client.get(reverse("lot", args=[lot.pk])))


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
    assert 'href="tel:5550101"' in page.content.decode()
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


def pure_sheet(sheet, **asked):
    from haywright.office.sheet.queries import version_of
    from haywright.office.sheet.shown import shown

    return shown(version_of(sheet, ""), **asked).sample.sheet


def test_the_five_numbers_are_the_pure_ones_on_page_and_paper(cast, sheet):
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader

    words, client = Speaker(Reader()), cast.client("rancher")
    address = reverse("sheet", args=[sheet.pk])
    page, pdf = text(client.get(address)), paper(client.get(f"{address}sheet.pdf"))
    large = [one.result for one in pure_sheet(sheet).large if one.result is not None]
    assert len(large) == 5
    for one in large:
        said = words.value(one.estimate, one.analyte, unit=False)
        assert re.search(rf"(?<![\d.,]){re.escape(said)}(?![\d])", page), one.analyte
        assert re.search(rf"(?<![\d.,]){re.escape(said)}(?![\d])", pdf), one.analyte


def test_every_number_opens_and_says_what_the_pure_function_says(cast, sheet):
    from haywright.paper.number_matter import whole_value
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader

    words, client, whole = Speaker(Reader()), cast.client("rancher"), pure_sheet(sheet)
    front = client.get(reverse("sheet", args=[sheet.pk])).content.decode()
    for name, one in {**whole.measured, **whole.derived}.items():
        address = reverse("number", args=[sheet.pk, name])
        assert address in front
        said = f"{words.name(name)}: {whole_value(one, words)}".replace("\xa0", " ")
        assert said in text(client.get(address))


def test_energy_by_the_oklahoma_equation_leads_back_to_the_fiber_it_came_from(cast, sheet):
    """88.9 - 0.78 x 38.2 = 59.1, by hand, from the equation as Oklahoma State prints it."""
    client = cast.client("rancher")
    page = client.get(reverse("number", args=[sheet.pk, "tdn"]), {"tdn": "oklahoma"})
    assert "59.1 % of dry matter" in text(page)
    fiber = reverse("number", args=[sheet.pk, "adf"])
    assert f'{fiber}?version=1&amp;tdn=oklahoma"' in page.content.decode()
    back = client.get(fiber).content.decode()
    assert reverse("number", args=[sheet.pk, "tdn"]) in back


def test_the_doubt_of_laboratory_and_sampling_stand_apart(cast, lot):
    from haywright.measure.estimate import Estimate, Source
    from haywright.measure.result import Result
    from haywright.paper.number_matter import doubt_section
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader

    lab, bales = Source("bias:lab", "bias of the laboratory"), Source("sampling:1:cp", "bales")
    doubt = {lab: 0.3, bales: 0.4}
    one = Result("cp", Estimate.of(9.6, doubt), "%")
    rows = doubt_section(one, {}, Speaker(Reader()))["blocks"][0]["rows"]
    # 0.3 and 0.4 are the legs of 0.5: 9/25 and 16/25 of its square
    told = [(row[0], row[1], row[2]["text"].replace("\xa0", " ")) for row in rows]
    assert told == [("Bales", "sampling", "64 %"),
                    ("Bias of the laboratory", "the laboratory", "36 %")]  # fmt: skip


def test_every_equation_that_can_be_worked_stands_beside_the_others(cast, sheet):
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader

    words = Speaker(Reader())
    page = cast.client("educator").get(reverse("sheet", args=[sheet.pk]))
    worked = [one for one in pure_sheet(sheet).energy if one.energy]
    assert len(worked) > 3
    for one in worked:
        assert f'value="{one.method.name}"' in page.content.decode()
        assert words.equation(one.method.equation.id) in text(page)
        assert words.value(one.energy["tdn"].estimate, "tdn").replace("\xa0", " ") in text(page)
    assert "Equations this test is not enough for" in text(page)


def test_side_by_side_stand_the_pure_numbers_of_both_versions(cast, amended):
    from haywright.office.sheet.queries import version_of
    from haywright.office.sheet.shown import shown
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader

    words = Speaker(Reader())
    said = text(cast.client("rancher").get(reverse("compare", args=[amended.pk])))
    for number in ("1", "2"):
        whole = shown(version_of(amended, number)).sample.sheet
        for name, one in {**whole.measured, **whole.derived}.items():
            assert words.value(one.estimate, name).replace("\xa0", " ") in said


def test_the_amount_asked_for_stands_on_the_paper_as_on_the_page(cast, clean, sheet):
    client = cast.client("educator")
    asked = {**COWS, "intake": 26, "amount": 6}
    page = client.get(reverse("feed", args=[sheet.pk]), asked)
    assert "amount=6.0" in page.content.decode()
    pdf = paper(client.get(reverse("feed-pdf", args=[sheet.pk]), asked))
    day, bales = 6 * 40, 6 * 40 / 1120  # pounds for 40 head; the lot's bales weigh 1,120 lb
    share = 6 * 0.884 / 26  # of the day's dry matter; the hay holds 88.4 %
    for said in (text(page), pdf):
        assert f"For 40 head a day {day} lb" in said
        assert f"Bales a day for 40 head {bales:.1f}" in said
        assert f"by dry matter {100 * share:.0f} %" in said


def test_without_a_ranch_one_chooses_among_the_classes_of_stock(cast, sheet):
    from haywright.office.sheet.who_form import chooser_kinds

    client = cast.client("educator")
    page = client.get(reverse("feed", args=[sheet.pk])).content.decode()
    kinds = list(chooser_kinds())
    assert {one.species for one in kinds} == {"cattle", "sheep", "goat", "horse"}
    for one in kinds:
        assert f'name="group" value="{one.id}"' in page
    ewes = text(client.get(reverse("feed", args=[sheet.pk]), {"group": "ewes", "fed": "mixed"}))
    said = pure_decision(sheet, animals="Ewes", water_nitrate=None, drinks=None)
    assert said.verdict.question.classes[:2] == ("pregnant", "sheep")
    assert "Ewes:" in ewes


def test_what_else_they_eat_counts_as_assumed_and_is_printed_so(cast, sheet):
    client = cast.client("educator")
    asked = {**COWS, "intake": 26, "rest": 90}
    page = text(client.get(reverse("feed", args=[sheet.pk]), asked))
    pdf = paper(client.get(reverse("feed-pdf", args=[sheet.pk]), asked))
    for said in (page, pdf):
        assert "The rest of the feed counted at 90" in said
        assert "Assumed, not tested: the nitrate of the rest of the feed." in said
    untold = text(client.get(reverse("feed", args=[sheet.pk]), {**COWS, "intake": 26}))
    assert "Assumed, not tested" not in untold
    assert "no share yet" in untold


def test_guides_that_say_nothing_about_the_animals_are_named_in_one_line(cast, sheet):
    """One guide gives figures for horses and goes first; no other fills a row to say nothing."""
    horses = {"group": "horses", "fed": "mixed"}
    page = text(cast.client("educator").get(reverse("feed", args=[sheet.pk]), horses))
    said = pure_decision(sheet, animals="Horses", water_nitrate=None, drinks=None)
    silent = [one for one in said.verdict.strip[1:] if one.silent]
    assert len(silent) > 5
    assert page.count("say nothing about these animals") == 1
    assert "This guide says nothing about these animals" not in page
    after = page.split("say nothing about these animals:")[1]
    for one in silent:
        assert one.guide.institution in after


def test_whom_to_call_stays_in_sight_while_a_question_is_refused(cast, sheet):
    client, address = cast.client("educator"), reverse("feed", args=[sheet.pk])
    asked = client.get(address, {"group": "bred-cows"})
    refused = client.get(address, {"group": "bred-cows", "rest": "-5"})
    assert refused.status_code == 422
    assert "If an animal breathes hard" in text(asked)
    assert "If an animal breathes hard" in text(refused)
