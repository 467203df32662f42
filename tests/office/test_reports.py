"""How results come in on pages: typed and looked over, corrected, received, held and released."""

from __future__ import annotations

import json
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from tests.office.test_sheet_pages import text

PAPER = {
    "laboratory": "Plain laboratory", "basis": "dry matter", "u_nitrate_n": "ppm NO3-N",
    "n_dm": "88.4", "n_cp": "9.6", "n_adf": "38.2", "n_ndf": "61.5", "n_nitrate_n": "1120",
}  # fmt: skip
SCRIPT = "<script>document.title='taken'</script>"


def typed(cast, lot, bag, name="educator", **more):
    held = {**PAPER, "bag": str(bag.pk), **more}
    return cast.client(name).post(reverse("lot-report", args=[lot.pk]), held)


def test_a_report_is_looked_over_before_anything_is_kept(cast, lot, bag):
    answer = typed(cast, lot, bag, look="1")
    assert answer.status_code == 200
    said = text(answer)
    assert "Nothing is kept yet" in said
    # 1,120 mg/kg of nitrate-nitrogen weighs 4.427 times that as nitrate (62.004/14.007),
    # by the atomic weights of IUPAC 2021
    assert "4,960 mg/kg NO3" in said
    # as received: 9.6 % of dry matter in hay of 88.4 % dry matter
    assert f"{9.6 * 0.884:.1f} %" in said
    assert not lot.results.exists()


def test_the_look_shows_the_numbers_of_the_pure_functions(cast, lot, bag):
    from haywright.measure.basis import DRY_MATTER
    from haywright.measure.nitrate import NitrateForm, convert_form
    from haywright.office.way.pure import pure_lot
    from haywright.paper.speaker import Speaker
    from haywright.sheet.typed import Laboratory, read_typed
    from haywright.way.lot import sample_of_report
    from haywright.words import Reader

    said, words = text(typed(cast, lot, bag, look="1")), Speaker(Reader())
    texts = ("dm=88.4", "cp=9.6", "adf=38.2", "ndf=61.5", "nitrate=1120 ppm NO3-N")
    report = read_typed(texts, laboratory=Laboratory("Plain laboratory", basis=DRY_MATTER))
    sheet = sample_of_report(pure_lot(lot), report.results).sheet
    for name in ("cp", "adf", "ndf"):
        for one in (report.results[name].estimate, sheet.as_received[name]):
            assert words.value(one, name).replace("\xa0", " ") in said
    for one in (report.results["nitrate_n"].estimate, sheet.as_received["nitrate_n"]):
        for form in (NitrateForm.NO3_N, NitrateForm.NO3, NitrateForm.KNO3):
            figure = words.figure(convert_form(one.value, NitrateForm.NO3_N, form), "nitrate_n")
            assert f"{figure} mg/kg {form.value}" in said


