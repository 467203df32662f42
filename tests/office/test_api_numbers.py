"""What a program reads is what the pure functions find: the same hay, the same numbers."""

from __future__ import annotations

import math
from datetime import timedelta

import pytest

from tests.office.programs import Program
from tests.office.test_season import lot_tested
from tests.office.test_sheet_pages import amended, clean, pure_decision, pure_sheet

__all__ = ["amended", "clean"]
COWS = "animals=Bred cows&head=40&fed=mixed&pregnant=true&water_nitrate=2 mg/L NO3-N&drinks=12 gal"
OF_DM = {"unit": "mg/kg NO3-N", "basis": "dry matter"}


def whole_of(sheet):
    """Every number of a sheet, measured and worked out."""
    held = pure_sheet(sheet)
    return {**held.measured, **held.derived}, held.choices.confidence


def likely(one, confidence):
    """Both ends of a number's likely range; of a limit, what is known."""
    if one.estimate.settled and one.estimate.u > 0:
        return one.estimate.interval(confidence)
    return one.estimate.low, one.estimate.high


def given(value):
    """As JSON has it: what has no end is told as nothing."""
    return value if math.isfinite(value) else None


def asked(program, sheet, whom):
    """What a program is told of some animals."""
    return program.get(f"/sheets/{sheet.pk}/decision?{whom}")


def test_every_number_of_the_hay_reaches_a_program_with_unit_basis_and_doubt(cast, sheet):
    told = Program(cast, "rancher").get(f"/sheets/{sheet.pk}/versions/1")["numbers"]
    pure, confidence = whole_of(sheet)
    assert {one["quantity"] for one in told} == set(pure)
    assert len(told) == len(pure)
    for one in told:
        right = pure[one["quantity"]]
        low, high = likely(right, confidence)
        assert one["value"] == right.estimate.value, one["quantity"]
        assert (one["unit"], one["basis"]) == (right.unit, str(right.basis))
        assert (one["low"], one["high"]) == (given(low), given(high))
        assert one["u"] == right.estimate.u
        assert one["equation"] == right.equation


def test_the_numbers_typed_from_the_report_come_back_as_typed(cast, sheet):
    """By hand from the report: 88.4 % dry, and of the dry matter 9.6, 38.2, 61.5 %, 1,120 ppm."""
    told = Program(cast, "rancher").get(f"/sheets/{sheet.pk}/versions/1")["numbers"]
    held = {one["quantity"]: (one["value"], one["unit"], one["form"]) for one in told}
    assert held["dm"] == (pytest.approx(88.4), "%", "")
    assert held["cp"] == (pytest.approx(9.6), "%", "")
    assert held["adf"] == (pytest.approx(38.2), "%", "")
    assert held["ndf"] == (pytest.approx(61.5), "%", "")
    assert held["nitrate_n"] == (pytest.approx(1120), "mg/kg", "NO3-N")


def test_energy_a_program_reads_names_the_equation_that_gives_it(cast, sheet):
    """Relative feed value from 38.2 % ADF and 61.5 % NDF, by hand, as the trade reckons it.

    Digestible dry matter 88.9 - 0.779 ADF, intake 120 / NDF, their product over 1.29 (Rohweder,
    Barnes and Jorgensen 1978).
    """
    told = Program(cast, "rancher").get(f"/sheets/{sheet.pk}/versions/1")["numbers"]
    index = next(one for one in told if one["quantity"] == "rfv")
    by_hand = (88.9 - 0.779 * 38.2) * (120 / 61.5) / 1.29
    assert index["value"] == pytest.approx(by_hand, rel=1e-9)
    assert index["equation"]


def test_an_amended_sheet_keeps_the_first_nitrate_in_its_first_version(cast, amended):
    program = Program(cast, "rancher")

    def nitrate(number):
        told = program.get(f"/sheets/{amended.pk}/versions/{number}")["numbers"]
        return next(one["value"] for one in told if one["quantity"] == "nitrate_n")

    assert nitrate(1) == pytest.approx(1120)
    assert nitrate(2) == pytest.approx(1480)
    assert nitrate(0) == nitrate(2)  # nought is the newest
    changes = program.get(f"/sheets/{amended.pk}/versions")["items"][0]["changes"]
    one = next(one for one in changes if one["quantity"] == "nitrate_n")
    assert (one["was"], one["now"]) == (pytest.approx(1120), pytest.approx(1480))


