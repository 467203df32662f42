"""Lots on their pages: described, corrected where they stand, divided, carried over, searched."""

from __future__ import annotations

import re
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from tests.office.conftest import OATS

SCRIPT = "<script>alert(1)</script>"
PNG = b"\x89PNG\r\n\x1a\n" + b"0" * 40
PDF = b"%PDF-1.7\n" + b"0" * 40


@pytest.fixture
def folder(settings, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "photos"
    return settings.MEDIA_ROOT


def sent(client, name, lot, data, *more):
    return client.post(reverse(name, args=[lot.pk, *more]), data)


def another(cast, name="Second oats", **facts):
    from haywright.office.stack.actions import describe_lot

    held = {**OATS, "name": name, **facts}
    return describe_lot(cast.actor("educator"), held, ranch=cast.ranch, today=date(2026, 8, 2))


def test_a_lot_is_described_with_six_fields(cast, db):
    from haywright.office.stack.models import Lot

    form = {"name": "Bench brome", "ranch": str(cast.ranch.pk), "crop": "bromegrass",
            "count": "40", "package": "5x4", "baled_on": "2026-07-20"}  # fmt: skip
    answer = cast.client("rancher").post(reverse("lot-new"), form)
    lot = Lot.objects.get(name="Bench brome")
    assert answer["Location"] == reverse("lot", args=[lot.pk])
    assert (lot.bales, lot.crop, lot.hay_year) == (40, "bromegrass", 2026)


def test_a_fact_is_corrected_where_it_stands_and_the_history_says_so_in_words(cast, lot):
    client = cast.client("rancher")
    answer = sent(client, "lot-fact", lot, {"crop": "barley", "version": lot.version}, "crop")
    assert answer.status_code == 302
    lot.refresh_from_db()
    assert (lot.crop, lot.facts["events"], lot.bales) == ("barley", ["hail"], 64)
    page = client.get(reverse("lot", args=[lot.pk])).content.decode()
    assert "Crop: Oats, now Barley" in page


def test_a_mixture_keeps_its_other_crops_when_its_bales_are_corrected(cast):
    mixed = another(cast, crop=["alfalfa", "bromegrass"])
    form = {"crop": "alfalfa", "also_crop": "bromegrass", "cutting": "2"}
    sent(cast.client("educator"), "lot-fact", mixed, form, "crop")
    mixed.refresh_from_db()
    assert (mixed.facts["crop"], mixed.cutting) == (["alfalfa", "bromegrass"], 2)


def test_a_wrong_unit_is_told_beside_the_field_with_what_was_typed_kept(cast, lot):
    form = {"count": "64", "package": "5x4", "weight": "1,150 acres", "version": lot.version}
    answer = sent(cast.client("educator"), "lot-fact", lot, form, "count")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="1,150 acres"' in page
    assert re.search(r'id="count_weight_error">[^<]*acres', page)
    lot.refresh_from_db()
    assert lot.version == 1


def test_a_weight_without_its_unit_is_asked_for_in_the_reader_s_own_units(cast):
    form = {"name": "Bench oats", "crop": "oats", "count": "40", "weight": "1250"}
    page = cast.client("educator").post(reverse("lot-new"), form).content.decode()
    told = re.search(r'id="id_weight_error">([^<]*)', page)
    assert told
    assert "Weight of one bale: “1250” has no unit" in told[1].replace("\N{NO-BREAK SPACE}", " ")
    assert "in lb" in told[1].replace("\N{NO-BREAK SPACE}", " ")


def test_two_tabs_do_not_overwrite_each_other_and_are_told(cast, lot):
    client = cast.client("educator")
    first = sent(client, "lot-fact", lot, {"field": "creek field", "version": 1}, "field")
    second = sent(client, "lot-fact", lot, {"field": "upper field", "version": 1}, "field")
    lot.refresh_from_db()
    assert (first.status_code, second.status_code) == (302, 422)
    assert lot.field == "creek field"
    page = second.content.decode()
    assert "Somebody else saved this in between" in page
    assert "upper field" in page


def test_the_same_form_twice_and_the_back_button_change_a_lot_once(cast, lot):
    from haywright.office.ledger.models import Entry

    client = cast.client("educator")
    form = {"field": "creek field", "version": 1, "once": "one-page-opened-once"}
    answers = [sent(client, "lot-fact", lot, form, "field").status_code for _ in range(2)]
    answers.append(sent(client, "lot-fact", lot, {**form, "once": "fetched-anew"}, "field"))
    assert answers[:2] == [302, 302]
    assert answers[2].status_code == 302
    assert Entry.objects.filter(deed="lot.change").count() == 1


def test_the_stack_is_entered_as_it_stands_and_drawn_with_what_is_out_of_reach(cast, lot):
    form = {
        "faces_1_name": "South", "faces_1_tiers": "3", "faces_1_columns": "16",
        "faces_1_reach": "2", "faces_2_name": "North", "faces_2_columns": "9, 7",
        "field_parts_1_name": "low end", "field_parts_1_bales": "1-30",
        "weeds_1_weed": "kochia", "weeds_1_share": "15", "unreached": "49", "version": lot.version,
    }  # fmt: skip
    assert sent(cast.client("educator"), "lot-stand", lot, form).status_code == 302
    lot.refresh_from_db()
    assert lot.facts["faces"][1] == {"name": "North", "columns": [9, 7]}
    assert lot.facts["weeds"] == {"kochia": "15 %"}
    page = cast.client("educator").get(reverse("lot", args=[lot.pk])).content.decode()
    assert "The 17 crossed bales cannot be reached: 27" in page  # tier 3 and bale 49, 17 of 64


def test_faces_with_more_bales_than_the_lot_are_refused_beside_the_faces(cast, lot):
    form = {"faces_1_name": "South", "faces_1_tiers": "9", "faces_1_columns": "16"}
    answer = sent(cast.client("educator"), "lot-stand", lot, form)
    assert answer.status_code == 422
    assert re.search(r'faces_1_columns_error">[^<]*144', answer.content.decode())


def test_the_page_draws_the_bales_of_the_newest_bag_in_the_order_they_were_walked(cast, lot, bag):
    from haywright.office.bag.actions import seal_bag
    from tests.office.conftest import CORED

    facts = {"cored_on": "2026-09-08", "tests": ["dm"], "bales": "40, 3, 17"}
    newest = seal_bag(cast.actor("educator"), lot, facts, at=CORED)
    page = cast.client("educator").get(reverse("lot", args=[lot.pk])).content.decode()
    assert f"The 3 filled bales were cored for bag {newest.code}" in page


def test_a_lot_is_divided_in_three_and_every_bale_goes_somewhere(cast, lot):
    form = {"name_1": "West", "bales_1": "20", "name_2": "East", "bales_2": "",
            "name_3": "Barn", "bales_3": "10"}  # fmt: skip
    assert sent(cast.client("rancher"), "lot-split", lot, form).status_code == 302
    assert {one.into.name: one.bales for one in lot.went.all()} == {
        "West": 20, "East": 34, "Barn": 10,
    }  # fmt: skip


@pytest.mark.parametrize(
    "bales",
    [("60", "60"), ("64", ""), ("-5", "69"), ("1e9", ""), ("٣", "x"), ("99999999999999999999", "")],
)
def test_a_division_that_does_not_add_up_is_refused_and_nothing_happens(cast, lot, bales):
    form = {"name_1": "West", "bales_1": bales[0], "name_2": "East", "bales_2": bales[1]}
    assert sent(cast.client("educator"), "lot-split", lot, form).status_code == 422
    lot.refresh_from_db()
    assert (lot.state, lot.went.count()) == ("here", 0)


def test_a_lot_sold_in_part_still_has_its_page_and_its_plan(cast, lot, bag):
    client = cast.client("educator")
    assert sent(client, "lot-sell", lot, {"bales_sold": "30", "buyer": SCRIPT}).status_code == 302
    for name in ("lot", "lot-plan", "lot-stand"):
        page = client.get(reverse(name, args=[lot.pk]))
        assert page.status_code == 200
        assert SCRIPT not in page.content.decode()


def test_more_bales_than_there_are_cannot_be_sold(cast, lot):
    answer = sent(cast.client("educator"), "lot-sell", lot, {"bales_sold": "65"})
    assert answer.status_code == 422
    assert lot.went.count() == 0


def test_only_lots_of_one_ranch_and_crop_are_stacked_as_one(cast, lot):
    brome = another(cast, "Brome", crop="bromegrass")
    client = cast.client("educator")
    form = {"merged_name": "All", "others": [str(brome.pk)]}
    assert sent(client, "lot-merge", lot, form).status_code == 422
    oats = another(cast)
    form = {"merged_name": "All", "others": [str(oats.pk)]}
    assert sent(client, "lot-merge", lot, form).status_code == 302
    assert lot.went.get().into.bales == 128


def test_hay_carried_over_is_not_tested_and_its_results_stay_with_the_bales_as_cored(
    cast, lot, bag, sheet
):
    client = cast.client("rancher")
    assert sent(client, "lot-carry", lot, {"bales_left": "50", "year": "2027"}).status_code == 302
    lot.refresh_from_db()
    carried = lot.went.get(kind="carried_over").into
    assert (lot.state, carried.state) == ("carried", "here")
    assert (carried.bales, carried.hay_year, carried.baled_on) == (50, 2027, lot.baled_on)
    assert (lot.results.count() > 0, carried.results.count(), carried.bags.count()) == (True, 0, 0)
    sent(client, "lot-fact", carried, {"field": "creek field", "version": 1}, "field")
    carried.refresh_from_db()
    assert (carried.field, carried.hay_year) == ("creek field", 2027)


@pytest.mark.parametrize("form", [{"bales_left": "65", "year": "2027"},
                                  {"bales_left": "50", "year": "2026"},
                                  {"bales_left": "50", "year": "2199"}])  # fmt: skip
def test_hay_is_not_carried_back_nor_more_of_it_than_is_left(cast, lot, form):
    assert sent(cast.client("educator"), "lot-carry", lot, form).status_code == 422
    assert lot.went.count() == 0


def test_a_lot_fed_up_is_closed_and_has_no_next_step(cast, lot):
    client = cast.client("rancher")
    assert sent(client, "lot-fed", lot, {"once": "not ticked"}).status_code == 422
    assert sent(client, "lot-fed", lot, {"fed_up": "on"}).status_code == 302
    page = client.get(reverse("lot", args=[lot.pk])).content.decode()
    assert "Plan the coring" not in page
    assert sent(client, "lot-fact", lot, {"field": "x"}, "field").status_code == 404


def test_the_seller_s_paper_is_kept_and_opened_from_the_lot(cast, lot, folder):
    client = cast.client("rancher")
    upload = SimpleUploadedFile("paper.pdf", PDF, "text/html")
    answer = sent(client, "lot-paper", lot, {"photo": upload, "shows": "scale ticket"})
    assert answer.status_code == 302
    paper = lot.photos.get()
    opened = client.get(reverse("photo", args=[lot.pk, paper.pk]))
    assert (opened.content, opened["Content-Type"]) == (PDF, "application/pdf")
    assert "scale ticket" in client.get(reverse("lot", args=[lot.pk])).content.decode()


@pytest.mark.parametrize("data", [b"<html>" + SCRIPT.encode(), PDF, b"", b"RIFF1234WAVEfmt "])
def test_what_is_no_photo_is_refused_beside_the_field(cast, lot, folder, data):
    upload = SimpleUploadedFile("hay.jpg", data, "image/jpeg")
    answer = sent(cast.client("rancher"), "lot-photo", lot, {"photo": upload, "shows": "hay"})
    assert answer.status_code == 422
    assert "photo_error" in answer.content.decode()
    assert not folder.exists()


def test_a_photo_of_200_megabytes_is_refused_without_being_read(cast, lot, folder, monkeypatch):
    class Large(BytesIO):
        size, name, content_type = 200_000_000, "hay.png", "image/png"
        chunked = False

        def read(self, *_: int) -> bytes:
            raise AssertionError

    from haywright.office.stack import deeds

    monkeypatch.setattr(deeds.PhotoForm, "is_valid", _with(Large()))
    small = SimpleUploadedFile("hay.png", PNG, "image/png")
    answer = sent(cast.client("rancher"), "lot-photo", lot, {"photo": small, "shows": "hay"})
    assert answer.status_code == 422
    assert "200000000" in answer.content.decode().replace(",", "")


def _with(upload):
    def is_valid(form):
        form.full_clean()
        form.cleaned_data["photo"] = upload
        return True

    return is_valid


def test_a_photo_whose_file_cannot_be_written_leaves_no_row(cast, lot, folder, monkeypatch):
    from haywright.office.stack.kept import keep_photo

    def full(*_: object) -> int:
        raise OSError

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(OSError):  # noqa: PT011 - the disk says no more
        keep_photo(cast.actor("rancher"), lot, PNG, "hay", folder=folder)
    assert lot.photos.count() == 0


DEEDS = ("lot-split", "lot-merge", "lot-sell", "lot-heat", "lot-photo", "lot-paper", "lot-carry",
         "lot-fed", "lot-stand", "lot-change")  # fmt: skip


@pytest.mark.parametrize("name", DEEDS)
@pytest.mark.parametrize("who", ["nobody", "neighbour", "stranger", "technician", "lab_manager"])
def test_a_deed_is_closed_to_who_may_not_do_it(cast, lot, name, who):
    client = cast.client(who)
    for answer in (client.get(reverse(name, args=[lot.pk])), sent(client, name, lot, {})):
        assert answer.status_code in (302, 403, 404)
        assert lot.name not in answer.content.decode()
    lot.refresh_from_db()
    assert (lot.version, lot.state) == (1, "here")


def test_a_script_in_every_text_of_a_lot_stays_text(cast, folder):
    lot = another(cast, SCRIPT, field=SCRIPT, faces=[{"name": SCRIPT, "tiers": 2, "columns": 4}],
                  field_parts=[{"name": SCRIPT, "bales": "1-4"}], variety=SCRIPT,
                  preservative=SCRIPT)  # fmt: skip
    client = cast.client("educator")
    sent(client, "lot-heat", lot, {"degrees": "90", "bale": SCRIPT})
    upload = SimpleUploadedFile("hay.png", PNG, "image/png")
    sent(client, "lot-photo", lot, {"photo": upload, "shows": SCRIPT})
    pages = [reverse("lots"), reverse("lots") + f"?q={SCRIPT}"]
    names = ("lot", "lot-plan", "lot-stand", "lot-change", "bag-new", "lot-split")
    pages += [reverse(name, args=[lot.pk]) for name in names]
    for address in pages:
        page = client.get(address)
        assert page.status_code == 200, address
        assert SCRIPT not in page.content.decode(), address


def test_the_next_step_follows_the_hay(cast, lot):
    from haywright.office.bag.models import Bag
    from haywright.office.stack.way import Stand, next_step

    actor, day = cast.actor("educator"), date(2026, 9, 20)
    bag = Bag(office=cast.office, lot=lot, cored_on=date(2026, 9, 8), stage="received")

    def step(lot, bags=(), sheet="", today=day):
        return next_step(Stand(lot, bags, bool(sheet), sheet), actor, today).does.key

    assert step(lot) == "office.next.plan"
    assert step(lot, [bag]) == "office.next.type"
    some = "01890000-0000-7000-8000-000000000000"
    assert step(lot, [bag], some) == "office.next.feed"
    assert step(lot, [bag], some, date(2027, 6, 1)) == "office.next.aged"
    bag.stage = "refused"
    assert step(lot, [bag]) == "office.next.refused"
    lot.form = "standing_crop"
    assert step(lot) == "office.next.cut"


def test_a_second_bag_the_plan_and_a_paper_report_are_reached_from_the_lot_at_any_time(
    cast, lot, sheet
):
    """Whatever the one next step is: hay comes with a report on paper, parts get a bag each."""
    deeds = [reverse(name, args=[lot.pk]) for name in ("lot-plan", "bag-new", "lot-report")]
    page = cast.client("rancher").get(reverse("lot", args=[lot.pk])).content.decode()
    assert all(f'href="{one}"' in page for one in deeds)
    manager = cast.client("lab_manager").get(reverse("lot", args=[lot.pk])).content.decode()
    assert not any(f'href="{one}"' in manager for one in deeds)


def test_the_curve_of_the_plan_moves_with_what_is_chosen(cast, lot):
    client, address = cast.client("educator"), reverse("lot-plan", args=[lot.pk])
    few = client.get(address, {"bales_to_core": "5", "purpose_of_test": "nutrients"})
    many = client.get(address, {"bales_to_core": "40", "purpose_of_test": "nutrients"})
    assert "Core 5 of the 64 bales" in few.content.decode()
    assert "5 cores: ±" in few.content.decode().replace("\N{NO-BREAK SPACE}", " ")
    assert "40 cores: ±" in many.content.decode().replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"bales_to_core": "65"}, "bales_to_core"),
        ({"half": "0.5"}, "half"),
        ({"precise_in": "cp"}, "half"),
        ({"probe": "18", "bore": "30"}, "bore"),
        ({"bore": "x"}, "bore"),
    ],
)
def test_a_plan_that_cannot_be_made_says_so_beside_what_was_chosen(cast, lot, asked, field):
    answer = cast.client("educator").get(reverse("lot-plan", args=[lot.pk]), asked)
    assert answer.status_code == 422
    assert f'id="id_{field}_error"' in answer.content.decode()