def test_a_report_kept_is_the_sheet_of_the_pure_functions(cast, lot, bag):
    from haywright.office.way.pure import known
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader

    assert typed(cast, lot, bag).status_code == 302
    sheet = lot.sheets.get()
    page = text(cast.client("rancher").get(reverse("sheet", args=[sheet.pk])))
    pure, words = known(lot).samples[0].sheet, Speaker(Reader())
    for name in ("dm", "cp", "adf", "ndf", "nitrate_n", "tdn"):
        assert words.value(pure.get(name).estimate, name).replace("\xa0", " ") in page


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"n_cp": "9.6 furlongs"}, "n_cp"),
        ({"n_cp": "118"}, "n_cp"),
        ({"n_dm": "eighty"}, "n_dm"),
        ({"u_nitrate_n": ""}, "n_nitrate_n"),
        ({"u_nitrate_n": "", "n_nitrate_n": "1120 ppm"}, "n_nitrate_n"),
        ({"laboratory": ""}, "laboratory"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field_and_nothing_typed_is_lost(
    cast, lot, bag, wrong, field
):
    answer = typed(cast, lot, bag, **wrong)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert f'id="id_{field}_error"' in page
    kept = {**PAPER, **wrong}
    for name in ("n_adf", "n_cp", "n_dm"):
        assert f'value="{kept[name]}"' in page
    assert not lot.results.exists()


def test_every_number_that_is_wrong_is_told_at_once_with_what_is_accepted(cast, lot, bag):
    wrong = {"n_cp": "9.6 lb", "n_adf": "38.2 furlongs", "v1": "3", "numbers": "nonsense"}
    answer = typed(cast, lot, bag, **wrong)
    said = text(answer)
    assert "Crude protein is not measured in “lb”. Accepted: %, g/kg, mg/kg, ppm." in said
    assert "is not measured in “furlongs”" in said
    assert "Say what this number is" in said
    assert "“nonsense” is not read" in said
    for one in ("9.6 lb", "38.2 furlongs"):
        assert f'value="{one}"' in answer.content.decode()


def test_a_basis_the_whole_paper_lacks_is_asked_for_once_where_it_is_chosen(cast, lot, bag):
    answer = typed(cast, lot, bag, basis="")
    assert answer.status_code == 422
    page = answer.content.decode()
    assert page.count("Say what the numbers are a share of") == 1
    assert 'id="id_basis_error"' in page
    assert 'id="id_n_cp_error"' not in page
    assert 'value="9.6"' in page


def test_a_number_with_two_units_or_two_bases_is_asked_which(cast, lot, bag):
    two = {"n_cp": "96 g/kg", "u_cp": "ppm", "n_adf": "38.2 % as received", "b_adf": "dry matter"}
    said = text(typed(cast, lot, bag, **two))
    assert "both “g/kg” and “ppm” are said" in said
    assert "both “as received” and “dry matter” are said" in said
    assert not lot.results.exists()


def test_rows_and_lines_are_read_alike(cast, lot, bag):
    more = {
        "n_cp": "96 g/kg", "w1": "ca", "v1": "4200", "u1": "ppm", "b1": "as received",
        "w2": "nem", "v2": "0.62", "u2": "Mcal/lb", "numbers": "lignin = 4.1 % dry matter",
    }  # fmt: skip
    assert typed(cast, lot, bag, **more, sure="on").status_code == 302
    found = {one.analyte: float(one.value) for one in lot.results.all()}
    assert found["cp"] == pytest.approx(9.6)
    assert found["ca"] == pytest.approx(0.42 / 0.884)
    assert found["nem"] == pytest.approx(0.62 / 0.45359237)  # the pound of 1959, in kg
    assert found["lignin"] == pytest.approx(4.1)


def test_the_rows_are_those_the_bag_asked_for_and_the_bag_says_which_laboratory(cast, lot):
    from haywright.office.bag.actions import seal_bag
    from tests.office.conftest import CORED

    facts = {"cored_on": "2026-09-08", "taken": "probe", "bales": "1-20",
             "tests": ["nitrate", "cu", "dm"]}  # fmt: skip
    seal_bag(cast.actor("educator"), lot, facts, at=CORED, laboratory="Ridge laboratory")
    page = cast.client("educator").get(reverse("lot-report", args=[lot.pk])).content.decode()
    assert re.findall(r'name="n_(\w+)"', page) == ["dm", "nitrate_n", "cu"]
    assert 'value="Ridge laboratory"' in page


def test_an_energy_or_a_nitrate_without_its_unit_is_refused_and_not_guessed(cast, lot, bag):
    bare = {"n_nitrate_n": "1120 ppm", "u_nitrate_n": "", "w1": "nem", "v1": "0.62"}
    answer = typed(cast, lot, bag, **bare)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'id="id_n_nitrate_n_error"' in page
    assert 'id="id_v1_error"' in page
    assert not lot.results.exists()


def test_what_the_laboratory_always_writes_is_filled_in_from_what_is_known_of_it(cast, lot, bag):
    from haywright.office.bench.actions import keep_laboratory

    habits = {"name": "Plain laboratory", "basis": "as received", "nitrate": "ppm NO3"}
    keep_laboratory(cast.actor("educator"), None, habits)
    said = text(typed(cast, lot, bag, basis="", u_nitrate_n="", look="1"))
    assert "as received: as Plain laboratory writes it" in said
    assert "mg/kg NO3: as Plain laboratory writes it" in said
    assert f"{9.6 / 0.884:.1f} %" in said
    # what is chosen on the page goes before the habit, and is said to
    chosen = text(typed(cast, lot, bag, u_nitrate_n="", look="1"))
    assert "dry matter: chosen for the whole paper" in chosen
    assert "as received: as Plain" not in chosen


def test_a_number_that_cannot_be_is_refused_beside_both_fields(cast, lot, bag):
    told = {"n_adf": "61.5", "n_ndf": "38.2"}  # more ADF than NDF cannot be
    answer = typed(cast, lot, bag, **told, sure="on")
    assert answer.status_code == 422
    page = answer.content.decode()
    assert 'id="id_n_adf_error"' in page
    assert 'id="id_n_ndf_error"' in page
    assert "ask the laboratory" in text(answer)
    assert not lot.results.exists()


def test_a_number_that_is_unusual_is_kept_only_when_it_is_confirmed(cast, lot, bag):
    told = {"n_cp": "24.5"}  # over what grass hay has (Shewmaker's ranges), yet it can be
    asked = typed(cast, lot, bag, **told)
    assert asked.status_code == 422
    assert "It stands so on the paper" in text(asked)
    assert 'value="24.5"' in asked.content.decode()
    assert not lot.results.exists()
    assert typed(cast, lot, bag, **told, sure="on").status_code == 302


def test_a_number_changed_after_the_look_is_shown_once_more(cast, lot, bag):
    seen = re.search(
        r'name="seen" value="(\w+)"', typed(cast, lot, bag, look="1").content.decode()
    ).group(1)
    again = typed(cast, lot, bag, n_cp="6.9", seen=seen)
    assert again.status_code == 422
    assert "a number changed since you looked" in text(again)
    assert not lot.results.exists()
    assert typed(cast, lot, bag, seen=seen).status_code == 302


def test_two_hands_typing_the_same_number_need_a_reason(cast, lot, bag):
    typed(cast, lot, bag)
    answer = typed(cast, lot, bag, n_cp="9.9")
    assert answer.status_code == 422
    assert 'value="9.9"' in answer.content.decode()
    assert typed(cast, lot, bag, n_cp="9.9", reason="read again").status_code == 302


def test_a_typo_is_corrected_with_its_trace(cast, lot, bag):
    typed(cast, lot, bag, n_cp="19.6")
    one = lot.results.get(analyte="cp")
    sheet = lot.sheets.get()
    number = reverse("number", args=[sheet.pk, "cp"])
    address = reverse("result-correct", args=[one.pk])
    assert address in cast.client("educator").get(number).content.decode()
    assert address not in cast.client("rancher").get(number).content.decode()
    client = cast.client("educator")
    bad = client.post(address, {"right": "much", "reason": "slip"})
    assert bad.status_code == 422
    assert 'value="much"' in bad.content.decode()
    done = client.post(address, {"right": "9.6 % dry matter", "reason": "a digit slipped"})
    assert done.status_code == 302, text(done)
    page = text(client.get(number))
    assert "19.6 %" in page
    assert "9.6 %" in page
    assert "a digit slipped" in page
    newest = sheet.versions.latest("number")
    assert newest.amended
    assert newest.reason == "a digit slipped"
    assert "a digit slipped" in text(client.get(reverse("lot", args=[lot.pk])))
    assert "Crude protein: 19.6 %, now 9.6 %" in text(client.get(reverse("lot", args=[lot.pk])))


def test_two_tabs_that_correct_the_same_number_do_not_undo_each_other(cast, lot, bag):
    typed(cast, lot, bag, n_cp="19.6")
    address = reverse("result-correct", args=[lot.results.get(analyte="cp").pk])
    first = {"right": "9.6 % dry matter", "reason": "a digit slipped"}
    assert cast.client("educator").post(address, first).status_code == 302
    late = cast.client("lab_manager").post(
        address, {"right": "9.1 % dry matter", "reason": "read again"}
    )
    assert late.status_code == 422
    assert "Another number stands in its place already" in text(late)
    assert "9.6 %" in text(late)
    assert 'value="9.1 % dry matter"' in late.content.decode()
    assert 'value="read again"' in late.content.decode()
    assert lot.results.filter(analyte="cp").count() == 2


def test_a_nitrate_is_not_corrected_without_its_form(cast, lot, bag):
    typed(cast, lot, bag)
    one = lot.results.get(analyte="nitrate_n")
    address = reverse("result-correct", args=[one.pk])
    client = cast.client("educator")
    assert 'value="1120 mg/kg NO3-N dry matter"' in client.get(address).content.decode()
    bare = client.post(address, {"right": "4200 ppm dry matter", "reason": "slip"})
    assert bare.status_code == 422
    assert "which form the nitrate number is in" in text(bare)
    client.post(address, {"right": "4200 ppm NO3 dry matter", "reason": "slip"})
    newest = lot.results.filter(analyte="nitrate_n").latest("id")
    # 14.007/62.004 of it is nitrogen, by the atomic weights of IUPAC 2021
    assert float(newest.value) == pytest.approx(4200 * 14.007 / 62.004, rel=1e-4)


def test_a_number_of_the_bench_is_not_typed_over(cast, lot, at_the_bench):
    manager = cast.client("lab_manager")
    sent(manager, report_of(at_the_bench.code, held=False))
    one = lot.results.get(batch__isnull=False)
    address = reverse("result-correct", args=[one.pk])
    assert "receive a rerun" in text(manager.get(address))
    answer = manager.post(address, {"right": "30 % dry matter", "reason": "nicer"})
    assert answer.status_code == 422
    assert not hasattr(one, "replaced_by")


def report_of(code, *, held, value=38.1, batch="2026-09-14-adf"):
    """What the bench writes of one bag's ADF."""
    from haywright.measure.estimate import Estimate, exact
    from haywright.measure.message import message
    from haywright.measure.result import Result

    reason = message("bench.source.bias", quantity=message("measure.quantity", id="adf"))
    estimate = Estimate.held(reason, raw=value) if held else exact(value)
    one = Result(analyte="adf", estimate=estimate, unit="%")
    why = [{"bag": code, "analyte": "adf", "reasons": [reason.to_json()]}] if held else []
    return {
        "batch": batch, "determination": "adf", "run_on": "2026-09-14",
        "laboratory": "Own bench", "results": {code: [one.to_json()]},
        "decision": {"held": why}, "controls": [],
        "readings": [{"position": 1, "kind": "sample", "sample": code, "crucible_g": 31.2}],
    }  # fmt: skip


def sent(client, report, name="results.json"):
    data = json.dumps(report).encode()
    return client.post(
        reverse("batch-receive"),
        {"results_file": SimpleUploadedFile(name, data, "application/json")},
    )


@pytest.fixture
def at_the_bench(cast, lot, bag):
    typed(cast, lot, bag)
    return bag


def test_a_file_of_the_bench_is_received_once(cast, lot, at_the_bench):
    from haywright.office.bench.models import Batch

    manager = cast.client("lab_manager")
    report = report_of(at_the_bench.code, held=False)
    assert sent(manager, report).status_code == 302
    again = sent(manager, report)
    assert again.status_code == 302
    assert "received before" in text(manager.get(again["Location"]))
    assert Batch.objects.count() == 1
    sheet = lot.sheets.get()
    number = text(manager.get(reverse("number", args=[sheet.pk, "adf"])))
    assert "Empty crucible" in number
    assert "31.2" in number


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda r: r | {"results": {"FAR-0001-00": next(iter(r["results"].values()))}}, "FAR-0001"),
        (lambda r: r | {"run_on": "yesterday"}, "run_on"),
        (lambda r: [r], "results.json"),
    ],
)
def test_a_file_that_is_not_ours_is_refused_in_words_and_whole(cast, at_the_bench, spoil, says):
    from haywright.office.bench.models import Batch

    answer = sent(cast.client("lab_manager"), spoil(report_of(at_the_bench.code, held=False)))
    assert answer.status_code == 422
    assert says in text(answer)
    assert not Batch.objects.exists()


