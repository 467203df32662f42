"""Today by role and by the hay year: what is there, why, in which order, with its one step."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
import time_machine
from django.core.cache import caches
from django.urls import reverse

from haywright.bag.custody import Stage
from haywright.words import Reader
from tests.office.conftest import OATS, TYPED
from tests.office.test_reports import report_of

NOW = datetime(2026, 10, 20, 15, tzinfo=UTC)
PLAIN = {**OATS, "crop": "bromegrass", "events": [], "storage": "barn"}


def days_ago(n):
    return NOW - timedelta(days=n)


def lot_of(cast, name, now=NOW, **facts):
    from haywright.office.stack.actions import describe_lot

    held = {**PLAIN, "name": name, "baled_on": days_ago(60).date().isoformat(), **facts}
    if held.get("form") == "standing_crop":
        held = {k: v for k, v in held.items() if k not in ("bales", "faces", "baled_on", "storage")}
    return describe_lot(cast.actor("educator"), held, ranch=cast.ranch, today=now.date())


def bag_of(cast, lot, ago=3, *, tests=("dm", "nitrate")):
    from haywright.office.bag.actions import seal_bag

    facts = {"cored_on": days_ago(ago).date().isoformat(), "tests": list(tests), "bales": "1-20"}
    return seal_bag(cast.actor("educator"), lot, facts, at=days_ago(ago))


def typed(cast, lot, *rows, bag=None):
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory

    type_report(cast.actor("educator"), lot, rows or TYPED, bag=bag,
                profile=Laboratory(name="Plain laboratory"))  # fmt: skip


def today(cast, who="educator", now=NOW):
    from haywright.office.way.today import today as parts_of

    return {one.name: one for one in parts_of(cast.actor(who), now, Reader())}


def step(cast, part, who="educator", now=NOW):
    """Name and address of the one step of the first thing of a part."""
    (item,) = today(cast, who, now)[part].items
    return item.name, item.step


def test_a_suspect_lot_without_a_nitrate_result_is_not_tested_and_its_step_is_the_plan(cast):
    lot = lot_of(cast, "Hail oats", crop="oats", events=["hail"])
    assert step(cast, "not_tested") == ("Hail oats", reverse("lot-plan", args=[lot.pk]))


def test_a_suspect_lot_is_still_not_tested_when_its_bag_was_tested_for_other_things(cast):
    lot = lot_of(cast, "Hail oats", crop="oats", events=["hail"])
    bag = bag_of(cast, lot, tests=["dm", "cp"])
    assert "not_tested" not in today(cast)  # the bag is under way
    typed(cast, lot, "dm=88 %", "cp=9.6 % dry matter", bag=bag)
    assert step(cast, "not_tested")[0] == "Hail oats"
    typed(cast, lot, "dm=88 %", "nitrate=300 ppm NO3-N dry matter", bag=bag)
    assert "not_tested" not in today(cast)


def test_a_suspect_lot_whose_only_bag_was_refused_is_not_tested(cast):
    from haywright.office.bag.actions import pass_on

    lot = lot_of(cast, "Hail oats", crop="oats", events=["hail"])
    pass_on(cast.actor("technician"), bag_of(cast, lot), Stage.REFUSED, at=days_ago(1),
            who="the bench", reason="torn")  # fmt: skip
    assert step(cast, "not_tested")[0] == "Hail oats"


def test_fresh_bales_are_planned_for_and_due_for_coring_after_four_weeks(cast):
    fresh = lot_of(cast, "Fresh", baled_on=days_ago(20).date().isoformat())
    old = lot_of(cast, "Old", baled_on=days_ago(29).date().isoformat())
    assert step(cast, "plans") == ("Fresh", reverse("lot-plan", args=[fresh.pk]))
    assert step(cast, "due") == ("Old", reverse("lot-plan", args=[old.pk]))
    bag_of(cast, fresh)
    bag_of(cast, old)
    assert not {"plans", "due"} & set(today(cast))


def test_a_lot_tested_by_a_paper_report_is_not_due(cast):
    typed(cast, lot_of(cast, "Old"))
    assert "due" not in today(cast)


def test_standing_crop_is_tested_before_cutting(cast):
    lot = lot_of(cast, "Standing oats", crop="oats", form="standing_crop")
    assert step(cast, "standing") == ("Standing oats", reverse("lot-plan", args=[lot.pk]))
    assert not {"due", "plans", "not_tested", "heat"} & set(today(cast))


@pytest.mark.parametrize(("ago", "there"), [(0, True), (41, True), (42, False), (60, False)])
def test_the_heat_of_bales_is_taken_for_six_weeks_after_baling(cast, ago, there):
    lot_of(cast, "Fresh", baled_on=days_ago(ago).date().isoformat())
    assert ("heat" in today(cast)) is there


def test_heat_taken_today_is_asked_for_again_on_the_third_day(cast):
    from haywright.office.stack.actions import take_temperature

    lot = lot_of(cast, "Fresh", baled_on=days_ago(5).date().isoformat())
    assert step(cast, "heat") == ("Fresh", reverse("lot-heat", args=[lot.pk]))
    take_temperature(cast.actor("educator"), lot, Decimal(31), at=NOW)
    assert "heat" not in today(cast)
    assert "heat" in today(cast, now=NOW + timedelta(days=3, hours=1))


def test_a_bag_is_shipped_then_overdue_when_the_bench_has_not_had_it_in_ten_days(cast):
    from haywright.office.bag.actions import pass_on

    bag = bag_of(cast, lot_of(cast, "Old"), 14)
    assert step(cast, "ship") == (bag.code, f"{reverse('bags-ship')}?bag={bag.pk}")
    bag = pass_on(cast.actor("educator"), bag, Stage.SHIPPED, at=days_ago(12), who="county van")
    assert step(cast, "overdue") == (bag.code, reverse("bag", args=[bag.pk]))
    assert "ship" not in today(cast)
    pass_on(cast.actor("technician"), bag, Stage.RECEIVED, at=NOW, who="the bench")
    assert "overdue" not in today(cast)


def test_a_test_of_outdoor_hay_ages_in_half_a_year_and_under_a_roof_it_does_not(cast):
    out = lot_of(cast, "Outside", storage="outside on the ground", baled_on="2026-01-10")
    roofed = lot_of(cast, "Roofed", baled_on="2026-01-10")
    bag_of(cast, out, 181)
    bag_of(cast, roofed, 181)
    assert step(cast, "aged") == ("Outside", reverse("lot-plan", args=[out.pk]))
    bag_of(cast, out, 2)
    assert "aged" not in today(cast)


def test_what_a_lot_waits_for_is_settled_by_every_deed_as_by_counting_anew(cast):
    from haywright.office.bag.actions import pass_on
    from haywright.office.bag.models import Bag
    from haywright.office.bench.models import Result
    from haywright.office.stack.actions import feed_up
    from haywright.office.stack.models import Lot
    from haywright.office.stack.waits import wait

    def waits(lot):
        kept = Lot.objects.values_list("waits", "waits_since").get(pk=lot.pk)
        wait(Lot, Bag, Result)
        assert Lot.objects.values_list("waits", "waits_since").get(pk=lot.pk) == kept
        return kept[0]

    oats = lot_of(cast, "Oats", crop="oats", events=["hail"], storage="outside on the ground")
    assert waits(oats) == "test"
    bag = bag_of(cast, oats)
    assert waits(oats) == "age"
    pass_on(cast.actor("technician"), bag, Stage.REFUSED, at=days_ago(1), who="the bench",
            reason="torn")  # fmt: skip
    assert waits(oats) == "test"
    typed(cast, oats, bag=bag_of(cast, oats))
    assert waits(oats) == "age"
    brome = lot_of(cast, "Brome")
    assert waits(brome) == "core"
    feed_up(cast.actor("educator"), brome)
    assert waits(brome) == ""


def test_the_hay_that_waits_longest_stands_first(cast):
    for ago in (40, 90, 60):
        lot_of(cast, f"{ago} days", baled_on=days_ago(ago).date().isoformat())
    unknown = {**PLAIN, "name": "Nobody knows"}
    del unknown["baled_on"]
    from haywright.office.stack.actions import describe_lot

    describe_lot(cast.actor("educator"), unknown, ranch=cast.ranch, today=NOW.date())
    said = [one.name for one in today(cast)["due"].items]
    assert said == ["Nobody knows", "90 days", "60 days", "40 days"]


def test_of_more_hay_than_anybody_counts_today_says_more_than(cast, monkeypatch):
    from haywright.office.way import today as counts

    monkeypatch.setattr(counts, "MOST_COUNTED", 10)
    for n in range(10):
        lot_of(cast, f"Meadow {n}")
    (all_told,) = [one for one in today(cast).values() if one.name == "due"]
    assert (len(all_told.items), all_told.more, all_told.many) == (8, 2, False)
    lot_of(cast, "Meadow 10")
    assert (today(cast)["due"].more, today(cast)["due"].many) == (2, True)
    page = cast.client("educator").get(reverse("today")).content.decode()
    assert "and more than 2 more" in page
    assert "More than 10 things wait for you." in page


def test_a_sheet_is_explained_until_the_educator_wrote_to_the_rancher(cast, sheet):
    from django.utils import timezone

    from haywright.office.sheet.actions import write_note

    now = timezone.now()
    assert step(cast, "explain", now=now)[1] == reverse("sheet", args=[sheet.pk])
    assert step(cast, "read", "rancher", now=now)[1] == reverse("sheet", args=[sheet.pk])
    write_note(cast.actor("educator"), sheet, "Ground and mixed, half the day's feed.")
    assert "explain" not in today(cast, now=now)


def test_nitrate_over_the_line_is_called_about_until_the_owner_is_reached(cast, sheet):
    from haywright.office.sheet.actions import note_call

    version = sheet.versions.last()
    (item,) = today(cast)["call_now"].items
    assert item.step == reverse("call", args=[sheet.pk])
    assert "1,120" in item.says
    note_call(cast.actor("educator"), version, "Wren Ochre", reached=False, at=NOW)
    (item,) = today(cast)["call_now"].items
    assert "Wren Ochre did not answer on 20\xa0October 2026 at 15:00 (Educator)." in item.says
    note_call(cast.actor("office_admin"), version, "Wren Ochre", reached=True, at=NOW)
    parts = today(cast)
    assert "call_now" not in parts
    (item,) = parts["called"].items
    assert item.says == "Wren Ochre was reached on 20\xa0October 2026 at 15:00 by Office_Admin."


def test_a_call_is_told_in_the_time_of_the_office(cast, sheet):
    from haywright.office.sheet.actions import note_call

    cast.office.time_zone = "America/Denver"
    cast.office.save()
    late = datetime(2026, 10, 20, 3, 30, tzinfo=UTC)
    note_call(cast.actor("educator"), sheet.versions.last(), "Wren", reached=True, at=late)
    assert "19\xa0October 2026 at 21:30" in today(cast)["called"].items[0].says


def test_the_call_page_says_whom_to_call_and_who_was_called(cast, sheet):
    from haywright.office.sheet.actions import note_call

    cast.people["rancher"].phone = "555 0171"
    cast.people["rancher"].save()
    note_call(cast.actor("educator"), sheet.versions.last(), "Wren Ochre", reached=False, at=NOW)
    page = cast.client("educator").get(reverse("call", args=[sheet.pk])).content.decode()
    assert 'href="tel:5550171">555 0171<' in page
    assert "Wren Ochre did not answer" in page
    assert "1,120" in page


@pytest.mark.parametrize(
    ("month", "first"),
    [(5, "standing"), (8, "heat"), (11, "not_tested"), (2, "not_tested")],
)
def test_the_season_of_the_hay_year_says_what_comes_first(cast, month, first):
    now = datetime(2026 if month > 3 else 2027, month, 15, 12, tzinfo=UTC)
    lot_of(cast, "Hail oats", crop="oats", events=["hail"], baled_on="2026-04-01")
    lot_of(cast, "Standing oats", crop="oats", form="standing_crop")
    lot_of(cast, "Fresh", now, baled_on=(now - timedelta(days=5)).date().isoformat())
    parts = list(today(cast, now=now))
    assert parts[0] == first
    assert {"standing", "heat", "not_tested"} <= set(parts)


@pytest.mark.parametrize("month", range(1, 13))
def test_a_call_comes_first_in_every_month(cast, sheet, month):
    assert next(iter(today(cast, now=datetime(2026, month, 15, tzinfo=UTC)))) == "call_now"


def test_the_bench_sees_what_arrives_and_what_its_controls_held(cast, lot, bag):
    from haywright.office.bag.actions import pass_on
    from haywright.office.bench.actions import receive_results
    from tests.office.test_reports import report_of

    assert "arriving" not in today(cast, "technician")  # sealed, and still at the office
    pass_on(cast.actor("educator"), bag, Stage.SHIPPED, at=days_ago(20), who="county van")
    assert step(cast, "arriving", "technician") == (
        bag.code, f"{reverse('bag', args=[bag.pk])}#next")  # fmt: skip
    (batch,) = receive_results(cast.actor("lab_manager"), [report_of(bag.code, held=True)])
    assert step(cast, "held", "lab_manager")[1] == reverse("batch", args=[batch.pk])
    assert not {"not_tested", "call_now", "explain", "due"} & set(today(cast, "technician"))


def test_a_technician_s_today_names_no_lot(cast, lot, bag):
    from haywright.office.bag.actions import pass_on

    pass_on(cast.actor("educator"), bag, Stage.SHIPPED, at=days_ago(20), who="county van")
    says = [one.says for part in today(cast, "technician").values() for one in part.items]
    assert says
    assert not [one for one in says if lot.name in one]


def test_a_neighbour_s_today_holds_nothing_of_another_ranch(cast, lot, bag, sheet):
    assert today(cast, "neighbour") == {}


def test_every_step_of_today_opens_to_who_is_asked_to_take_it(cast, lot, bag, sheet):
    for n in range(3):
        lot_of(cast, f"Fresh {n}", baled_on=days_ago(5 + 20 * n).date().isoformat())
    lot_of(cast, "Standing oats", crop="oats", form="standing_crop")
    for who in ("rancher", "educator", "technician", "lab_manager", "office_admin"):
        client = cast.client(who)
        for part in today(cast, who).values():
            for item in part.items:
                assert client.get(item.step).status_code == 200, (who, part.name)
                assert client.get(item.address).status_code == 200, (who, part.name)


def test_a_rancher_reads_the_highest_nitrate_first(cast):
    for name, nitrate in (("Low", 200), ("High", 5370), ("Middle", 1200)):
        lot = lot_of(cast, name)
        typed(
            cast, lot, "dm=88 %", f"nitrate={nitrate} ppm NO3-N dry matter", bag=bag_of(cast, lot)
        )
    from django.utils import timezone

    read = today(cast, "rancher", timezone.now())["read"].items
    assert [one.name for one in read] == ["High", "Middle", "Low"]


def test_an_office_without_a_telephone_for_emergencies_is_reminded_of_it(cast):
    reminder, page = "No telephone for an emergency", reverse("today")
    assert reminder not in cast.client("office_admin").get(page).content.decode()
    cast.office.call_phone = ""
    cast.office.save()
    caches["pages"].clear()
    assert reminder in cast.client("office_admin").get(page).content.decode()
    assert reminder not in cast.client("rancher").get(page).content.decode()


@pytest.mark.parametrize(
    ("zone", "day"),
    [("UTC", "26 November 2026"), ("America/Boise", "25 November 2026"),
     ("Pacific/Auckland", "26 November 2026")],
)  # fmt: skip
def test_the_day_is_that_of_the_office(cast, sheet, zone, day):
    """The evening of the 25th in Boise is the morning of the 26th in London."""
    cast.office.time_zone = zone
    cast.office.save()
    with time_machine.travel(datetime(2026, 11, 26, 3, tzinfo=UTC), tick=False):
        client = cast.client("educator")
        page = client.get(reverse("today")).content.decode()
        assert day in page.replace("\xa0", " ")
        form = client.get(reverse("bag-new", args=[sheet.lot_id])).content.decode()
        told = datetime.strptime(day, "%d %B %Y").replace(tzinfo=UTC).date()
        assert f'value="{told}"' in form


def test_hay_cored_today_is_sealed_today_wherever_the_office_is(cast, lot):
    cast.office.time_zone = "Pacific/Auckland"
    cast.office.save()
    with time_machine.travel(datetime(2026, 9, 8, 20, tzinfo=UTC), tick=False):  # the 9th there
        sent = {"cored_on": "2026-09-09", "taken": "probe", "tests": ["dm"], "bales": "1-20"}
        answer = cast.client("educator").post(reverse("bag-new", args=[lot.pk]), sent)
    assert answer.status_code == 302
    assert lot.bags.count() == 1


def test_with_nothing_to_do_the_page_says_so_once(cast):
    page = cast.client("rancher").get(reverse("today")).content.decode()
    assert page.count("Nothing waits for you today.") == 1


def test_the_first_day_leads_to_the_first_lot(cast):
    page = cast.client("rancher").get(reverse("today")).content.decode()
    assert f'class="button" href="{reverse("lot-new")}"' in page
    lot_of(cast, "Bench brome")
    assert reverse("lot-new") not in cast.client("rancher").get(reverse("today")).content.decode()


def missing(cast, lot):
    """A bag sealed for four tests of which two came back: its sheet is interim."""
    bag = bag_of(cast, lot, tests=["dm", "adf", "ndf", "nitrate"])
    typed(cast, lot, "dm=88 %", "nitrate=300 ppm NO3-N dry matter", bag=bag)
    return lot.sheets.get()


def test_an_interim_sheet_says_what_is_still_to_come_until_it_came(cast):
    lot = lot_of(cast, "Lower brome")
    sheet = missing(cast, lot)
    for who in ("educator", "lab_manager"):
        (item,) = today(cast, who)["interim"].items
        assert (item.name, item.step) == ("Lower brome", reverse("sheet", args=[sheet.pk]))
        assert item.says == (
            "Still to come: Acid detergent fiber (ADF) and Neutral detergent fiber (aNDF)."
        )
    for who in ("rancher", "technician", "office_admin"):
        assert "interim" not in today(cast, who)
    typed(cast, lot, "adf=38.2 % dry matter", "ndf=61.5 % dry matter", bag=lot.bags.get())
    assert "interim" not in today(cast)


def test_an_interim_sheet_says_what_the_bench_holds_back(cast, lot, bag):
    from haywright.office.bench.actions import receive_results

    typed(cast, lot, bag=bag)
    receive_results(cast.actor("lab_manager"), [report_of(bag.code, held=True)])
    (item,) = today(cast)["interim"].items
    assert "Held back at the bench: Acid detergent fiber (ADF)." in item.says


@pytest.mark.parametrize("gone", ["sold", "fed"])
def test_nobody_waits_for_the_interim_sheet_of_hay_that_is_gone(cast, gone):
    from haywright.office.stack.actions import feed_up, sell_from

    lot = lot_of(cast, "Lower brome")
    missing(cast, lot)
    if gone == "sold":
        sell_from(cast.actor("educator"), lot, 64, on=NOW.date())
    else:
        feed_up(cast.actor("educator"), lot)
    assert "interim" not in today(cast)


@pytest.fixture
def alone(db):
    """A rancher at their own desk: one person, and hay of no ranch, over the line."""
    from haywright.office.bench.actions import type_report
    from haywright.office.people.actor import actor_of
    from haywright.office.people.models import Membership, Office, Person, Role
    from haywright.office.stack.actions import describe_lot
    from haywright.sheet.typed import Laboratory

    office = Office.objects.create(name="Hay office", code="HAY")
    person = Person.objects.create_user(None, name="Desk")
    for role in Role.values:
        if role != Role.RANCHER:
            Membership.objects.create(person=person, office=office, role=role)
    actor = actor_of(person)
    lot = describe_lot(actor, {**PLAIN, "name": "Own oats"}, ranch=None, today=NOW.date())
    type_report(actor, lot, TYPED, profile=Laboratory(name="Plain laboratory"))
    return actor


def call_now(actor):
    from haywright.office.way.today import today as parts_of

    return next(one for one in parts_of(actor, NOW, Reader()) if one.name == "call_now")


def test_a_rancher_alone_at_the_desk_is_told_not_to_feed_their_own_hay_and_whom_to_call(alone):
    from django.test import Client

    part = call_now(alone)
    assert part.head == "CALL NOW"
    assert "owner was not reached" not in part.note
    assert "feed none of it before you have decided" in part.note
    assert "call your veterinarian or the extension office" in part.note
    client = Client()
    client.force_login(alone.person, backend="django.contrib.auth.backends.ModelBackend")
    page = client.get(part.items[0].step).content.decode()
    assert "Feed none of it before you have decided how." in page
    assert "Your veterinarian or the local extension office." in page
    assert "Tell them to feed none of it" not in page


def test_an_educator_is_still_told_that_the_owner_was_not_reached(cast, sheet):
    part = today(cast)["call_now"]
    assert "the owner was not reached yet" in part.note
    page = cast.client("educator").get(part.items[0].step).content.decode()
    assert "Tell them to feed none of it" in page


def test_whoever_works_alone_for_several_ranches_calls_their_owners(alone):
    from haywright.office.people.actions import describe_ranch

    describe_ranch(alone, "Juniper Flat")
    assert "taken as your own hay" in call_now(alone).note
    describe_ranch(alone, "Stone Corral")
    assert "the owner was not reached yet" in call_now(alone).note
