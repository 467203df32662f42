"""Bags on their pages: sealed, shipped, received or refused, exchanged; nothing half-written."""

from __future__ import annotations

import io
import re
import subprocess
from urllib.parse import urlsplit

import pytest
import zxingcpp
from django.urls import reverse
from PIL import Image

from tests.office.conftest import CORED, OATS
from tests.paper.reading import text_of

SCRIPT = "<script>alert(1)</script>"
FORM = {"cored_on": "2026-09-08", "taken": "probe", "tests": ["dm", "nitrate"], "bales": "1-20",
        "mass_sealed_g": "210"}  # fmt: skip


def seal(client, lot, **form):
    return client.post(reverse("bag-new", args=[lot.pk]), {**FORM, **form})


def sealed(cast, lot, **facts):
    from haywright.office.bag.actions import seal_bag

    held = {"cored_on": "2026-09-08", "tests": ["dm", "nitrate"], **facts}
    return seal_bag(cast.actor("educator"), lot, held, at=CORED)


def counts():
    from haywright.office.bag.models import Bag, HandOver
    from haywright.office.ledger.models import Entry

    return Bag.objects.count(), HandOver.objects.count(), Entry.objects.count()


def picture_of(pdf: bytes) -> Image.Image:
    """The first page as a printer would set it, by a reader of PDF that is not ours."""
    drawn = subprocess.run(
        ["pdftoppm", "-r", "150", "-f", "1", "-l", "1", "-png", "-"],
        input=pdf, capture_output=True, check=True,
    )  # fmt: skip
    return Image.open(io.BytesIO(drawn.stdout))


def test_a_bag_is_sealed_once_however_often_the_form_is_sent(cast, lot):
    client = cast.client("rancher")
    answers = [seal(client, lot, once="opened-once") for _ in range(2)]
    answers.append(seal(client, lot, once="after-the-back-button"))
    gone_to = {urlsplit(one["Location"]).path for one in answers}
    assert gone_to == {reverse("bag", args=[lot.bags.get().pk])}
    assert counts()[:2] == (1, 1)


def test_a_cut_while_sealing_leaves_no_half_bag_and_the_code_is_not_lost(cast, lot, monkeypatch):
    from haywright.office.bag import actions

    before = counts()
    with monkeypatch.context() as cut:
        cut.setattr(actions.Deed, "enter", lambda *_, **__: (_ for _ in ()).throw(ConnectionError))
        with pytest.raises(ConnectionError):
            sealed(cast, lot)
    assert counts() == before
    assert sealed(cast, lot).number == 1


def test_a_cut_while_shipping_several_ships_none(cast, lot, monkeypatch):
    from haywright.office.bag import actions

    bags = [sealed(cast, lot) for _ in range(3)]
    before, done, handed = counts(), [], actions._handed

    def cut_off(*args):
        if len(done) == 2:
            raise ConnectionError
        done.append(args)
        handed(*args)

    monkeypatch.setattr(actions, "_handed", cut_off)
    with pytest.raises(ConnectionError):
        actions.ship_bags(cast.actor("educator"), bags, at=CORED, who="county van")
    assert counts() == before


@pytest.mark.parametrize(
    ("form", "field"),
    [
        ({"bales": "1-20 cores"}, "bales"),
        ({"bales": "1-65"}, "bales"),
        ({"mass_sealed_g": "210 g"}, "mass_sealed_g"),
        ({"mass_sealed_g": "-3"}, "mass_sealed_g"),
        ({"cored_on": "2199-01-01"}, "cored_on"),
        ({"tests": []}, "tests"),
        ({"tests": ["no such test"]}, "tests"),
    ],
)
def test_what_cannot_stand_on_a_bag_is_told_beside_its_field(cast, lot, form, field):
    answer = seal(cast.client("educator"), lot, **form)
    assert answer.status_code == 422
    assert f'id="id_{field}_error"' in answer.content.decode()
    assert lot.bags.count() == 0


def test_a_bag_of_a_lot_that_is_closed_is_not_sealed(cast, lot):
    from haywright.office.stack.actions import feed_up

    feed_up(cast.actor("rancher"), lot)
    assert seal(cast.client("educator"), lot).status_code == 422
    assert lot.bags.count() == 0


