"""Laboratories an office knows: how they write, what they charge, where bags go."""

from __future__ import annotations

import pytest
from django.urls import reverse

from tests.office.test_sheet_pages import paper, text

RIDGE = {
    "name": "Ridge laboratory", "address": "4 Mill Lane\nDrywater", "phone": "555 0177",
    "basis": "as received", "nitrate": "ppm NO3", "energy": "Mcal/lb",
    "proficiency": "a ring test, since 2021", "price_nitrate": "12.50",
}  # fmt: skip
SCRIPT = "<script>document.title='taken'</script>"


def kept(client, **more):
    answer = client.post(reverse("laboratory-new"), RIDGE | more)
    assert answer.status_code == 302, text(answer)


@pytest.fixture
def ridge(cast):
    from haywright.office.bench.models import Laboratory

    kept(cast.client("educator"))
    return Laboratory.objects.get()


def test_a_laboratory_is_written_down_and_listed(cast, ridge):
    said = text(cast.client("lab_manager").get(reverse("laboratories")))
    assert "Ridge laboratory" in said
    assert "as received, ppm NO3" in said
    assert "a ring test, since 2021" in said


def test_its_prices_stand_on_the_order_and_its_address_on_the_slip(cast, lot, ridge):
    from haywright.office.bag.actions import seal_bag
    from tests.office.conftest import CORED

    client = cast.client("educator")
    assert "12.50" in text(client.get(reverse("bag-new", args=[lot.pk])))
    facts = {"cored_on": "2026-09-08", "taken": "probe", "tests": ["nitrate"], "bales": "1-20"}
    bag = seal_bag(cast.actor("educator"), lot, facts, at=CORED, laboratory=ridge.name)
    slip = paper(client.get(reverse("bag-slip", args=[bag.pk])))
    assert "4 Mill Lane, Drywater, 555 0177" in slip
    assert "12.50 USD" in slip


def test_two_who_change_it_at_once_do_not_undo_each_other(cast, ridge):
    client, address = cast.client("educator"), reverse("laboratory", args=[ridge.pk])
    opened = {**RIDGE, "version": str(ridge.version)}
    assert client.post(address, {**opened, "phone": "555 0178"}).status_code == 302
    late = cast.client("office_admin").post(address, {**opened, "address": "9 Mill Lane"})
    assert late.status_code == 422
    assert "Somebody else saved this" in text(late)
    assert "9 Mill Lane" in late.content.decode()
    ridge.refresh_from_db()
    assert (ridge.phone, ridge.address) == ("555 0178", "4 Mill Lane\nDrywater")


def test_what_was_changed_of_it_stands_in_the_ledger(cast, ridge):
    from haywright.office.ledger.models import Entry

    told = {**RIDGE, "basis": "dry matter", "version": str(ridge.version)}
    cast.client("educator").post(reverse("laboratory", args=[ridge.pk]), told)
    last = Entry.objects.filter(thing="laboratory").latest("number")
    assert last.before["basis"] == "as received"
    assert last.after["basis"] == "dry matter"


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "Ridge laboratory", "address": "elsewhere"}, "name"),
        ({"name": "Other", "price_nitrate": "-3"}, "price_nitrate"),
        ({"name": "Other", "price_nitrate": "dear"}, "price_nitrate"),
        ({"name": "Other", "nitrate": "grains"}, "nitrate"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(cast, ridge, wrong, field):
    from haywright.office.bench.models import Laboratory

    answer = cast.client("educator").post(reverse("laboratory-new"), RIDGE | wrong)
    assert answer.status_code == 422
    assert f'id="id_{field}_error"' in answer.content.decode()
    assert RIDGE["proficiency"] in answer.content.decode()
    assert Laboratory.objects.get() == ridge


def test_a_laboratory_of_another_office_is_not_there(cast, ridge):
    from haywright.office.action import NotAllowed
    from haywright.office.bench.actions import keep_laboratory

    address = reverse("laboratory", args=[ridge.pk])
    assert cast.client("stranger").get(address).status_code == 404
    assert cast.client("rancher").get(address).status_code == 403
    for who in ("stranger", "rancher", "technician"):
        with pytest.raises(NotAllowed):
            keep_laboratory(cast.actor(who), ridge, RIDGE)


def test_a_script_in_every_field_of_it_is_shown_and_never_run(cast, lot):
    client = cast.client("educator")
    told = dict.fromkeys(("name", "methods", "proficiency", "address"), SCRIPT)
    kept(client, **told, phone="<b>555")
    for page in ("laboratories", "laboratory-new"):
        assert SCRIPT not in client.get(reverse(page)).content.decode()
    for page in ("lot-report", "bag-new"):
        assert SCRIPT not in client.get(reverse(page, args=[lot.pk])).content.decode()


def test_a_form_sent_twice_is_one_laboratory(cast):
    from haywright.office.bench.models import Laboratory

    client = cast.client("educator")
    kept(client, once="0f0f")
    kept(client, once="0f0f")
    assert Laboratory.objects.count() == 1
