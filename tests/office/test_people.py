"""Who belongs where, what a ranch feeds, and what a person may take along."""

from __future__ import annotations

import io
import json
import re
import zipfile

import pytest
from django.core.cache import cache
from django.urls import reverse

from tests.office.conftest import OATS


@pytest.fixture(autouse=True)
def fresh_counts():
    cache.clear()


def member_of(cast, name):
    from haywright.office.people.models import Membership

    return Membership.objects.get(person=cast.people[name], office=cast.office)


def end(cast, name, reason="sold the place", by="office_admin"):
    address = reverse("member-end", args=[member_of(cast, name).pk])
    return cast.client(by).post(address, {"reason": reason})


def test_who_left_is_out_and_what_they_did_stays(cast, lot):
    from haywright.office.ledger.models import Entry

    client = cast.client("educator")
    assert end(cast, "educator").status_code == 302
    assert client.get(reverse("lot", args=[lot.pk])).status_code != 200
    assert Entry.objects.filter(who=cast.people["educator"].pk, deed="lot.describe").exists()
    assert Entry.objects.get(deed="person.end").reason == "sold the place"


def test_nobody_leaves_without_a_reason(cast):
    assert end(cast, "rancher", " ").status_code == 422
    assert member_of(cast, "rancher").until is None


def test_the_last_office_admin_stays(cast):
    answer = end(cast, "office_admin")
    assert answer.status_code == 422
    assert "looks after the office" in answer.content.decode()


def test_leaving_ends_the_keys_and_squares_held_here(cast):
    from haywright.office.people.actions import print_way_in
    from haywright.office.people.links import take_link
    from haywright.office.people.tokens import make_token, token_of

    square = print_way_in(cast.actor("educator"), member_of(cast, "rancher"))
    key = make_token(cast.actor("rancher"), "scale", ["stack:read"])
    end(cast, "rancher")
    assert take_link(square) is None
    assert token_of(key) is None


def test_a_neighbour_s_and_another_office_s_member_cannot_be_ended_by_others(cast):
    address = reverse("member-end", args=[member_of(cast, "rancher").pk])
    assert cast.client("educator").post(address, {"reason": "no"}).status_code == 403
    assert cast.client("stranger").post(address, {"reason": "no"}).status_code == 404


def test_a_person_of_two_offices_goes_from_one_into_the_other(cast):
    from haywright.office.people.models import Membership, Office

    far = Office.objects.get(code="FAR")
    Membership.objects.create(person=cast.people["educator"], office=far, role="technician")
    client = cast.client("educator")
    assert cast.office.name in client.get(reverse("today")).content.decode()
    client.post(reverse("choose-office"), {"office": str(far.pk)})
    page = client.get(reverse("bags")).content.decode()
    assert far.name in page
    assert client.get(reverse("lots")).status_code == 403
    for wrong in ("", "nonsense", str(member_of(cast, "rancher").pk)):
        assert client.post(reverse("choose-office"), {"office": wrong}).status_code == 404


def test_nobody_goes_into_an_office_they_do_not_belong_to(cast):
    from haywright.office.people.models import Office

    far = Office.objects.get(code="FAR")
    client = cast.client("educator")
    assert client.post(reverse("choose-office"), {"office": str(far.pk)}).status_code == 404
    assert "office" not in client.session


ME = {"name": "Rosa  Larkin", "phone": "555 0142", "units": "si", "language": "en"}


def test_a_person_corrects_their_own_page_and_the_history_keeps_no_words_of_it(cast):
    from haywright.office.ledger.models import Entry

    cast.client("rancher").post(reverse("me"), ME)
    person = cast.people["rancher"]
    person.refresh_from_db()
    assert (person.name, person.phone, person.units) == ("Rosa Larkin", "555 0142", "si")
    entry = Entry.objects.get(deed="person.change")
    assert entry.after == {"fields": ["name", "phone", "units"]}


