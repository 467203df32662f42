"""What pages, programs and commands say once something was done: no more than is so, in words."""

from __future__ import annotations

from datetime import date

import pytest
from django.urls import reverse

from tests.office.conftest import OATS
from tests.office.programs import Program
from tests.office.test_reports import at_the_bench, report_of, sent
from tests.office.test_sheet_pages import text

__all__ = ["at_the_bench"]
AT = "2026-09-09T15:00:00Z"
RERUN = {"key": "bench.rerun.portion"}


def with_rerun(report, sample):
    """A report that asks for another portion of one bag."""
    report["decision"]["reruns"] = [{**RERUN, "args": {"sample": sample}}]
    return report


def page_of(cast, batch, who="lab_manager"):
    from haywright.office.bench.models import Batch

    return text(cast.client(who).get(reverse("batch", args=[Batch.objects.get(name=batch).pk])))


def test_a_rerun_is_asked_for_until_it_stands_in_the_place_of_what_was_held(cast, at_the_bench):
    manager, code = cast.client("lab_manager"), at_the_bench.code
    sent(manager, with_rerun(report_of(code, held=True), code))
    assert "What to rerun" in page_of(cast, "2026-09-14-adf")
    sent(manager, report_of(code, held=False, value=37.7, batch="2026-09-15-adf-rerun"))
    assert "What to rerun" not in page_of(cast, "2026-09-14-adf")


def test_a_batch_released_in_writing_asks_for_no_rerun(cast, at_the_bench):
    from haywright.office.bench.actions import release_batch
    from haywright.office.bench.models import Batch

    code = at_the_bench.code
    sent(cast.client("lab_manager"), with_rerun(report_of(code, held=True), code))
    release_batch(cast.actor("lab_manager"), Batch.objects.get(), "weighed again")
    assert "What to rerun" not in page_of(cast, "2026-09-14-adf")


def test_a_rerun_of_a_bag_that_was_not_held_is_asked_for_as_the_bench_wrote_it(cast, at_the_bench):
    sent(cast.client("lab_manager"), with_rerun(report_of(at_the_bench.code, held=False), "check"))
    assert "What to rerun" in page_of(cast, "2026-09-14-adf")


def test_a_number_that_a_batch_changed_is_told_with_the_batch_and_not_with_a_reason(
    cast, lot, at_the_bench
):
    from haywright.office.bench.actions import receive_results

    receive_results(
        cast.actor("lab_manager"), [report_of(at_the_bench.code, held=False, value=37.7)]
    )
    said = text(cast.client("educator").get(reverse("lot", args=[lot.pk])))
    assert "38.2 %, now 37.7 %; from batch 2026-09-14-adf" in said
    assert "because: 2026-09-14-adf" not in said


def test_numbers_that_come_together_are_named_while_they_are_few_and_counted_when_many(cast, lot):
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory

    plain, actor = Laboratory(name="Plain laboratory"), cast.actor("educator")
    type_report(actor, lot, ["dm=88.4 %", "cp=9.6 % dry matter"], profile=plain)
    page = reverse("lot", args=[lot.pk])
    assert "Dry matter; Crude protein" in text(cast.client("educator").get(page))
    many = [f"{one}=1 % dry matter" for one in ("ca", "p", "mg", "k", "na", "s", "ash")]
    type_report(actor, lot, many, profile=plain)
    assert "7 new numbers" in text(cast.client("educator").get(page))


def test_the_history_of_a_lot_counts_its_bales_and_says_where_it_stands_in_words(cast, lot):
    from haywright.office.stack.actions import sell_from, split_lot

    actor = cast.actor("educator")
    sell_from(actor, lot, 4, on=date(2026, 9, 20))
    lot.refresh_from_db()
    split_lot(actor, lot, [("A", 40), ("B", 20)], on=date(2026, 10, 1))
    said = text(cast.client("educator").get(reverse("lot", args=[lot.pk])))
    assert "Bales left: 64, now 60" in said
    assert "Where it stands: on the place, now divided" in said
    assert "cored, by number: 64" not in said
    assert "count 64" not in said
    told = Program(cast, "educator").get(f"/lots/{lot.pk}/history")["items"]
    assert any("on the place, now divided" in one["says"] for one in told)


def test_the_history_says_what_a_lot_is_meant_for_in_words(cast, lot):
    from haywright.office.stack.actions import change_lot

    facts = {**OATS, "purpose": "sale"}
    change_lot(cast.actor("educator"), lot, facts, version=lot.version)
    said = text(cast.client("educator").get(reverse("lot", args=[lot.pk])))
    assert "now selling" in said
    assert "now sale" not in said


def test_the_call_page_says_the_verdict_the_level_and_whom_to_call_about_a_sick_animal(cast, sheet):
    from haywright.office.sheet.queries import version_of
    from haywright.office.sheet.shown import shown
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader

    reader = Reader()
    opening, words = shown(version_of(sheet, "")).opening(reader), Speaker(reader)
    said = text(cast.client("educator").get(reverse("call", args=[sheet.pk])))
    for one in (*words.every(opening.sentence), *words.every(opening.standing)):
        assert one.replace("\xa0", " ") in said
    assert "The bag says 1,120 mg/kg NO3-N of dry matter; the office calls from" in said
    assert opening.restricted
    assert "Keep the animals quiet" in said
    assert "555 0101" in said