def test_lots_are_found_by_name_field_and_bag_code_and_the_filters_stay(cast, lot, bag):
    another(cast, "Brome", crop="bromegrass", field="hill")
    client = cast.client("educator")
    for asked in ({"q": "lower oats"}, {"q": "LOWER FIELD"}, {"q": bag.code}, {"crop": "oats"}):
        page = client.get(reverse("lots"), asked).content.decode()
        assert "Lower oats" in page, asked
        assert ">Brome</a>" not in page, asked
    for year in ("abc", "²", "٢٠٢٦", "9" * 40):
        hostile = {"q": "%' OR \x00 1=1 --", "crop": "x", "year": year, "state": "?", "after": "x"}
        assert client.get(reverse("lots"), hostile).status_code == 200


def test_a_list_is_turned_forward_and_back_with_every_lot_once(cast):
    names = [f"Lot {n:02}" for n in range(60)]
    for name in names:
        another(cast, name)
    client, seen, address = cast.client("educator"), [], reverse("lots") + "?crop=oats"
    while address:
        page = client.get(address).content.decode()
        seen.append(re.findall(r">(Lot \d\d)</a>", page))
        further = re.search(r'href="(\?[^"]*)" rel="next"', page)
        assert further is None or "crop=oats" in further[1]
        address = reverse("lots") + further[1].replace("&amp;", "&") if further else ""
    assert [one for held in seen for one in held] == names[::-1]
    back = re.search(r'href="(\?[^"]*)" rel="prev"', page)
    page = client.get(reverse("lots") + back[1].replace("&amp;", "&")).content.decode()
    assert re.findall(r">(Lot \d\d)</a>", page) == seen[-2]