def test_a_held_batch_gives_no_number_until_it_is_released_in_writing(cast, lot, at_the_bench):
    from haywright.office.bench.models import Batch

    manager = cast.client("lab_manager")
    sent(manager, report_of(at_the_bench.code, held=True))
    sheet = lot.sheets.get()
    assert sheet.versions.latest("number").interim
    batch = Batch.objects.get()
    page = reverse("batch", args=[batch.pk])
    assert "held back" in text(manager.get(page))
    assert 'name="why"' not in cast.client("technician").get(page).content.decode()
    assert manager.post(page, {"why": " "}).status_code == 422
    manager.post(page, {"why": "the balance was checked after"})
    batch.refresh_from_db()
    assert batch.released_by == cast.people["lab_manager"]
    front = text(cast.client("rancher").get(reverse("sheet", args=[sheet.pk])))
    assert "38.1" in front
    assert "the balance was checked after" in front
    assert not sheet.versions.latest("number").interim


def test_a_rerun_stands_in_the_place_of_what_was_held(cast, lot, at_the_bench):
    from haywright.office.bench.actions import held_results
    from haywright.office.bench.models import Batch

    manager = cast.client("lab_manager")
    sent(manager, report_of(at_the_bench.code, held=True))
    rerun = report_of(at_the_bench.code, held=False, value=37.7, batch="2026-09-15-adf-rerun")
    sent(manager, rerun | {"rerun_of": "2026-09-14-adf"})
    first = Batch.objects.get(name="2026-09-14-adf")
    assert held_results(first) == []
    said = text(manager.get(reverse("batch", args=[first.pk])))
    assert "Nothing of it is held any more" in said
    assert "Before and after" in said
    assert "38.1" in said
    assert "37.7 %" in said
    assert "rerun, batch 2026-09-15-adf-rerun" in said
    assert said.count("2026-09-15-adf-rerun") == 2