def test_a_person_keeps_a_name(cast):
    answer = cast.client("rancher").post(reverse("me"), {**ME, "name": " "})
    assert answer.status_code == 422
    assert "555 0142" in answer.content.decode()


def test_signing_out_everywhere_ends_every_session(cast):
    one, other, neighbour = (cast.client(n) for n in ("rancher", "rancher", "neighbour"))
    one.post(reverse("sign-out-everywhere"))
    assert one.get(reverse("today")).status_code == 302
    assert other.get(reverse("today")).status_code == 302
    assert neighbour.get(reverse("today")).status_code == 200


COWS = {
    "guide": "", "groups": "2", "g0_name": "the bred cows", "g0_animals": "bred cows",
    "g0_head": "46", "g0_fed": "mixed", "g0_weight": "1,250", "g0_intake": "25 lb",
    "g0_water_nitrate": "5", "g0_drinks": "11", "g0_pregnant": "yes",
}  # fmt: skip


def animal():
    """A kind the table of stock has."""
    from haywright.sources.animals import animals

    return animals("bred cows").name


def keep(cast, by="rancher", ranch=None, **typed):
    ranch = ranch or cast.ranch
    ranch.refresh_from_db()
    form = {**COWS, "g0_animals": animal(), "version": ranch.version, **typed}
    return cast.client(by).post(reverse("ranch", args=[ranch.pk]), form)


def test_herd_groups_are_kept_in_the_ranch_form_s_own_words(cast):
    from haywright.files.ranches import ranch_of
    from haywright.files.reading import Checked

    assert keep(cast).status_code == 302
    cast.ranch.refresh_from_db()
    (group,) = cast.ranch.facts["group"]
    assert group == {
        "name": "the bred cows", "animals": animal(), "head": 46, "fed": "mixed",
        "weight": "1,250 lb", "intake": "25 lb", "water_nitrate": "5 mg/L NO3-N",
        "drinks": "11 gal", "pregnant": True,
    }  # fmt: skip
    (pure,) = ranch_of(Checked({"name": "x", **cast.ranch.facts}, "x"), "x").groups
    # the pound: 0.45359237 kg (international yard and pound agreement, 1959)
    assert pure.weight == pytest.approx(1250 * 0.45359237)
    assert pure.pregnant is True


def test_what_the_page_does_not_ask_stays_as_it_was(cast):
    cast.ranch.facts = {
        "turnout": "2027-05-08",
        "group": [
            {"name": "cows", "animals": "bred cows", "head": 40, "fed": "mixed",
             "calving": "2027-03-10"}
        ],
    }  # fmt: skip
    cast.ranch.save()
    keep(cast)
    cast.ranch.refresh_from_db()
    assert cast.ranch.facts["turnout"] == "2027-05-08"
    assert cast.ranch.facts["group"][0]["calving"] == "2027-03-10"
    assert cast.ranch.facts["group"][0]["head"] == 46


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("g0_head", "many"),
        ("g0_head", "0"),
        ("g0_weight", "9,000 lb"),
        ("g0_weight", "12 quarts"),
        ("g0_water_nitrate", "x"),
        ("g0_fed", ""),
        ("g0_animals", ""),
    ],
)
def test_a_wrong_fact_is_refused_beside_its_field_and_nothing_typed_is_lost(cast, field, value):
    answer = keep(cast, **{field: value})
    assert answer.status_code == 422
    form = answer.context["form"]
    assert field in form.errors, dict(form.errors)
    assert "the bred cows" in answer.content.decode()
    cast.ranch.refresh_from_db()
    assert cast.ranch.facts == {}


def test_the_refusal_stands_at_the_group_it_concerns_when_one_before_is_empty(cast):
    typed = {name.replace("g0", "g1"): value for name, value in COWS.items() if "g0" in name}
    empty = {name: "" for name in COWS if name.startswith("g0")}
    answer = keep(cast, **{**empty, **typed, "g1_animals": animal(), "g1_head": "many"})
    assert set(answer.context["form"].errors) == {"g1_head"}