def test_the_pages_of_hay_ask_the_database_a_fixed_number_of_times(
    cast, lot, bag, sheet, django_assert_max_num_queries
):
    client = cast.client("educator")
    for n in range(30):
        another(cast, f"Lot {n}")
    for address in (reverse("lot", args=[lot.pk]), reverse("lots"), reverse("bags")):
        with django_assert_max_num_queries(25):
            assert client.get(address).status_code == 200


def test_a_search_that_finds_nothing_says_so_and_leads_back_to_all(cast, lot, bag):
    client = cast.client("educator")
    for name, asked in (("lots", {"q": "nowhere"}), ("bags", {"q": "ZZZ"})):
        page = client.get(reverse(name), asked).content.decode()
        assert "here is like that" in page
        assert f'href="{reverse(name)}' in page.split("here is like that")[1]


def test_hay_is_not_baled_on_a_day_still_to_come(cast, lot):
    client = cast.client("rancher")
    form = {"name": "Early oats", "ranch": str(cast.ranch.pk), "crop": "oats",
            "count": "40", "baled_on": "2999-07-20"}  # fmt: skip
    said = client.post(reverse("lot-new"), form).content.decode()
    assert re.search(r'id="id_baled_on_error">That day is still to come', said)
    later = {"baled_on": "2999-07-20", "version": lot.version}
    assert "still to come" in sent(client, "lot-fact", lot, later, "baled_on").content.decode()
    lot.refresh_from_db()
    assert lot.version == 1


def test_a_limit_that_is_passed_is_told_with_the_limit_in_the_reader_s_own_units(cast, lot):
    client = cast.client("rancher")
    page = sent(client, "lot-heat", lot, {"degrees": "9999"}).content.decode()
    # 400 degrees Celsius are 400 x 9/5 + 32 = 752 degrees Fahrenheit
    assert re.search(r'id="id_degrees_error">Too much: 752 is the most', page)
    page = client.post(reverse("lot-new"), {"name": "x" * 130, "count": "0"}).content.decode()
    assert re.search(r'id="id_name_error">Too long: at most 120 letters', page)
    assert re.search(r'id="id_count_error">Too little: 1 is the least', page)
    assert "Ensure" not in page


def test_a_refusal_calls_a_field_by_the_name_it_has_on_the_page(cast):
    form = {"name": "Bench oats", "crop": "oats"}
    page = cast.client("educator").post(reverse("lot-new"), form).content.decode()
    assert re.search(r'id="id_count_error">Bales: say how many', page)
