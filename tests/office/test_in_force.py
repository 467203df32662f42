"""Which of several numbers of one bag stands, and what of a held number is given out."""

from __future__ import annotations

import json

import pytest
from django.urls import reverse

from tests.office.programs import Program
from tests.office.test_reports import report_of, sent, typed
from tests.office.test_sheet_pages import text
from tests.paper.reading import reader, text_of

HELD_WORTH = "99.8877"  # what a held ADF would have been [%]; in no page of a rancher


def adf_of(code, batch, value, *, kind="measured", held=False, **more):
    """A bench file with one bag's ADF of a kind of evidence."""
    from haywright.measure.estimate import Estimate, exact
    from haywright.measure.message import message
    from haywright.measure.result import Kind, Result

    why = message("bench.source.bias", quantity=message("measure.quantity", id="adf"))
    estimate = Estimate.held(why, raw=value) if held else exact(value)
    one = Result(analyte="adf", estimate=estimate, unit="%", kind=Kind(kind))
    report = report_of(code, held=held, value=value, batch=batch)
    return report | {"results": {code: [one.to_json()]}} | more


def above(code, batch, top):
    from haywright.measure.estimate import Estimate
    from haywright.measure.result import Result

    estimate = Estimate.above(top, "top of the curve", raw=top + 9)
    one = Result(analyte="adf", estimate=estimate, unit="%")
    return report_of(code, held=False, batch=batch) | {"results": {code: [one.to_json()]}}


@pytest.fixture
def bench(cast):
    """The bench sends a file to the office."""
    client = cast.client("lab_manager")

    def send(report):
        answer = sent(client, report, f"{report['batch']}.json")
        assert answer.status_code == 302, text(answer)
        return text(client.get(answer["Location"]))

    return send


def stands(lot, bag, analyte="adf"):
    from haywright.office.way.pure import in_force

    return in_force(lot, bag)[analyte]


def test_a_near_infrared_prediction_stands_beside_the_measured_fiber_and_never_in_it(
    cast, lot, bag, bench
):
    bench(adf_of(bag.code, "wet", 38.1))
    said = bench(adf_of(bag.code, "light", 35.5, kind="predicted"))
    one = stands(lot, bag)
    assert (float(one.value), one.kind) == (38.1, "measured")
    assert "Kept beside" in said
    assert "35.5" in said
    assert "38.1 %" in said
    history = text(cast.client("educator").get(reverse("lot", args=[lot.pk])))
    assert "35.5 % of batch light kept beside" in history
    sheet = text(cast.client("rancher").get(reverse("sheet", args=[lot.sheets.get().pk])))
    assert "38.1" in sheet
    assert "35.5" not in sheet


def test_what_is_measured_takes_the_place_of_what_was_predicted(lot, bag, bench):
    bench(adf_of(bag.code, "light", 35.5, kind="predicted"))
    bench(adf_of(bag.code, "wet", 38.1))
    assert stands(lot, bag).kind == "measured"


def test_a_prediction_does_not_fill_the_place_of_a_measured_number_that_is_held(lot, bag, bench):
    bench(adf_of(bag.code, "wet", 38.1, held=True))
    bench(adf_of(bag.code, "light", 35.5, kind="predicted"))
    assert stands(lot, bag).state == "held"


def test_a_second_batch_does_not_better_a_number_that_was_let_through(lot, bag, bench):
    bench(adf_of(bag.code, "first", 38.1))
    said = bench(adf_of(bag.code, "second", 33.0, rerun_of="first"))
    assert float(stands(lot, bag).value) == 38.1
    assert "Kept beside" in said


def test_a_later_batch_settles_what_was_held_or_over_the_range(lot, bag, bench):
    bench(above(bag.code, "over", 60.0))
    bench(adf_of(bag.code, "held", 38.4, held=True))
    assert stands(lot, bag).state == "held"
    bench(adf_of(bag.code, "rerun", 38.1, rerun_of="over"))
    assert float(stands(lot, bag).value) == 38.1


