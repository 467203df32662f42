"""The printed test sheet says what the Sheet says, with unit, basis, range and kind."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from haywright.measure.message import message
from haywright.paper.sheet_paper import Opening, sheet_data, sheet_pdf
from haywright.words import Reader
from tests.paper import hay
from tests.paper.reading import reader, text_of

PHRASE = re.compile(r"\bN/A\b|\bDM\b")


@pytest.fixture(scope="module")
def sheet():
    return hay.sheet()


@pytest.fixture(scope="module")
def printed(sheet):
    return text_of(sheet_pdf(sheet, hay.ABOUT, Opening(restricted=True), Reader()))


def test_the_five_numbers_stand_first_with_unit_basis_range_and_kind(sheet):
    data = sheet_data(sheet, hay.ABOUT, Opening(likely={"nitrate_n": (890, 1460)}), Reader())
    rows = {row["name"]: row for row in data["five"]["rows"]}
    assert list(rows) == ["Dry matter", "Crude protein", "Energy", "Nitrate", "Relative feed value"]
    nitrate = rows["Nitrate"]
    assert nitrate["value"] == "1,120"
    assert nitrate["unit"] == "mg/kg of dry matter"
    assert nitrate["basis"] == "4,960 as nitrate (NO3)"
    assert nitrate["range"] == "890 to 1,460"
    assert nitrate["kind"] == "measured; sampling counted"
    assert rows["Dry matter"]["unit"] == "% of the hay"
    assert rows["Energy"]["kind"].startswith("calculated")


def test_a_number_from_the_laboratory_alone_says_that_sampling_is_not_in_its_range():
    typed = hay.results(without=("cp",)).with_results(
        hay.result("cp", 9.6, 0.15, 0.0, "combustion")
    )
    data = sheet_data(hay.write_sheet(typed, hay.crop("oats")), hay.ABOUT, None, Reader())
    assert "range of the laboratory alone" in data["five"]["rows"][1]["kind"]


def test_every_result_is_printed_as_received_and_on_dry_matter(printed, sheet):
    for name in ("cp", "adf", "ndf", "ash", "ca", "k"):
        dry = sheet.measured[name].value
        received = dry * 0.884
        digits = 2 if name in ("ca", "k") else 1
        assert f"{received:.{digits}f} % {dry:.{digits}f} %" in printed, name


def test_both_ranges_are_printed_and_an_unknown_one_says_so(printed, sheet):
    low, high = sheet.measured["adf"].estimate.interval(0.9)
    assert f"{low:.1f} to {high:.1f}" in printed
    # Student's t for 0.95 on 8 degrees of freedom is 1.860 (any printed t table)
    assert f"{38.2 - 1.860 * 0.4:.1f} to {38.2 + 1.860 * 0.4:.1f}" in printed
    assert "not known" in printed


def test_methods_and_equations_are_named(printed):
    for said in ("combustion", "flow injection", "TDN = 88.9 − 0.78 ADF", "Digestible dry matter"):
        assert said in printed


def test_the_evidence_goes_down_to_the_readings(printed):
    assert "How 1,120 came about" in printed
    for said in ("Ground hay weighed 0.5013 g", "29 September 2026", "11.02 mg/L"):
        assert said in printed


def test_the_sheet_says_whose_hay_it_is_and_when_it_was_cored(printed):
    for said in ("Dahl ranch", "TFK-0117-63, 20 of 64 bales", "22 September 2026", "R. Dahl",
                 "Tamarack Fork bench", "555 0117"):  # fmt: skip
        assert said in printed


def test_crude_protein_that_counts_nitrate_is_cautioned(printed):
    assert "Count 8.9 % instead of 9.6 when you plan" in printed


def test_a_sheet_with_tests_to_come_is_interim_on_its_first_page():
    pdf = sheet_pdf(hay.sheet(pending=("k",)), hay.ABOUT, None, Reader())
    first = re.sub(r"\s+", " ", reader(pdf).pages[0].extract_text())
    assert first.index("INTERIM") < first.index("Dry matter")
    assert "Still to come: Potassium." in first
    assert "INTERIM" not in text_of(sheet_pdf(hay.sheet(), hay.ABOUT, None, Reader()))


def test_a_held_result_is_shown_as_held_and_makes_the_sheet_interim():
    text = text_of(sheet_pdf(hay.sheet(held=("ash",)), hay.ABOUT, None, Reader()))
    assert "INTERIM" in text
    assert "own checks: Ash." in text


def test_a_nitrate_that_was_not_tested_has_no_number():
    data = sheet_data(hay.sheet(without=("nitrate_n",)), hay.ABOUT, None, Reader())
    row = data["five"]["rows"][3]
    assert row["value"] == row["range"] == ""
    assert "not tested" in row["unit"]


def test_the_emergency_card_stands_on_a_restricted_sheet_and_in_every_foot(sheet):
    pages = reader(sheet_pdf(sheet, hay.ABOUT, Opening(restricted=True), Reader())).pages
    first = re.sub(r"\s+", " ", pages[0].extract_text())
    for said in ("Stop the feed.", "Keep the animals quiet.", "say “nitrate”", "any carcass",
                 "Dr. Inés Calloway", "555 0142"):  # fmt: skip
        assert said in first
    for page in pages:
        assert "call 555 0142 and say “nitrate”" in re.sub(r"\s+", " ", page.extract_text())


def test_without_a_number_the_card_still_says_whom_to_call(sheet):
    office = replace(hay.OFFICE, call_name="", call_phone="")
    about = replace(hay.ABOUT, office=office)
    text = text_of(sheet_pdf(sheet, about, Opening(restricted=True), Reader()))
    assert "call your veterinarian" in text


def test_the_verdict_comes_in_ready_and_stands_first(sheet):
    opening = Opening(
        sentence=(message("measure.held"),), standing=(message("bag.note.grab"),), restricted=True
    )
    data = sheet_data(sheet, hay.ABOUT, opening, Reader())
    assert data["verdict"] == ["This number is held."]
    assert "by hand" in data["standing"][0]


def test_page_one_holds_verdict_numbers_card_and_cautions(sheet):
    pdf = sheet_pdf(sheet, hay.ABOUT, Opening(restricted=True), Reader())
    first = re.sub(r"\s+", " ", reader(pdf).pages[0].extract_text())
    for said in ("crude protein", "88.4", "1,120", "Whom to call", "Caution"):
        assert said in first
    assert "Every result" not in first


def test_no_abbreviation_a_rancher_would_not_know(printed):
    assert not PHRASE.findall(printed)


def test_hostile_names_stay_names(sheet):
    about = replace(hay.ABOUT, ranch="#panic() [x] *y* $z$ \\", lot_name="</title> & <b>")
    text = text_of(sheet_pdf(sheet, about, None, Reader()))
    assert "#panic() [x] *y* $z$ \\" in text
    assert "</title> & <b>" in text


def test_an_untested_accumulator_is_not_tested_even_when_nobody_asked():
    text = text_of(sheet_pdf(hay.sheet(without=("nitrate_n",)), hay.ABOUT, None, Reader()))
    assert text.index("NOT TESTED") < text.index("What was tested")
    assert "Whom to call" in text
    alfalfa = hay.sheet("alfalfa", without=("nitrate_n",))
    assert "NOT TESTED" not in text_of(sheet_pdf(alfalfa, hay.ABOUT, None, Reader()))


def test_every_page_says_which_of_how_many_it_is(sheet):
    pages = reader(sheet_pdf(sheet, hay.ABOUT, Opening(restricted=True), Reader())).pages
    for number, page in enumerate(pages, 1):
        assert f"Page {number} of {len(pages)}" in re.sub(r"\s+", " ", page.extract_text())


def test_a_methods_settings_stand_once_for_all_its_results():
    method = "Oven in two stages; 60 °C, then 105 °C"
    dry = (hay.result(name, 90.0, 0.4, 0.0, method) for name in ("lab_dm", "partial_dm"))
    text = text_of(
        sheet_pdf(hay.write_sheet(hay.results().with_results(*dry), hay.crop("oats")),
                  hay.ABOUT, None, Reader())
    )  # fmt: skip
    assert text.count("then 105 °C") == 1
    assert text.count("Oven in two stages") == 3


def test_baleage_shows_protein_as_fed_beside_dry():
    wet = hay.results().with_results(hay.result("dm", 45.0, 0.4, 0.3, "oven"))
    sheet = hay.write_sheet(wet, hay.crop("oats"), form="baleage")
    row = sheet_data(sheet, hay.ABOUT, None, Reader())["five"]["rows"][1]
    assert row["value"] == "9.6"
    assert "4.3\N{NO-BREAK SPACE}% as fed" in row["basis"]  # 9.6 x 0.45