def test_clearing_a_group_takes_it_off(cast):
    keep(cast)
    keep(cast, **{name: "" for name in COWS if name.startswith("g0")})
    cast.ranch.refresh_from_db()
    assert cast.ranch.facts.get("group", []) == []


def test_a_page_opened_before_somebody_else_saved_overwrites_nothing(cast):
    keep(cast)
    answer = keep(cast, by="educator", version=1, g0_head="99")
    assert answer.status_code == 422
    assert "Nothing was overwritten" in answer.content.decode()
    cast.ranch.refresh_from_db()
    assert cast.ranch.facts["group"][0]["head"] == 46


def test_a_rancher_sees_only_their_own_ranch(cast):
    page = cast.client("rancher").get(reverse("ranches")).content.decode()
    assert cast.ranch.name in page
    assert cast.other_ranch.name not in page
    other = cast.client("rancher").get(reverse("ranch", args=[cast.other_ranch.pk]))
    assert other.status_code == 404
    both = cast.client("educator").get(reverse("ranches")).content.decode()
    assert cast.ranch.name in both
    assert cast.other_ranch.name in both


def test_an_educator_writes_down_a_ranch(cast):
    answer = cast.client("educator").post(reverse("ranch-new"), {"name": "Sage Bench"})
    page = cast.client("educator").get(answer["Location"]).content.decode()
    assert "Sage Bench" in page
    again = cast.client("educator").post(reverse("ranch-new"), {"name": "sage bench"})
    assert again.status_code == 422


def taken(cast, name):
    answer = cast.client(name).get(reverse("take-my-data"))
    archive = zipfile.ZipFile(io.BytesIO(answer.content))
    return archive, json.loads(archive.read("my-data.json"))


@pytest.fixture
def others(cast, sheet):
    """The neighbour's own lot, tested and pictured, beside the rancher's."""
    from datetime import date

    from haywright.office.bench.actions import type_report
    from haywright.office.stack.actions import describe_lot
    from haywright.sheet.typed import Laboratory
    from tests.office.conftest import TYPED

    made = describe_lot(
        cast.actor("educator"), {**OATS, "name": "Neighbour's meadow"}, ranch=cast.other_ranch,
        today=date(2026, 8, 2),
    )  # fmt: skip
    lab = Laboratory(name="Plain laboratory")
    type_report(cast.actor("educator"), made, TYPED, profile=lab)
    return made


PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108060000001f15c4890000000d4944415478da63"
    "64f8cf500f0003860180d9b3f8ea0000000049454e44ae426082"
)


def picture_of(cast, lot, by):
    from django.core.files.uploadedfile import SimpleUploadedFile

    sent = {"photo": SimpleUploadedFile("a.png", PNG, "image/png"), "shows": f"seen by {by}"}
    answer = cast.client(by).post(reverse("lot-photo", args=[lot.pk]), sent)
    assert answer.status_code == 302, answer.content.decode()


def test_a_rancher_takes_along_everything_of_theirs(cast, lot, bag, sheet, others):
    picture_of(cast, lot, "rancher")
    archive, found = taken(cast, "rancher")
    assert found["person"]["email"] == cast.people["rancher"].email
    assert [one["name"] for one in found["lots"]] == [lot.name]
    assert [one["code"] for one in found["bags"]] == [bag.code]
    assert {one["analyte"] for one in found["results"]} >= {"cp", "nitrate_n"}
    assert found["sheets"][0]["snapshot"]
    assert {one["deed"] for one in found["history"]} >= {"lot.describe", "bag.seal"}
    (photo,) = found["photos"]
    assert archive.read(photo["file"]) == PNG