def test_a_nitrate_below_its_limit_has_an_upper_end_and_no_value(cast):
    lot = lot_tested(cast, "Clean", "<50")
    sheet = lot.sheets.get()
    told = Program(cast, "rancher").get(f"/sheets/{sheet.pk}/versions/1")["numbers"]
    one = next(one for one in told if one["quantity"] == "nitrate_n")
    right = whole_of(sheet)[0]["nitrate_n"].estimate
    assert (one["state"], one["value"], one["u"]) == ("below limit", None, None)
    assert (one["low"], one["high"]) == (right.low, right.high)
    assert one["high"] == pytest.approx(50)


@pytest.mark.parametrize(
    ("whom", "facts"),
    [
        (COWS, {}),
        (f"{COWS}&intake=26 lb", {"intake": "26 lb"}),
        (f"{COWS}&stressed=true", {"stressed": True}),
        (COWS.replace("=mixed", "=free"), {"fed": "free"}),
        ("animals=Ewes", {"animals": "Ewes", "head": 1, "pregnant": None,
                          "water_nitrate": None, "drinks": None}),
    ],
)  # fmt: skip
def test_a_program_is_told_of_animals_what_the_pure_verdict_says(cast, clean, sheet, whom, facts):
    from haywright.bunk.hazards.nitrate import told as says
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader

    told = asked(Program(cast, "educator"), sheet, whom)
    verdict, words = pure_decision(sheet, **facts).verdict, Speaker(Reader())
    assert told["nitrate"] == {"value": verdict.x, **OF_DM}
    assert told["nitrate_low"] == {"value": verdict.low, **OF_DM}
    assert told["nitrate_high"] == {"value": verdict.high, **OF_DM}
    assert told["answer"] == verdict.answer.value
    assert told["sentence"] == words.every(says.sentence(verdict))
    assert told["cautions"] == words.every(says.cautions(verdict))
    assert told["restricted"] is verdict.restricted
    assert told["too_close_to_call"] is verdict.too_close
    assert told["classes"] == list(verdict.question.all_classes)
    assert told["guide"]["id"] == verdict.question.guide.id
    share = told["share"]["value"]
    assert share == (None if verdict.share is None else pytest.approx(100 * verdict.share))


def test_each_limit_of_the_share_stands_as_the_verdict_has_it(cast, clean, sheet):
    told = asked(Program(cast, "educator"), sheet, f"{COWS}&intake=26 lb")
    verdict = pure_decision(sheet, intake="26 lb").verdict
    held = [(one["name"], one["share"]["value"], one["binds"]) for one in told["limits"]]
    right = [(one.limit.value, None if one.share is None else pytest.approx(100 * one.share),
              one is verdict.governing) for one in verdict.shares]  # fmt: skip
    assert held == right
    assert [one["share"]["unit"] for one in told["limits"]] == ["%"] * len(right)
    shares = [one["share"]["value"] for one in told["limits"] if one["share"]["value"] is not None]
    assert told["share"]["value"] == pytest.approx(min(shares))
    assert told["limit"]["name"] == verdict.governing.limit.value


def test_the_most_one_cow_gets_is_her_share_of_what_she_eats(cast, clean, sheet):
    """By hand: the share of 26 lb dry matter, as hay that holds 88.4 % of it."""
    told = asked(Program(cast, "educator"), sheet, f"{COWS}&intake=26 lb")
    pounds = told["share"]["value"] / 100 * 26 / 0.884
    assert told["most_per_head"]["unit"] == "kg/day"
    kilogram = 0.45359237  # of a pound, by the 1959 agreement
    assert told["most_per_head"]["value"] == pytest.approx(pounds * kilogram, rel=1e-9)
    assert asked(Program(cast, "educator"), sheet, COWS)["most_per_head"] is None