def test_tests_stand_with_their_reasons_and_prices_and_the_order_with_its_sum(cast, lot):
    from haywright.office.bench.models import Laboratory

    prices = {"dm": "4.00", "nitrate": 15, "cp": "twelve", "adf": "-1"}
    Laboratory.objects.create(office=cast.office, name="Plain laboratory", prices=prices)
    client = cast.client("educator")
    page = client.get(reverse("bag-new", args=[lot.pk])).content.decode()
    assert "(15.00 USD)" in page
    assert "twelve" not in page
    answer = seal(client, lot, laboratory="Plain laboratory", tests=["dm", "nitrate", "cp"])
    page = client.get(answer["Location"]).content.decode()
    assert "19.00 USD, and one test without a price" in page
    slip = client.get(reverse("bag-slip", args=[lot.bags.get().pk])).content
    assert "19.00 USD by the laboratory" in text_of(slip)


def test_the_label_and_the_slip_read_back_as_the_code_of_the_bag(cast, lot, bag):
    client = cast.client("educator")
    for name in ("bag-label", "bag-slip"):
        answer = client.get(reverse(name, args=[bag.pk]))
        assert answer["Content-Type"] == "application/pdf"
        (found,) = zxingcpp.read_barcodes(picture_of(answer.content))
        assert found.text == bag.code
        assert bag.code in text_of(answer.content)


def test_several_bags_ship_together_with_their_list(cast, lot):
    bags = [sealed(cast, lot) for _ in range(3)]
    client, keys = cast.client("rancher"), {"bag": [str(one.pk) for one in bags]}
    listed = text_of(client.get(reverse("shipment-list"), keys).content)
    assert all(one.code in listed for one in bags)
    assert "3 bags go on their way together" in listed
    page = client.get(reverse("bags-ship"), keys).content.decode()
    assert all(one.code in page for one in bags)
    form = {**keys, "who": "county van", "once": "a"}
    assert [client.post(reverse("bags-ship"), form).status_code for _ in range(2)] == [302, 302]
    for one in bags:
        one.refresh_from_db()
        assert (one.stage, one.journey.count()) == ("shipped", 2)


def test_one_bag_that_cannot_ship_keeps_the_others_back(cast, lot):
    from haywright.office.bag.actions import ship_bags

    gone, here = sealed(cast, lot), sealed(cast, lot)
    ship_bags(cast.actor("educator"), [gone], at=CORED, who="county van")
    form = {"bag": [str(gone.pk), str(here.pk)], "who": "county van"}
    assert cast.client("educator").post(reverse("bags-ship"), form).status_code == 422
    here.refresh_from_db()
    assert here.stage == "sealed"


@pytest.mark.parametrize("who", ["stranger", "neighbour"])
def test_bags_of_others_can_be_neither_listed_nor_shipped(cast, lot, bag, who):
    client, keys = cast.client(who), {"bag": [str(bag.pk)]}
    assert client.get(reverse("shipment-list"), keys).status_code == 404
    assert client.post(reverse("bags-ship"), {**keys, "who": "me"}).status_code == 404
    for name in ("bag", "bag-slip", "bag-label", "bag-swap"):
        assert client.get(reverse(name, args=[bag.pk])).status_code in (403, 404)
    for hostile in ("x", "' OR 1=1 --", "1" * 400):
        answer = client.get(reverse("shipment-list"), {"bag": hostile})
        assert answer.status_code == 404


DEEDS = {
    "shipped": {"rancher", "educator", "office_admin"},
    "received": {"technician", "lab_manager"},
    "refused": {"technician", "lab_manager"},
}


@pytest.mark.parametrize("stage", DEEDS)
@pytest.mark.parametrize("who", ["rancher", "educator", "technician", "lab_manager",
                                 "office_admin", "neighbour", "stranger"])  # fmt: skip