def test_nothing_of_anybody_else_is_in_what_one_takes_along(cast, lot, sheet, others):
    picture_of(cast, others, "neighbour")
    for name in ("rancher", "educator", "technician", "lab_manager", "office_admin", "stranger"):
        archive, found = taken(cast, name)
        text = json.dumps(found)
        strange = {cast.people[one] for one in cast.people if one != name}
        for person in strange:
            assert str(person.pk) not in text, (name, person)
            assert str(person.email) not in text, (name, person)
        theirs = [cast.other_ranch.name, others.name, str(others.pk)]
        if name != "rancher":
            theirs += [cast.ranch.name, lot.name, str(lot.pk)]
        for one in theirs:
            assert one not in text, (name, one)
        assert archive.namelist() == ["my-data.json"]


def test_every_part_of_the_file_is_documented(cast, lot):
    from haywright.office.people import taken as module

    _, found = taken(cast, "rancher")
    described = {line.split("  ")[0] for line in module.__doc__.splitlines() if "  " in line}
    assert described == set(found)


OFFICE = {
    "name": "Sedge County hay office", "code": "SDG", "units": "us", "language": "en",
    "guide": "", "call_name": "Sedge veterinary practice", "call_phone": "555 0101",
    "phone": "555 0100", "call_line": "1000", "paper": "letter", "currency": "USD",
    "time_zone": "UTC", "version": "1",
}  # fmt: skip
NO_TELEPHONE = ("x" * 200, "Sick animal", "12", "ask 555 0101", "5" * 41, "+1 (555) 010-0101 " * 4)


def told(cast, page="office", **typed):
    return cast.client("office_admin").post(reverse(page), {**OFFICE, **typed})


@pytest.mark.parametrize("page", ["office", "office-begin"])
@pytest.mark.parametrize("typed", NO_TELEPHONE)
def test_what_is_no_telephone_is_never_the_number_for_a_sick_animal(cast, page, typed):
    answer = told(cast, page, call_phone=typed)
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"call_phone"}
    assert typed.strip() in answer.content.decode()
    cast.office.refresh_from_db()
    assert cast.office.call_phone == "555 0101"


@pytest.mark.parametrize("typed", NO_TELEPHONE)
def test_the_office_and_a_person_are_called_on_a_telephone_too(cast, typed):
    assert set(told(cast, phone=typed).context["form"].errors) == {"phone"}
    answer = cast.client("rancher").post(reverse("me"), {**ME, "phone": typed})
    assert set(answer.context["form"].errors) == {"phone"}
    assert typed.strip() in answer.content.decode()


@pytest.mark.parametrize(
    "typed", ["911", "+1 (555) 010-0101", "555.0101 ext. 12", "555/0101 x7", "", "5" * 40]
)
def test_a_telephone_is_kept_as_it_was_written(cast, typed):
    answer = told(cast, call_phone=typed, phone=typed)
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    cast.office.refresh_from_db()
    assert (cast.office.call_phone, cast.office.phone) == (typed, typed)


def shown_whole(page):
    """What can be taken up with one touch, and wraps anywhere."""
    return re.findall(r'<strong class="long">([^<]+)</strong>', page)


def invited_by(cast, **typed):
    sent = {"person": "Rosa Gate", "role": "rancher", "ranch": str(cast.ranch.pk), **typed}
    return cast.client("office_admin").post(reverse("people"), sent)


def test_an_invitation_is_taken_up_whole_and_says_that_it_is_shown_once(cast):
    page = invited_by(cast).content.decode()
    (address,) = shown_whole(page)
    assert "/join/" in address
    assert "shown once" in page


def test_a_link_for_reading_is_taken_up_whole_and_says_that_it_is_shown_once(cast, sheet):
    client = cast.client("educator")
    client.post(reverse("sheet-link", args=[sheet.pk]), {"version": "1"})
    page = client.get(reverse("sheet", args=[sheet.pk])).content.decode()
    (address,) = shown_whole(page)
    assert "/read/" in address
    assert "shown this once" in page