def test_the_demo_shows_the_measured_fiber_of_the_bag_that_a_spectrometer_saw_too(cast):
    from haywright.office.bench.models import Batch, Result
    from haywright.office.demo import bring_demo
    from haywright.office.way.pure import in_force

    cast.office.code = "SVH"
    cast.office.save()
    bring_demo(cast.office, cast.people["educator"])
    light = Batch.objects.get(determination="near_infrared")
    beside = {(one["bag"], one["result"]["analyte"]) for one in light.report["beside"]}
    assert {name for _, name in beside} >= {"adf", "ndf", "ash"}
    for code, name in beside:
        row = Result.objects.filter(bag__code=code, analyte=name).first()
        assert in_force(row.lot, row.bag)[name].kind != "predicted"


@pytest.fixture
def held_after_all(cast, lot, bag, bench):
    """A typed ADF of 38.2 % whose bag the bench ran too, with a control that failed."""
    typed(cast, lot, bag)
    bench(adf_of(bag.code, "2026-09-14-adf", float(HELD_WORTH), held=True))
    return lot.sheets.get()


def test_whom_to_call_stands_on_the_first_page_of_a_sheet_that_was_amended_in_spanish_too(
    cast, held_after_all
):
    cast.people["rancher"].language = "es"
    cast.people["rancher"].save()
    paper = cast.client("rancher").get(reverse("sheet-pdf", args=[held_after_all.pk])).content
    first = reader(paper).pages[0].extract_text()
    assert "CORREGIDA" in first
    assert "Llame al veterinario" in first
    assert "Nitrate" not in first


def test_a_number_that_is_held_now_reads_held_and_not_what_it_would_have_been(
    cast, lot, held_after_all
):
    client = cast.client("rancher")
    sheet = text(client.get(reverse("sheet", args=[held_after_all.pk])))
    assert "38.2 %, now held" in sheet
    history = text(client.get(reverse("lot", args=[lot.pk])))
    assert "38.2 %, now held" in history


def test_what_a_held_number_would_have_been_stands_on_no_page_of_a_rancher(
    cast, lot, held_after_all
):
    client, sheet = cast.client("rancher"), held_after_all
    pages = [
        reverse("sheet", args=[sheet.pk]), reverse("lot", args=[lot.pk]),
        reverse("number", args=[sheet.pk, "adf"]), reverse("today"),
        reverse("compare", args=[sheet.pk]),
    ]  # fmt: skip
    program = Program(cast, "rancher")
    asked = [f"/sheets/{sheet.pk}{end}" for end in ("", "/versions", "/versions/0")]
    answers = {one: client.get(one) for one in pages}
    answers |= {one: program.ask("GET", one) for one in (*asked, "/results")}
    for address, answer in answers.items():
        assert answer.status_code == 200, address
        for shown in (HELD_WORTH, "99.9"):
            assert shown not in answer.content.decode(), address
    sheet_paper = text_of(client.get(reverse("sheet-pdf", args=[sheet.pk])).content)
    assert "99.9" not in sheet_paper
    frozen = json.dumps(sheet.versions.latest("number").snapshot)
    assert HELD_WORTH not in frozen
    from haywright.office.ledger.models import Entry

    for entry in Entry.objects.filter(lot_id=lot.pk):
        assert HELD_WORTH not in json.dumps([entry.before, entry.after])


@pytest.mark.parametrize("outcome", ["passed", "warned", "failed", "not judged"])
def test_a_control_is_told_on_the_page_of_its_batch_however_it_came_out(bag, bench, outcome):
    from haywright.bench.findings import Control, Outcome
    from haywright.measure.message import message

    control = Control("check", Outcome(outcome), message("measure.quantity", id="adf"))
    said = bench(adf_of(bag.code, "adf", 38.1, controls=[control.to_json()]))
    words = {"passed": "passed", "warned": "look at this",
             "failed": "failed", "not judged": "not judged"}  # fmt: skip
    assert words[outcome] in said