def test_whom_one_calls_and_who_calls_stand_there_already(cast, sheet):
    page = cast.client("educator").get(reverse("call", args=[sheet.pk]))
    assert page.context["form"]["called"].value() == "Rancher"
    assert "Written down as called by Educator." in text(page)


def test_a_telephone_found_while_calling_is_kept_for_the_next_call_and_never_written_over(
    cast, sheet
):
    from haywright.office.ledger.models import Entry
    from haywright.office.sheet.models import Call

    address, client = reverse("call", args=[sheet.pk]), cast.client("educator")
    assert 'href="#id_telephone"' in client.get(address).content.decode()
    typed = {"called": "Rancher", "said": "They will wait.", "version": 1, "once": "c-1"}
    wrong = client.post(address, {**typed, "telephone": "ask around"})
    assert wrong.status_code == 422
    assert "telephone" in wrong.context["form"].errors
    assert not Call.objects.exists()
    client.post(address, {**typed, "once": "c-2", "telephone": "555 0171"})
    assert Call.objects.count() == 1
    page = client.get(address).content.decode()
    assert 'href="tel:5550171"' in page
    assert "id_telephone" not in page
    client.post(address, {**typed, "once": "c-3", "telephone": "555 0199"})
    cast.people["rancher"].refresh_from_db()
    assert cast.people["rancher"].phone == "555 0171"
    entry = Entry.objects.get(deed="person.telephone")
    assert "0171" not in str(entry.after)


def test_no_telephone_of_somebody_of_another_office_is_written(cast):
    from haywright.measure.errors import Refused
    from haywright.office.action import NotAllowed
    from haywright.office.people.actions import write_telephone

    for who in ("stranger", "educator"):
        with pytest.raises(NotAllowed):
            write_telephone(cast.actor("educator"), cast.people[who], "555 0171")
    with pytest.raises(NotAllowed):
        write_telephone(cast.actor("neighbour"), cast.people["rancher"], "555 0171")
    write_telephone(cast.actor("office_admin"), cast.people["rancher"], "555 0171")
    with pytest.raises(Refused):
        write_telephone(cast.actor("office_admin"), cast.people["rancher"], "555 0199")


def test_a_bale_there_is_not_is_refused_with_those_there_are_and_what_to_do(cast, lot):
    program = Program(cast, "educator")
    facts = {"cored_on": "2026-09-08", "tests": ["nitrate"], "bales": "1-3, 65, 999"}
    body = {"lot": str(lot.pk), "facts": facts, "at": "2026-09-08T15:00:00Z"}
    answer = program.ask("POST", "/bags", body)
    assert answer.status_code == 422
    said = answer.json()["detail"]
    assert "no bale 65, 999" in said
    assert "numbered 1 to 64" in said
    assert "correct its count first" in said


def test_who_saves_after_somebody_else_is_told_what_to_do_and_no_version_number(cast, lot):
    program = Program(cast, "educator")
    body = {"facts": {**OATS, "name": "Oats by the river"}, "version": lot.version}
    assert program.ask("PUT", f"/lots/{lot.pk}", body).status_code == 200
    said = program.ask("PUT", f"/lots/{lot.pk}", body).json()["detail"]
    assert "Open the page again" in said
    assert "number" not in said


def test_a_program_that_refuses_a_bag_need_not_say_who_it_is(cast, bag):
    program = Program(cast, "lab_manager")
    told = {"stage": "refused", "at": AT, "reason": "the bag was open"}
    bag = program.done(f"/bags/{bag.pk}/passed-on", told)
    assert bag["journey"][-1]["who"] == "Lab_Manager"
    assert bag["stage"] == "refused"


def test_a_number_that_is_held_back_is_told_as_held_and_not_as_nothing(cast, lot, at_the_bench):
    from haywright.office.bench.actions import receive_results

    receive_results(cast.actor("lab_manager"), [report_of(at_the_bench.code, held=True)])
    versions = Program(cast, "educator").get(f"/sheets/{lot.sheets.get().pk}/versions")["items"]
    fiber = next(one for one in versions[0]["changes"] if one["quantity"] == "adf")
    assert (fiber["was"], fiber["now"]) == (38.2, None)
    assert (fiber["was_held"], fiber["now_held"]) == (False, True)


def test_nobody_ends_their_own_membership_by_its_address(cast):
    from haywright.office.people.models import Membership

    me = cast.people["office_admin"]
    Membership.objects.create(
        person=cast.people["educator"], office=cast.office, role="office_admin"
    )
    mine = Membership.objects.get(person=me)
    address = reverse("member-end", args=[mine.pk])
    answer = cast.client("office_admin").post(address, {"reason": "moved away", "once": "e-1"})
    assert answer.status_code == 422
    assert "Ask another admin" in text(answer)
    mine.refresh_from_db()
    assert mine.until is None


def test_results_are_not_received_into_a_folder_that_holds_no_office(tmp_path):
    import os
    import subprocess
    import sys

    results, wrong = tmp_path / "results.json", tmp_path / "mispelt"
    results.write_text("{}", "utf-8")
    run = [sys.executable, "-c", "from haywright.cli.main import main; main()", "office",
           "receive", str(results), "--data", str(wrong)]  # fmt: skip
    done = subprocess.run(
        run, capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": "src"},
    )  # fmt: skip
    assert done.returncode == 2
    assert "mispelt" in done.stderr
    assert not wrong.exists()