def test_a_key_is_taken_up_whole_and_says_that_it_is_shown_once(cast):
    sent = {"name": "the scale", "scopes": ["stack:read"]}
    page = cast.client("educator").post(reverse("keys"), sent).content.decode()
    assert len(shown_whole(page)) == 1
    assert "shown this once" in page


def test_what_is_said_of_a_deed_is_text_and_never_a_piece_of_the_page():
    from haywright.office.web.templatetags.haywright import whole

    made = whole("<b>Rosa</b> & https://hay.example.org/?a=1&b=<i>")
    assert made == (
        "&lt;b&gt;Rosa&lt;/b&gt; &amp; "
        '<strong class="long">https://hay.example.org/?a=1&amp;b=&lt;i&gt;</strong>'
    )


def test_a_key_made_is_listed_with_what_it_may_do_and_the_form_is_empty_again(cast):
    sent = {"name": "the scale", "scopes": ["stack:read"]}
    answer = cast.client("educator").post(reverse("keys"), sent)
    assert not answer.context["form"].is_bound
    page = answer.content.decode()
    (offered,) = (said for one, said in answer.context["form"].fields["scopes"].choices
                  if one == "stack:read")  # fmt: skip
    assert f"<b>the scale</b>: {offered}" in page
    assert re.search(r'<button class="quiet">Withdraw', page)


def test_the_nitrate_line_stands_on_the_office_s_page_as_people_write_it(cast):
    assert 'value="1000"' in cast.client("office_admin").get(reverse("office")).content.decode()
    for typed in ("1000", "850.5"):
        cast.office.refresh_from_db()
        assert told(cast, call_line=typed, version=str(cast.office.version)).status_code == 302
        page = cast.client("office_admin").get(reverse("office")).content.decode()
        assert f'value="{typed}"' in page


@pytest.mark.parametrize(
    ("field", "listed", "one", "wrong", "says"),
    [
        ("currency", "currencies", "CAD", "dollars", "not the code of a currency"),
        ("time_zone", "time_zones", "America/Denver", "Mountain " * 10, "not a time zone"),
    ],
)
def test_currency_and_time_zone_are_offered_and_a_wrong_one_is_refused_in_words(
    cast, field, listed, one, wrong, says
):
    page = cast.client("office_admin").get(reverse("office")).content.decode()
    assert f'list="{listed}"' in page
    offered = page.partition(f'<datalist id="{listed}">')[2].partition("</datalist>")[0]
    assert f'<option value="{one}">' in offered
    answer = told(cast, **{field: wrong})
    assert answer.status_code == 422
    assert says in str(answer.context["form"].errors[field])


def test_nobody_is_offered_to_end_themselves(cast):
    from haywright.office.people.models import Membership

    me = cast.people["office_admin"]
    Membership.objects.create(person=me, office=cast.office, role="educator")
    page = cast.client("office_admin").get(reverse("people")).content.decode()
    for one in Membership.objects.filter(office=cast.office):
        offered = reverse("member-end", args=[one.pk]) in page
        assert offered == (one.person_id != me.pk), one.person


def test_a_fact_of_a_group_stands_in_its_frame_with_its_unit_once(cast):
    assert keep(cast).status_code == 302
    page = cast.client("rancher").get(reverse("ranch", args=[cast.ranch.pk])).content.decode()
    assert 'name="g0_weight" value="1,250"' in page
    assert 'name="g0_water_nitrate" value="5"' in page


def test_who_is_several_things_in_an_office_is_named_once(cast):
    from haywright.office.people.models import Membership, Role

    member = Membership.objects.get(person=cast.people["educator"], office=cast.office)
    Membership.objects.create(person=member.person, office=cast.office, role=Role.TECHNICIAN)
    page = cast.client("educator").get(reverse("people")).content.decode()
    name = member.person.name
    assert page.count(f'<th scope="row">{name}</th>') == 1
    assert page.count(f'<span class="hidden">{name}</span></th>') == 1