def test_the_list_of_what_is_held_says_why_in_words(cast, lot, at_the_bench):
    manager = cast.client("lab_manager")
    sent(manager, report_of(at_the_bench.code, held=True))
    held = reverse("batches") + "?held=1"
    for who in ("lab_manager", "technician", "educator"):
        said = text(cast.client(who).get(held))
        assert "HELD" in said
        assert "bias" in said
        assert "Juniper Flat" not in said
    assert cast.client("rancher").get(held).status_code == 403


def test_the_command_and_the_page_take_one_file_once(cast, lot, at_the_bench, tmp_path):
    from haywright.measure.errors import HaywrightError
    from haywright.office import start
    from haywright.office.action import DoneAlready
    from haywright.office.bench.models import Batch

    file = tmp_path / "results.json"
    file.write_text(json.dumps(report_of(at_the_bench.code, held=False)), "utf-8")
    assert start.receive([file], "lab_manager@example.org")[0]["results"] == 1
    with pytest.raises(DoneAlready):
        start.receive([file], "lab_manager@example.org")
    page = cast.client("lab_manager")
    again = page.post(reverse("batch-receive"), {"results_file": SimpleUploadedFile(
        "results.json", file.read_bytes())})  # fmt: skip
    assert "received before" in text(page.get(again["Location"]))
    assert Batch.objects.count() == 1
    file.write_text(json.dumps(report_of("FAR-0001-00", held=False, batch="other")), "utf-8")
    with pytest.raises(HaywrightError, match="not_ours"):
        start.receive([file], "lab_manager@example.org")
    assert Batch.objects.count() == 1