def test_who_may_hand_a_bag_on_and_who_may_not(cast, lot, bag, stage, who):
    form = {"stage": stage, "who": "somebody", "reason": "wet" if stage == "refused" else ""}
    answer = cast.client(who).post(reverse("bag", args=[bag.pk]), form)
    bag.refresh_from_db()
    may = who in DEEDS[stage]
    assert bag.stage == (stage if may else "sealed")
    assert (answer.status_code == 302) is may


def test_a_bag_is_refused_only_with_a_reason_and_received_with_its_mass(cast, lot, bag):
    client, address = cast.client("technician"), reverse("bag", args=[bag.pk])
    assert client.post(address, {"stage": "refused", "who": "bench"}).status_code == 422
    form = {"stage": "received", "who": "bench", "mass_g": "204.5"}
    assert client.post(address, form).status_code == 302
    bag.refresh_from_db()
    assert (bag.stage, str(bag.mass_received_g)) == ("received", "204.50")


def test_a_technician_reads_the_owner_s_name_nowhere(cast, lot):
    answer = seal(cast.client("rancher"), lot, sampler="Rancher of Juniper Flat")
    bag = lot.bags.get()
    assert answer.status_code == 302
    client = cast.client("technician")
    pages = [client.get(reverse(name, args=[bag.pk])) for name in ("bag", "bag-slip", "bag-label")]
    texts = [pages[0].content.decode(), *(text_of(one.content) for one in pages[1:])]
    texts.append(text_of(client.get(reverse("shipment-list"), {"bag": str(bag.pk)}).content))
    for said in texts:
        assert cast.ranch.name not in said
        assert "Rancher" not in said
        assert lot.name not in said


def _mixed_up(cast, lot):
    """Bags of an alfalfa and of an oat lot, each with the other's results."""
    from datetime import date

    from haywright.office.bench.actions import type_report
    from haywright.office.stack.actions import describe_lot
    from haywright.sheet.typed import Laboratory

    actor, lab = cast.actor("educator"), Laboratory(name="Plain laboratory")
    alfalfa = describe_lot(
        actor, {**OATS, "name": "Bench alfalfa", "crop": "alfalfa", "events": []},
        ranch=cast.ranch, today=date(2026, 8, 2),
    )  # fmt: skip
    bags = [sealed(cast, lot), sealed(cast, alfalfa)]
    grassy = ("dm=88 %", "cp=9 % dry matter", "ndf=61 % dry matter", "adf=38 % dry matter")
    leafy = ("dm=88 %", "cp=21 % dry matter", "ndf=38 % dry matter", "adf=29 % dry matter")
    for bag, report in zip(bags, (leafy, grassy), strict=True):
        type_report(actor, bag.lot, report, profile=lab, bag=bag)
    return bags


def test_two_bags_with_each_other_s_hay_in_them_raise_the_question(cast, lot):
    one, other = _mixed_up(cast, lot)
    client = cast.client("educator")
    page = client.get(reverse("bag", args=[one.pk])).content.decode()
    assert f"bag {other.code} would each fit" in page
    form = {"other_code": other.code, "reason": "labels were mixed up in the yard"}
    assert client.post(reverse("bag-swap", args=[one.pk]), form).status_code == 302
    one.refresh_from_db()
    other.refresh_from_db()
    assert (one.lot.name, other.lot.name) == ("Bench alfalfa", lot.name)
    page = client.get(reverse("bag", args=[one.pk])).content.decode()
    assert "would each fit" not in page


def test_after_an_exchange_the_results_speak_for_the_other_lot(cast, lot):
    from haywright.office.bag.actions import swap_bags
    from haywright.office.way.pure import known

    one, other = _mixed_up(cast, lot)
    swap_bags(cast.actor("educator"), one, other, reason="labels were mixed up")
    lot.refresh_from_db()
    (sample,) = known(lot).samples
    assert sample.results["cp"].value == pytest.approx(9)


@pytest.mark.parametrize("code", ["FAR-0001-07", "SDG-0001-00", SCRIPT, "", "SDG-9999"])
def test_a_code_of_another_office_or_none_exchanges_nothing(cast, lot, bag, code):
    client = cast.client("educator")
    form = {"other_code": code, "reason": "labels"}
    answer = client.post(reverse("bag-swap", args=[bag.pk]), form)
    assert answer.status_code == 422
    assert "id_other_code_error" in answer.content.decode()
    assert SCRIPT not in answer.content.decode()
    bag.refresh_from_db()
    assert bag.lot_id == lot.pk