def test_the_bales_likely_over_a_line_are_counted_alike(cast, sheet):
    told = asked(Program(cast, "educator"), sheet, COWS)["bales_over"]
    verdict = pure_decision(sheet).verdict
    assert verdict.over
    held = [(one["line"], one["expected"]["value"], one["low"], one["high"])
            for one in told if one["expected"]["unit"] == "bale"]  # fmt: skip
    assert held == [({"value": one.line, **OF_DM}, one.expected, one.low, one.high)
                    for one in verdict.over]  # fmt: skip
    assert {one["expected"]["basis"] for one in told} == {"of 64 bales"}


def test_whom_to_call_stands_beside_every_decision(cast, sheet):
    for one in ("animals=Ewes", COWS, "group=0"):
        told = asked(Program(cast, "rancher"), sheet, one)
        assert told["call"] == {
            "office": "Sedge County hay office", "office_phone": "555 0100",
            "name": "Sedge veterinary practice", "phone": "555 0101",
        }  # fmt: skip
        assert told["cautions"]


def test_hay_not_tested_for_nitrate_has_no_nitrate_and_no_share(cast, lot):
    from haywright.office.bench.actions import type_report
    from haywright.sheet.typed import Laboratory

    rows = ["dm=88 %", "cp=9.6 % dry matter"]
    type_report(cast.actor("educator"), lot, rows, profile=Laboratory(name="Plain laboratory"))
    told = asked(Program(cast, "educator"), lot.sheets.get(), COWS)
    assert (told["nitrate"]["value"], told["share"]["value"]) == (None, None)
    assert told["limit"] is None
    assert told["most_per_head"] is None


def test_the_season_of_a_program_counts_lots_as_one_counts_them_by_hand(cast):
    lot_tested(cast, "Three bags", 200, 1400, 300)
    lot_tested(cast, "B", 900)
    lot_tested(cast, "C", 300, crop="triticale", cored="2026-08-30")
    program = Program(cast, "educator")
    told = program.get("/season/2026?line=1000")
    assert (told["tested"], told["over"]) == (3, 1)
    assert told["line"] == {"value": 1000, **OF_DM}
    assert told["share_over"]["value"] == pytest.approx(100 / 3)
    assert told["by_crop"] == [
        {"crop": "oats", "month": "2026-09", "tested": 2, "over": 1},
        {"crop": "triticale", "month": "2026-08", "tested": 1, "over": 0},
    ]
    assert program.get("/season/2026?line=900")["over"] == 2
    empty = program.get("/season/2025?line=1000")
    assert (empty["tested"], empty["share_over"]["value"]) == (0, None)


def test_the_season_s_line_is_the_office_s_own_and_its_days_those_to_the_first_sheet(cast, sheet):
    from haywright.office.way.season import by_crop
    from tests.office.conftest import CORED

    told = Program(cast, "educator").get("/season/2026")
    line = float(cast.office.call_line)
    assert told["line"]["value"] == line
    rows = by_crop(cast.actor("educator"), 2026, line)
    assert (told["tested"], told["over"]) == (len(rows), sum(one.over for one in rows))
    took = (sheet.versions.get().made_at - CORED) / timedelta(days=1)
    assert told["turnaround"] == {
        "value": pytest.approx(took), "unit": "day", "basis": "median"
    }  # fmt: skip


def test_a_result_a_program_reads_is_the_one_that_was_kept(cast, sheet):
    from haywright.measure.result import Result as PureResult
    from haywright.office.bench.models import Result

    told = Program(cast, "educator").get(f"/results?lot={sheet.lot_id}")["items"]
    assert len(told) == 5
    for one in told:
        right = PureResult.from_json(Result.objects.get(pk=one["id"]).whole)
        got = one["measured"]
        assert (got["quantity"], got["value"]) == (right.analyte, right.estimate.value)
        assert (got["unit"], got["basis"]) == (right.unit, str(right.basis))


def test_the_heat_of_a_bale_taken_in_fahrenheit_is_kept_in_celsius(cast, lot):
    """118 F is 47.8 C, by hand: (118 - 32) x 5 / 9."""
    program = Program(cast, "educator")
    sent = {"temperature": {"value": 118, "unit": "degF"}, "at": "2026-08-09T07:30:00-06:00"}
    kept = program.done(f"/lots/{lot.pk}/heat", sent)["temperature"]
    assert (kept["value"], kept["unit"]) == (pytest.approx(47.8), "degC")