def test_the_command_refuses_a_file_of_200_megabytes_unread(tmp_path):
    from haywright.measure.errors import Refused
    from haywright.office.bench.reports import read_reports

    file = tmp_path / "results.json"
    with file.open("wb") as out:
        out.truncate(200_000_000)  # nothing but length: read, it would be refused as no JSON
    with pytest.raises(Refused, match="too_large"):
        read_reports([file])


def test_a_script_typed_anywhere_is_shown_and_never_part_of_the_page(cast, lot, bag):
    answer = typed(
        cast, lot, bag, laboratory=SCRIPT, report=SCRIPT, reason=SCRIPT, n_cp=SCRIPT, numbers=SCRIPT
    )
    assert SCRIPT not in answer.content.decode()
    assert "&lt;script&gt;" in answer.content.decode()
    words = {"laboratory": SCRIPT, "report": SCRIPT, "reason": SCRIPT}
    seen = typed(cast, lot, bag, **words, look="1").content.decode()
    assert "As it was understood" in seen
    assert SCRIPT not in seen
    typed(cast, lot, bag, **words)
    one = lot.results.get(analyte="cp")
    address = reverse("result-correct", args=[one.pk])
    client = cast.client("educator")
    wrong = client.post(address, {"right": SCRIPT, "reason": SCRIPT}).content.decode()
    assert SCRIPT not in wrong
    client.post(address, {"right": "9.7 % dry matter", "reason": SCRIPT})
    for page in (reverse("lot", args=[lot.pk]), reverse("sheet", args=[lot.sheets.get().pk]),
                 reverse("number", args=[lot.sheets.get().pk, "cp"])):  # fmt: skip
        assert SCRIPT not in client.get(page).content.decode()