def test_a_batch_whose_held_numbers_were_rerun_is_held_no_more(cast, lot, bag, bench):
    from haywright.office.bench.models import Batch

    manager = cast.client("lab_manager")
    bench(adf_of(bag.code, "first", 38.1, held=True))
    assert "Batches held back" in text(manager.get(reverse("today")))
    bench(adf_of(bag.code, "second", 37.7, rerun_of="first"))
    assert "held back" not in text(manager.get(reverse("today")))
    assert "first" not in text(manager.get(reverse("batches") + "?held=1"))
    assert "Rerun in its place" in text(manager.get(reverse("batches")))
    page = manager.get(reverse("batch", args=[Batch.objects.get(name="first").pk]))
    assert "What it touches is held back" not in text(page)
    assert "Nothing of it is held any more" in text(page)
    assert 'name="why"' not in page.content.decode()


def test_a_batch_s_page_has_its_own_results_by_bag(cast, lot, bag, bench):
    from haywright.office.bench.models import Batch

    said = bench(adf_of(bag.code, "first", 38.1, held=True))
    assert "Its results" in said
    assert "The controls" not in said
    second = bench(adf_of(bag.code, "second", 37.7, rerun_of="first"))
    assert "Acid detergent fiber" in second
    assert "37.7 %" in second
    page = cast.client("technician").get(
        reverse("batch", args=[Batch.objects.get(name="first").pk])
    )
    assert reverse("bag", args=[bag.pk]) in page.content.decode()
    assert "second stands in its place" in text(page)


def test_the_control_that_failed_stands_first_and_names_its_mineral(bag, bench):
    from haywright.bench.findings import Control, Outcome
    from haywright.measure.message import message

    told = message("measure.quantity", id="dm")
    controls = [
        Control("check", Outcome.PASSED, told, analytes=("ca",)).to_json(),
        Control("check", Outcome.FAILED, told, analytes=("cu",)).to_json(),
    ]
    said = bench(adf_of(bag.code, "minerals", 38.1, controls=controls)).lower()
    assert said.index("copper") < said.index("calcium")


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({}, "has no results in it"),
        ({"decision": {"held": [], "waiting": {"SDG": ["lab_dm"]}}}, "dry matter"),
    ],
)
def test_a_file_with_nothing_in_it_is_refused_and_leaves_its_name_free(
    cast, bag, bench, more, says
):
    from haywright.office.bench.models import Batch

    empty = adf_of(bag.code, "monday", 38.1) | {"results": {bag.code: []}} | more
    answer = sent(cast.client("lab_manager"), empty)
    assert answer.status_code == 422
    assert says in text(answer).lower()
    assert not Batch.objects.exists()
    bench(adf_of(bag.code, "monday", 38.1))


def passed_on(cast, bag, stage, reason=""):
    from haywright.bag.custody import Stage
    from haywright.office.bag.actions import pass_on
    from tests.office.conftest import CORED

    actor = cast.actor("technician")
    pass_on(actor, bag, Stage(stage), at=CORED, who="bench", reason=reason)


def test_results_of_a_refused_bag_are_refused(cast, lot, bag):
    passed_on(cast, bag, "refused", "wet through")
    answer = sent(cast.client("lab_manager"), adf_of(bag.code, "monday", 38.1))
    assert answer.status_code == 422
    assert f"Bag {bag.code} was refused" in text(answer)
    assert not lot.results.exists()


def test_results_of_a_bag_nobody_took_in_are_told(cast, bag, bench):
    assert f"these bags arrived: {bag.code}" in bench(adf_of(bag.code, "monday", 38.1))
    passed_on(cast, bag, "received")
    assert "arrived" not in bench(adf_of(bag.code, "tuesday", 38.2))


def test_a_bag_with_results_is_not_shipped_any_more(cast, bag, bench):
    client = cast.client("educator")
    assert bag.code in text(client.get(reverse("today")))
    bench(adf_of(bag.code, "monday", 38.1))
    assert bag.code not in text(client.get(reverse("today")))