@pytest.mark.parametrize("who", ["rancher", "technician", "office_admin", "stranger"])
def test_only_educator_and_lab_manager_exchange_bags(cast, lot, bag, who):
    form = {"other_code": bag.code, "reason": "x"}
    answer = cast.client(who).post(reverse("bag-swap", args=[bag.pk]), form)
    assert answer.status_code in (403, 404)


def test_a_script_in_every_text_of_a_bag_stays_text(cast, lot):
    client = cast.client("educator")
    seal(client, lot, sampler=SCRIPT, laboratory=SCRIPT)
    bag = lot.bags.get()
    client.post(reverse("bag", args=[bag.pk]), {"stage": "shipped", "who": SCRIPT})
    for name, key in (("bag", bag.pk), ("lot", lot.pk), ("bag-swap", bag.pk)):
        assert SCRIPT not in client.get(reverse(name, args=[key])).content.decode()
    assert SCRIPT not in client.get(reverse("bags"), {"q": SCRIPT}).content.decode()
    assert client.get(reverse("bag-slip", args=[bag.pk])).status_code == 200


def test_a_bag_is_found_by_its_code_but_not_by_another_office(cast, lot, bag):
    address = reverse("bags")
    assert bag.code in cast.client("educator").get(address, {"q": bag.code}).content.decode()
    page = cast.client("stranger").get(address, {"q": bag.code}).content.decode()
    assert reverse("bag", args=[bag.pk]) not in page


def test_a_bag_is_refused_with_a_reason_and_nothing_else(cast, bag):
    client, address = cast.client("technician"), reverse("bag", args=[bag.pk])
    without = client.post(address, {"stage": "refused"})
    assert without.status_code == 422
    said = without.content.decode()
    assert "Say why the bag is refused." in said
    assert 'id="id_who_error"' not in said
    assert client.post(address, {"stage": "refused", "reason": "wet through"}).status_code == 302
    bag.refresh_from_db()
    assert bag.stage == "refused"


@pytest.mark.parametrize(
    ("form", "field", "says"),
    [
        ({"stage": "received"}, "who", "needed"),
        ({"stage": "received", "who": "bench", "mass_g": "0"}, "mass_g", "more than nothing"),
        ({"stage": "received", "who": "bench", "reason": "wet"}, "reason", "Only a bag that is"),
    ],
)
def test_what_a_hand_over_wants_is_said_in_words_and_not_by_the_name_of_a_field(
    cast, bag, form, field, says
):
    answer = cast.client("technician").post(reverse("bag", args=[bag.pk]), form)
    assert answer.status_code == 422
    said = answer.content.decode()
    assert f'id="id_{field}_error"' in said
    assert says in said
    for name in ("reason:", "mass_g:", "who:"):
        assert name not in said


def test_a_hand_over_shows_its_hour_and_who_wrote_it_down(cast, bag):
    client, address = cast.client("technician"), reverse("bag", args=[bag.pk])
    assert "Take it in" in client.get(address).content.decode()
    # sealed at 15:00 UTC on 8 September 2026: 09:00 in Denver, six hours behind in summer
    cast.office.time_zone = "America/Denver"
    cast.office.save()
    assert ", 09:00</span>" in client.get(address).content.decode()
    form = {"stage": "received", "who": "the bench, by van"}
    assert client.post(address, form).status_code == 302
    bag.refresh_from_db()
    said = client.get(address).content.decode()
    assert "Written down by Technician" in said
    assert "Take it in" not in said


def test_the_one_step_open_to_somebody_is_chosen_already(cast, bag):
    page = cast.client("educator").get(reverse("bag", args=[bag.pk])).content.decode()
    assert re.search(r'name="stage" value="shipped"[^>]*\bchecked', page)
    page = cast.client("technician").get(reverse("bag", args=[bag.pk])).content.decode()
    assert not re.search(r'name="stage"[^>]*\bchecked', page)