def corrected(cast, lot, name, right, who="educator", **more):
    """A correction of one kept number as its page is sent."""
    one = lot.results.filter(analyte=name, replaced_by__isnull=True).get()
    held = {"right": right, "reason": "read again", **more}
    return cast.client(who).post(reverse("result-correct", args=[one.pk]), held)


def kept_as(lot, name):
    return float(lot.results.get(analyte=name, replaced_by__isnull=True).value)


def test_a_correction_that_cannot_be_is_refused_beside_the_number(cast, lot, bag):
    typed(cast, lot, bag)
    answer = corrected(cast, lot, "adf", "70 % dry matter", sure="on", seen="70 % dry matter")
    assert answer.status_code == 422  # more ADF than the NDF of 61.5 %
    assert 'id="id_right_error"' in answer.content.decode()
    assert "This cannot be so" in text(answer)
    assert 'value="70 % dry matter"' in answer.content.decode()
    assert kept_as(lot, "adf") == pytest.approx(38.2)


@pytest.mark.parametrize(
    ("name", "right", "says"),
    [
        ("cp", "96 % dry matter", "Unusual"),
        ("nitrate_n", "11200 ppm NO3-N dry matter", "tenfold or more"),
        ("nitrate_n", "1.120 ppm NO3-N dry matter", "tenfold or more"),
    ],
)
def test_a_correction_that_is_unusual_is_kept_only_when_it_is_confirmed(
    cast, lot, bag, name, right, says
):
    typed(cast, lot, bag)
    before = kept_as(lot, name)
    asked = corrected(cast, lot, name, right)
    assert asked.status_code == 422
    assert says in text(asked)
    for kept in (right, "read again"):
        assert f'value="{kept}"' in asked.content.decode()
    other = corrected(cast, lot, name, right, sure="on", seen="something else")
    assert other.status_code == 422  # the tick was for another number
    assert kept_as(lot, name) == before
    assert corrected(cast, lot, name, right, sure="on", seen=right).status_code == 302
    assert kept_as(lot, name) == pytest.approx(float(right.split()[0]))


def test_a_correction_that_takes_a_do_not_feed_away_is_asked_for_twice(cast, lot, bag):
    # 4,200 mg/kg of nitrate-nitrogen is over every guide's last line; 900 is not
    typed(cast, lot, bag, n_nitrate_n="4200")
    right = "900 ppm NO3-N dry matter"
    asked = corrected(cast, lot, "nitrate_n", right)
    assert asked.status_code == 422
    assert "no longer said not to be fed" in text(asked)
    assert kept_as(lot, "nitrate_n") == pytest.approx(4200)


def test_a_bare_number_keeps_the_unit_and_the_basis_it_corrects(cast, lot, bag):
    typed(cast, lot, bag)
    assert corrected(cast, lot, "adf", "37.2").status_code == 302
    assert kept_as(lot, "adf") == pytest.approx(37.2)
    # a nitrate does not keep its form: it is said each time
    bare = corrected(cast, lot, "nitrate_n", "1150")
    assert bare.status_code == 422
    assert kept_as(lot, "nitrate_n") == pytest.approx(1120)


def test_a_correction_is_helped_with_the_words_of_its_own_quantity(cast, lot, bag):
    typed(cast, lot, bag)
    one = lot.results.get(analyte="nitrate_n")
    page = text(cast.client("educator").get(reverse("result-correct", args=[one.pk])))
    assert "1120 ppm NO3-N dry matter" in page
    assert "9.6 % dry matter" not in page
    said = text(corrected(cast, lot, "nitrate_n", "plenty"))
    assert "does not begin with a number" in said
    assert "NAME=NUMBER" not in said
    assert "entry:" not in said


def test_a_program_s_correction_is_looked_over_like_a_page_s(cast, lot, bag):
    from tests.office.programs import Program

    typed(cast, lot, bag)
    program, one = Program(cast, "educator"), lot.results.get(analyte="adf")
    right = {"quantity": "adf", "value": "70", "unit": "%", "basis": "dry matter"}
    address, body = f"/results/{one.pk}/correct", {"right": right, "reason": "read again"}
    assert program.ask("POST", address, body).status_code == 422
    assert program.ask("POST", address, body | {"sure": True}).status_code == 422
    assert kept_as(lot, "adf") == pytest.approx(38.2)
